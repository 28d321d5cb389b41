"""A figure against its limit: what rounding makes is no difference."""

from __future__ import annotations

#: what a sum of numbers of a file may be off, as a share of a limit above 1, else in its unit
HAIR = 1e-9


def exceeds(value: float, limit: float) -> bool:
    """Whether a value is above a limit by more than rounding makes of equal ones; one at its limit is not."""
    return value - limit > HAIR * max(1.0, abs(limit))
