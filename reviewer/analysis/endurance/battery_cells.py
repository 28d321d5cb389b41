"""Each battery as it is on the day of a loss: aged, cold, and charged as it was in flight."""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.endurance.discharge import Cell
from reviewer.analysis.endurance.phase_loads import NOTHING_A
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints, assessed
from reviewer.analysis.operating_point.cold_batteries import cold_range
from reviewer.analysis.ratings.capacity import rate_exponents, rated_hours, replaced_below, share_at
from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty
from reviewer.analysis.ratings.rest_voltage import charge_at_rest
from reviewer.model import parts as p
from reviewer.model.quantity_words import percent, quantity
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.tables.practice import COMMON_PRACTICE


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


#: share of its charge that a battery gives or takes in one step, and steps of a phase at most
STEP, STEPS = 0.02, 200
#: seconds after which a phase without a duration is left
DAY_S = 86400.0


@record
class DayCell:
    """A battery on the day, and what is missing to know how much of its charge normal flight takes
    ("" where nothing is)."""

    cell: Cell
    missing: str


class DayCells:
    """The batteries on the day, charged by the volts across them in flight, less what they give
    before any loss; charged as the file says, or full, in an aircraft without an alternator."""

    def __init__(self, operating: OperatingPoints):
        self.operating = operating
        self._flights: dict[str | None, FlightCharges] = {}

    def of(self, element: str, phase: str | None) -> DayCell:
        """A battery. Raises NotAssessable."""
        operating = self.operating
        part = operating.design.part(bare(element), p.Battery)
        store = _store(operating, part)
        if not operating.design.of_kind(p.Alternator):
            full = 1.0 if part.state_of_charge is None else part.state_of_charge
            return DayCell(Cell(element, store, full, part.low_voltage_disconnect), "")
        if phase not in self._flights:
            self._flights[phase] = flight_charges(operating, phase)
        flight = self._flights[phase]
        cell = Cell(element, store, flight.least[element], part.low_voltage_disconnect)
        return DayCell(cell, flight.missing.get(element, ""))


def _store(operating: OperatingPoints, part: p.Battery) -> Store:
    if part.capacity is None:
        raise NotAssessable("`capacity`")
    exponent = rate_exponents(part)[1]
    return Store(part.capacity, exponent, replaced_below(part), cold_share(operating), rated_hours(part))


@record
class FlightCharges:
    """By battery: the least state of charge at the end of a phase of normal flight, and what is
    missing to know it."""

    least: Mapping[str, float]
    missing: Mapping[str, str]


def flight_charges(operating: OperatingPoints, phase: str | None) -> FlightCharges:
    """All batteries followed together through the phases of normal flight, before any loss: what
    one does not give any more, the others do.

    Each begins with what the volts across it in flight give it. A phase that the alternator carries
    gives all back: whether that is so is judged by itself. A battery that still gives after a day
    of a phase without a duration is named with what is missing.
    """
    names = operating.design.of_kind(p.Battery)
    most = {f"parts/{n}": _charged(operating, f"parts/{n}", phase) for n in names}
    stores = {f"parts/{n}": _store(operating, operating.design.part(n, p.Battery)) for n in names}
    phases = operating.states.operation.phases
    flown = [Flown(one.state, name) for name, one in phases.items()] or [
        Flown(operating.states.operation.normal, None)
    ]
    charge, least, missing = dict(most), dict(most), {}
    for one in flown:
        state = operating.states.declared[one.state]
        if state.engine != "running" or state.use == "abnormal":
            continue
        given = operating.point(one).given
        if all(given[e] <= NOTHING_A for e in most):
            charge = dict(most)
            continue
        seconds = phases[one.phase].duration if one.phase else None
        charge, gives = _flown(operating, one, charge, most, stores, DAY_S if seconds is None else seconds)
        if seconds is None:
            where = f"phase {one.phase}" if one.phase else f"the phases of {one.state}"
            for e, amperes in gives.items():
                amps = quantity(amperes, "A")
                missing[e] = f"`duration` of {where}, in which {bare(e)} discharges {amps}"
                charge[e] = most[e]
        if state.use == "flight":
            least = {e: min(least[e], charge[e]) for e in most}
    return FlightCharges(least, missing)


def _charged(operating: OperatingPoints, element: str, phase: str | None) -> float:
    """State of charge that the volts across a battery in flight give it, no more than declared."""
    part = operating.design.part(bare(element), p.Battery)
    volts = charging_volts_of(operating, element, phase)
    charge = assessed(lambda: charge_at_rest(part, volts, operating.design.class_of(bare(element))))
    return charge if part.state_of_charge is None else min(charge, part.state_of_charge)


def _flown(
    operating: OperatingPoints,
    flown: Flown,
    charge: Mapping[str, float],
    most: Mapping[str, float],
    stores: Mapping[str, Store],
    seconds: float,
) -> tuple[dict[str, float], dict[str, float]]:
    """States of charge after so long in what is flown, and the amperes of batteries that still give
    then, or are empty. A step takes no battery further than ``STEP`` of its charge, and less far
    each time that it turns between giving and taking."""
    from reviewer.analysis.operating_point.points import Figures

    speed = operating.states.declared[flown.state].speed
    now, left, gives = dict(charge), seconds, dict[str, float]()
    damped, before = dict.fromkeys(now, 1.0), dict.fromkeys(now, 0.0)
    while left > 0:
        given = operating.figured(flown, (), Figures(speed=speed, state_of_charge=dict(now))).given
        rates = {
            e: damped[e] * _rate(stores[e], given[e])
            for e in now
            if not _at_its_end(now[e], given[e], most[e])
        }
        gives = {e: given[e] for e in now if given[e] > NOTHING_A}
        damped = {e: half / 2 if rates.get(e, 0.0) * before[e] < 0 else half for e, half in damped.items()}
        before |= rates
        fastest = max((abs(rate) for rate in rates.values()), default=0.0)
        step = left if fastest == 0 else min(left, max(STEP / fastest, seconds / STEPS))
        now |= {e: min(most[e], max(0.0, now[e] + rate * step)) for e, rate in rates.items()}
        left -= step
    return now, gives


def _rate(store: Store, amperes: float) -> float:
    """Share of its charge that a battery gains in a second."""
    if amperes > NOTHING_A:
        return -1.0 / seconds_to_empty(store, amperes)
    return -amperes / (3600.0 * store.rated_ah) if amperes < 0 else 0.0


def _at_its_end(charge: float, amperes: float, most: float) -> bool:
    """Whether a battery is empty and gives, or has all it may have and takes."""
    return (charge <= 0 and amperes > 0) or (charge >= most and amperes < 0)


def cold_share(operating: OperatingPoints) -> float:
    """The share of its capacity that the coldest day leaves a battery. Raises NotAssessable."""
    coldest = operating.design.aircraft.min_temperature
    if coldest is None:
        raise NotAssessable("`min-temperature` of the aircraft: the lowest temperature of the batteries")
    return share_at(coldest)


def capacity_factors(operating: OperatingPoints, part: p.Battery) -> tuple[tuple[str, str], ...]:
    """(word, value) of what age, cold and rate take."""
    coldest = operating.design.aircraft.min_temperature or 0.0
    age = percent(replaced_below(part)) + (
        " (declared minimum capacity)" if part.minimum_capacity is not None else f", {COMMON_PRACTICE}"
    )
    return (
        ("capacity when aged", age),
        (
            "capacity when cold",
            f"{percent(cold_share(operating))} at {quantity(coldest, 'C')}, {COMMON_PRACTICE}",
        ),
        ("rate exponent", f"{rate_exponents(part)[1]:g}, {COMMON_PRACTICE}{_unsaid(part)}"),
        ("resistance when cold or aged", _cold_ohms(part)),
    )


def _cold_ohms(part: p.Battery) -> str:
    if part.cold_resistance is None:
        return f"{cold_range().high:g} times, {COMMON_PRACTICE}"
    return f"{quantity(part.cold_resistance, 'ohm')} (declared)"


def _unsaid(part: p.Battery) -> str:
    """What the exponent takes for granted."""
    lead_acid = part.chemistry == "lead-acid" and part.construction is None
    return "; AGM: `construction` is not stated" if lead_acid else ""
