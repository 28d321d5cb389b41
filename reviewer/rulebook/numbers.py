"""Numbers and lists as rules put them in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model.quantity_words import (
    at_least,
    at_most,
    beside,
    clock,
    days,
    drain_current,
    length,
    minutes,
    percent,
    quantity,
)

__all__ = [
    "at_least",
    "at_most",
    "beside",
    "clock",
    "days",
    "drain_current",
    "few",
    "length",
    "minutes",
    "percent",
    "quantity",
]


def few(names: Sequence[str], most: int = 3) -> str:
    """The first names of a list, and how many more there are: ``a, b, c and 4 more``."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")
