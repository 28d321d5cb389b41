"""The resistance of each link of a network and of each input that senses volts: from the file, from
a published table, or typical."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from functools import cache, cached_property
from typing import Any

from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.ratings.wire import wire_resistance
from reviewer.analysis.solver.circuit import Resistor
from reviewer.analysis.solver.circuit_shape import CircuitShapes
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantities import Gauge
from reviewer.model.quantity_words import quantity
from reviewer.network.graph import Gate, Link, Network, bare
from reviewer.network.kinds import UnknownKind
from reviewer.network.meters import Meter
from reviewer.network.sense_leads import wired_meters
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.typical import typical


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

    def resistor(self, link: int, assumptions: Assumptions) -> Resistor:
        """That of a link that conducts both ways."""
        known = self._made.get(link)
        if known is None:
            own = Assumptions()
            known = resistor(self.design, self.network.links[link], own), own or None
            self._made[link] = known
        if known[1] is not None:
            assumptions.add(known[1])
        return known[0]


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
    if isinstance(part, p.Switch):
        return assumptions.use(
            AssumedQuantity.RESISTANCE,
            "resistance of a closed switch contact",
            typical("ohms", "switch-contact"),
            element,
        )
    if isinstance(part, p.Contactor):
        return assumptions.use(
            AssumedQuantity.RESISTANCE,
            "resistance of a closed contactor contact",
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
