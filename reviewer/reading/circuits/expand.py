"""A file with circuits, tables and assemblies -> the same file in the long form.

What stands outside of them is copied byte for byte; a comment among them stands above what replaces
its circuit, its table or what is installed, those of an assembly above what its first call makes. Parts
are added after the last one of ``parts``, wires after the last one of ``wires``; where the file has no such
group it takes the place of the circuits.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple, cast

import yaml

from reviewer.reading.assemblies.install import OWN_KEYS, Installed
from reviewer.reading.beside import FilesBeside
from reviewer.reading.circuits.comments import Comments
from reviewer.reading.circuits.long_form import entry_text
from reviewer.reading.circuits.lowering import Lowered
from reviewer.reading.reader import read_text
from reviewer.reading.spreadsheets.table_reader import TableReader
from reviewer.reading.yaml_events import load

_BOM = "\ufeff"
_GROUPS = ("parts", "wires")
#: the sections that the long form has not
_SHORT = (*OWN_KEYS, "circuits", "tables")


def expanded(content: bytes, file: str, beside: FilesBeside | None = None) -> str:
    """The long form of a design file; a file without circuits, tables and assemblies as it is.

    Raises :class:`reviewer.reading.Unreadable` with every mistake in it.
    """
    design = read_text(content, file, beside)
    whole = content.decode("utf-8")
    text = whole.removeprefix(_BOM)
    data, values, keys, problems = load(content, file)
    if not any(key in data for key in _SHORT):
        return whole
    beside = beside or FilesBeside(None)
    installed = Installed(data, values, keys, problems, beside)
    with_made = installed.data_with_made()
    rows = TableReader(with_made, values, keys, problems, beside).lines
    lowered = Lowered(with_made, values, keys, problems, installed.unread, rows)
    owners = [
        _Owner("circuits", key, *lowered.by_circuit.get(key, ([], []))) for key in data.get("circuits", ())
    ]
    owners += [_installed_owner(key, made, lowered) for key, made in installed.by_call.items()]
    owners += [_table_owner(number, lowered) for number in range(len(data.get("tables", ())))]
    pieces = {
        "parts": {**installed.made["parts"], **lowered.parts},
        "wires": {**installed.made["wires"], **lowered.wires},
    }
    json_like = file.endswith(".json") or text.lstrip().startswith("{")
    made = _Expansion(text, owners, pieces, json_like).text()
    if read_text(made, file, beside) != design:
        raise RuntimeError("the long form is not the same design")
    return whole[: len(whole) - len(text)] + made


class _Owner(NamedTuple):
    """An entry of the short form, with the names of the parts and wires that it makes."""

    section: str
    key: str
    parts: list[str]
    wires: list[str]


def _installed_owner(key: str, made: Mapping[str, list[str]], lowered: Lowered) -> _Owner:
    of_paths = [lowered.by_circuit[circuit] for circuit in made["circuits"]]
    parts = [*made["parts"], *(name for parts, _ in of_paths for name in parts)]
    return _Owner(
        "installed", key, parts, [*made["wires"], *(name for _, wires in of_paths for name in wires)]
    )


def _table_owner(number: int, lowered: Lowered) -> _Owner:
    made = [line.made for line in lowered.lines if line.source == f"tables/{number}"]
    return _Owner(
        "tables", str(number), [n for parts, _ in made for n in parts], [n for _, w in made for n in w]
    )


class _Expansion:
    def __init__(
        self, text: str, owners: list[_Owner], pieces: Mapping[str, Mapping[str, Any]], json_like: bool
    ):
        self.source, self.pieces, self.json_like = text, pieces, json_like
        self.root = cast(Any, yaml.compose(text, Loader=yaml.CLoader))
        self.nodes = {key.value: (key, value) for key, value in self.root.value}
        self.newline = "\r\n" if "\r\n" in text else "\n"
        self.sections = [key.value for key, _ in self.root.value if key.value in _SHORT]
        self.owners = sorted(owners, key=lambda owner: self.sections.index(owner.section))
        self.all_comments = Comments(text, self.root)
        self.comments, self.last_comments = self._comments()
        #: (from, to, what stands there instead)
        self.edits: list[tuple[int, int, str]] = []

    def text(self) -> str:
        """The text of the file in the long form."""
        missing = [g for g in _GROUPS if g not in self.nodes]
        if self.root.flow_style:
            self._replace_in_braces(missing)
        else:
            self._replace("".join(map(self._new_group, missing)))
        for group in _GROUPS:
            if group in self.nodes:
                self._add_to(group)
        text = self.source
        for start, end, new in sorted(self.edits, reverse=True):
            text = text[:start] + new + text[end:]
        return text

    def _comments(self) -> tuple[dict[tuple[str, str], list[str]], list[str]]:
        """The comments of each circuit and call, and those that belong to none."""
        found: dict[tuple[str, str], list[str]] = {}
        last: list[str] = []
        for section in self.sections:
            by_key, rest = self.all_comments.of_group(*self.nodes[section])
            if section == "tables" and not self.json_like:
                for number, entry in enumerate(self.nodes[section][1].value):
                    file = next(value.value for key, value in entry.value if key.value == "file")
                    by_key[str(number)] = [*by_key.get(str(number), ()), f"# from {file}"]
            if section in ("assemblies", "assembly-files"):
                for key, comments in by_key.items():
                    caller = self._first_call(key)
                    if caller is None:
                        last += comments
                    else:
                        found[caller] = [*comments, *found.get(caller, [])]
            else:
                for key, comments in by_key.items():
                    found[section, key] = [*found.get((section, key), []), *comments]
            last += rest
        made = {(o.section, o.key) for o in self.owners if o.parts or o.wires}
        return found, [*(c for owner in found if owner not in made for c in found[owner]), *last]

    def _first_call(self, assembly: str) -> tuple[str, str] | None:
        """The first entry of ``installed`` that is an assembly."""
        for key, call in self.nodes["installed"][1].value if "installed" in self.nodes else ():
            if any(k.value == "assembly" and v.value == assembly for k, v in call.value):
                return "installed", key.value
        return None

    def _entries(self, group: str) -> list[tuple[list[str], str, Mapping[str, Any]]]:
        """(comments above it, name, piece) of what the short form makes for a group."""
        found: list[tuple[list[str], str, Mapping[str, Any]]] = []
        for owner in self.owners:
            names = owner.parts if group == "parts" else owner.wires
            first = group == ("parts" if owner.parts else "wires")
            above = self.comments.get((owner.section, owner.key), []) if first else []
            for i, name in enumerate(names):
                found.append((above if i == 0 else [], name, self.pieces[group][name]))
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
            if inside := self._in_braces(group):
                at = value.end_mark.index - 1
                before = "," if value.value and not self.source[:at].rstrip().endswith(",") else ""
                self.edits.append((at, at, before + inside))
            return
        indent = " " * value.value[0][0].start_mark.column
        at = self.all_comments.group_end(value)
        lines = self._lines(group, indent)
        if lines and not self.source[:at].endswith("\n"):
            lines = self.newline + lines
        self.edits.append((at, at, lines))

    def _in_braces(self, group: str) -> str:
        """The entries of a group as they stand between braces, each with its comments above it."""
        parts = []
        for above, name, piece in self._entries(group):
            comments = "".join(f"{self.newline}    {comment}" for comment in above)
            parts.append(f"{comments}{self.newline}    {entry_text(name, piece, self.json_like)}")
        last = "".join(f"{self.newline}    {c}" for c in self.last_comments) if group == "wires" else ""
        return f"{','.join(parts)}{last}{self.newline}  " if parts or last else ""

    def _home(self) -> str:
        """The section in whose place a missing group stands."""
        return next(s for s in ("circuits", "installed", *self.sections) if s in self.sections)

    def _replace(self, groups: str) -> None:
        home = self._home()
        for section in self.sections:
            key, value = self.nodes[section]
            start = self.source.rfind("\n", 0, key.start_mark.index) + 1
            self.edits.append((start, self.all_comments.group_end(value), groups if section == home else ""))

    def _replace_in_braces(self, missing: list[str]) -> None:
        """In a file that is one pair of braces: sections beside each other go with the comma after them,
        or before them."""
        groups = [f"{entry_text(g, {}, self.json_like)[:-1]}{self._in_braces(g)}}}" for g in missing]
        home = self._home()
        run: list[int] = []
        for number, (key, _) in enumerate(self.root.value):
            if key.value not in self.sections:
                continue
            run = [*run, number] if run and run[-1] == number - 1 else [number]
            after = number + 1
            if after < len(self.root.value) and self.root.value[after][0].value in self.sections:
                continue
            names = [self.root.value[i][0].value for i in run]
            start, end = (
                self.root.value[run[0]][0].start_mark.index,
                self.root.value[number][1].end_mark.index,
            )
            entries = groups if home in names else []
            if not entries:
                comma = re.match(r"\s*,\s*", self.source[end:])
                if comma:
                    end += comma.end()
                else:
                    start = len(self.source[:start].rstrip().removesuffix(","))
            self.edits.append((start, end, f",{self.newline}  ".join(entries)))
