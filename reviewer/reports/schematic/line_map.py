"""Where the lines of a drawing go and what is lettered already, for finding room for more letters."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from itertools import pairwise

#: px from a line to letters beside it, and from the middle of letters on a line to what they may not touch
CLEAR, HALF = 5.0, 5.5
#: height of the bands in which boxes of letters are kept, px
_BAND = 100

Points = Sequence[tuple[float, float]]
#: left, top, right and bottom of some letters, px
Box = tuple[float, float, float, float]


class LineMap:
    """The upright and the level pieces of all lines, and the boxes of letters."""

    def __init__(self, lines: Iterable[Points]):
        pieces = [piece for points in lines for piece in pairwise(points)]
        self._uprights = sorted(
            (x1, min(y1, y2), max(y1, y2)) for (x1, y1), (x2, y2) in pieces if x1 == x2 and y1 != y2
        )
        self._levels = sorted(
            (y1, min(x1, x2), max(x1, x2)) for (x1, y1), (x2, y2) in pieces if y1 == y2 and x1 != x2
        )
        self._boxes: dict[int, list[Box]] = {}

    def right_of(self, x: float, top: float, bottom: float, most: float) -> float:
        """The x of the next line right of a place that goes upright through a band, else ``most``."""
        first = bisect_right(self._uprights, (x + 0.5, float("inf"), 0.0))
        found = (at for at, low, high in self._uprights[first:] if low < bottom and high > top)
        return next(found, most)

    def left_of(self, x: float, top: float, bottom: float) -> float:
        """The x of the next line left of a place that goes upright through a band, else 0."""
        last = bisect_left(self._uprights, (x - 0.5, 0.0, 0.0))
        found = (at for at, low, high in reversed(self._uprights[:last]) if low < bottom and high > top)
        return next(found, 0.0)

    def crossing_upright(self, x: float, low: float, high: float) -> list[float]:
        """The y at which lines cross letters on an upright line between two heights."""
        first, last = bisect_left(self._levels, (low,)), bisect_right(self._levels, (high, float("inf")))
        return [y for y, left, right in self._levels[first:last] if left < x + HALF and right > x - HALF]

    def crossing_level(self, y: float, left: float, right: float) -> list[float]:
        """The x at which lines cross letters on a level line between two places."""
        first, last = (
            bisect_left(self._uprights, (left,)),
            bisect_right(self._uprights, (right, float("inf"))),
        )
        return [x for x, low, high in self._uprights[first:last] if low < y + HALF and high > y - HALF]

    def upright_along(self, x: float, low: float, high: float) -> bool:
        """Whether a line goes upright at x from one height to another and no level line crosses it."""
        first = bisect_left(self._uprights, (x - 0.5, 0.0, 0.0))
        last = bisect_right(self._uprights, (x + 0.5, float("inf"), 0.0))
        whole = any(top <= low and bottom >= high for _, top, bottom in self._uprights[first:last])
        return whole and not self.crossing_upright(x, low - HALF, high + HALF)

    def put(self, box: Box) -> None:
        """Note that letters stand somewhere."""
        for band in range(int(box[1] // _BAND), int(box[3] // _BAND) + 1):
            self._boxes.setdefault(band, []).append(box)

    def free(self, box: Box) -> bool:
        """Whether no letters that were noted stand there."""
        left, top, right, bottom = box
        return not any(
            left < other[2] and other[0] < right and top < other[3] and other[1] < bottom
            for band in range(int(top // _BAND), int(bottom // _BAND) + 1)
            for other in self._boxes.get(band, ())
        )
