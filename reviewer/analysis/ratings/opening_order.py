"""Whether the ratings of two protective devices in a row promise that the lower one opens first.
Common practice (no published source)."""

from __future__ import annotations

from functools import lru_cache

from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.tables.practice import PracticeRange, practice

#: how slow each kind is: a limiter is slower than a breaker, a breaker slower than a fuse
_SLOWNESS = {"fuse": 0, "breaker": 1, "breaker-switch": 1, "limiter": 2}


@record
class Selectivity:
    """``ratio`` of the upper rating to the lower one against the required ``wanted``;
    ``slow_enough`` where the upper one is of a class that may wait."""

    ratio: float
    wanted: float
    slow_enough: bool
    rests_on: PracticeRange

    @property
    def promised(self) -> bool:
        """Whether the lower one is taken to open first. Where it is not, both outcomes are
        possible; in a dead short both may open anyway."""
        return self.slow_enough and not exceeds(self.wanted, self.ratio)


@lru_cache(maxsize=4096)  # asked again for each short
def selectivity(upper_kind: str, upper_a: float, lower_kind: str, lower_a: float) -> Selectivity:
    """Judge two protective devices in a row by kind (as in a design) and rating in A.

    Required: 1.5 with an upper one of the same or a slower class; 2 for a fuse above a breaker, the
    one pair of a faster above a slower class for which the trade has a ratio. Raises KeyError for
    what is no protective device.
    """
    fuse_over_breaker = upper_kind == "fuse" and _SLOWNESS[lower_kind] == 1
    wanted = practice("factors", "fuse-over-breaker" if fuse_over_breaker else "upstream-over-downstream")
    return Selectivity(
        upper_a / lower_a,
        wanted.low,
        fuse_over_breaker or _SLOWNESS[upper_kind] >= _SLOWNESS[lower_kind],
        wanted,
    )
