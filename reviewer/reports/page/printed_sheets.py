"""The schematic on landscape sheets: each in a frame with its title block, and where a line leaves a
sheet its number and the sheet on which it goes on."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from reviewer.reports.schematic.draw import Drawing, DrawnLine
from reviewer.reports.schematic.lettering import clipped, length, safe

#: height of a sheet by its width: as high as A4, as wide as letter size, inside their margins
_SHAPE = 0.717
_PAD, _BLOCK = 10.0, 53.0
#: width of a name at the edge of a sheet, at most, size of a letter there and length of an arrow, px
_NAMED, _LETTER, _ARROW = 140.0, 10.5, 14.0
#: what a sheet says of itself where no script puts a state into it
_NO_STATE = "Printed with scripts off: no switch state is shown; relays are drawn de-energised, switches off."
#: widths of the fields of the title block, as shares of its width
_SHARES = (0.22, 0.16, 0.08, 0.1, 0.12, 0.12, 0.2)


@dataclass(frozen=True)
class SheetTitle:
    """The name of the aircraft, the rows of its title block, and the digest of the design file."""

    name: str
    rows: tuple[tuple[str, str], ...]
    digest: str


def printed_sheets(drawing: Drawing, title: SheetTitle) -> str:
    """All sheets as SVG, each with its piece of the drawing by reference, in no state.

    The page's script puts copies there when it is printed, which a browser prints in less time.
    """
    wide = drawing.width + 2 * _PAD
    tall = wide * _SHAPE
    pieces = sheet_pieces(drawing, tall - 2 * _PAD - _BLOCK)
    found = []
    for number, (top, bottom) in enumerate(pieces, 1):
        begin = _PAD + _strip(drawing, top)
        inner = (
            f'<svg class="piece" x="{_PAD:g}" y="{begin:g}" width="{drawing.width:g}"'
            f' height="{bottom - top:g}" viewBox="0 {top:g} {drawing.width:g} {bottom - top:g}">'
            '<use href="#sheet"/></svg>'
        )
        body = [
            f'<path class="frame-line" d="M1 1H{wide - 1:g}V{tall - 1:g}H1Z"/>',
            inner,
            *_connectors(drawing, pieces, number - 1, begin),
            *_title_block(title, wide, tall, f"{number} of {len(pieces)}"),
        ]
        found.append(f'<svg class="schematic" viewBox="0 0 {wide:g} {tall:g}">{"".join(body)}</svg>')
    return "\n".join(found)


def sheet_pieces(drawing: Drawing, room: float) -> list[tuple[float, float]]:
    """(top, bottom) of each sheet: as few as can be, where a cut through a shelf counts as half a sheet.

    ``room`` is the height of a sheet, px, for the drawing and the names of lines that leave it.
    """
    shelves = {0.0, *drawing.breaks[1:], drawing.height}
    edges = sorted({*shelves, *(y for y in drawing.rows if 0 < y < drawing.height)})
    lines = [(low, high) for low, high, *_ in drawing.uprights if low < high]
    lows, highs = sorted(low for low, _ in lines), sorted(high for _, high in lines)
    crossings = {edge: bisect_right(lows, edge) - bisect_right(highs, edge) for edge in edges}
    turning = _turning(drawing)
    back = {edge: sum(low <= edge < high for low, high in turning) for edge in edges}
    need = {edge: _strip(drawing, edge) for edge in edges}
    #: what a cut costs, in sheets: the lines that it crosses, a sheet for each that crosses it and comes
    #: back, which has its name there twice, and that it goes through a shelf
    cut = {edge: crossings[edge] / 100 + back[edge] + (0.0 if edge in shelves else 0.5) for edge in edges}
    #: by edge: the cost of all sheets from there on, and where the first of them ends
    best: dict[float, tuple[float, float]] = {drawing.height: (0.0, drawing.height)}
    for i in range(len(edges) - 2, -1, -1):
        top = edges[i]
        fitting = [e for e in edges[i + 1 :] if need[top] + e - top + need[e] <= room] or [edges[i + 1]]
        best[top] = min(
            (1 + cut[end] + ((room - end + top) / room) ** 2 / 100 + best[end][0], end) for end in fitting
        )
    pieces: list[tuple[float, float]] = []
    begin = 0.0
    while begin < drawing.height:
        pieces.append((begin, best[begin][1]))
        begin = best[begin][1]
    return pieces


def _turning(drawing: Drawing) -> list[tuple[float, float]]:
    """The heights between which each line goes beyond both of its ends: an edge there is crossed twice."""
    found = []
    for line in drawing.lines:
        ends, ys = [line.points[0][1], line.points[-1][1]], [y for _, y in line.points]
        found += [(low, high) for low, high in ((max(ends), max(ys)), (min(ys), min(ends))) if low < high]
    return found


def _strip(drawing: Drawing, edge: float) -> float:
    """The height that the names of lines take beside an edge, px: none where no line crosses it."""
    at = _names_at(drawing, edge).values()
    longest = max(
        (length(", ".join(f"{name} \u2192 99" for name in names), _LETTER) for names in at), default=0.0
    )
    return _ARROW + longest if longest else 0.0


def _names_at(drawing: Drawing, edge: float) -> dict[float, dict[str, list[DrawnLine]]]:
    """The lines that cross an edge, by the x at which they do and by name."""
    found: dict[float, dict[str, list[DrawnLine]]] = {}
    if 0 < edge < drawing.height - 0.5:
        for low, high, x, line in drawing.uprights:
            if low <= edge < high:
                found.setdefault(x, {}).setdefault(
                    drawing.run_names.within(line.name, _NAMED, _LETTER), []
                ).append(line)
    return found


def _connectors(
    drawing: Drawing, pieces: Sequence[tuple[float, float]], here: int, begin: float
) -> Iterator[str]:
    """The marks at the upper and the lower edge of a sheet, one for each place where lines cross it."""
    top, bottom = pieces[here]
    for edge, y, down in ((top, begin, False), (bottom, begin + bottom - top, True)):
        at = 0.0
        for x, names in sorted(_names_at(drawing, edge).items()):
            onward: dict[int, list[str]] = {}
            for name, lines in names.items():
                for sheet in dict.fromkeys(_onward(line, pieces, down) for line in lines):
                    onward.setdefault(sheet, []).append(name)
            words = ", ".join(f"{', '.join(alike)} \u2192 {sheet}" for sheet, alike in onward.items())
            at = max(x + _PAD, at + _LETTER)  # lines side by side are nearer than letters can be
            yield _mark(x + _PAD, at, y, words, down)


def _onward(line: DrawnLine, pieces: Sequence[tuple[float, float]], down: bool) -> int:
    """The number of the sheet on which a line ends that leaves one at its lower or its upper edge."""
    ends = [
        next(i for i, (top, bottom) in enumerate(pieces, 1) if y <= bottom or i == len(pieces))
        for _, y in (line.points[0], line.points[-1])
    ]
    return max(ends) if down else min(ends)


def _mark(x: float, at: float, y: float, words: str, down: bool) -> str:
    """An arrow head at the edge, and past it, in the middle of ``at``, what goes on where."""
    way, anchor = (1, "end") if down else (-1, "start")
    arrow = f"M{x:g} {y:g}v{4 * way}m-3.5 0h7l-3.5 {5 * way}Z"
    return (
        f'<path class="off-sheet" d="{arrow}"/><text class="wn off" text-anchor="{anchor}"'
        f' transform="translate({at + 3.6:g} {y + 12 * way:g}) rotate(-90)">{safe(words)}</text>'
    )


def _title_block(title: SheetTitle, wide: float, tall: float, sheet: str) -> Iterator[str]:
    rows = [("aircraft", title.name), *title.rows, ("sheet", f"{sheet}. Design sha256 {title.digest[:12]}")]
    top, left = tall - 1 - _BLOCK, 1.0
    yield f'<path class="frame-line" d="M1 {top:g}H{wide - 1:g}"/>'
    for (what, value), share in zip(rows, _SHARES, strict=True):
        room = share * (wide - 2)
        yield f'<text class="block-head" x="{left + 5:g}" y="{top + 11:g}">{safe(what)}</text>'
        words = safe(clipped(value, int(room / 6.4)))
        yield f'<text class="block-value" x="{left + 5:g}" y="{top + 25:g}">{words}</text>'
        left += room
        if left < wide - 2:
            yield f'<path class="frame-line" d="M{left:g} {top:g}V{tall - 24:g}"/>'
    yield f'<text class="block-head shown-state" x="6" y="{tall - 16:g}">{_NO_STATE}</text>'
    yield (
        f'<text class="block-head" x="6" y="{tall - 5:g}">Power distribution schematic. An arrow at an edge'
        " names the wire and the sheet on which it ends. Second opinion on a design; the aircraft was not"
        " inspected.</text>"
    )
