"""A file with circuits or tables -> the same file in the long form.

What stands outside of them is copied byte for byte; a comment among them stands above what replaces
its circuit or its tables. Parts are added after the last one of ``parts``, wires after the last one of
``wires``; where the file has no such group it takes the place of the circuits or tables.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cached_property
from typing import Any, cast

import yaml

from reviewer.reading.circuits.long_form import entry_text
from reviewer.reading.circuits.lowering import Lowered
from reviewer.reading.reader import read_text
from reviewer.reading.spreadsheets.table_files import TableFiles
from reviewer.reading.spreadsheets.table_reader import TableReader
from reviewer.reading.yaml_events import load

_BOM = "\ufeff"
_COMMENT = re.compile(r"(?:^|(?<=\s))#[^\r\n]*")
_COMMENT_BELOW = re.compile(r"(?:[ \t]*\r?\n)*[ \t]+#[^\n]*(?:\n|\Z)")
_GROUPS = ("parts", "wires")
#: groups that the long form has not
_SHORT = ("circuits", "tables")


def expanded(content: bytes, file: str, tables: TableFiles | None = None) -> str:
    """The long form of a design file; a file without circuits and ``tables`` as it is.

    Raises :class:`reviewer.reading.Unreadable` with every mistake in it.
    """
    design = read_text(content, file, tables)
    whole = content.decode("utf-8")
    text = whole.removeprefix(_BOM)
    data, values, keys, problems = load(content, file)
    if not data.keys() & set(_SHORT):
        return whole
    rows = TableReader(data, values, keys, problems, tables or TableFiles(None))
    lowered = Lowered(data, values, keys, problems, rows.lines)
    made = _Expansion(text, lowered, file.endswith(".json") or text.lstrip().startswith("{")).text()
    if read_text(made, file) != design:
        raise RuntimeError("the long form is not the same design")
    return whole[: len(whole) - len(text)] + made


class _Expansion:
    def __init__(self, text: str, lowered: Lowered, json_like: bool):
        self.source, self.lowered, self.json_like = text, lowered, json_like
        self.root = cast(Any, yaml.compose(text, Loader=yaml.CLoader))
        self.nodes = {key.value: (key, value) for key, value in self.root.value}
        self.newline = "\r\n" if "\r\n" in text else "\n"
        self.comments: dict[str, list[str]] = {}
        self.last_comments: list[str] = []
        if "circuits" in self.nodes:
            self.comments, self.last_comments = self._comments()
        #: (from, to, what stands there instead)
        self.edits: list[tuple[int, int, str]] = []

    def text(self) -> str:
        """The text of the file in the long form."""
        missing = [g for g in _GROUPS if g not in self.nodes]
        short = [group for group in _SHORT if group in self.nodes]
        for group in short:  # the first of them makes room for what is missing
            new = missing if group == short[0] else []
            self._replace(group, "".join(map(self._new_group, new)) if not self.root.flow_style else "", new)
        for group in _GROUPS:
            if group in self.nodes:
                self._add_to(group)
        whole, at = "", 0
        for start, end, made in sorted(self.edits):
            whole += self.source[at : max(start, at)] + made
            at = max(end, at)
        return whole + self.source[at:]

    def _entries(self, group: str) -> list[tuple[list[str], str, Mapping[str, Any]]]:
        """(comments above it, name, piece) of what circuits and tables make for a group."""
        found: list[tuple[list[str], str, Mapping[str, Any]]] = []
        listed = [line for line in self.lowered.lines if line.listed]
        leading = "parts" if any(line.made[0] for line in listed) else "wires"
        tables: set[str] = set()
        for line in self.lowered.lines:
            names = line.made[_GROUPS.index(group)]
            first = group == ("parts" if line.made[0] else "wires")
            above = self.comments.get(line.name, []) if first and not line.listed else []
            if line.listed and names and line.source not in tables:
                above = self._table_comments if group == leading and not tables else []
                above = [*above, *([] if self.json_like else [self._of_table(line.source)])]
                tables.add(line.source)
            pieces = self.lowered.parts if group == "parts" else self.lowered.wires
            for i, name in enumerate(names):
                found.append((above if i == 0 else [], name, pieces[name]))
        return found

    def _lines(self, group: str, indent: str) -> str:
        lines = []
        for above, name, piece in self._entries(group):
            lines += [f"{indent}{comment}" for comment in above]
            lines.append(f"{indent}{entry_text(name, piece, self.json_like)}")
        if group == "wires":
            lines += [f"{indent}{comment}" for comment in self.last_comments]
        return "".join(line + self.newline for line in lines)

    def _new_group(self, group: str) -> str:
        lines = self._lines(group, "  ")
        return f"{group}:{self.newline}{lines}" if lines.strip() else f"{group}: {{}}{self.newline}"

    def _add_to(self, group: str) -> None:
        value = self.nodes[group][1]
        if value.flow_style:
            self._add_in_braces(group, value)
            return
        indent = " " * value.value[0][0].start_mark.column
        at = self._group_end(value)
        lines = self._lines(group, indent)
        if lines and not self.source[:at].endswith("\n"):
            lines = self.newline + lines
        self.edits.append((at, at, lines))

    def _add_in_braces(self, group: str, value: Any) -> None:
        at = value.end_mark.index - 1
        parts = []
        for above, name, piece in self._entries(group):
            comments = "".join(f"{self.newline}    {comment}" for comment in above)
            parts.append(f"{comments}{self.newline}    {entry_text(name, piece, self.json_like)}")
        if parts:
            before = "," if value.value and not self.source[:at].rstrip().endswith(",") else ""
            self.edits.append((at, at, f"{before}{','.join(parts)}{self.newline}  "))

    def _of_table(self, source: str) -> str:
        """What stands above the first part or wire of a table."""
        entry = self.nodes["tables"][1].value[int(source.rpartition("/")[2])]
        return f"# from {next(value.value for key, value in entry.value if key.value == 'file')}"

    @cached_property
    def _table_comments(self) -> list[str]:
        """The comments among the tables; a `#` within a text is none."""
        outer, tables = self.nodes["tables"]
        start, end = outer.end_mark.index, self._group_end(tables)
        text = list(self.source[start:end])
        todo = [tables]
        while todo:
            node = todo.pop()
            if isinstance(node, yaml.ScalarNode):
                begin, stop = node.start_mark.index - start, node.end_mark.index - start
                text[begin:stop] = "x" * (stop - begin)
            elif isinstance(node, yaml.MappingNode):
                todo += [one for pair in node.value for one in pair]
            else:
                todo += node.value
        return _COMMENT.findall("".join(text))

    def _replace(self, group: str, groups: str, missing: list[str]) -> None:
        key, value = self.nodes[group]
        if not self.root.flow_style:
            start = self.source.rfind("\n", 0, key.start_mark.index) + 1
            self.edits.append((start, self._group_end(value), groups))
            return
        entries = [
            entry_text(g, {name: piece for _, name, piece in self._entries(g)}, self.json_like)
            for g in missing
        ]
        start, end = key.start_mark.index, value.end_mark.index
        if not entries:  # the comma goes with it
            every = self.root.value
            at = next(i for i, (one, _) in enumerate(every) if one.value == group)
            if any(one.value not in _SHORT for one, _ in every[at + 1 :]):
                end = every[at + 1][0].start_mark.index
            else:
                start = every[at - 1][1].end_mark.index if at else start
        self.edits.append((start, end, f",{self.newline}  ".join(entries)))

    def _group_end(self, value: Any) -> int:
        """After the last line of a group, with the comments below it that are indented."""
        at = self._line_end(_last_end(value))
        while match := _COMMENT_BELOW.match(self.source, at):
            at = match.end()
        return at

    def _line_end(self, at: int) -> int:
        """The start of the line after an index, which may be the start of a line itself."""
        if at and self.source[at - 1] == "\n":
            return at
        end = self.source.find("\n", at)
        return len(self.source) if end < 0 else end + 1

    def _comments(self) -> tuple[dict[str, list[str]], list[str]]:
        """The comments of each circuit, and those below the last one."""
        found: dict[str, list[str]] = {}
        outer, circuits = self.nodes["circuits"]
        at = outer.end_mark.index
        for key, value in circuits.value:
            end = value.end_mark.index
            spans = [(at, key.start_mark.index), (key.end_mark.index, value.start_mark.index)]
            at = end if self.source[:end].endswith("\n") else self._line_end(end)
            if not circuits.flow_style:
                spans.append((end, at))
                if value.style in ("|", ">"):
                    start = value.start_mark.index
                    spans.append((start, self._line_end(start)))
            else:
                at = end
            found[key.value] = [c for a, b in spans for c in _COMMENT.findall(self.source[a:b])]
        return found, _COMMENT.findall(self.source[at : self._group_end(circuits)])


def _last_end(node: Any) -> int:
    """Where a node ends, without the blanks and comments that YAML counts to a group."""
    if isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        return _last_end(last[1] if isinstance(last, tuple) else last)
    if isinstance(node, yaml.ScalarNode) and not node.value and not node.style:
        return int(node.start_mark.index)
    return int(node.end_mark.index)
