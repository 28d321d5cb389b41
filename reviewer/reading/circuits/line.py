"""One line of circuits or one row of a table, whose path makes parts and wires."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from reviewer.model.places import Spot
from reviewer.reading.circuits import wire_numbers
from reviewer.reading.circuits.path_nodes import Path


@dataclass
class Line:
    """A path with what it is called.

    ``name`` is the key of its circuit, after which parts are named; ``source`` the pointer of what it
    stands in; ``said`` how its mistakes begin; ``place`` gives where a node, join or figure of it
    stands. ``listed`` is True for a row of a table; its wires have no direction where it is
    ``undirected``, and are made by others where it is not ``wired``.
    """

    name: str
    source: str
    said: str
    place: Callable[[int], Spot]
    path: Path
    listed: bool = False
    undirected: bool = False
    wired: bool = True
    #: names of its parts and of its wires, once they are made
    made: tuple[list[str], list[str]] = field(default_factory=lambda: ([], []))

    @property
    def plain(self) -> str:
        """The name of the circuit without letter, number and blanks."""
        return wire_numbers.letter_number_name(self.name)[2].replace(".", "-")
