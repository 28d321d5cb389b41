"""``python -m tests.fuzz [COUNT] [--first NUMBER] [--at-once WORKERS]``: runs cases and prints what was wrong; one case again with COUNT 1."""

from __future__ import annotations

import argparse
import sys
from collections import Counter

from tests.fuzz.many import cases


def main() -> None:
    """Exit status 1 where something was wrong."""
    asked = argparse.ArgumentParser(
        prog="python -m tests.fuzz", description="Run every command on broken and hostile files."
    )
    asked.add_argument("count", nargs="?", type=int, default=20_000)
    asked.add_argument(
        "--first", type=int, default=0, help="number of the first case; the same number is the same case"
    )
    asked.add_argument("--at-once", type=int, default=2, help="processes at a time")
    options = asked.parse_args()
    status, wrong, seconds, slowest = Counter(), 0, 0.0, (0.0, 0)
    for done, told in enumerate(cases(options.first, options.count, options.at_once), 1):
        status[told["status"]] += 1
        seconds += told["seconds"]
        slowest = max(slowest, (told["seconds"], told["number"]))
        if told["wrong"]:
            wrong += 1
            print(
                f"case {told['number']}: {told['arguments']}\n  "
                + "\n  ".join(told["wrong"])
                + f"\n  {told['err'][-600:]}",
                flush=True,
            )
        if done % 500 == 0:
            print(
                f"{done} cases, {wrong} wrong, {seconds / done * 1000:.0f} ms of processor time each",
                file=sys.stderr,
                flush=True,
            )
    print(
        f"{sum(status.values())} cases, {wrong} wrong; exit statuses {dict(sorted(status.items()))}; slowest {slowest[0]:.1f} s (case {slowest[1]})"
    )
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
