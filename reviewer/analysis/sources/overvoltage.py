"""Overvoltage when a regulator fails full on: the current limit of the alternator holds, its
voltage rises to the trip or to what the loads take."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.ratings.rest_voltage import rest_voltage
from reviewer.analysis.sources.alternators import source_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.model.rounding import higher
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.network.regulators import near_output, regulation, trip_stops
from reviewer.tables.practice import practice
from reviewer.tables.typical import unregulated_volts

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.points import Points


@record
class Beyond:
    """A load or coil that a regulator failed full on exposes to more than its rated voltage: to ``volts``
    at the most, and to ``least`` while the batteries that are ``holding`` (elements) take all they can."""

    element: str
    flown: str
    state: str
    volts: float
    rated: float
    #: the typical values that what lies on the path to it rests on
    typical: tuple[str, ...]
    least: float
    holding: tuple[str, ...] = ()

    @property
    def sure(self) -> bool:
        """Whether it has more than its rated voltage whatever the batteries take."""
        return higher(self.least, self.rated)


@record
class Exposed:
    """What an alternator powers in a state: ``rated`` by element, volts, and what does not say
    its rated voltage."""

    rated: Mapping[str, float]
    unsaid: tuple[str, ...]


@record
class Ceiling:
    """The volts up to which an alternator rises whose regulator fails full on, what ``ends`` it
    there in words, and what the figure rests on. The volts of a trip are those at the point that is
    ``sensed``, all others those of the output."""

    volts: float
    ends: str
    basis: str
    sensed: bool = False


def ceiling(design: Design, name: str) -> Ceiling | None:
    """Where the overvoltage of an alternator, by name, ends: at the trip that stops it, else where
    nothing takes its current; None where no trip is stated, and not that there is none. A trip that
    acts on the field does not stop permanent magnets without a control, nor a regulator inside."""
    held = regulation(design, name)
    trip = held.trip
    if trip is None:
        return None
    idle = trip != "none" and not trip_stops(design, name)
    if trip != "none" and not idle:
        there = f" where {held.owner} senses" if held.remote and held.separate else ""
        there = " at its field" if held.remote and not held.separate else there
        return Ceiling(trip, f"before it trips at {quantity(trip, 'V')}{there}", "its overvoltage trip", True)
    figure = unregulated_volts(design.aircraft.scale)
    return Ceiling(
        figure.value,
        "with an overvoltage trip that does not stop it" if idle else "with no overvoltage protection",
        figure.origin.note,
    )


def left_on_output(network: Network, element: str) -> tuple[str, ...]:
    """The batteries, loads and coils that no contact of a relay, nor one that a unit commands, parts
    from the output of an alternator: a trip that opens the output leaves it on them. Switches and
    protection stay as they are."""
    near = near_output(network, source_of(network, element))
    batteries = (s.element for s in network.sources if s.kind == "battery" and s.positive in near)
    users = (u.element for u in (*network.consumers, *network.coils) if near.intersection(u.plus))
    return tuple(dict.fromkeys((*batteries, *users)))


def exposed(design: Design, network: Network, answer: StateAnswer, alternator: str) -> Exposed:
    """The loads, coils and capacitors that an alternator powers in a state."""
    fed, returned = answer.healthy.fed[alternator], answer.healthy.returned[alternator]
    rated, unsaid = {}, []
    for user in _users(design, network):
        if not served(user, fed, returned):
            continue
        part = design.parts[bare(user.element)]
        most = getattr(part, rated_key(part))
        if most is not None:
            rated[user.element] = most
        elif isinstance(part, (p.Consumer, p.Capacitor)):
            unsaid.append(bare(user.element))
    return Exposed(rated, tuple(unsaid))


def rated_key(part: p.Part) -> str:
    """The field of the voltage for which a load, coil or capacitor is rated."""
    if isinstance(part, p.Capacitor):
        return "voltage"
    return "max_coil_voltage" if isinstance(part, p.Electromagnet) else "maximum"


def _users(design: Design, network: Network) -> Iterator[PoweredDevice]:
    yield from (*network.consumers, *network.coils)
    for name in design.of_kind(p.Capacitor):
        plus, minus = (network.node(f"{name}.{pole}") for pole in design.parts[name].terminals())
        yield PoweredDevice(f"parts/{name}", (plus,), (minus,))


def beyond(
    design: Design,
    points: Points,
    answer: StateAnswer,
    alternator: str,
    flown: str,
    rated: Mapping[str, float],
    asked: Collection[str],
) -> tuple[Beyond, ...]:
    """Those of some elements that have more at their terminals than they are rated for, at the one
    point of a regulator that failed full on."""
    found = []
    for user in _users(design, points.network):
        if user.element in asked:
            volts = _across(points, user)
            if higher(volts, rated[user.element]):
                feeding = {
                    e for node in user.plus for e in feed_path(points.network, answer, alternator, node)
                }
                typical_ones = tuple(a.what for a in points.assumed if feeding & set(a.elements))
                found.append(
                    Beyond(
                        user.element,
                        flown,
                        answer.state.name,
                        volts,
                        rated[user.element],
                        typical_ones,
                        volts,
                    )
                )
    return tuple(found)


def held_down(
    design: Design,
    answer: StateAnswer,
    alternator: str,
    batteries: Collection[str],
    found: Sequence[Beyond],
    solve: Callable[[Mapping[str, float]], Points],
) -> Iterator[Beyond]:
    """What was found in a state, with the least volts there: ``solve`` gives the point at which batteries
    (elements, by their open-circuit volts) take as much as their resistance allows.

    A battery does not hold the volts down that disconnects itself above some voltage, or behind circuit
    protection that carries so much of the current that it is sure to open.
    """
    multiple = practice("factors", "fault-over-protector").low
    network, holding = answer.network, {}
    for element in batteries:
        battery = design.part(bare(element), p.Battery)
        if battery.high_voltage_disconnect is None:
            holding[element] = rest_voltage(battery, 1.0, design.class_of(bare(element)))
    points = solve(holding) if holding else None
    while points and (opened := [e for e in holding if _opens(points, answer, alternator, e, multiple)]):
        holding = {e: volts for e, volts in holding.items() if e not in opened}
        points = solve(holding) if holding else None
    users = {user.element: user for user in _users(design, network)}
    for one in found:
        least = min(one.volts, _across(points, users[one.element])) if points else one.volts
        yield replace(one, least=least, holding=tuple(holding))


def _opens(points: Points, answer: StateAnswer, alternator: str, battery: str, multiple: float) -> bool:
    """Whether circuit protection on the way from an alternator to a battery carries more than ``multiple``
    times its rating."""
    sink = next(s for s in answer.network.sources if s.element == battery)
    for element in feed_path(answer.network, answer, alternator, sink.positive):
        part = answer.design.parts.get(bare(element))
        rating = part.rating if isinstance(part, p.Protector) else None
        if rating is not None and abs(float(points.amps(element)[0])) > multiple * rating:
            return True
    return False


def _across(points: Points, user: PoweredDevice) -> float:
    low = _volts(points, user.minus[0])
    return max(abs(_volts(points, node) - low) for node in user.plus)


def _volts(points: Points, node: int) -> float:
    volts = float(points.volts(points.network.names[node])[0])
    return volts if volts == volts else 0.0
