"""A figure against its limit: what rounding and the solver make is no difference."""

from __future__ import annotations

#: what a sum of numbers of a file may be off, in its unit
HAIR = 1e-9
#: what a solved figure may be off, as a share of its limit: every terminal of the network leaks a little
SOLVED = 1e-5
#: what a sum of the currents of loads may be off as they are written, mostly to two or three digits, as a
#: share of it (no published source)
WRITTEN = 0.01
#: what solved volts may be off as set points, trips and ratings are written, mostly to three digits, as a
#: share of the limit (no published source)
WRITTEN_VOLTS = 0.005


def exceeds(value: float, limit: float, within: float = SOLVED) -> bool:
    """Whether a value is above a limit by more than computing makes of equal ones: one at it is not.
    ``within`` is the share of the limit that says nothing, where it is larger."""
    return value - limit > max(HAIR, within * abs(limit))


def over_rated(value: float, rated: float) -> bool:
    """Whether a solved current or power is above a rating by more than stated currents are good for."""
    return exceeds(value, rated, WRITTEN)


def higher(volts: float, rated: float) -> bool:
    """Whether solved volts are above a rating by more than stated volts are good for."""
    return exceeds(volts, rated, WRITTEN_VOLTS)
