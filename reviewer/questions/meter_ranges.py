"""What a meter reads under many failures, and whether that is what was read.

The failures of a state are lanes of one circuit. What is read is a range: from the lowest to the
highest of the points of a lane, with the error of the meter on both sides.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from reviewer.analysis.operating_point.tolerances import DEAD, Within
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.points import Points

#: the lowest and highest that may be read; None where it is not known
Seen = tuple[float, float] | None
#: what a display shows that has no power: less than any number
BLANK = -float("inf")
#: less is no more than what the solver leaves, volts and amperes
_NOTHING = 1e-6


def spanned(seen: Sequence[Seen]) -> Seen:
    """What is seen in all of some cases together, those left out in which it is not known."""
    known = [one for one in seen if one is not None]
    return (min(low for low, _ in known), max(high for _, high in known)) if known else None


@record
class SolvedCases:
    """``points`` of so many lanes (``width``), one or several points each."""

    points: Points
    width: int

    def volts(self, terminal: str) -> list[Seen]:
        """Volts of a terminal from the main negative under each case; 0 where it is dead."""
        return self._ranges(self.points.volts(terminal), (1 << self.width) - 1)

    def given(self, source: str) -> list[Seen]:
        """Amperes that a source (its pointer) gives."""
        return self._ranges(self.points.amps(source), (1 << self.width) - 1)

    def across(self, load: str) -> list[Seen]:
        """Volts between supply and return of a load, or across a coil (its pointer); 0 without power."""
        if load in self.points.built.coils:
            return self._ranges(self.points.across(load), (1 << self.width) - 1)
        if load not in self.points.built.loads:
            return [(0.0, 0.0)] * self.width
        return self._ranges(self.points.across(load), self.points.powered[load])

    def _ranges(self, read: Any, fed: int) -> list[Seen]:
        lost = {one.point % self.width for one in self.points.unsolved}
        values = [v if v == v else 0.0 for v in read.tolist()]
        found: list[Seen] = []
        for i in range(self.width):
            own = values[i :: self.width] if fed >> i & 1 else [0.0]
            found.append(None if i in lost else (min(own), max(own)))
        return found


def widened(seen: Seen, limits: Within, as_dead: bool = True) -> Seen:
    """What may be read, where the limits of a sound system say by how much a meter may be off; with
    ``as_dead`` only by its own step where nothing is there to be read."""
    if seen is None:
        return None
    low, high = seen
    if low == high == BLANK:
        return seen
    if as_dead and max(abs(low), abs(high)) < _NOTHING:
        limits = DEAD
    return low - (limits.value - limits.low), high + (limits.high - limits.value)


def fits(value: float, seen: Seen) -> bool | None:
    """Whether something may read so; None where that is not known."""
    return None if seen is None else seen[0] - 1e-9 <= value <= seen[1] + 1e-9


def apart(seen: Sequence[Seen]) -> tuple[int, ...]:
    """The class of each of several cases by what is read: two of one class cannot be told apart by
    it, or only by way of others of the class. What is not known is a class by itself (-1)."""
    order = sorted((one, i) for i, one in enumerate(seen) if one is not None)
    found, number, top = [-1] * len(seen), -1, None
    for (low, high), i in order:
        if top is None or low > top:
            number, top = number + 1, high
        top = max(top, high)
        found[i] = number
    return tuple(found)


def moved_by(seen: Sequence[Seen]) -> list[int]:
    """Whether each case is surely seen to differ from a sound system: -1 lower, 1 higher, -2 blank."""
    sound = seen[-1]
    found = []
    for one in seen:
        if one is sound or one is None or sound is None or (one[0] <= sound[1] and one[1] >= sound[0]):
            found.append(0)
        else:
            found.append(-2 if one[0] == BLANK else 1 if one[0] > sound[1] else -1)
    return found
