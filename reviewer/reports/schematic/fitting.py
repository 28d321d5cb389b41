"""The sheet that can be printed with letters that can be read."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.network.graph import Network
from reviewer.reports.schematic.draw import PRINTED_WIDE, Artist
from reviewer.reports.schematic.placement import COLUMNS, lay_out
from reviewer.reports.schematic.routing import route
from reviewer.reports.schematic.sheet import Sheet

#: columns of the narrowest sheet that is tried, and how many less than fit are tried for whole names
_FEWEST, _FOR_NAMES = 5, 2
#: on how many of the last shelves a narrow section may stand, where that makes the sheet lower
_BACK = 3
#: how much higher a sheet may be for names that are whole: so many times their share of all symbols
_WORTH = 3.0


def fitting_sheet(design: Design, network: Network) -> Sheet:
    """The sheet with the most columns that is no wider, fewer where enough more names are whole on it.

    Where none is narrow enough, the narrowest of all that were tried.
    """
    wide: list[tuple[float, int, Sheet]] = []
    fitting: list[tuple[float, int, Sheet]] = []
    for columns in range(COLUMNS, _FEWEST - 1, -1):
        sheet = lay_out(design, network, columns)
        placed = Artist(sheet, route(sheet))
        if placed.width > PRINTED_WIDE:
            wide.append((placed.width, -columns, sheet))
            continue
        denser = lay_out(design, network, columns, _BACK)
        other = Artist(denser, route(denser))
        fitting += [
            (one.height * (1 + _WORTH * one.broken_names / len(one.sheet.symbols)), -columns, one.sheet)
            for one in (placed, other)
            if one.width <= PRINTED_WIDE
        ]
        if not placed.broken_names or -columns == fitting[0][1] + _FOR_NAMES:
            break
    return min(fitting or wide, key=lambda one: one[:2])[2]
