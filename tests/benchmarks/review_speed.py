"""How long a review by the installed package takes, as a ratio to starting Python: ``python -m tests.benchmarks.review_speed [FILE]``."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "examples"
HEAVY = ("networkx", "numpy", "jsonschema", "jinja2")


def best(*commands: list[str], times: int = 20) -> list[float]:
    """Shortest of several runs of each command, in seconds; they take turns, so that what else the machine does touches all alike."""
    # as a person would run it: away from the checkout, the installed package, with compiled files kept
    environment = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "PYTHONDONTWRITEBYTECODE")}
    rounds = [[_seconds(arguments, environment) for arguments in commands] for _ in range(times + 1)]
    return [min(runs) for runs in zip(*rounds[1:], strict=True)]


def _seconds(arguments: list[str], environment: dict[str, str]) -> float:
    began = time.perf_counter()
    quiet = subprocess.DEVNULL
    subprocess.run(
        [sys.executable, *arguments],
        cwd=tempfile.gettempdir(),
        env=environment,
        stdout=quiet,
        stderr=quiet,
        check=False,
    )
    return time.perf_counter() - began


def imported(file: Path) -> list[str]:
    """Which of the heavy libraries a review imports."""
    code = f"import sys; sys.argv = ['reviewer', 'review', {str(file)!r}]\nfrom reviewer.cli.main import main\ntry: main()\nexcept SystemExit: pass\n"
    code += f"print('\\nheavy', *[m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.splitlines()[-1].split()[1:]


def main() -> None:
    """Print the ratio for one file, or for the largest example."""
    file = (
        Path(sys.argv[1])
        if len(sys.argv) > 1
        else max(EXAMPLES.glob("*.design.yaml"), key=lambda p: p.stat().st_size)
    )
    bare, review = best(["-c", "pass"], ["-m", "reviewer", "review", str(file.resolve())])
    print(
        f"python -c pass: {bare * 1e3:.1f} ms; review of {file.name}: {review * 1e3:.1f} ms; ratio {review / bare:.1f}"
    )
    print("heavy libraries imported:", ", ".join(imported(file)) or "none")


if __name__ == "__main__":
    main()
