"""Each battery as it is on the day of a loss: aged, cold, and charged as it was in flight."""

from __future__ import annotations

from reviewer.analysis.endurance.discharge import Cell
from reviewer.analysis.endurance.discharge_surfaces import ageing
from reviewer.analysis.endurance.phase_loads import percent
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints, assessed
from reviewer.analysis.ratings.capacity import rate_exponents, rated_hours, share_at
from reviewer.analysis.ratings.discharge_time import Store
from reviewer.analysis.ratings.rest_voltage import charge_at_rest
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.tables.practice import practice


def charging_volts_of(operating: OperatingPoints, element: str, phase: str | None) -> float:
    """Volts across a battery in the normal state, nothing failed."""
    dispatch = operating.states.operation.normal
    chosen = (
        phase
        if phase and operating.states.operation.phases[phase].state == dispatch
        else next(f.phase for f in operating.flown if f.state == dispatch)
    )
    volts = operating.point(Flown(dispatch, chosen)).volts
    return volts[f"{bare(element)}.positive"] - volts[f"{bare(element)}.negative"]


def cell_of(operating: OperatingPoints, element: str, phase: str | None) -> Cell:
    """A battery, charged by the volts across it in flight. Raises NotAssessable."""
    part = operating.design.part(bare(element), p.Battery)
    volts = charging_volts_of(operating, element, phase)
    assert part.chemistry is not None and part.capacity is not None  # else no point was solved
    charge = assessed(lambda: charge_at_rest(part, volts, operating.design.aircraft.nominal))
    if part.state_of_charge is not None:
        charge = min(charge, part.state_of_charge)
    store = Store(
        part.capacity, rate_exponents(part)[1], _age(part), cold_share(operating), rated_hours(part)
    )
    return Cell(element, store, charge, part.low_voltage_disconnect)


def _age(part: p.Battery) -> float:
    return (
        part.minimum_capacity
        if part.minimum_capacity is not None
        else practice("factors", "battery-aged").low
    )


def cold_share(operating: OperatingPoints) -> float:
    """The share of its capacity that the coldest day leaves a battery. Raises NotAssessable."""
    coldest = operating.design.aircraft.min_temperature
    if coldest is None:
        raise NotAssessable("`min-temperature` of the aircraft: the lowest temperature of the batteries")
    return share_at(coldest)


def capacity_factors(operating: OperatingPoints, part: p.Battery) -> tuple[tuple[str, str], ...]:
    """(word, value) of what age, cold and rate take."""
    coldest = operating.design.aircraft.min_temperature
    age = percent(_age(part)) + (
        " (declared minimum capacity)" if part.minimum_capacity is not None else " (common practice)"
    )
    return (
        ("capacity when aged", age),
        ("capacity when cold", f"{percent(cold_share(operating))} (common practice, {coldest:g} C)"),
        ("rate exponent", f"{rate_exponents(part)[1]:g} (common practice{_unsaid(part)})"),
        ("resistance when cold or aged", f"{ageing():g} times (common practice)"),
    )


def _unsaid(part: p.Battery) -> str:
    """What the exponent takes for granted."""
    lead_acid = part.chemistry == "lead-acid" and part.construction is None
    return ", AGM: `construction` is not stated" if lead_acid else ""
