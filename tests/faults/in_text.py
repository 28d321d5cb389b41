"""Edits of a design made on its text: comments stay, and each place that changes is marked."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import takewhile
from typing import Any

import yaml

from tests.edits import REMOVE, Edits, keys_of

MARK = "# edit: "
_Span = tuple[int, int]


def edited_text(text: str, edits: Edits, name: str) -> str:
    """The text with the edits made, and a comment ``# edit: <name>`` over each line they touch.

    A pair of a flow mapping is changed within its line. An entry that goes takes the comment straight
    above it along. A new entry of a block mapping stands below the last entry of that mapping which
    the same edits touch, or at its end.
    """
    document = _Document(text, name)
    for path in edits.get(REMOVE, ()):
        document.remove(keys_of(path))
    for path, value in edits.items():
        if path != REMOVE:
            document.put(keys_of(path), value)
    return document.text


def flow(value: object) -> str:
    """A value on one line."""
    made = yaml.safe_dump(value, default_flow_style=True, sort_keys=False, width=10**6, allow_unicode=True)
    return made.partition("\n...")[0].strip().replace("'on'", '"on"').replace("'off'", '"off"')


class _Document:
    def __init__(self, text: str, name: str) -> None:
        self.text, self.mark = text, MARK + name

    def remove(self, keys: list[str]) -> None:
        group = self._group(keys[:-1])
        at = group.index(keys[-1])
        if not group.flow:
            start, end = self._lines(group, at)
            indent = " " * group.column(at)
            self._replace((self._above(start), end), f"{indent}{self.mark}; {keys[-1]} is gone\n")
            return
        before = group.value(at - 1)[1] if at else group.key(at)[0]
        after = group.value(at)[1] if at else group.key(1)[0]
        self._replace((before, after), "")
        self._mark(before)

    def put(self, keys: list[str], value: object) -> None:
        group = self._group(keys[:-1])
        at = group.index(keys[-1])
        if at >= 0:
            start, end = group.value(at)
            self._replace((start, start + len(self.text[start:end].rstrip())), flow(value))
            self._mark(start)
        elif group.flow:
            end = group.value(-1)[1]
            self._replace((end, end), f", {_key(keys[-1])}: {flow(value)}")
            self._mark(end)
        else:
            touched = [i for i in range(len(group.pairs)) if self._is_marked(group.key(i)[0])]
            beside = touched[-1] if touched else -1
            end = self._lines(group, beside)[1]
            indent = " " * group.column(beside)
            self._replace((end, end), f"{indent}{self.mark}\n{indent}{_key(keys[-1])}: {flow(value)}\n")

    def _replace(self, span: _Span, by: str) -> None:
        self.text = self.text[: span[0]] + by + self.text[span[1] :]

    def _group(self, keys: list[str]) -> _Group:
        """The mapping at some keys, in the text as it is now."""
        start, end = self._part(keys[0], 0, (0, len(self.text)))
        if len(keys) > 1:  # an entry of a section is composed alone: a section has hundreds
            start, end = self._part(keys[1], 2, (start, end))
        group = _Group(yaml.compose(self.text[start:end], Loader=yaml.CSafeLoader), start)
        for key in keys[1:] or keys:
            group = _Group(group.pairs[group.index(key)][1], start)
        return group

    def _part(self, key: str, column: int, within: _Span) -> _Span:
        """The lines of a key at a column, and all lines below it that stand further in."""
        lines = re.compile(
            rf"^ {{{column}}}{re.escape(key)}:.*\n(?:(?: {{{column + 1}}}.*)?\n)*", re.MULTILINE
        )
        found = lines.search(self.text, *within)
        assert found, key
        return found.span()

    def _lines(self, group: _Group, at: int) -> _Span:
        """Where the lines of an entry of a block mapping begin and end."""
        start, end = group.value(at)
        last = start + len(self.text[start:end].rstrip())
        return self.text.rfind("\n", 0, group.key(at)[0]) + 1, self.text.index("\n", last) + 1

    def _above(self, start: int) -> int:
        """Where the comment straight above a line begins; a section's heading is none of it."""
        for line in self._comment(start):
            if "----" in line or MARK in line:
                break
            start -= len(line)
        return start

    def _is_marked(self, index: int) -> bool:
        above = self._comment(self.text.rfind("\n", 0, index) + 1)
        return self.mark in (line.strip() for line in takewhile(lambda line: MARK in line, above))

    def _comment(self, start: int) -> Iterator[str]:
        """The lines of comment above a line, from below."""
        while start and (
            line := self.text[self.text.rfind("\n", 0, start - 1) + 1 : start]
        ).lstrip().startswith("#"):
            yield line
            start -= len(line)

    def _mark(self, index: int) -> None:
        """Put the mark over the line of an index, once."""
        if not self._is_marked(index):
            start = self.text.rfind("\n", 0, index) + 1
            indent = len(self.text[start:]) - len(self.text[start:].lstrip(" "))
            self._replace((start, start), f"{' ' * indent}{self.mark}\n")


class _Group:
    """A mapping of a YAML text, composed from a part of it that begins at ``offset``."""

    def __init__(self, node: Any, offset: int) -> None:
        self.pairs, self.flow, self.offset = node.value, node.flow_style, offset

    def index(self, key: str) -> int:
        return next((i for i, (k, _) in enumerate(self.pairs) if k.value == key), -1)

    def column(self, at: int) -> int:
        return self.pairs[at][0].start_mark.column

    def key(self, at: int) -> _Span:
        return self._span(self.pairs[at][0])

    def value(self, at: int) -> _Span:
        return self._span(self.pairs[at][1])

    def _span(self, node: Any) -> _Span:
        return self.offset + node.start_mark.index, self.offset + node.end_mark.index


def _key(name: str) -> str:
    return flow({name: 0})[1:-4]
