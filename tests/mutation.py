"""A mutation run of the code: ``python -m tests.mutation [--sample N] [--seed S] [ROOM ...]``.

A seeded sample of small changes of a room of the analysis or of a package, each made alone in a copy outside the checkout: a comparison
turned or moved to its bound, `and` for `or`, `not` taken away, a number one higher, a sum for a difference, a branch dropped. A
change is tried against the tests of its room, then against the cases of rules that run the changed function. It is found
where a test fails or the time limit passes. Prints the score of each room and every change that was not found. Some of those
change nothing that can be seen: read them.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random

from tests.rule_reach import Reach, reach

ROOT = Path(__file__).parent.parent
#: a package -> its tests; the room of an engine has those of tests/analysis/<room>
PACKAGES = {
    "model": ("tests/model", "tests/reading/test_ranges.py", "tests/test_said_numbers.py", "tests/published/test_awg.py"),
    "network": ("tests/network", "tests/analysis/test_against_plain.py", "tests/analysis/conduction"),
    "questions": (
        "tests/questions", "tests/analysis/test_effects.py", "tests/analysis/test_scenes.py", "tests/test_cards.py",
        "tests/test_compare.py", "tests/test_questions.py", "tests/test_solve.py", "tests/test_wires.py",
    ),
    "reading": ("tests/reading",),
    "rulebook": ("tests/test_rulebook.py", "tests/test_rules_of_others.py"),
}  # fmt: skip
ROOMS = [
    *sorted(d.name for d in (ROOT / "tests" / "analysis").iterdir() if (d / "__init__.py").exists()),
    *PACKAGES,
]
#: of more rules that run a function the quickest are tried
MOST_RULES = 40
#: a comparison -> what it becomes: the opposite, and the same with its bound on the other side
COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.GtE, ast.LtE), ast.LtE: (ast.Gt, ast.Lt), ast.Gt: (ast.LtE, ast.GtE), ast.GtE: (ast.Lt, ast.Gt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.In: (ast.NotIn,), ast.NotIn: (ast.In,), ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
}  # fmt: skip
ARITHMETIC: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.BitAnd: ast.BitOr, ast.BitOr: ast.BitAnd,
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One change of a file: ``new`` in place of the bytes from ``start`` to ``end``; ``what`` in words."""

    path: Path
    line: int
    start: int
    end: int
    new: str
    what: str


def changes(path: Path, source: str) -> Iterator[Change]:
    """Every change of a source, in the order of its text.

    Annotations and texts are left alone, and so is what is asserted or imported for the type checker.
    """
    starts = [0]
    for line in source.splitlines(keepends=True):
        starts.append(starts[-1] + len(line.encode()))
    tree = ast.parse(source)
    for node in sorted(_expressions(tree), key=lambda n: (n.lineno, n.col_offset, n.end_col_offset or 0)):
        for new in _changed(node):
            assert node.end_lineno is not None and node.end_col_offset is not None
            start, end = (
                starts[node.lineno - 1] + node.col_offset,
                starts[node.end_lineno - 1] + node.end_col_offset,
            )
            text = f"({ast.unparse(new)})"
            yield Change(path, node.lineno, start, end, text, f"{ast.unparse(node)} -> {text[1:-1]}")


def _expressions(node: ast.AST) -> Iterator[ast.expr]:
    left_out = {ast.AnnAssign: "annotation", ast.arg: "annotation", ast.FunctionDef: "returns"}
    for name, value in ast.iter_fields(node):
        if name == left_out.get(type(node)) or isinstance(node, ast.JoinedStr | ast.pattern):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not isinstance(child, ast.Assert):
                if isinstance(child, ast.expr):
                    yield child
                # the branch is dropped
                if isinstance(node, ast.If) and child is node.test and not _for_types(child):
                    yield ast.copy_location(ast.Expr(child), child)  # type: ignore[misc]
                yield from _expressions(child)


def _for_types(test: ast.AST) -> bool:
    """Whether a branch is the type checker's alone."""
    return isinstance(test, ast.Name) and test.id == "TYPE_CHECKING"


def _changed(node: ast.AST) -> Iterator[ast.expr]:
    made = copy.deepcopy(node)
    match made:
        case ast.Expr():
            yield ast.Constant(False)
        case ast.Compare(ops=[op]):
            for other in COMPARED[type(op)]:
                made.ops = [other()]
                yield copy.deepcopy(made)
        case ast.BoolOp(op=op):
            made.op = ast.And() if isinstance(op, ast.Or) else ast.Or()
            yield made
        case ast.BinOp(op=op) if type(op) in ARITHMETIC:
            made.op = ARITHMETIC[type(op)]()
            yield made
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield operand
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value) | float(value)):
            yield ast.Constant(value + 1)


@cache
def of_room(room: str) -> tuple[Change, ...]:
    """Every change of a room, file by file."""
    folder = ROOT / "reviewer" / (room if room in PACKAGES else f"analysis/{room}")
    files = sorted(folder.glob("*.py"))
    return tuple(c for f in files for c in changes(f.relative_to(ROOT), f.read_text(encoding="utf-8")))


def sample(room: str, count: int, seed: int) -> list[Change]:
    """``count`` changes of a room, or all where it has no more: the same for the same seed and source."""
    return Random(f"{room} {seed}").sample(of_room(room), min(count, len(of_room(room))))


def copied(folder: Path) -> None:
    """Copy what git knows of the checkout to a folder."""
    names = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True, text=True
    ).stdout
    for name in filter(None, names.split("\0")):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(ROOT / name, folder / name)


def passes(folder: Path, tests: Sequence[str], limit: float) -> bool:
    """Whether tests pass in the copy within a limit, s."""
    command = [sys.executable, "-m", "pytest", "-n0", "-x", "-q", "-p", "no:cacheprovider", *tests]
    # compiled files are told apart by the second in which their source was written: too coarse here
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(folder)}
    quiet = subprocess.DEVNULL
    try:
        done = subprocess.run(command, cwd=folder, env=environment, stdout=quiet, stderr=quiet, timeout=limit)
    except subprocess.TimeoutExpired:
        return False
    return done.returncode == 0


def own_tests(room: str) -> tuple[str, ...]:
    """The tests of a room or a package."""
    return PACKAGES.get(room, (f"tests/analysis/{room}",))


@cache
def _reach() -> Reach:
    return reach()


def _cases_pass(change: Change, folder: Path) -> bool:
    """Whether the cases of the rules that run the changed function pass; so where none runs it."""
    seconds = _reach().seconds
    rules = sorted(_reach().of_line(change.path, change.line), key=lambda rule: (seconds[rule], rule))
    if not (some := rules[:MOST_RULES]):
        return True
    limit = 60 + 6 * sum(seconds[rule] for rule in some)
    return passes(folder, ["tests/test_every_rule.py", "-k", " or ".join(some)], limit)


def run(room: str, count: int, seed: int, folder: Path) -> tuple[int, list[Change]]:
    """How many changes were tried, and those that no test found. Raises SystemExit where the tests fail as they are."""
    began = time.monotonic()
    if not passes(folder, own_tests(room), 600):
        raise SystemExit(f"the tests of {room} fail without any change")
    limit, tried, left = 10 + 3 * (time.monotonic() - began), sample(room, count, seed), []
    for change in tried:
        file = folder / change.path
        was = file.read_bytes()
        file.write_bytes(was[: change.start] + change.new.encode() + was[change.end :])
        if passes(folder, own_tests(room), limit) and _cases_pass(change, folder):
            left.append(change)
        file.write_bytes(was)
    return len(tried), left


def main() -> None:
    asked = argparse.ArgumentParser(
        prog="python -m tests.mutation", description=(__doc__ or "").partition("\n")[0]
    )
    asked.add_argument("--sample", type=int, default=20, metavar="N", help="changes in each room (20)")
    asked.add_argument("--seed", type=int, default=0, metavar="S", help="another sample (0)")
    asked.add_argument("room", nargs="*", metavar="ROOM", help=f"some of: {', '.join(ROOMS)}")
    given = asked.parse_args()
    if unknown := sorted(set(given.room) - set(ROOMS)):
        asked.error(f"no such room: {', '.join(unknown)}")
    total = found = 0
    with tempfile.TemporaryDirectory() as made:
        copied(Path(made))
        for room in given.room or ROOMS:
            tried, left = run(room, given.sample, given.seed, Path(made))
            total, found = total + tried, found + tried - len(left)
            print(f"{room}: {tried - len(left)} of {tried} found", flush=True)
            for change in left:
                print(f"  {change.path}:{change.line}: {change.what}", flush=True)
    print(f"all: {found} of {total} found, {100 * found / max(total, 1):.0f} %")


if __name__ == "__main__":
    main()
