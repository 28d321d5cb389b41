"""Another name for a part, wire, state or what else has one: the places to change, proved by reading."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pydantic import BaseModel

from reviewer.editor.written_names import GIVEN, KEYED, NAMING, WrittenName, WrittenNames, lines_in
from reviewer.model.design import Design
from reviewer.model.fields import key_of
from reviewer.model.places import CellPlace
from reviewer.reading.problem import Unreadable, flow, shown
from reviewer.reading.yaml_events import pointer

#: reads a text as the design of the file that is open
Read = Callable[[str], Design]
_TEXT_SIGNS = set("\"'.>(),;+#:[]{}/ \t")


class NotRenamed(Exception):
    """A name that cannot be changed; the message is one sentence that says why and what to do."""


def renamed(names: WrittenNames, content: str, at: WrittenName, new: str, read: Read) -> list[WrittenName]:
    """The places at which a name is to be replaced by a new one.

    The text is read with the new name, and must give the same design but for it. Raises
    :class:`NotRenamed`.
    """
    old = names.design
    if old is None:
        raise NotRenamed("The file has mistakes; correct them first.")
    _check(names, at, new)
    places = sorted(set(names.of(at.group, at.name)), key=lambda n: (n.line, n.column))
    if not any(place.given for place in places):
        raise NotRenamed(_made_elsewhere(names, old, at))
    try:
        found = read(replaced(content, places, new))
    except Unreadable as error:
        first = error.problems[0]
        if first.cell is not None:
            said = (
                f"`{at.name}` is named in {first.cell.words} too, which an editor of this file cannot change"
            )
            raise NotRenamed(f"{said}. Rename it by hand in both.") from None
        raise NotRenamed(
            f"With the name `{new}` the file has a mistake in line {first.line}: {first.message}. "
            "Rename it by hand."
        ) from None
    if not _same(old, found, at, new):
        raise NotRenamed(
            f"`{at.name}` stands in places that an editor cannot tell from others, as a label or a drawing "
            "that is installed. Rename it by hand."
        )
    return places


def replaced(content: str, places: list[WrittenName], new: str) -> str:
    """The text with a new name at some places, in their order."""
    lines = lines_in(content)
    starts = [0]
    for line in lines[:-1]:
        ends = starts[-1] + len(line)
        starts.append(ends + (2 if content.startswith("\r\n", ends) else 1))
    for place in reversed(places):
        start = starts[place.line - 1] + place.column - 1
        content = content[:start] + new + content[start + len(place.name) :]
    return content


def _check(names: WrittenNames, at: WrittenName, new: str) -> None:
    if new == at.name:
        raise NotRenamed(f"It is called {new} already.")
    if not new.isprintable() or set(new) & _TEXT_SIGNS or flow(new) != new or len(new) > 200:
        raise NotRenamed(
            f"{shown(new)} cannot stand without quotes; write a name of letters, digits and hyphens."
        )
    taken = [at.group] if at.group not in ("parts", "functions") else ["parts", "functions"]
    if at.group in ("parts", "wires"):
        taken += ["parts", "wires"]
    if any(new in names.groups[group] for group in taken):
        raise NotRenamed(f"There is `{new}` already; write another name.")


def _made_elsewhere(names: WrittenNames, design: Design, at: WrittenName) -> str:
    section = next(section for section, group in GIVEN.items() if group == at.group)
    place = design.places.get(pointer(section, at.name))
    if isinstance(place, CellPlace):
        return f"`{at.name}` is given in {place.words}; change it there."
    if place is None:
        return f"`{at.name}` is given nowhere in this file."
    return (
        f"`{at.name}` is made by line {place[0]} and named after it. Write the name that you want there: in "
        "a path `as NAME` after what it makes."
    )


def _same(old: Design, new: Design, at: WrittenName, name: str) -> bool:
    """Whether two designs are one but for a name."""
    sections = ("aircraft", "parts", "wires", "functions", "operation", "watch", "concessions")
    return all(
        _alike(getattr(old, own), getattr(new, own), own, _Name(at.group, at.name, name)) for own in sections
    )


class _Name:
    def __init__(self, group: str, old: str, new: str):
        self.group, self.old, self.new = group, old, new

    def text(self, text: str) -> str:
        """The text with the new name, where it is the name, with a section before it or a terminal after."""
        section, slash, word = text.rpartition("/")
        owner, dot, terminal = word.partition(".")
        if word == self.old:
            return f"{section}{slash}{self.new}"
        if owner == self.old and self.group == "parts":
            return f"{section}{slash}{self.new}{dot}{terminal}"
        return text


def _alike(old: Any, new: Any, key: str, name: _Name) -> bool:
    """Whether two values of a key are one, but for the name where something is named."""
    if isinstance(old, BaseModel):
        return type(old) is type(new) and all(
            _alike(getattr(old, field), getattr(new, field), key_of(field), name)
            for field in type(old).model_fields
        )
    if isinstance(old, Mapping):
        return isinstance(new, Mapping) and _alike_groups(old, new, key, name)
    if isinstance(old, tuple) and not hasattr(old, "_fields"):
        return (
            isinstance(new, tuple)
            and len(old) == len(new)
            and all(_alike(one, other, key, name) for one, other in zip(old, new, strict=True))
        )
    if old == new:
        return True
    return isinstance(old, str) and key in NAMING and name.text(old) == new


def _alike_groups(old: Mapping[str, Any], new: Mapping[str, Any], key: str, name: _Name) -> bool:
    groups = {at.rpartition("/")[2]: group for at, group in GIVEN.items()}
    named = {**groups, **KEYED}.get(key) == name.group
    wanted = [name.new if named and own == name.old else own for own in old]
    return sorted(wanted) == sorted(new) and all(
        _alike(old[own], new[there], "" if key in groups else key, name)
        for own, there in zip(old, wanted, strict=True)
    )
