"""A process that runs cases one after the other, each in a child that begins with everything loaded."""

from __future__ import annotations

import importlib
import json
import pkgutil
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

from tests.fuzz.case import SECONDS, case_of, run_case
from tests.fuzz.judge import complaints


def main() -> None:
    """``FIRST COUNT STEP``: prints a line of JSON for each case."""
    first, count, step = map(int, sys.argv[1:4])
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        command = loaded(Path(folder))
        for number in range(first, first + count * step, step):
            case = case_of(number)
            outcome = run_case(
                case, Path(folder), command, SECONDS * max(1, sum(a in case.files for a in case.arguments))
            )
            told = {
                "number": number,
                "arguments": case.arguments,
                "status": outcome.status,
                "seconds": round(outcome.seconds, 3),
                "wrong": complaints(case, outcome),
            }
            if told["wrong"]:
                told |= {"out": outcome.out[-1500:], "err": outcome.err[-1500:]}
            print(json.dumps(told), flush=True)


def loaded(folder: Path) -> Callable[[], None]:
    """The command, with every module loaded that it may want and what they keep filled in."""
    import reviewer
    import reviewer.cli.main

    for module in pkgutil.walk_packages(reviewer.__path__, "reviewer."):
        if "__main__" not in module.name and "bundled_" not in module.name:
            importlib.import_module(module.name)
    for module in ("numpy", "networkx", "jinja2", "xlsxwriter", "difflib", "csv", "yaml"):
        importlib.import_module(module)
    import reviewer.session
    from reviewer.reading import Unreadable
    from tests.fuzz.structure import ROOT

    reviewer.session.review_file(ROOT / "examples" / "sketch.design.yaml")
    try:
        (folder / "broken.yaml").write_text(
            "format: 1\naircraft: {name: 5}\nparts: {a: {kind: battery, label: []}}\nwires: {W1: {}}\n"
        )
        reviewer.session.review_file(folder / "broken.yaml")
    except Unreadable:
        pass
    return reviewer.cli.main.main


if __name__ == "__main__":
    main()
