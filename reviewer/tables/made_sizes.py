"""Sizes in which the trade makes parts: common practice, no source."""

from __future__ import annotations

from reviewer.model.quantity_words import at_least
from reviewer.model.rounding import exceeds
from reviewer.tables.lookup import table


def _sizes(kind: str) -> tuple[float, ...]:
    return tuple(size for _, size in table("made_sizes", kind).points())


def made_at_least(kind: str, value: float) -> float | None:
    """The smallest size that is made and is no less than a value; None beyond the largest.

    ``kind`` is ``"amperes"`` (breakers, fuses and current limiters, A), ``"contacts"``, ``"shunts"``,
    ``"bars"`` (of a bus, a socket or a dimmer) or ``"alternators"`` (A),
    ``"capacitors"`` (V) or ``"resistors"`` (W). Raises KeyError for another.
    """
    return next((size for size in _sizes(kind) if not exceeds(value, size)), None)


def made_at_most(kind: str, value: float) -> float | None:
    """The largest size that is made and is no more than a value; None below the smallest."""
    return next((size for size in reversed(_sizes(kind)) if not exceeds(size, value)), None)


def made_between(kind: str, low: float, high: float) -> tuple[float, ...]:
    """Every size that is made from ``low`` to ``high``."""
    return tuple(size for size in _sizes(kind) if not exceeds(low, size) and not exceeds(size, high))


def made_words(kind: str, value: float) -> str:
    """The smallest size that is made and is no less than a value, with its unit; the value itself
    beyond the largest."""
    made = made_at_least(kind, value)
    return at_least(value if made is None else made, table("made_sizes", kind).origin.unit)
