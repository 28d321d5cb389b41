"""The resistance of each link of a network and of each input that senses volts: from the file, from
a published table, or typical."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from functools import cache, cached_property
from typing import Any

from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.devices import load_device
from reviewer.analysis.ratings.wire import wire_resistance
from reviewer.analysis.solver.circuit import Device, Resistor
from reviewer.analysis.solver.circuit_shape import CircuitShapes
from reviewer.analysis.solver.circuit_solution import CircuitSolution
from reviewer.analysis.solver.trunk import Trunk
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantities import Gauge
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.network.contraction import nodes_to_keep
from reviewer.network.graph import Gate, Link, Network, bare
from reviewer.network.kinds import UnknownKind
from reviewer.network.meters import Meter
from reviewer.network.sense_leads import wired_meters
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.typical import typical

#: what decides whether a link conducts that only a failure or a hand opens
_LASTING = (Gate.ALWAYS, Gate.PROTECTOR, Gate.SHIELD)

#: rating, in A, from which a switch is taken to have the contact of a contactor: a value of our own
_HEAVY_SWITCH = 100.0


@record
class LastingLinks:
    """The links that conduct both ways in all states but for failures, in order: the ``trunk`` of their
    resistors, the ``places`` of these by link, and, by link, the ``assumptions`` of those that rest on
    more than the file."""

    links: tuple[int, ...]
    trunk: Trunk
    places: Mapping[int, int]
    assumptions: tuple[tuple[int, Assumptions], ...]
    #: the links that are not in it
    beside: tuple[int, ...]


class Wiring:
    """The resistors of a design's network and of its instruments' inputs, each made once, with what
    it rests on."""

    def __init__(self, design: Design, network: Network):
        self.design, self.network = design, network
        #: the assumptions None where it rests on the file alone, as most
        self._made: dict[int, tuple[Resistor, Assumptions | None]] = {}
        self.shapes = CircuitShapes()
        #: circuits that were built, see :func:`circuit_build.built_once`
        self.circuits: dict[Hashable, tuple[Any, Any]] = {}
        self._solved: dict[Hashable, CircuitSolution] = {}
        self._trunks: dict[frozenset[int], Trunk] = {}
        self._loads: dict[Hashable, tuple[Device, Assumptions]] = {}

    @cached_property
    def differing_by_phase(self) -> tuple[str, ...]:
        """The loads (elements) whose current is not the same in all phases."""
        parts = self.design.parts
        elements = [c.element for c in self.network.consumers]
        return tuple(e for e in elements if isinstance(parts[bare(e)].current, Mapping))

    def trunk_without(self, links: frozenset[int]) -> Trunk:
        """The trunk of the lasting links without some of them."""
        if links not in self._trunks:
            whole, lasting = self.lasting.trunk, self.lasting
            kept = [r for i, r in zip(lasting.links, whole.resistors, strict=True) if i not in links]
            self._trunks[links] = Trunk(whole.count, kept, whole.ends)
        return self._trunks[links]

    @cached_property
    def meters(self) -> Mapping[str, Meter]:
        """The monitors, by name: where each gets its reading."""
        return wired_meters(self.design, self.network)

    @cached_property
    def inputs(self) -> tuple[tuple[Resistor, Assumptions], ...]:
        """The inputs of instruments that sense volts, each a resistor from its signal to its
        return."""
        return tuple(self._inputs())

    def _inputs(self) -> Iterator[tuple[Resistor, Assumptions]]:
        across_shunts = {end for meter in self.meters.values() if meter.shunt for end in meter.ends}
        for name in self.design.of_kind(p.Instrument):
            part = self.design.part(name, p.Instrument)
            for signal in part.inputs.values():
                a = self.network.node(f"{name}.{signal.signal}")
                if signal.reads not in (None, "voltage") or a in across_shunts:
                    continue
                b = self.network.node(f"{name}.{signal.return_ or part.returns[0]}")
                own = Assumptions()
                ohms = signal.resistance or own.use(
                    AssumedQuantity.RESISTANCE,
                    "resistance of an input that senses volts",
                    typical("ohms", "voltage-input"),
                    f"parts/{name}",
                )
                yield Resistor(a, b, ohms), own

    def solved_once(self, key: Hashable, solve: Callable[[], CircuitSolution]) -> CircuitSolution:
        """What solves to the same, as a state in phases in which all takes the same, solved once. A circuit
        that ``key`` has by its identity is kept with its solution."""
        if key not in self._solved:
            self._solved[key] = solve()
        return self._solved[key]

    def load_device(
        self, element: str, plus: int, minus: int, amps: float, starting: bool, assumptions: Assumptions
    ) -> Device:
        """A load between two nodes, see :func:`devices.load_device`: most circuits have the same ones."""
        key = element, plus, minus, amps, starting
        if key not in self._loads:
            own = Assumptions()
            self._loads[key] = load_device(self.design, *key, own), own
        found, own = self._loads[key]
        assumptions.add(own)
        return found

    def resistor(self, link: int, assumptions: Assumptions) -> Resistor:
        """That of a link that conducts both ways."""
        found, own = self._of(link)
        if own is not None:
            assumptions.add(own)
        return found

    def _of(self, link: int) -> tuple[Resistor, Assumptions | None]:
        known = self._made.get(link)
        if known is None:
            own = Assumptions()
            known = resistor(self.design, self.network.links[link], own), own or None
            self._made[link] = known
        return known

    @cached_property
    def lasting(self) -> LastingLinks:
        """What the circuits of all states have in common. The links of batteries in series are not in it,
        nor what is switched, pulled in a state, or may be shorted."""
        states = self.design.operation.states.values() if self.design.operation else ()
        apart = {s.element for s in self.network.sources if s.string}
        apart.update(f"parts/{name}" for state in states for name in state.pulled)
        links = tuple(
            i
            for i, link in enumerate(self.network.links)
            if link.gate in _LASTING
            and not (link.oneway or link.resistive or link.positions)
            and link.a != link.b
            and link.element not in apart
        )
        made, network = [self._of(i) for i in links], self.network
        beside = tuple(sorted(set(range(len(network.links))).difference(links)))
        ends = nodes_to_keep(network).union(
            *((network.links[i].a, network.links[i].b) for i in beside),
            *((resistor.a, resistor.b) for resistor, _ in self.inputs),
        )
        return LastingLinks(
            links,
            Trunk(len(network.names), [found for found, _ in made], ends),
            {link: place for place, link in enumerate(links)},
            tuple((i, own) for i, (_, own) in zip(links, made, strict=True) if own is not None),
            beside,
        )


def resistor(design: Design, link: Link, assumptions: Assumptions) -> Resistor:
    """The resistor of a link that conducts both ways. Where the file does not say enough it is an
    ideal joint, and ``assumptions`` says so."""
    if link.element.startswith("wires/"):
        return _wire(link, design.wires[bare(link.element)], assumptions)
    part = design.parts[bare(link.element)]
    if isinstance(part, p.Regulator) and not link.mounting:
        return Resistor(link.a, link.b, _regulator(link.element, assumptions))
    return Resistor(link.a, link.b, _part(link.element, part, assumptions))


def _wire(link: Link, wire: p.Wire, assumptions: Assumptions) -> Resistor:
    if link.gate is Gate.SHIELD:
        if wire.length is None:
            assumptions.unsized[link.element] = "`length`, for its shield"
            return Resistor(link.a, link.b, 0.0)
        ohms = (
            assumptions.use(
                AssumedQuantity.RESISTANCE,
                "resistance of a shield per metre",
                typical("ohms", "shield-per-metre"),
                link.element,
            )
            * wire.length
        )
        return Resistor(link.a, link.b, ohms, copper=True)
    if wire.resistance is not None:
        return Resistor(link.a, link.b, wire.resistance, copper=True)
    missing = " and ".join(
        f"`{key}`" for key, value in (("gauge", wire.gauge), ("length", wire.length)) if value is None
    )
    if not missing:
        assert wire.copper_gauge is not None and wire.length is not None
        try:
            return Resistor(link.a, link.b, _wire_ohms(wire.copper_gauge, wire.length), copper=True)
        except OutsideTable as outside:
            missing = f"`resistance`: {outside}"
    assumptions.unsized[link.element] = missing
    return Resistor(link.a, link.b, 0.0)


@cache
def _wire_ohms(gauge: Gauge, length: float) -> float:
    """Ohms of a wire at 20 C, looked up once for all points. Raises OutsideTable."""
    return wire_resistance(gauge, length).ohms


def _part(element: str, part: Any, assumptions: Assumptions) -> float:
    given = getattr(part, "resistance", None)
    if isinstance(part, p.Potentiometer):
        return part.resistance / 2
    if given is not None:
        return given
    if isinstance(part, p.Diode):  # it conducts both ways only where it failed shorted
        return 0.0
    if isinstance(part, (p.Protector, p.Shunt)):
        return _by_rating(element, part, assumptions)
    if isinstance(part, p.Dimmer):
        return assumptions.use(
            AssumedQuantity.RESISTANCE,
            "resistance of a dimmer at full brightness, that of a switch contact",
            typical("ohms", "switch-contact"),
            element,
        )
    if isinstance(part, p.Switch) and not (part.rating and part.rating >= _HEAVY_SWITCH):
        return assumptions.use(
            AssumedQuantity.RESISTANCE,
            "resistance of a closed switch contact",
            typical("ohms", "switch-contact"),
            element,
        )
    if isinstance(part, (p.Contactor, p.Switch)):
        return assumptions.use(
            AssumedQuantity.RESISTANCE,
            "resistance of a closed contactor contact"
            if isinstance(part, p.Contactor)
            else "resistance of a closed contact of a heavy switch, that of a contactor",
            typical("ohms", "contactor-contact"),
            element,
        )
    if isinstance(part, p.Relay):
        return assumptions.use(
            AssumedQuantity.RESISTANCE,
            "resistance of a closed relay contact",
            typical("ohms", "relay-contact"),
            element,
        )
    if isinstance(part, p.Connector):
        return assumptions.use(
            AssumedQuantity.RESISTANCE, "resistance of a mated pin", typical("ohms", "connector-pin"), element
        )
    if not (
        part.open_ended
        or isinstance(part, (p.Consumer, p.Sensor, p.Alternator, p.Regulator, p.Magneto, p.ExternalPower))
    ):
        raise UnknownKind(part, "the operating point, as a resistance,")
    return assumptions.use(
        AssumedQuantity.RESISTANCE,
        "resistance of a ring terminal on its stud",
        typical("ohms", "ring-terminal"),
        element,
    )


def _regulator(element: str, assumptions: Assumptions) -> float:
    return assumptions.use(
        AssumedQuantity.RESISTANCE,
        "resistance of a regulator from supply to field",
        typical("ohms", "regulator"),
        element,
    )


def _by_rating(element: str, part: Any, assumptions: Assumptions) -> float:
    if part.rating is None:
        assumptions.unsized[element] = "`rating` or `resistance`"
        return 0.0
    kinds = ((p.Shunt, "shunt"), ((p.Breaker, p.BreakerSwitch), "breaker"), (p.Protector, "fuse"))
    name = next(name for kind, name in kinds if isinstance(part, kind))
    figure = typical("volts", f"{name}-at-rating")
    return assumptions.use(
        AssumedQuantity.RESISTANCE,
        f"resistance of a {name}, {quantity(figure.value * 1000, 'mV')} at its rating",
        figure,
        element,
        figure.value / part.rating,
        "ohm",
    )
