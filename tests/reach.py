"""Which tests run a function of the package, and for how long: what a mutation run tries, the quickest first.

A plugin of pytest in the process that runs the tests: :class:`Recording` writes what each test ran, by the profiler of the
interpreter; :class:`Chosen` runs some tests in an order. What test modules keep (`functools.cache`) is
forgotten before each file, and before each case of a rule, so that each test runs all that it rests on.
"""

from __future__ import annotations

import ast
import json
import os
import sys
import time
from collections.abc import Iterable, Iterator, Mapping
from cProfile import Profile
from dataclasses import dataclass
from pathlib import Path
from types import CodeType

import pytest

from tests.once_a_run import FOLDER as OF_A_RUN

ROOT = Path(__file__).parent.parent
CASES = "tests/test_every_rule.py"
#: names in the environment: where to write what tests ran; a file that lists the tests to run
RECORD_TO, RUN_THOSE_OF = "REVIEWER_TESTS_RECORD", "REVIEWER_TESTS_CHOSEN"


@dataclass(frozen=True)
class Reach:
    """``tests[file]``: for each function that runs, by its first line, the tests; ``seconds`` that a test takes."""

    tests: Mapping[str, Mapping[int, frozenset[str]]]
    seconds: Mapping[str, float]

    def of_line(self, path: Path, line: int) -> frozenset[str]:
        """The tests that run the function of a line, or any of the file where the line is in none."""
        functions = self.tests.get(path.as_posix(), {})
        if (first := first_line(ROOT / path, line)) is not None:
            return functions.get(first, frozenset())
        return frozenset().union(*functions.values())


def first_line(path: Path, line: int) -> int | None:
    """The first line, decorators included, of the innermost function that holds a line, or None."""
    found = None
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            first = min([node.lineno, *(d.lineno for d in node.decorator_list)])
            if first <= line <= (node.end_lineno or line) and node.body[0].lineno <= line:
                found = first if found is None else max(found, first)
    return found


def read_reach(files: Iterable[Path]) -> Reach:
    """What :class:`Recording` wrote."""
    tests: dict[str, dict[int, set[str]]] = {}
    seconds = {}
    for line in (line for file in files for line in file.read_text(encoding="utf-8").splitlines()):
        one = json.loads(line)
        seconds[one["test"]] = one["seconds"]
        for path, firsts in one["ran"].items():
            for first in firsts:
                tests.setdefault(path, {}).setdefault(first, set()).add(one["test"])
    return Reach(
        {path: {first: frozenset(some) for first, some in found.items()} for path, found in tests.items()},
        seconds,
    )


class Recording:
    """Writes a line of JSON for each test: its name, its processor time in s, the functions that it ran."""

    def __init__(self, file: Path):
        self.file, self.last = file, ""

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        name = item.nodeid.partition("::")[0]
        if name != self.last or name == CASES:
            _forget()
        self.last = name
        os.environ.pop(OF_A_RUN, None)  # each test makes itself what it rests on
        began, profile = time.process_time(), Profile(builtins=False)
        profile.enable()
        yield
        profile.disable()
        ran: dict[str, list[int]] = {}
        for entry in profile.getstats():
            code = entry.code
            if isinstance(code, CodeType) and Path(code.co_filename).is_relative_to(ROOT / "reviewer"):
                path = Path(code.co_filename).relative_to(ROOT).as_posix()
                ran.setdefault(path, []).append(code.co_firstlineno)
        one = {"test": item.nodeid, "seconds": round(time.process_time() - began, 3), "ran": ran}
        with self.file.open("a", encoding="utf-8") as written:
            written.write(json.dumps(one) + "\n")


def _forget() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("tests."):
            for kept in list(vars(module).values()):
                if callable(clear := getattr(kept, "cache_clear", None)):
                    clear()
    if cases := sys.modules.get("tests.rule_cases"):
        cases._kept.clear()


class Chosen:
    """Runs the tests that a file lists, in its order."""

    def __init__(self, file: Path):
        self.order = {name: i for i, name in enumerate(json.loads(file.read_text(encoding="utf-8")))}

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self.order), key=lambda item: self.order[item.nodeid]
        )


def pytest_configure(config: pytest.Config) -> None:
    """Register what the environment asks for."""
    if record_to := os.environ.get(RECORD_TO):
        config.pluginmanager.register(Recording(Path(record_to)))
    if run_those_of := os.environ.get(RUN_THOSE_OF):
        config.pluginmanager.register(Chosen(Path(run_those_of)))
