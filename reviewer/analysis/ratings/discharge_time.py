"""How long a battery carries its loads: capacity, age, temperature and rate against the loads of each stage, down to a cut-off voltage."""

from __future__ import annotations

import math
from collections.abc import Sequence

from reviewer.analysis.ratings.peukert import hours_no_better_than_rated
from reviewer.model.record import record
from reviewer.tables.batteries import charge_at_rest
from reviewer.tables.lookup import Origin


@record
class Store:
    """A battery as it is on the day.

    ``rated_ah`` at the ``rated_hours`` rate; ``exponent`` of Peukert's law; ``age`` and ``cold`` the shares of the capacity that age and
    temperature leave; ``charge`` the share it begins with and ``floor`` the share that is left at the cut-off, both 0 to 1.
    """

    rated_ah: float
    exponent: float
    age: float
    cold: float
    charge: float = 1.0
    floor: float = 0.0
    rated_hours: float = 20.0


@record
class Stage:
    """A stretch with a steady draw: ``seconds`` None lasts until the battery is empty."""

    name: str
    amperes: float
    seconds: float | None


@record
class StageUse:
    """What a stage used: its ``seconds`` and the ``share`` of the aged, cold battery's whole charge."""

    name: str
    seconds: float
    share: float


@record
class Endurance:
    """``seconds`` until the cut-off, or until the stages end where ``empty_in`` is None; ``left`` the share of charge above the floor then."""

    seconds: float
    uses: tuple[StageUse, ...]
    empty_in: str | None
    left: float


@record
class Floor:
    """Share of ``charge`` at which a battery under load reaches the cut-off: there it rests at ``rest_v``."""

    charge: float
    rest_v: float
    origin: Origin


def floor_of(
    chemistry: str, cut_off_v: float, amperes: float, ohms: float, nominal: str, drop_v: float = 0.0
) -> Floor:
    """Charge left when the loads have no more than ``cut_off_v``: the battery must rest at cut-off + I R + ``drop_v`` (diode and wires).

    ``ohms`` is the battery's resistance; ``nominal`` as in a design. Raises OutsideTable.
    """
    rest_v = cut_off_v + amperes * ohms + drop_v
    figure = charge_at_rest(chemistry, rest_v, nominal)
    return Floor(figure.value, rest_v, figure.origin)


def seconds_to_empty(store: Store, amperes: float) -> float:
    """Time in which a steady current alone empties the whole aged, cold battery, by Peukert's law in the hour-rate form; below the rated current the
    rated capacity holds. Infinite without a current."""
    # age and cold take capacity and leave the rated current where it was
    return (
        3600
        * store.age
        * store.cold
        * hours_no_better_than_rated(store.rated_ah, store.rated_hours, amperes, store.exponent)
    )


def endurance(store: Store, stages: Sequence[Stage]) -> Endurance:
    """Time until the battery reaches its floor, stage after stage (before the failure is recognised, after shedding, and so on).

    Each stage uses the share t / T(I) of the charge, where T(I) is :func:`seconds_to_empty`. Raises ValueError for a store without capacity.
    """
    whole = store.rated_ah * store.age * store.cold
    if not (whole > 0 and 0 <= store.floor <= 1 and 0 <= store.charge <= 1):
        raise ValueError(f"not a battery: {store}")
    left = max(0.0, store.charge - store.floor)
    elapsed, uses = 0.0, []
    for stage in stages:
        full_s = seconds_to_empty(store, stage.amperes)
        lasts = math.inf if math.isinf(full_s) else left * full_s
        seconds = lasts if stage.seconds is None else min(stage.seconds, lasts)
        share = (
            left
            if seconds == lasts and not math.isinf(lasts)
            else 0.0
            if math.isinf(full_s)
            else seconds / full_s
        )
        elapsed, left = elapsed + seconds, left - share
        uses.append(StageUse(stage.name, seconds, share))
        if not math.isinf(lasts) and (stage.seconds is None or lasts < stage.seconds):
            return Endurance(elapsed, tuple(uses), stage.name, 0.0)
    return Endurance(elapsed, tuple(uses), None, left)
