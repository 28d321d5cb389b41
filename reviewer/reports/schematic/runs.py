"""The runs of a sheet: which ports of which symbols each line joins."""

from __future__ import annotations

from reviewer.reports.schematic.hierarchy import Hierarchy
from reviewer.reports.schematic.sheet import BOTTOM, TOP, DrawnRun, DrawnSymbol, Port


def runs_of(hierarchy: Hierarchy, symbols: list[DrawnSymbol]) -> list[DrawnRun]:
    """Every run: to the symbols below, between symbols elsewhere, and between pieces of a bar."""
    runs = []
    tops: dict[DrawnSymbol, int] = {}

    def top_of(bar: DrawnSymbol) -> Port:
        number = tops[bar] = tops.get(bar, -1) + 1
        return Port(TOP, number % bar.width, number // bar.width)

    for symbol in symbols:
        if symbol.continues is not None:
            runs.append(
                DrawnRun(
                    symbol.element,
                    symbol.continues,
                    top_of(symbol.continues),
                    symbol,
                    top_of(symbol),
                    (symbol.nodes[0], symbol.nodes[0]),
                    -1,
                )
            )
        for branch in symbol.children:
            below = branch.symbol
            if branch.beside is not None:
                one, node = branch.beside, branch.enters
                runs.append(
                    DrawnRun(branch.element, one, one.ports[node], below, below.ports[node], (node, node), -1)
                )
                continue
            port = symbol.ports.get(branch.leaves)
            if symbol.bar:
                inside = (
                    below.row > symbol.row and symbol.column <= below.column < symbol.column + symbol.width
                )
                port = (
                    Port(BOTTOM, below.column - symbol.column)
                    if inside
                    else Port(BOTTOM, symbol.width - 1, 3)
                )
            assert port is not None
            runs.append(
                DrawnRun(
                    branch.element,
                    symbol,
                    port,
                    below,
                    top_of(below) if below.bar else below.ports[branch.enters],
                    (branch.leaves, branch.enters),
                    branch.link,
                )
            )
    for run in hierarchy.runs:
        if run.other.bar:
            run.other_port = top_of(run.other)
        if run.one.bar:
            run.port = _under(run.one, run.other, run.other_port) or top_of(run.one)
        elif run.other.bar and (port := _under(run.other, run.one, run.port)):
            run.other_port = port
        runs.append(run)
    return runs


def _under(bar: DrawnSymbol, symbol: DrawnSymbol, port: Port) -> Port | None:
    """The port at the bottom of a bar from which a symbol that stands under it is best reached."""
    column = symbol.column + port.column - bar.column
    if symbol.row <= bar.row or not 0 <= column < bar.width:
        return None
    return Port(BOTTOM, column, port.shift if port.side == TOP else 4)
