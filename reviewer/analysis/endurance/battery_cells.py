"""Each battery as it is on the day of a loss: aged, cold, and charged as it was in flight."""

from __future__ import annotations

from reviewer.analysis.endurance.discharge import Cell
from reviewer.analysis.endurance.discharge_surfaces import ageing
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints, assessed
from reviewer.analysis.ratings.discharge_time import Store
from reviewer.model import parts as p
from reviewer.model.quantity_words import percent, quantity
from reviewer.network.graph import bare
from reviewer.tables.batteries import state_of_charge_at
from reviewer.tables.practice import practice

#: degrees Celsius that the share of the capacity of a cold battery is given for
COLD_C = -10.0
#: the rate at which most batteries are rated, hours
RATED_H = 20.0


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
    charge = assessed(
        lambda: state_of_charge_at(part.chemistry or "", volts, operating.design.aircraft.nominal)
    ).value
    if part.state_of_charge is not None:
        charge = min(charge, part.state_of_charge)
    rated_hours = RATED_H if part.capacity_rate is None else part.capacity_rate / 3600
    store = Store(part.capacity, _exponent(part), _age(part), cold_share(operating), rated_hours)
    return Cell(element, store, charge, part.low_voltage_disconnect)


def _exponent(part: p.Battery) -> float:
    lithium = part.chemistry == "lithium-iron-phosphate"
    return practice("factors", f"rate-exponent-{'lithium' if lithium else part.construction or 'agm'}").high


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
    if coldest < COLD_C:
        raise NotAssessable(
            f"the share of its capacity that a battery has at {quantity(coldest, 'C')}; "
            f"the trade's figure is for {quantity(COLD_C, 'C')}"
        )
    return practice("factors", "battery-at-minus-10-c").low


def capacity_factors(operating: OperatingPoints, part: p.Battery) -> tuple[tuple[str, str], ...]:
    """(word, value) of what age, cold and rate take."""
    age = percent(_age(part)) + (
        " (declared minimum capacity)" if part.minimum_capacity is not None else " (common practice)"
    )
    return (
        ("capacity when aged", age),
        (
            "capacity when cold",
            f"{percent(cold_share(operating))} (common practice, {quantity(COLD_C, 'C')})",
        ),
        ("rate exponent", f"{_exponent(part):g} (common practice{_unsaid(part)})"),
        ("resistance when cold or aged", f"{ageing():g} times (common practice)"),
    )


def _unsaid(part: p.Battery) -> str:
    """What the exponent takes for granted."""
    lead_acid = part.chemistry == "lead-acid" and part.construction is None
    return ", AGM: `construction` is not stated" if lead_acid else ""
