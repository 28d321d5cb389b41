"""A figure against its limit: what rounding and the solver make is no difference."""

from __future__ import annotations

#: what a sum of numbers of a file may be off, in its unit
HAIR = 1e-9
#: what a solved figure may be off, as a share of its limit: every terminal of the network leaks a little
SOLVED = 1e-5


def exceeds(value: float, limit: float) -> bool:
    """Whether a value is above a limit by more than computing makes of equal ones: one at it is not."""
    return value - limit > max(HAIR, SOLVED * abs(limit))
