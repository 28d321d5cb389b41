"""Charging in flight: terminal voltage and current of each battery, as it is and flat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.analysis.sources.charging import ChargingPoint, Window
    from reviewer.analysis.sources.recharge_course import RechargeCourse


@record
class ChargedBattery:
    """A battery that an alternator charges in flight.

    ``window`` is the voltage that it needs, ``held`` what it gets in each phase, ``recharge`` what
    it takes when flat, ``limit`` the most that it may take, A. ``needs`` says what the file lacks
    for the rest; "" where nothing.
    """

    battery: str
    limit: float | None
    window: Window | None
    held: tuple[ChargingPoint, ...]
    recharge: RechargeCourse | None
    needs: str


def charged_batteries(facts: Facts) -> tuple[ChargedBattery, ...]:
    """Each battery that is charged in normal flight; () without an operation."""
    if facts.design.operation is None:
        return ()
    return tuple(_charged(facts, battery) for battery in facts.sources.charged)


def _charged(facts: Facts, battery: str) -> ChargedBattery:
    name = bare(battery)
    limit = facts.design.parts[name].max_charge_current
    window: Window | None = None
    held: tuple[ChargingPoint, ...] = ()
    recharge: RechargeCourse | None = None
    needs = ""
    try:
        window = facts.sources.window(name)
        held = facts.sources.charging_points(battery)
        recharge = facts.sources.recharge(battery, limit or 0.0)
    except NotAssessable as missing:
        needs = missing.needs
    except KeyError:  # the window of a battery that says neither its chemistry nor its voltages
        needs = "`chemistry`"
    return ChargedBattery(name, limit, window, held, recharge, needs)
