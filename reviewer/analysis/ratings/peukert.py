"""Peukert's law in the hour-rate form, in which batteries are sold."""

from __future__ import annotations

import math


def hours_at_rate(rated_ah: float, rated_hours: float, amperes: float, exponent: float) -> float:
    """Hours to empty, T = C (C / R)^(n-1) / I^n: ``rated_ah`` C is the capacity at the
    ``rated_hours`` R rate.

    Raises ValueError for a negative current and an ``exponent`` n below 1.
    """
    if amperes < 0 or exponent < 1:
        raise ValueError(
            f"a current of {amperes:g} A with an exponent of {exponent:g}: "
            "the law needs a current of 0 or more and an exponent of 1 or more"
        )
    return math.inf if amperes == 0 else rated_hours * (rated_ah / (amperes * rated_hours)) ** exponent


def hours_no_better_than_rated(rated_ah: float, rated_hours: float, amperes: float, exponent: float) -> float:
    """:func:`hours_at_rate`, but a current below the rated one gets the rated capacity and no more,
    which the law would promise. Raises ValueError as it does."""
    hours = hours_at_rate(rated_ah, rated_hours, amperes, exponent)
    return hours if amperes == 0 else min(rated_ah / amperes, hours)
