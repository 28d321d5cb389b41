"""How fast a steady current empties a battery, by its capacity, age, temperature and rate."""

from __future__ import annotations

from reviewer.analysis.ratings.peukert import hours_no_better_than_rated
from reviewer.model.record import record


@record
class Store:
    """A battery as it is on the day: ``rated_ah`` at the ``rated_hours`` rate, ``exponent`` of
    Peukert's law, ``age`` and ``cold`` the shares of the capacity that age and temperature leave.
    """

    rated_ah: float
    exponent: float
    age: float
    cold: float
    rated_hours: float = 20.0


def seconds_to_empty(store: Store, amperes: float) -> float:
    """Seconds in which a steady current alone empties the whole aged, cold battery; infinite
    without a current.

    Peukert's law in the hour-rate form; below the rated current the rated capacity holds.
    """
    # age and cold take capacity and leave the rated current where it was
    hours = hours_no_better_than_rated(store.rated_ah, store.rated_hours, amperes, store.exponent)
    return 3600 * store.age * store.cold * hours
