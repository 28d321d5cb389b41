"""Numbers as rules put them in sentences."""

from __future__ import annotations

import math

from reviewer.analysis.endurance.phase_loads import percent

__all__ = ["minutes", "percent"]


def minutes(seconds: float) -> str:
    """A time in minutes, rounded down: what is promised is there."""
    return "without end" if math.isinf(seconds) else f"{math.floor(seconds / 60 + 1e-9)} min"
