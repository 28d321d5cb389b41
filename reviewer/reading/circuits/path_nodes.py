"""What a path is made of: parts and places, with joins between them."""

from __future__ import annotations

from dataclasses import dataclass, field

from reviewer.reading.circuits.figures import Figure


@dataclass
class PlaceNode:
    """A part that is made elsewhere; ``terminals`` as written after its dot, empty for none."""

    at: int
    name: str
    terminals: str


@dataclass
class MadeNode:
    """A part that the path makes; without a ``name`` it gets one."""

    at: int
    kind: str
    name: str
    label: Figure | None
    values: dict[str, Figure]


Node = PlaceNode | MadeNode


@dataclass
class Join:
    """What stands between two nodes: ``+``, or a wire with its ``name`` (empty for none) and keys. With a
    ``gap`` something before it was not read, so that it does not join the node before it."""

    at: int
    plus: bool = False
    name: str = ""
    values: dict[str, Figure] = field(default_factory=dict)
    gap: bool = False


@dataclass
class Path:
    """``nodes`` with ``joins`` between them; None stands for a node that has a mistake. ``common``
    is what all wires have; ``whole`` is False where a mistake left something out."""

    nodes: list[Node | None] = field(default_factory=list)
    joins: list[Join] = field(default_factory=list)
    common: dict[str, Figure] = field(default_factory=dict)
    whole: bool = True
