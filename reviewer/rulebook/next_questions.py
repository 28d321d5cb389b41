"""One question for each key that the file lacks: what it decides, and the text with its place in the file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from reviewer.model.design import Design
from reviewer.model.places import CellPlace
from reviewer.model.record import record
from reviewer.model.review import Gap, HazardClass
from reviewer.rulebook.file_entries import entry_at, model_of
from reviewer.rulebook.missing_data import AT_CONCEPT, STATES, asked_of
from reviewer.rulebook.missing_snippets import call_of, circuit_of, example_of, in_row, sections, states

#: keys that a path gives without their name
_KEYLESS = ("gauge", "length")
#: what stands for the value in the text of a question
OPEN = "\0"
_END = "at the end of the file, at its left margin"


@record
class Paste:
    """Text for one place of the file, with :data:`OPEN` for the value.

    ``place`` says in words where it goes; ``item`` is the pointer of what lacks it. ``in_path`` is
    True in the line of a circuit, where a list has neither brackets nor commas. ``spot`` is the line and
    column, from 1, at which the lines can be put in as they are, with ``, `` or an end of line before what
    follows; None where a person must find the place in a path, row or call.
    """

    item: str
    place: str
    lines: tuple[str, ...]
    in_path: bool = False
    spot: tuple[int, int] | None = None

    def written(self, value: str) -> tuple[str, ...]:
        """The text with a value; with "" its place is left open."""
        said = value.strip("[]").replace(",", "") if self.in_path else value
        return tuple(line.replace(OPEN, said).rstrip() for line in self.lines)


@record
class NextQuestion:
    """A key that items of one kind lack.

    ``rules`` are those that wait for it, the worst class first; ``waiting`` counts their items.
    ``decides`` counts the items too, each shared among all that it lacks. ``model`` is that of what
    lacks the key, None for a whole section.
    """

    kind: str
    key: str
    items: tuple[str, ...]
    rules: tuple[str, ...]
    hazard: HazardClass
    waiting: int
    decides: float
    pastes: tuple[Paste, ...]
    model: Any

    @property
    def worth(self) -> float:
        """What each value that is written decides."""
        return self.decides / max(len(self.items), 1)


def next_questions(gaps: Sequence[Gap], design: Design, lines: Sequence[str]) -> tuple[NextQuestion, ...]:
    """Every question, the one whose values decide the most first; ``lines`` are those of the file.

    At the concept stage the first :data:`AT_CONCEPT`.
    """
    lacking: dict[tuple[str, str], list[tuple[str, Gap, float]]] = {}
    for gap in gaps:
        wanted = list(dict.fromkeys(asked_of(gap, design)))
        for kind, key, item in wanted:
            lacking.setdefault((kind, key), []).append((item, gap, 1.0 / len(wanted)))
    where = _Places(design, lines)
    found = [_question(kind, key, asked, where) for (kind, key), asked in lacking.items()]
    found.sort(key=lambda q: (-q.worth, -q.hazard, q.kind, q.key))
    return tuple(found[:AT_CONCEPT] if design.aircraft.stage == "concept" else found)


def _question(kind: str, key: str, asked: Sequence[tuple[str, Gap, float]], where: _Places) -> NextQuestion:
    items = tuple(dict.fromkeys(item for item, _, _ in asked if item))
    waiting = {gap.rule: gap.hazard for _, gap, _ in asked}
    rules = tuple(sorted(waiting, key=lambda rule: (-waiting[rule], rule)))
    pastes = tuple(where.paste(item, key) for item in items)
    if not pastes:
        pastes = (where.states(key) if kind == STATES else where.section(key),)
    model = model_of(items[0], where.design) if items else None
    items_of_rules = {(gap.rule, gap.subject, gap.needs) for _, gap, _ in asked}
    decides = sum(share for _, _, share in asked)
    return NextQuestion(
        kind, key, items, rules, max(waiting.values()), len(items_of_rules), decides, pastes, model
    )


class _Places:
    """Where in a file something is written."""

    def __init__(self, design: Design, lines: Sequence[str]):
        self.design, self.lines, self.places = design, lines, design.places

    def paste(self, item: str, key: str) -> Paste:
        """The text for a key of an item, and where it goes."""
        if call := call_of(item, self.design):
            of = item.partition("/")[2]
            place = (
                f"line {self.places[item][0]}, in the braces {{ }} of {call} where its assembly takes that "
            )
            return Paste(item, f"{place}for {of}, else in the assembly", (f", {key}: {OPEN}",))
        if isinstance(cell := self.places.get(item), CellPlace):
            return self._in_row(item, key, cell)
        if circuit := circuit_of(item, self.design):
            return self._in_path(item, key, circuit)
        steps = item.split("/")
        known = next((n for n in range(len(steps), 0, -1) if "/".join(steps[:n]) in self.places), 0)
        at, below = "/".join(steps[:known]), [*steps[known:], key]
        if not known:
            return Paste(item, _END, tuple(_nested(below, 0)), spot=self._end)
        line, column = self._key_at(at)
        children = self._children(at)
        if self._rest(at).startswith("{"):
            mark = '"' if self.lines[line - 1][column - 1 : column] == '"' else ""  # a JSON file
            text = f"{mark}{key}{mark}: {OPEN}"
            for step in reversed(below[:-1]):
                text = f"{mark}{step}{mark}: {{{text}}}"
            place = f"line {line}, inside the braces {{ }} of {steps[known - 1]}"
            inside = self._inside_brace(line, column)
            return Paste(item, place, (f"{', ' if children else ''}{text}",), spot=inside)
        indents = [self._indent(self.places[child][0]) for child in children]
        indent = min(indents, default=self._indent(line) + 2)
        lines = tuple(_nested(below, indent))
        return Paste(item, f"below line {line}, {steps[known - 1]}", lines, spot=(line + 1, 1))

    def section(self, key: str) -> Paste:
        """The text for a whole section."""
        lines = tuple(sections([key], self.design))
        if key in self.places:
            line = self.places[key][0]
            return Paste("", f"in the section `{key}`, line {line}", lines[1:], spot=(line + 1, 1))
        return Paste("", _END, lines, spot=self._end)

    def states(self, words: str) -> Paste:
        """The text for a state that is asked for in words."""
        lines, above = tuple(states(words)), "operation/states"
        if above not in self.places:
            return Paste("", _END, lines, spot=self._end)
        line = self.places[above][0]
        return Paste("", f"under `states`, line {line}", lines[2:])

    @property
    def _end(self) -> tuple[int, int]:
        return len(self.lines) + 1, 1

    def _inside_brace(self, line: int, column: int) -> tuple[int, int] | None:
        """After the first brace that opens at a place or behind it."""
        for at in range(line, min(line + 3, len(self.lines) + 1)):
            brace = self.lines[at - 1].find("{", column - 1 if at == line else 0)
            if brace >= 0:
                return at, brace + 2
        return None

    def _in_row(self, item: str, key: str, cell: CellPlace) -> Paste:
        where, said = in_row(item, key, cell, self.design)
        text = f"({key} {OPEN})" if said.endswith(")") else f"{key}: {OPEN}"
        return Paste(item, f"in {cell.words}, of {item.partition('/')[2]}: {where}", (text,))

    def _in_path(self, item: str, key: str, circuit: str) -> Paste:
        entry, name, line = entry_at(item, self.design), item.partition("/")[2], self.places[item][0]
        example = example_of(type(entry), key)
        if isinstance(example, dict):
            place = f"line {line}: leave the name {name} alone in the path, and write it under `parts` with"
            return Paste(item, place, (f"{key}: {OPEN}",))
        text = OPEN if key in _KEYLESS else key if example is True else f"{key} {OPEN}"
        if item.startswith("wires/"):
            ends = f"between {entry.from_} and {entry.to}"
            ends += f", its {key} without a key" if key in _KEYLESS else ""
            return Paste(item, f"line {line}, in the path of {circuit}, {ends}", (text,), in_path=True)
        place = f"line {line}, in the path of {circuit}, in the brackets ( ) of {name}"
        return Paste(item, place, (text,), in_path=True)

    def _children(self, at: str) -> list[str]:
        deep = at.count("/") + 1
        return [
            p
            for p, spot in self.places.items()
            if p.startswith(f"{at}/") and p.count("/") == deep and not isinstance(spot, CellPlace)
        ]

    def _key_at(self, at: str) -> tuple[int, int]:
        """Where the key of a group stands; its place may be that of what it holds, further down."""
        line, column = self.places[at]
        key = re.compile(rf"(?<![\w-])['\"]?{re.escape(at.rpartition('/')[2])}['\"]?\s*:")
        for above in range(line, 0, -1):
            text = self.lines[above - 1]
            if found := key.search(
                text, column - 1 if above == line and text[column - 1 : column] != "{" else 0
            ):
                return above, found.start() + 1
        return line, column

    def _indent(self, line: int) -> int:
        text = self.lines[line - 1]
        return len(text) - len(text.lstrip())

    def _rest(self, at: str) -> str:
        """What stands in the file after a key and its colon; a place is that of the key or the value."""
        line, column = self.places[at]
        rest = "\n".join(self.lines[line - 1 : line + 2])[column - 1 :]
        return (
            rest
            if rest.startswith("{")
            else rest.partition(at.rpartition("/")[2])[2].lstrip("'\" ").removeprefix(":").lstrip()
        )


def _nested(steps: Sequence[str], indent: int) -> Iterator[str]:
    for deeper, step in enumerate(steps[:-1]):
        yield " " * (indent + 2 * deeper) + f"{step}:"
    yield " " * (indent + 2 * (len(steps) - 1)) + f"{steps[-1]}: {OPEN}"
