"""Where the names of a design stand in its text: where each is given, and where it is used."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from reviewer.model.design import Design
from reviewer.model.places import CellPlace
from reviewer.model.record import record
from reviewer.reading.circuits.path_text import PathText
from reviewer.reading.circuits.tokens import PathError, tokens_of
from reviewer.reading.problem import Unreadable
from reviewer.reading.yaml_events import load, pointer

#: sections whose keys are names -> the group of the names
GIVEN: Mapping[str, str] = {
    "parts": "parts",
    "wires": "wires",
    "functions": "functions",
    "operation/states": "states",
    "operation/phases": "phases",
    "operation/actions": "actions",
    "watch/monitors": "monitors",
    "watch/checks": "checks",
    "aircraft/zones": "zones",
}
_ANYTHING = ("parts", "functions", "wires", "monitors", "actions", "checks")
#: keys whose values name something -> the groups of what they may name, in that order
NAMING: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(
        (
            *("after-failure-of", "annunciator", "chargers", "commanded-by", "dead", "dedicated-to"),
            *("disconnects", "displayed-on", "driver", "follows", "from", "inside", "load-shedding"),
            *("mounted-on", "of", "outputs-on", "plugged-on", "protects", "proves", "pulled"),
            *("regulates", "restores", "senses", "shares-with", "shield", "silent", "smoothing-capacitor"),
            *("standby-for", "subject", "takes-over", "to", "units-off", "watch", "without"),
        ),
        _ANYTHING,
    ),
    **dict.fromkeys(("like", "normal", "state"), ("states",)),
    "currents-of": ("phases",),
    "zone": ("zones",),
}
_LINE_END = re.compile("\r\n|\r|\n")
#: keys of groups whose keys are names -> the group of the names
KEYED: Mapping[str, str] = {"switches": "parts", "move": "parts", "current": "phases"}


@record
class WrittenName:
    """A name where it stands in the text: ``line`` and ``column`` from 1, in characters; ``given`` is
    True where it is given and not used."""

    group: str
    name: str
    line: int
    column: int
    given: bool = False


def lines_in(text: str) -> list[str]:
    """The lines of a text as an editor counts them, without their ends."""
    return _LINE_END.split(text)


class WrittenNames:
    """The names in a text and what each is the name of.

    ``design`` is what the text was read as, None where it has mistakes; then what paths, tables and
    assemblies make is not known. A text that is no YAML has no names.
    """

    def __init__(self, content: str, design: Design | None):
        self.lines = lines_in(content)
        self.design = design
        self.groups: dict[str, dict[str, None]] = {group: {} for group in GIVEN.values()}
        try:
            data, values, keys, _ = load(content, "")
        except Unreadable:
            data, values, keys = {}, {}, {}
        self.data = data if isinstance(data, dict) else {}
        self._values, self._keys = values, keys
        self._gather()
        self.found = tuple(self._in(self.data, "", ""))

    def at(self, line: int, column: int) -> WrittenName | None:
        """The name at a place of the text, both from 1 in characters."""
        return next(
            (n for n in self.found if n.line == line and n.column <= column <= n.column + len(n.name)), None
        )

    def of(self, group: str, name: str) -> tuple[WrittenName, ...]:
        """Every place in the text at which a name stands."""
        return tuple(n for n in self.found if (n.group, n.name) == (group, name))

    def given_at(self, group: str, name: str) -> tuple[int, int] | CellPlace | None:
        """Where a name is given: in the text, or in a cell of a table; None where it is nowhere."""
        own = next((n for n in self.of(group, name) if n.given), None)
        if own is not None:
            return own.line, own.column
        section = next(at for at, of in GIVEN.items() if of == group)
        return self.design.places.get(pointer(section, name)) if self.design else None

    def _gather(self) -> None:
        for at, group in GIVEN.items():
            owner: Any = self.data
            for step in at.split("/"):
                owner = owner.get(step) if isinstance(owner, dict) else None
            if isinstance(owner, dict):
                self.groups[group] |= dict.fromkeys(owner)
        if self.design is not None:
            self.groups["parts"] |= dict.fromkeys(self.design.parts)
            self.groups["wires"] |= dict.fromkeys(self.design.wires)

    def _in(self, value: Any, at: str, key: str) -> Iterator[WrittenName]:
        if isinstance(value, dict):
            for name, below in value.items():
                here = pointer(at, name)
                if group := GIVEN.get(at):
                    yield from self._name(group, name, self._keys.get(here), True)
                elif (group := KEYED.get(key)) and name in self.groups[group]:
                    yield from self._name(group, name, self._keys.get(here))
                if here != "assemblies":  # the names in a drawing are its own
                    yield from self._in(below, here, key if at in GIVEN or key in KEYED else str(name))
        elif isinstance(value, list):
            for number, below in enumerate(value):
                yield from self._in(below, f"{at}/{number}", key)
        elif isinstance(value, PathText):
            yield from self._in_path(value)
        elif isinstance(value, str) and key == "mechanical":
            yield from self._name("parts", value, self._values.get(at), True)
        elif isinstance(value, str) and (key in NAMING or at.startswith("installed/")):
            yield from self._in_text(value, at, NAMING.get(key, _ANYTHING))

    def _in_text(self, text: str, at: str, groups: tuple[str, ...]) -> Iterator[WrittenName]:
        """A name alone, before the dot of its terminal, or after its section."""
        section, slash, word = text.rpartition("/")
        if slash and section in GIVEN:
            groups = (GIVEN[section],)
        else:
            section, slash, word = "", "", text
        place = self._values.get(at)
        named = self._named(word, groups)
        if named and place:
            yield from self._name(*named, (place[0], place[1] + len(section) + len(slash)))

    def _in_path(self, path: PathText) -> Iterator[WrittenName]:
        try:
            tokens = tokens_of(path)
        except PathError:
            return
        depth, before = 0, ""
        for token in tokens:
            depth += (token.sign == "(") - (token.sign == ")")
            # in brackets stand figures, types and keys: a name only after the key that takes one
            groups = NAMING.get(before, () if depth else ("parts", "wires"))
            named = None if token.sign else self._named(token.text, groups)
            if named:
                place = path.place(token.at)
                yield from self._name(*named, place, self._is_given(*named, place))
            before = token.text

    def _is_given(self, group: str, name: str, place: tuple[int, int]) -> bool:
        known = self.design.places.get(pointer(group, name)) if self.design else None
        return known == place

    def _named(self, text: str, groups: tuple[str, ...]) -> tuple[str, str] | None:
        owner = text.partition(".")[0]
        for group in groups:
            if text in self.groups[group]:
                return group, text
            if group == "parts" and owner in self.groups[group]:
                return group, owner
        return None

    def _name(self, group: str, name: str, place: Any, given: bool = False) -> Iterator[WrittenName]:
        """The name at a place, after the quotes that may stand there; none where other text stands."""
        if place is None or isinstance(place, CellPlace):
            return
        line, column = place
        rest = self.lines[line - 1][column - 1 :] if line <= len(self.lines) else ""
        if rest[:1] in ("'", '"'):
            rest, column = rest[1:], column + 1
        if rest.startswith(name):
            yield WrittenName(group, name, line, column, given)
