"""The sheet that can be printed with letters that can be read."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.network.graph import Network
from reviewer.reports.schematic.draw import PRINTED_WIDE, Artist
from reviewer.reports.schematic.placement import COLUMNS, lay_out
from reviewer.reports.schematic.routing import route
from reviewer.reports.schematic.sheet import Sheet

#: columns of the narrowest sheet that is tried
_FEWEST = 5
#: on how many of the last shelves a narrow section may stand, where that makes the sheet lower
_BACK = 3


def fitting_sheet(design: Design, network: Network) -> Sheet:
    """The sheet with the most columns that is no wider, or the narrowest of all that were tried."""
    tried = []
    for columns in range(COLUMNS, _FEWEST - 1, -1):
        sheet = lay_out(design, network, columns)
        placed = Artist(sheet, route(sheet))
        if placed.width <= PRINTED_WIDE:
            denser = lay_out(design, network, columns, _BACK)
            other = Artist(denser, route(denser))
            return denser if other.width <= PRINTED_WIDE and other.height < placed.height else sheet
        tried.append((placed.width, -columns, sheet))
    return min(tried, key=lambda one: one[:2])[2]
