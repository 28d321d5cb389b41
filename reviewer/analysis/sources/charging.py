"""Charging of batteries: their terminal volts in flight against their window, and the most that
they can be charged with."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.resistances import resistor
from reviewer.analysis.ratings.rest_voltage import charge_at_rest, rest_voltage
from reviewer.analysis.sources.alternators import Charge, source_of
from reviewer.model import parts as p
from reviewer.model.design import Design, Operation
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.regulators import regulation
from reviewer.network.search import shortest
from reviewer.tables.practice import COMMON_PRACTICE, practice
from reviewer.tables.typical import acceptance_knots, charge_acceptance

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: volts under its set point at which an alternator gives all that it can, at 14 V: its regulator
#: holds the set point within millivolts until then
SAG = 0.1
#: chemistry, purpose -> ranges of common practice whose low end and whose high end are the window
#: at the terminals
_WINDOWS = {
    ("lead-acid", "main"): ("charging-over-temperature", "lead-acid-absorption"),
    ("lead-acid", "reserve"): ("lead-acid-float", "lead-acid-absorption"),
    ("lithium-iron-phosphate", "main"): ("charging-over-temperature", "charging-over-temperature"),
    ("lithium-iron-phosphate", "reserve"): ("lithium-float", "charging-over-temperature"),
}


@record
class Window:
    """Charging window: terminal volts between which a battery is charged well, and what each end
    rests on."""

    low: float
    high: float
    low_basis: str
    high_basis: str


def window(design: Design, battery: p.Battery) -> Window:
    """The window of a battery: what its maker says, else common practice by its chemistry, where a
    reserve may float. Raises KeyError without a chemistry where that is needed."""
    scale = design.aircraft.scale_of(battery.nominal)
    low, high, maker = battery.min_charge_voltage, battery.max_charge_voltage, "data sheet"
    if low is not None and high is not None:
        return Window(low, high, maker, maker)
    if battery.chemistry is None:
        raise KeyError("chemistry")
    names = _WINDOWS[battery.chemistry, battery.purpose]
    kind = f"a {battery.chemistry} reserve" if battery.purpose == "reserve" else battery.chemistry
    practised = f"{COMMON_PRACTICE} for {kind}"
    floor = scale * practice("volts", names[0]).low if low is None else low
    ceiling = scale * practice("volts", names[1]).high if high is None else high
    return Window(floor, ceiling, practised if low is None else maker, practised if high is None else maker)


@record
class ChargingPoint:
    """A battery at its terminals in what is flown: volts, amperes into it, and seconds of the phase
    where they are stated. ``overloaded`` are those that charge it and do not hold their
    set point, for more is taken than they give."""

    flown: str
    state: str
    volts: float
    amps: float
    seconds: float | None
    #: for lithium the state of charge, 0 to 1, at which its open-circuit voltage stops the charge;
    #: lead-acid gets there ever more slowly: None
    fills_to: float | None
    #: typical values of the battery itself and of the diodes that carry its charge
    assumed: tuple[str, ...]
    #: what charges it
    givers: tuple[str, ...]
    overloaded: tuple[str, ...] = ()
    #: whether chargers alone charge it there, without an alternator
    by_charger: bool = False


def held(
    design: Design,
    flown: str,
    seconds: float | None,
    point: OperatingPoint,
    battery: str,
    carrying: Collection[str],
    givers: Collection[str],
) -> ChargingPoint:
    """What an operating point says of a battery of known chemistry; ``carrying`` are the elements
    that carry its charge, ``givers`` those that give it."""
    name = bare(battery)
    chemistry = design.part(name, p.Battery).chemistry
    assert chemistry is not None
    volts = point.volts[f"{name}.positive"] - point.volts[f"{name}.negative"]
    assumed = tuple(
        a.what
        for a in point.assumed
        if (a.quantity is AssumedQuantity.DIODE_DROP and set(carrying) & set(a.elements))
        or battery in a.elements
    )
    fills_to = (
        None
        if chemistry == "lead-acid"
        else charge_at_rest(design.part(name, p.Battery), volts, design.class_of(name))
    )
    overloaded = tuple(g for g in givers if _sags(design, bare(g), point))
    given = point.given[battery]
    by_charger = all(isinstance(design.parts[bare(g)], p.Charger) for g in givers)
    return ChargingPoint(
        flown, point.state, volts, -given, seconds, fills_to, assumed, tuple(givers), overloaded, by_charger
    )


def _sags(design: Design, giver: str, point: OperatingPoint) -> bool:
    """Whether an alternator, charger or converter that gives current has less than it holds at its output."""
    from reviewer.analysis.operating_point.devices import set_point_of, typical_set_point

    if not point.given[f"parts/{giver}"] > 0:
        return False
    part = design.parts[giver]
    if isinstance(part, p.Charger):
        ends, wanted = ("positive", "negative"), part.set_point or typical_set_point(design).value
    elif isinstance(part, p.Converter):
        ends, wanted = ("output", "output-return" if part.isolated else "ground"), part.output_voltage or 0.0
    else:
        ends, wanted = ("output", "ground"), set_point_of(design, giver)
    held = point.volts[f"{giver}.{ends[0]}"] - point.volts[f"{giver}.{ends[1]}"]
    return held < wanted - SAG * design.aircraft.scale


def charging_links(network: Network, answer: StateAnswer, charge: Charge) -> tuple[int, ...]:
    """The links of the shortest paths of a charging current, out and back."""
    giver, battery = source_of(network, charge.giver), source_of(network, charge.battery)
    now = answer.healthy
    into = battery.positive if now.fed[charge.giver][battery.positive] & 1 else battery.charged_at
    back = battery.minus if now.returned[charge.giver][battery.minus] & 1 else battery.negative
    return (
        *_shortest(network, answer, giver.positive, into),
        *_shortest(network, answer, back, giver.negative),
    )


def missing(design: Design, network: Network, links: Iterable[int]) -> tuple[str, ...]:
    """The keys without which some links would be solved as ideal joints."""
    assumptions = Assumptions()
    for link in links:
        if not network.links[link].oneway:
            resistor(design, network.links[link], assumptions)
    by_key: dict[str, list[str]] = {}
    for element, key in assumptions.unsized.items():
        by_key.setdefault(key, []).append(bare(element))
    return tuple(f"{key} of {' and '.join(names)}" for key, names in by_key.items())


def _shortest(network: Network, answer: StateAnswer, start: int, goal: int) -> Sequence[int]:
    def onward(node: int) -> Iterator[tuple[int, int]]:
        for i, other, leaving in network.around[node]:
            if conducts(network, answer, i, leaving):
                yield other, i

    found = shortest(start, {goal}, onward)
    return found[1] if found else ()


def most_accepted(design: Design, battery: p.Battery, volts: float) -> float:
    """More amperes than a lead-acid battery takes at any charge when it is held at ``volts``:
    typical acceptance, no resistance in the path."""
    assert battery.chemistry is not None and battery.capacity is not None
    nominal = design.aircraft.class_of(battery.nominal)
    cells, most = design.aircraft.scale_of(battery.nominal), 0.0
    for charge in acceptance_knots(battery.chemistry):
        rest = rest_voltage(battery, charge, nominal)
        most = max(
            most,
            charge_acceptance(battery.chemistry, charge).value * battery.capacity * (volts - rest) / cells,
        )
    return most


def largest_charge(design: Design, battery: p.Battery, givers: Collection[str]) -> float:
    """More amperes than a battery can be charged with: what some alternators, chargers and converters
    can give, or, where it is less, what lead-acid accepts at the highest of their set points. Raises
    NotAssessable."""
    most, held = 0.0, []
    for name in map(bare, givers):
        part = design.parts[name]
        if isinstance(part, p.Charger):
            limit, key, volts, remote = part.current_limit, "current-limit", part.set_point, False
        elif isinstance(part, p.Converter):
            limit, key, volts, remote = part.most, "rating", part.output_voltage, False
        else:
            way = regulation(design, name)
            limit, key = design.part(name, p.Alternator).most, "rating"
            volts, remote = way.set_point, way.remote
        if limit is None:
            raise NotAssessable(f"`{key}` of {name}")
        most += limit
        held += [volts] if volts is not None and not remote else []
    if battery.chemistry == "lead-acid" and battery.capacity and len(held) == len(givers):
        most = min(most, most_accepted(design, battery, max(held)))
    return most


def all_drawn(undrawn: Mapping[str, str]) -> None:
    """Raises NotAssessable for the first of some loads that were solved as drawing nothing for want
    of a key."""
    for element, key in undrawn.items():
        raise NotAssessable(f"{key} of {bare(element)}")


def untimed(operation: Operation, held: Sequence[ChargingPoint]) -> str:
    """What is missing to know how long some charging points last: phases, or their durations."""
    states = dict.fromkeys(h.state for h in held if h.seconds is None)
    phases = operation.phases
    timeless = [n for n, p in phases.items() if p.state in states and p.duration is None]
    without = [s for s in states if all(p.state != s for p in phases.values())]
    more = [f"a phase with its `duration` for {' and '.join(without)}"] if without else []
    return " and ".join([*more, *(f"`duration` of the phase {n}" for n in timeless)])
