"""Quantities as a person says them, for findings, reports, commands and cards.

What a file states is given as it is written there. A computed number has three significant digits,
a figure that has no more than four is given whole; both have more where they would not be told from
a limit that stands beside them.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from reviewer.model.quantities import FOOT_M, UNITS, Written, base_unit
from reviewer.model.rounding import SOLVED

#: significant digits of a computed number, of a figure that is given whole, of what is told apart
COMPUTED, WHOLE, MOST = 3, 4, 9
#: below so many amperes or volts thousandths are told
_MILLI = 0.01
#: below so many there are none
NOTHING = 1e-6
#: the most decimals of a computed number; of an ampere and more there is one
_PLACES = {"V": 2, "A": 2, "m": 2, "ft": 1, "in": 1, "cm": 1, "mm": 0}
#: minutes above which hours are said, and hours from which days are
_MINUTES, _HOURS = 120, 48
#: days of which no number is given, and what is said of more
YEAR, MORE = 365, "more than a year"


def quantity(value: float, unit: str, apart: float | None = None, digits: int = COMPUTED) -> str:
    """``14.3 V``, ``7 mA``, ``12,600 A2s``; ``apart`` is a number that stands beside it, such as its
    limit. A list of what was solved has four ``digits``: ``14.35 V``."""
    if isinstance(value, Written):
        return value.text
    if abs(value) < NOTHING and unit in ("A", "V"):
        value = 0.0
    small = 0 < max(abs(value), abs(apart or 0.0)) < _MILLI and unit in ("A", "V")
    scale, prefix = (1000.0, "m") if small else (1.0, "")
    places = 1 if unit == "A" and abs(value) >= 1 else _PLACES.get(unit)
    places = None if small or places is None else places + digits - COMPUTED
    return f"{number(scale * value, None if apart is None else scale * apart, places, digits)} {prefix}{unit}"


def drain_current(amperes: float) -> str:
    """What a parked battery gives, below an ampere in milliamperes, of which weeks depend on each one:
    ``16.5 mA``, ``1.2 A``."""
    return quantity(1000 * amperes, "mA") if NOTHING <= amperes < 1 else quantity(amperes, "A")


def volts_lost(value: float) -> str:
    """A voltage drop in a list of them, in volts throughout: ``0.047 V``, ``0.003 V``; 0 V below half a
    millivolt."""
    return f"{number(value if abs(value) >= 1 else round(value, 3), digits=WHOLE)} V"


def at_least(value: float, unit: str) -> str:
    """A computed figure that something must have at least, never rounded down: ``2.3 A`` for 2.2504 A."""
    return _to_one_side(value * (1 - SOLVED), unit, math.ceil)


def at_most(value: float, unit: str) -> str:
    """A computed figure that something may have at most, never rounded up."""
    return _to_one_side(value * (1 + SOLVED), unit, math.floor)


def _to_one_side(value: float, unit: str, whole: Callable[[float], int]) -> str:
    exact = float(f"{value:.{COMPUTED}g}")
    if isinstance(value, Written) or value <= 0 or math.isinf(value):
        return quantity(value, unit)
    if abs(exact - value) <= 2 * SOLVED * value:
        return quantity(exact, unit)
    places = COMPUTED - 1 - math.floor(math.log10(value))
    if value >= _MILLI or unit not in ("A", "V"):
        places = min(places, 1 if unit == "A" and value >= 1 else _PLACES.get(unit, places))
    return quantity(float(f"{whole(value * 10.0**places) / 10.0**places:.{MOST}g}"), unit)


def number(
    value: float, apart: float | None = None, places: int | None = None, digits: int = COMPUTED
) -> str:
    """A number without its unit: ``14.3``, ``0.07``, ``2,500``; never ``-0``. ``places`` are the most
    decimals that anybody says."""
    for more in range(MOST - COMPUTED + 1):
        fine = digits + more, None if places is None else places + more
        text = _rounded(value, *fine)
        if apart is None or apart == value or text != _rounded(apart, *fine):
            break
    return text


def _rounded(value: float, digits: int, places: int | None) -> str:
    if math.isinf(value) or math.isnan(value):
        return "unlimited" if value > 0 else "unknown"
    exact = float(f"{value:.{WHOLE}g}")
    if not math.isclose(exact, value, rel_tol=1e-12, abs_tol=1e-12):
        exact = float(f"{value:.{digits}g}")
        exact = exact if places is None else round(exact, places)
    if abs(exact) < 1e-9:
        return "0"
    decimals = max(0, MOST - 1 - math.floor(math.log10(abs(exact))))
    text = f"{exact:,.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def tabled(value: float, digits: int) -> float:
    """A number for a cell of a table or a document: rounded, and never minus zero."""
    return round(value, digits) or 0.0


def beside(value: float, other: float, form: str) -> str:
    """A number that stands beside another one, such as its limit.

    By ``form`` (``.1f``, ``.3g``), with as many digits more as tell the two apart where they differ.
    """
    digits, kind = int(form[1:-1]), form[-1]
    forms = [f".{digits + more}{kind}" for more in range(MOST - COMPUTED + 1)]
    best = next((f for f in forms if format(value, f) != format(other, f)), form)
    return format(float(format(value, best)) or 0.0, best)


def percent(share: float, apart: float | None = None) -> str:
    """A share as it is written: 80 %; in whole per cent, unless ``apart`` is the same then."""
    text = f"{100 * share:.0f}"
    if apart is not None and apart != share and text == f"{100 * apart:.0f}":
        text = number(100 * share, 100 * apart)
    return f"{'0' if text == '-0' else text} %"


def length_scale(unit: str) -> float:
    """Metres in a unit of length."""
    return UNITS["length"][unit][0]


def length(metres: float, unit: str, apart: float | None = None) -> str:
    """A length in the unit of a file: ``2.4 m``, ``7 ft``, ``6 in``."""
    if isinstance(metres, Written):
        return metres.text
    if unit in ("in", "ft"):
        unit = "ft" if metres >= FOOT_M - 1e-9 else "in"
    elif metres >= 1:
        unit = "m"
    scale = length_scale(unit)
    # no length is measured to four digits, whatever a table prints
    said = metres / scale * (1 + 1e-9)
    return quantity(said, unit, None if apart is None else apart / scale * (1 + 1e-9))


def minutes(seconds: float, other: float | None = None) -> str:
    """A time in minutes, rounded down, so that it is never promised longer than it is.

    With as many digits as tell it from ``other``, a time that stands beside it. Where either is long, both
    are as :func:`span` has a long one.
    """
    if math.isinf(seconds):
        return "unlimited"
    forms = [(_rounded_down(seconds, digits), _rounded_down(other or 0.0, digits)) for digits in range(3)]
    apart = next((one for one, two in forms if one != two), forms[0][0])
    said = forms[0][0] if other is None else apart
    return f"{said} min" if "." in said else span(int(said), longest=(other or 0.0) / 60)


def span(whole: int, up: bool = False, longest: float = 0.0) -> str:
    """So many minutes: ``120 min``, ``2 h 35 min``, ``3 h``; from two days on in days and hours, rounded
    ``up`` or down to an hour: ``2 days 5 h``. ``longest`` are minutes that stand beside them."""
    if whole < 60 or max(whole, longest) <= _MINUTES:
        return f"{whole} min"
    hours, rest = divmod(whole, 60)
    if hours < _HOURS:
        return f"{hours} h {rest} min" if rest else f"{hours} h"
    whole_days, hours = divmod(hours + (1 if up and rest else 0), 24)
    return f"{whole_days} days {hours} h" if hours else f"{whole_days} days"


def _rounded_down(seconds: float, digits: int) -> str:
    return f"{math.floor(seconds / 60 * 10**digits + 1e-9) / 10**digits:.{digits}f}"


def margin(seconds: float) -> str:
    """The minutes that are left over a required time, rounded down; ``less than 1 min``."""
    if math.isinf(seconds):
        return "unlimited"
    return "less than 1 min" if 0 < seconds < 60 else span(max(0, math.floor(seconds / 60 + 1e-9)))


def shortfall(seconds: float) -> str:
    """The minutes by which a required time is missed, rounded up."""
    return span(max(1, math.ceil(seconds / 60 - 1e-9)), up=True)


def clock(seconds: float) -> str:
    """A time in minutes, below ten in minutes and seconds, rounded down; long ones as of :func:`span`."""
    if math.isinf(seconds):
        return "unlimited"
    whole, rest = divmod(math.floor(seconds + 1e-6), 60)
    if not whole:
        return f"{rest} s"
    return f"{whole} min {rest} s" if rest and whole < 10 else span(whole)


def days(value: float) -> str:
    """Days, rounded down; hours where there are few, tenths of them below ten; nothing is said of more
    than a year."""
    if math.isinf(value):
        return "unlimited"
    if value < 3:
        parts = 10 if 24 * value < 10 else 1
        return f"{math.floor(24 * value * parts + 1e-9) / parts:g} h"
    return MORE if value > YEAR else f"{math.floor(value + 1e-9)} days"


def written(piece: Any, field: str, value: Any = None) -> str:
    """A number of a piece as its file has it, with its unit; ``value`` where it is one of several in
    the field. Raises KeyError for a field that the piece does not have."""
    stated, unit = getattr(piece, field) if value is None else value, base_unit(type(piece), field)
    if isinstance(stated, Written):
        return stated.text
    return f"{100 * stated:g} %" if unit == "%" else f"{stated:g} {unit}".rstrip()
