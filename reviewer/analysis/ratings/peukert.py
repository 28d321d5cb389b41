"""Peukert's law in its two conventions, which give different times for the same numbers and are kept apart by name."""

from __future__ import annotations

import math


def hours_by_peukert_capacity(peukert_capacity: float, amperes: float, exponent: float) -> float:
    """Hours to empty, t = Cp / I^k.

    ``peukert_capacity`` Cp is the capacity at 1 A, not the rated one, unless that is rated at 1 A; ``exponent`` k is 1 or more.
    """
    _check(amperes, exponent)
    return math.inf if amperes == 0 else peukert_capacity / amperes**exponent


def hours_at_rate(rated_ah: float, rated_hours: float, amperes: float, exponent: float) -> float:
    """Hours to empty, T = C (C / R)^(n-1) / I^n: ``rated_ah`` C is the capacity at the ``rated_hours`` R rate, as batteries are sold."""
    _check(amperes, exponent)
    return math.inf if amperes == 0 else rated_hours * (rated_ah / (amperes * rated_hours)) ** exponent


def hours_no_better_than_rated(rated_ah: float, rated_hours: float, amperes: float, exponent: float) -> float:
    """:func:`hours_at_rate`, but a current below the rated one gets the rated capacity and no more, which the law would promise."""
    _check(amperes, exponent)
    return (
        math.inf
        if amperes == 0
        else min(rated_ah / amperes, hours_at_rate(rated_ah, rated_hours, amperes, exponent))
    )


def _check(amperes: float, exponent: float) -> None:
    if amperes < 0 or exponent < 1:
        raise ValueError(
            f"a current of {amperes:g} A with an exponent of {exponent:g}: the law needs a current of 0 or more and an exponent of 1 or more"
        )
