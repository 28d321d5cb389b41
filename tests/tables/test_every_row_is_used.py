"""Every figure of the data files has a reader: a look-up in the source of the reviewer or of a rule that can name it.

Look-ups are read from the syntax. A name that is written out counts as it is; of a name that is put together its
constant pieces must fit; for a name that comes from elsewhere the strings of the module that asks, and the values
that the model declares, are what it can be.
"""

from __future__ import annotations

import ast
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from reviewer.tables.lookup import all_tables

ROOT = Path(__file__).parents[2]
MODULES = sorted([*(ROOT / "reviewer").rglob("*.py"), *(ROOT / "rules").rglob("*.py")])
#: kinds in which a typical value may stand in a section of its own, as figures from memory do
SUFFIXES = ("", "_from_memory")


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def strings(*paths: Path) -> frozenset[str]:
    """The string constants of some modules that stand alone; words of a sentence have spaces."""
    nodes = (node for path in paths for node in ast.walk(tree(path)))
    return frozenset(
        n.value
        for n in nodes
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and " " not in n.value
    )


def of_the_model() -> frozenset[str]:
    return strings(*(ROOT / "reviewer" / "model").glob("*.py"))


@cache
def assigned(path: Path) -> dict[tuple[str, str], ast.expr]:
    """(function, name) -> the expression that the name is given in that function."""
    found = {}
    for function in (n for n in ast.walk(tree(path)) if isinstance(n, ast.FunctionDef)):
        for node in ast.walk(function):
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
                found[function.name, node.targets[0].id] = node.value
    return found


def calls(path: Path, function: str) -> Iterator[tuple[ast.Call, str]]:
    """The calls of a function in a module, with the function that they stand in."""
    if function not in path.read_text(encoding="utf-8"):
        return
    for inside in ast.iter_child_nodes(tree(path)):
        for scope in [n for n in ast.walk(inside) if isinstance(n, ast.FunctionDef)] or [inside]:
            for node in ast.walk(scope):
                if (
                    isinstance(node, ast.Call)
                    and isinstance(node.func, ast.Name)
                    and node.func.id == function
                ):
                    yield node, getattr(scope, "name", "")


def patterns(node: ast.expr, open_to: frozenset[str]) -> Iterator[str]:
    """Regular expressions of what an argument can be; ``open_to`` are the values of one that comes from elsewhere."""
    if isinstance(node, ast.Constant):
        yield re.escape(str(node.value))
    elif isinstance(node, ast.IfExp):
        yield from patterns(node.body, open_to)
        yield from patterns(node.orelse, open_to)
    elif isinstance(node, ast.JoinedStr):
        yield "".join(re.escape(str(v.value)) if isinstance(v, ast.Constant) else ".*" for v in node.values)
    elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        rights = list(patterns(node.right, open_to))
        yield from (left + right for left in patterns(node.left, open_to) for right in rights)
    else:
        yield from map(re.escape, open_to)


@cache
def looked_up(function: str) -> set[tuple[str, str]]:
    """Patterns of both arguments of every call of a look-up; a table may be named anywhere."""
    return set(_look_ups(function, strings(*MODULES) if function == "table" else None))


def _look_ups(function: str, open_to: frozenset[str] | None) -> Iterator[tuple[str, str]]:
    for path in MODULES:
        for node, scope in calls(path, function):
            kind, name = node.args
            if isinstance(name, ast.Name):
                name = assigned(path).get((scope, name.id), name)
            within = strings(path) | of_the_model() if open_to is None else open_to
            for first in patterns(kind, strings(path)):
                yield from ((first, second) for second in set(patterns(name, within)))


def fits(function: str, kind: str, name: str) -> bool:
    return any(re.fullmatch(k, kind) and re.fullmatch(n, name) for k, n in looked_up(function))


def rows(file: str) -> list[tuple[str, str]]:
    keys = ((t.origin.key.partition("/"), t) for t in all_tables())
    return [(section, row) for (stem, _, section), t in keys if stem == file for row in t.rows]


@pytest.mark.parametrize(("section", "row"), rows("common_practice"))
def test_a_range_of_the_trade_is_read_by_a_rule_or_an_engine(section: str, row: str) -> None:
    assert fits("practice", section, row), f"no `practice({section!r}, {row!r})`: remove the row, or use it"


@pytest.mark.parametrize(("section", "row"), rows("typical_values"))
def test_a_typical_value_is_read_by_an_engine(section: str, row: str) -> None:
    if section.endswith(("_ohms", "_acceptance")):  # curves, read whole by chemistry
        assert fits("table", "typical_values", section)
    else:
        kind = section.removesuffix(SUFFIXES[1])
        assert fits("typical", kind, row), f"no `typical({kind!r}, {row!r})`: remove the row, or use it"


@pytest.mark.parametrize("key", [t.origin.key for t in all_tables()])
def test_a_published_table_is_read(key: str) -> None:
    file, _, section = key.partition("/")
    if file not in ("common_practice", "typical_values"):
        assert fits("table", file, section), f"no `table({file!r}, {section!r})`: remove the table, or use it"


def test_a_look_up_that_is_written_out_finds_its_row() -> None:
    """The other way round: what a rule or an engine asks for by a constant is there."""
    known = set(rows("common_practice"))
    for path in MODULES:
        for node, _ in calls(path, "practice"):
            if all(isinstance(argument, ast.Constant) for argument in node.args):
                assert tuple(a.value for a in node.args if isinstance(a, ast.Constant)) in known, path


def test_every_source_is_cited_by_a_table_or_a_rule() -> None:
    sources = tomllib.loads((ROOT / "reviewer" / "tables" / "sources.toml").read_text(encoding="utf-8"))
    cited = {t.origin.source for t in all_tables()} | strings(*(ROOT / "rules").rglob("*.py"))
    assert sorted(set(sources) - cited) == []


def test_a_row_without_a_reader_is_noticed() -> None:
    assert not fits("practice", "volts", "row-that-nobody-reads")
    assert not fits("practice", "ohms", "lead-acid-float"), "the kind counts too"
    assert not fits("typical", "amperes", "set-point")
    assert not fits("table", "load_limits", "bus_warning")
