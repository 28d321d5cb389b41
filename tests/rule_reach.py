"""Which rules' cases run a function of the package: what a mutation run tries after the tests of a room."""

from __future__ import annotations

import ast
import sys
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.rule_cases import FILES, ROOT, RULES, design, parsed, text


@dataclass(frozen=True)
class Reach:
    """``rules[file]``: for each function that runs, by its first line, the rules; ``seconds`` that a rule takes."""

    rules: dict[Path, dict[int, frozenset[str]]]
    seconds: dict[str, float]

    def of_line(self, path: Path, line: int) -> frozenset[str]:
        """The rules whose cases run the function of a line, or any of the file where the line is in none."""
        functions = self.rules.get(path, {})
        if (first := first_line(ROOT / path, line)) is not None:
            return functions.get(first, frozenset())
        return frozenset().union(*functions.values())


def first_line(path: Path, line: int) -> int | None:
    """The first line, decorators included, of the innermost function that holds a line, or None."""
    found = None
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            first = min([node.lineno, *(d.lineno for d in node.decorator_list)])
            if first <= line <= (node.end_lineno or line):
                found = first if found is None else max(found, first)
    return found


def reach(rules: Iterable[str] = tuple(RULES)) -> Reach:
    """Run the cases of some rules, each design worked out anew."""
    ran: dict[tuple[Path, int], set[str]] = {}
    seconds = {}
    for rule in rules:
        began = time.monotonic()
        for code in _ran(rule):
            if Path(code.co_filename).is_relative_to(ROOT / "reviewer"):
                key = Path(code.co_filename).relative_to(ROOT), code.co_firstlineno
                ran.setdefault(key, set()).add(rule)
        seconds[rule] = time.monotonic() - began
    by_file: dict[Path, dict[int, frozenset[str]]] = {}
    for (path, line), names in ran.items():
        by_file.setdefault(path, {})[line] = frozenset(names)
    return Reach(by_file, seconds)


def _ran(rule: str) -> list[CodeType]:
    seen: dict[int, CodeType] = {}

    def called(frame: FrameType, event: str, argument: object) -> None:
        seen[id(frame.f_code)] = frame.f_code

    names = ["met", "unmet", *(trap["name"] for trap in parsed(FILES[rule]).get("traps", ()))]
    contents = [text(design(rule, name)) for name in names]
    before = sys.gettrace()
    sys.settrace(called)
    try:
        for content in contents:
            run_rules([RULES[rule]], Facts(read_text(content, "design")))
    finally:
        sys.settrace(before)
    return list(seen.values())
