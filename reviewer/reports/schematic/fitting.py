"""The sheet that can be printed with letters that can be read."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.network.graph import Network
from reviewer.reports.schematic.draw import PRINTED_WIDE, Artist, ColumnPlaces
from reviewer.reports.schematic.hierarchy import Hierarchy
from reviewer.reports.schematic.placement import COLUMNS, laid_out
from reviewer.reports.schematic.routing import route
from reviewer.reports.schematic.sheet import Sheet

#: columns of the narrowest sheet that is tried, and how many less than fit are tried for whole names
_FEWEST, _FOR_NAMES = 5, 2
#: on how many of the last shelves a narrow section may stand, where that makes the sheet lower
_BACK = 3
#: how much higher a sheet may be for names that are whole: so many times their share of all symbols
_WORTH = 3.0
#: by what a sheet is chosen, its columns with a minus, and ``back`` of :func:`laid_out`
_Tried = tuple[float, int, int]


def fitting_sheet(design: Design, network: Network) -> Sheet:
    """The sheet with the most columns that is no wider, fewer where enough more names are whole on it.

    Where none is narrow enough, the narrowest of all that were tried.
    """
    hierarchy = Hierarchy(design, network)
    wide: list[_Tried] = []
    fitting: list[_Tried] = []
    for columns in range(COLUMNS, _FEWEST - 1, -1):
        sheet = laid_out(hierarchy, columns, 1)
        routed = route(sheet)
        # names get more room only where the paper has it
        if (width := ColumnPlaces(sheet, routed).width) > PRINTED_WIDE:
            wide.append((width, -columns, 1))
            continue
        placed = Artist(sheet, routed)
        # asked before the next layout moves the symbols
        whole = not placed.broken_names
        fitting.append((_height(placed), -columns, 1))
        sheet = laid_out(hierarchy, columns, _BACK)
        denser = Artist(sheet, route(sheet))
        if denser.width <= PRINTED_WIDE:
            fitting.append((_height(denser), -columns, _BACK))
        if whole or -columns == fitting[0][1] + _FOR_NAMES:
            break
    _, columns, back = min(fitting or wide, key=lambda one: one[:2])
    return laid_out(hierarchy, -columns, back)


def _height(placed: Artist) -> float:
    """The height of a sheet, higher by what names that are whole are worth."""
    return placed.height * (1 + _WORTH * placed.broken_names / len(placed.sheet.symbols))
