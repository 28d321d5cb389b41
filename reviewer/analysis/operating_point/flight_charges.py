"""How full normal flight leaves each battery: the moment that every answer about a state in flight
begins from.

On the ground, before the flight, a battery is as full as the file says, or full; there the least that
is ready for flight is a limit of what it may be (``tolerances``).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, assessed
from reviewer.analysis.ratings.capacity import rate_exponents, rated_hours, replaced_below, share_at
from reviewer.analysis.ratings.discharge_time import Store, seconds_to_empty
from reviewer.analysis.ratings.rest_voltage import charge_at_rest
from reviewer.model import parts as p
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: amperes below which a battery is taken to give nothing
NOTHING_A = 0.05
#: share of its charge that a battery gives or takes in one step, and steps of a phase at most
STEP, STEPS = 0.02, 200
#: seconds after which a phase without a duration is left
DAY_S = 86400.0


def full(part: p.Battery) -> float:
    """State of charge of a battery of which no flight is known: as the file says, else 1."""
    return 1.0 if part.state_of_charge is None else part.state_of_charge


@record
class FlightCharges:
    """By battery: the least state of charge at the end of a phase of normal flight, what is missing
    to know it, and where in normal flight it is charged the least."""

    least: Mapping[str, float]
    missing: Mapping[str, str]
    charged_in: Mapping[str, Flown]


def flight_charges(operating: OperatingPoints) -> FlightCharges:
    """All batteries followed together through the phases of normal flight, before any loss: what
    one does not give any more, the others do.

    Each begins with what the volts across it in the normal state give it, of its phases in the one
    that gives it the least. A phase that the alternator carries gives all back, whether that is so
    is judged by itself; once one was flown with the engine stopped, as in soaring, it gives back
    what its duration allows. A battery that still gives after a day of a phase without a duration
    is named with what is missing. Raises NotAssessable.
    """
    names = operating.design.of_kind(p.Battery)
    charged = {f"parts/{n}": _charged(operating, f"parts/{n}") for n in names}
    most = {e: share for e, (share, _) in charged.items()}
    phases = operating.states.operation.phases
    flown = [Flown(one.state, name) for name, one in phases.items()] or [
        Flown(operating.states.operation.normal, None)
    ]
    charge, least, missing, spent = dict(most), dict(most), dict[str, str](), False
    for one in flown:
        state = operating.states.declared[one.state]
        if state.use == "abnormal" or (state.engine != "running" and state.use != "flight"):
            continue
        given = operating.charged_point(one, {}).given
        seconds = phases[one.phase].duration if one.phase else None
        if all(given[e] <= NOTHING_A for e in most) and (seconds is None or not spent):
            charge, spent = dict(most), False
            continue
        spent |= state.engine != "running"
        charge, gives = _flown(operating, one, charge, most, DAY_S if seconds is None else seconds)
        if seconds is None:
            where = f"phase {one.phase}" if one.phase else f"the phases of {one.state}"
            for e, amperes in gives.items():
                amps = quantity(amperes, "A")
                missing[e] = f"`duration` of {where}, in which {bare(e)} discharges {amps}"
                charge[e] = most[e]
        if state.use == "flight":
            least = {e: min(least[e], charge[e]) for e in most}
    return FlightCharges(least, missing, {e: flown for e, (_, flown) in charged.items()})


def _charged(operating: OperatingPoints, element: str) -> tuple[float, Flown]:
    """State of charge that the volts across a battery in the normal state give it at the least, no
    more than declared, and where."""
    part, nominal = operating.design.part(bare(element), p.Battery), operating.design.class_of(bare(element))
    found = []
    for flown in operating.flown_in([operating.states.operation.normal]):
        volts = charging_volts(operating.charged_point(flown, {}), element)
        charge = assessed(partial(charge_at_rest, part, volts, nominal))
        found.append((min(charge, full(part)), flown))
    return min(found, key=lambda one: one[0])


def charging_volts(point: OperatingPoint, element: str) -> float:
    """Volts across a battery. Raises NotAssessable where it is shorted or stands alone."""
    plus, minus = (point.volts.get(f"{bare(element)}.{end}") for end in ("positive", "negative"))
    if plus is None or minus is None:
        raise NotAssessable(f"a normal state in which {bare(element)} is whole")
    return plus - minus


def _flown(
    operating: OperatingPoints,
    flown: Flown,
    charge: Mapping[str, float],
    most: Mapping[str, float],
    seconds: float,
) -> tuple[dict[str, float], dict[str, float]]:
    """States of charge after so long in what is flown, and the amperes of batteries that still give
    then, or are empty. A step takes no battery further than ``STEP`` of its charge, and less far
    each time that it turns between giving and taking."""
    stores = {e: store_of(operating, bare(e)) for e in charge}
    now, left, gives = dict(charge), seconds, dict[str, float]()
    damped, before = dict.fromkeys(now, 1.0), dict.fromkeys(now, 0.0)
    while left > 0:
        given = operating.charged_point(flown, now).given
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


def cold_share(operating: OperatingPoints, name: str) -> float:
    """The share of its capacity that the coldest day leaves a battery: its maker's, else the trade's. Raises
    NotAssessable."""
    coldest, part = operating.design.aircraft.min_temperature, operating.design.part(name, p.Battery)
    if coldest is None:
        raise NotAssessable("`min-temperature` of the aircraft: the lowest temperature of the batteries")
    if part.cold_capacity is not None:
        return part.cold_capacity
    try:
        return share_at(coldest)
    except NotAssessable as error:
        key = "cold-capacity"
        raise NotAssessable(f"`{key}` of {name}: {error.needs}", [(f"parts/{name}", key)]) from None


def store_of(operating: OperatingPoints, name: str) -> Store:
    """What an aged battery holds on the coldest day. Raises NotAssessable."""
    part = operating.design.part(name, p.Battery)
    if part.capacity is None:
        raise NotAssessable("`capacity`")
    exponent = rate_exponents(part)[1]
    return Store(
        part.capacity, exponent, replaced_below(part), cold_share(operating, name), rated_hours(part)
    )
