"""A row of a wire list -> a wire between two terminals."""

from __future__ import annotations

from reviewer.reading.circuits.figures import Figure, SaidFigures
from reviewer.reading.circuits.kinds_in_line import WIRE
from reviewer.reading.circuits.line import Line
from reviewer.reading.circuits.path_nodes import Join, Path
from reviewer.reading.circuits.tokens import PathError, Token, tokens_of
from reviewer.reading.problem import shown
from reviewer.reading.spreadsheets.row_cells import NOT_OF_THE_LIST, RowCells

_TAKEN = ("number", "from", "from-terminal", "to", "to-terminal", "type")


def wire_line(cells: RowCells) -> Line | None:
    """The line of a row; None where a mistake leaves nothing of it."""
    number = cells.name("number", "wire")
    cells.said = f"wire {number}: " if number else ""
    if not number and not cells.blamed("number"):
        cells.say(
            "number",
            f"this row has no wire number; {NOT_OF_THE_LIST}",
        )
    ends = []
    for key in ("from", "to"):
        ends.append(cells.place_node(key, "part", f"{key}-terminal"))
        if ends[-1] is None and not cells.blamed(key):
            cells.say(key, "this row does not say where the wire ends")
    values = cells.others(WIRE, _TAKEN)
    values = {**_of_type(cells), **values}
    if not number or None in ends:
        return None
    path = Path(list(ends), [Join(cells.index("number"), name=number, values=values)], whole=cells.whole)
    return Line(number, cells.read.at, cells.said, cells.place, path, listed=True, undirected=True)


def _of_type(cells: RowCells) -> dict[str, Figure]:
    """What the words of a type say of a wire, such as ``etfe 150 C``."""
    text, at = cells.text("type"), cells.index("type")
    if not text:
        return {}
    figures = SaidFigures(WIRE, f"wire {cells.text('number')}")
    try:
        items = [item for item in _items(tokens_of(text)) if item]
        for item in items:
            figures.item(item)
    except PathError:
        said = "which is words and figures of a wire, such as `etfe 150 C`"
        cells.say(
            "type",
            f"{shown(text)} is not a known type, {said}; `words: {{{text}: ...}}` at the table says it",
        )
        return {}
    return {key: Figure(figure.value, at) for key, figure in figures.values.items()}


def _items(tokens: list[Token]) -> list[list[Token]]:
    """Words and quantities one by one: a number goes with the unit after it."""
    items: list[list[Token]] = [[]]
    for token in tokens:
        if token.sign:
            items.append([])
        elif items[-1] and items[-1][-1].text.replace(".", "", 1).lstrip("~").isdigit():
            items[-1].append(token)
        else:
            items.append([token])
    return items
