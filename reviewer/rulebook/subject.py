"""The subject of a rule: one thing of the design file that it judges."""

from __future__ import annotations

from dataclasses import dataclass

from reviewer.model.design import Design
from reviewer.model.parts import Part

#: sections of the design file whose groups hold the named entries: section, group and entry make a pointer
SECTIONS = ("operation", "watch")


@dataclass(frozen=True, eq=False)
class Subject:
    """What ``judge`` is given, named by a pointer: ``parts/x``, ``operation/states/cruise``.

    It equals another subject of the same pointer. To compare it with text is a mistake in a rule
    that would hide findings, and raises TypeError: compare ``subject.pointer``.
    """

    pointer: str

    def __str__(self) -> str:
        return self.pointer

    def __eq__(self, other: object) -> bool:
        if isinstance(other, str):
            raise TypeError(f"the subject {self.pointer} is compared with text; compare its pointer")
        return isinstance(other, Subject) and self.pointer == other.pointer

    def __hash__(self) -> int:
        return hash(self.pointer)  # that of the text: a look-up by a subject among pointers is found out too

    @property
    def section(self) -> str:
        """``operation`` or ``watch`` for an entry of one of its groups, else empty."""
        head, slash, _ = self.pointer.partition("/")
        return head if slash and head in SECTIONS else ""

    @property
    def kind(self) -> str:
        """The group that holds it: ``parts``, ``wires``, ``functions``, ``states`` and so on."""
        return self._inner().partition("/")[0]

    @property
    def name(self) -> str:
        """Its name in that group; empty for a whole section. A name may hold slashes of its own."""
        return self._inner().partition("/")[2]

    @property
    def in_file(self) -> str:
        """Where it stands in the file: its pointer with the slashes of its name escaped."""
        name = self.name.replace("~", "~0").replace("/", "~1")
        return "/".join(step for step in (self.section, self.kind, name) if step)

    def part(self, design: Design, kind: type | tuple[type, ...] = Part):
        """The part of this name. Raises KeyError without one, TypeError if not of ``kind``."""
        return design.part(self.name, kind)

    def _inner(self) -> str:
        head, slash, rest = self.pointer.partition("/")
        return rest if slash and head in SECTIONS else self.pointer
