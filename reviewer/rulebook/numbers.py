"""Numbers and lists as rules put them in sentences."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reviewer.analysis.endurance.phase_loads import percent

__all__ = ["beside", "few", "minutes", "percent"]

#: digits that a figure gets at most beyond its form
_MORE = 6


def beside(value: float, other: float, form: str) -> str:
    """A figure that stands beside another one, such as its limit.

    By ``form`` (``.1f``, ``.3g``), with as many digits more as tell the two apart where they differ.
    """
    digits, kind = int(form[1:-1]), form[-1]
    forms = [f".{digits + more}{kind}" for more in range(_MORE + 1)]
    return format(value, next((f for f in forms if format(value, f) != format(other, f)), form))


def minutes(seconds: float, other: float | None = None) -> str:
    """A time in minutes, rounded down, so that it is never promised longer than it is.

    With as many digits as tell it from ``other``, a time that stands beside it.
    """
    if math.isinf(seconds):
        return "unlimited"
    forms = [(_rounded_down(seconds, digits), _rounded_down(other or 0.0, digits)) for digits in range(3)]
    apart = next((one for one, two in forms if one != two), forms[0][0])
    return f"{forms[0][0] if other is None else apart} min"


def _rounded_down(seconds: float, digits: int) -> str:
    return f"{math.floor(seconds / 60 * 10**digits + 1e-9) / 10**digits:.{digits}f}"


def few(names: Sequence[str], most: int) -> str:
    """The first names of a list, and how many more there are: ``a, b and 4 more``."""
    return ", ".join(names[:most]) + (f" and {len(names) - most} more" if len(names) > most else "")
