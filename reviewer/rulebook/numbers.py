"""Numbers and lists as rules put them in sentences."""

from __future__ import annotations

from reviewer.model.name_lists import and_list, few
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
    "and_list",
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
