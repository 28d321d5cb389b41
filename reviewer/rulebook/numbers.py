"""Numbers and lists as rules put them in sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reviewer.analysis.endurance.phase_loads import percent

__all__ = ["few", "minutes", "percent"]


def minutes(seconds: float) -> str:
    """A time in minutes, rounded down, so that it is never promised longer than it is."""
    return "unlimited" if math.isinf(seconds) else f"{math.floor(seconds / 60 + 1e-9)} min"


def few(names: Sequence[str], most: int) -> str:
    """The first names of a list, and how many more there are: ``a, b and 4 more``."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")
