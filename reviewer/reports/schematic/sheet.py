"""What a schematic shows: symbols with their ports, and the runs between them.

A symbol is a part, or one pole, contact, coil or pin of it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

TOP, BOTTOM = "top", "bottom"


@dataclass(eq=False)
class Port:
    """Where a run meets a symbol: side, column of the symbol, and ``shift`` steps to the right."""

    side: str
    column: int = 0
    shift: int = 0


@dataclass(eq=False)
class DrawnSymbol:
    """One symbol.

    ``kind`` names the symbol and ``element`` what fails with it; ``nodes`` are the terminals that
    it shows.

    ``links`` are those of the network that it draws; a contact is closed in ``positions`` of its
    switch, or as ``gate`` says. A bar is as wide as what is below it, and ``continues`` another
    where it goes on in a line below.
    """

    number: int
    kind: str
    element: str
    name: str
    note: str = ""
    nodes: tuple[int, ...] = ()
    gate: str = ""
    positions: tuple[tuple[str, ...], ...] = ()
    links: tuple[int, ...] = ()
    ports: dict[int, Port] = field(default_factory=dict)
    flipped: bool = False
    children: list[DrawnBranch] = field(default_factory=list)
    parent: DrawnBranch | None = None
    continues: DrawnSymbol | None = None
    #: whether it carries returns or signals only, which are never called dead
    quiet: bool = False
    #: letters at the leads above a source
    marks: tuple[str, ...] = ()
    row: int = 0
    column: int = 0
    width: int = 1

    @property
    def bar(self) -> bool:
        """Whether it is a bar."""
        return self.kind in BARS


BARS = ("bus", "stud", "splice", "ground-block", "airframe", "signals")
REFERENCES = ("to-ground", "to-structure", "to-negative", "to-signal")


@dataclass(eq=False)
class DrawnBranch:
    """A symbol below a terminal of ``above``.

    ``symbol`` is met at its terminal ``enters`` through the wire or, inside a part, the part
    ``element``.

    ``link`` is the link of the network, -1 where the two are one terminal. At a reference
    ``enters`` is the terminal that it stands for. ``beside`` is the symbol from whose top the line
    is drawn, where two symbols of one part share a terminal and stand side by side.
    """

    above: DrawnSymbol
    leaves: int
    element: str
    symbol: DrawnSymbol
    enters: int
    link: int
    beside: DrawnSymbol | None = None


@dataclass(eq=False)
class DrawnRun:
    """A line on the sheet between two ports.

    ``nodes`` are the terminals that it joins, in the same order, and ``link`` is as in a
    DrawnBranch.
    """

    element: str
    one: DrawnSymbol
    port: Port
    other: DrawnSymbol
    other_port: Port
    nodes: tuple[int, int]
    link: int
    quiet: bool = False
    #: where the shield of the wire is grounded, in words; None where it has no shield
    shield: str | None = None


@dataclass(eq=False)
class Section:
    """What is drawn under one head, with the title above it where it has one."""

    head: DrawnSymbol
    title: str = ""
    symbols: list[DrawnSymbol] = field(default_factory=list)
    width: int = 1
    height: int = 1
    row: int = 0
    column: int = 0


@dataclass(eq=False)
class Sheet:
    """The schematic on a grid; a printed page may end before each row of ``breaks``."""

    symbols: list[DrawnSymbol]
    runs: list[DrawnRun]
    sections: list[Section]
    rows: int
    columns: int
    breaks: tuple[int, ...]

    @property
    def directed_links(self) -> list[tuple[int, int, int]]:
        """Each link that is drawn, with the terminal drawn above and the one drawn below."""
        links = {run.link: (run.link, *run.nodes) for run in self.runs if run.link >= 0}
        return list(links.values())

    @property
    def node_order(self) -> list[int]:
        """The terminals in the order of the symbols that show them."""
        return [node for symbol in self.symbols for node in symbol.nodes]
