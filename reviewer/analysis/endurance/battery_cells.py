"""Each battery as it is on the day of a loss: aged, cold, and charged as it was in flight."""

from __future__ import annotations

from itertools import pairwise

from reviewer.analysis.endurance.discharge import Cell
from reviewer.analysis.endurance.discharge_surfaces import ageing
from reviewer.analysis.endurance.phase_loads import NOTHING_A
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints, assessed
from reviewer.analysis.ratings.capacity import rate_exponents, rated_hours, share_at
from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty
from reviewer.analysis.ratings.rest_voltage import charge_at_rest
from reviewer.model import parts as p
from reviewer.model.quantity_words import percent, quantity
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.tables.batteries import open_circuit_knots
from reviewer.tables.interpolation import interpolate
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


#: states of charge at which is solved what a battery gives, less one
STEPS = 20


@record
class DayCell:
    """A battery on the day, and what is missing to know how much of its charge normal flight takes
    ("" where nothing is)."""

    cell: Cell
    missing: str


def cell_of(operating: OperatingPoints, element: str, phase: str | None) -> DayCell:
    """A battery, charged by the volts across it in flight, less what it gives before any loss;
    charged as the file says, or full, in an aircraft without an alternator. Raises
    NotAssessable."""
    part = operating.design.part(bare(element), p.Battery)
    if not operating.design.of_kind(p.Alternator):
        full = 1.0 if part.state_of_charge is None else part.state_of_charge
        return DayCell(Cell(element, _store(operating, part), full, part.low_voltage_disconnect), "")
    volts = charging_volts_of(operating, element, phase)
    assert part.chemistry is not None and part.capacity is not None  # else no point was solved
    charge = assessed(lambda: charge_at_rest(part, volts, operating.design.aircraft.nominal))
    if part.state_of_charge is not None:
        charge = min(charge, part.state_of_charge)
    store = _store(operating, part)
    least, missing = charge_in_flight(operating, element, store, charge)
    return DayCell(Cell(element, store, least, part.low_voltage_disconnect), missing)


def _store(operating: OperatingPoints, part: p.Battery) -> Store:
    if part.capacity is None:
        raise NotAssessable("`capacity`")
    exponent = rate_exponents(part)[1]
    return Store(part.capacity, exponent, _age(part), cold_share(operating), rated_hours(part))


def charge_in_flight(
    operating: OperatingPoints, element: str, store: Store, most: float
) -> tuple[float, str]:
    """The least state of charge of a battery at the end of a phase of normal flight, with ``most``
    at its beginning and wherever it is charged: whether a phase gives all of it back is judged by
    itself. It gives no more where its own volts are those across it.

    A phase without a duration counts as long as it gives; one in which it gives to the end is named
    with what is missing, and counts for nothing.
    """
    phases = operating.states.operation.phases
    flown = [Flown(phase.state, name) for name, phase in phases.items()] or [
        Flown(operating.states.operation.normal, None)
    ]
    charge, least, missing = most, most, ""
    for one in flown:
        state = operating.states.declared[one.state]
        if state.engine != "running" or state.use == "abnormal":
            continue
        if operating.point(one).given[element] <= NOTHING_A:
            charge = most
            continue
        gives = _gives(operating, one, element)
        amperes = gives.at(charge)
        seconds = phases[one.phase].duration if one.phase else None
        if seconds is not None:
            after = charge - seconds / seconds_to_empty(store, max(amperes, NOTHING_A))
            charge = min(charge, max(gives.down_to, after))
        elif gives.down_to > 0:
            charge = min(charge, gives.down_to)
        else:
            where = f"phase {one.phase}" if one.phase else f"the phases of {one.state}"
            missing = f"`duration` of {where}, in which {bare(element)} discharges {amperes:.1f} A"
        least = min(least, charge) if state.use == "flight" else least
    return max(0.0, least), missing


@record
class _Gives:
    """Amperes that a battery gives in what is flown, by state of charge."""

    charges: tuple[float, ...]
    amperes: tuple[float, ...]

    def at(self, charge: float) -> float:
        """Amperes at a state of charge."""
        return interpolate(tuple(zip(self.charges, self.amperes, strict=True)), self._within(charge))

    @property
    def down_to(self) -> float:
        """The state of charge at which it gives nothing any more; 0 where it gives to the end."""
        for (low, less), (high, more) in pairwise(zip(self.charges, self.amperes, strict=True)):
            if less <= NOTHING_A < more:
                return low + (high - low) * (NOTHING_A - less) / (more - less)
        return 0.0

    def _within(self, charge: float) -> float:
        return min(max(charge, self.charges[0]), self.charges[-1])


def _gives(operating: OperatingPoints, flown: Flown, element: str) -> _Gives:
    from reviewer.analysis.operating_point.points import Figures
    from reviewer.analysis.operating_point.solved_state import IDLE, IN_FLIGHT

    chemistry = operating.design.part(bare(element), p.Battery).chemistry or ""
    lowest, *_, highest = open_circuit_knots(chemistry)
    charges = tuple(lowest + (highest - lowest) * i / STEPS for i in range(STEPS + 1))
    speed = IDLE if operating.states.declared[flown.state].at_idle else IN_FLIGHT
    figures = Figures(speed=speed, state_of_charge={element: charges})
    points = operating.operating_points(flown.state, figures, len(charges), flown.phase)
    if points.unsolved:
        raise NotAssessable(str(points.unsolved[0]))
    return _Gives(charges, tuple(map(float, points.amps(element))))


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
    coldest = operating.design.aircraft.min_temperature or 0.0
    age = percent(_age(part)) + (
        " (declared minimum capacity)" if part.minimum_capacity is not None else " (common practice)"
    )
    return (
        ("capacity when aged", age),
        (
            "capacity when cold",
            f"{percent(cold_share(operating))} (common practice, {quantity(coldest, 'C')})",
        ),
        ("rate exponent", f"{rate_exponents(part)[1]:g} (common practice{_unsaid(part)})"),
        ("resistance when cold or aged", f"{ageing():g} times (common practice)"),
    )


def _unsaid(part: p.Battery) -> str:
    """What the exponent takes for granted."""
    lead_acid = part.chemistry == "lead-acid" and part.construction is None
    return ", AGM: `construction` is not stated" if lead_acid else ""
