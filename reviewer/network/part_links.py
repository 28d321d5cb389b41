"""What each kind of part is in the network: links inside it, source, load or coil.

One table, with an entry for every kind: a kind without one cannot be built. Where bars join their
terminals is not said here, for a bar has the terminals that its wires name
(:mod:`reviewer.network.network_build`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from typing import Any

from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, NodeOf, PoweredDevice, SelfPowered, Source
from reviewer.network.kinds import entry_of


@record
class NamedPart:
    """A part with its name, and the nodes of its terminals."""

    name: str
    part: Any
    node: NodeOf

    @property
    def element(self) -> str:
        """The pointer of the part."""
        return f"parts/{self.name}"

    def at(self, terminal: str) -> int:
        """The node of one of its terminals."""
        return self.node(f"{self.name}.{terminal}")

    def link(self, one: str, other: str, gate: Gate = Gate.ALWAYS, **more: Any) -> Link:
        """A link between two of its terminals."""
        return Link(self.at(one), self.at(other), self.element, gate, **more)


def _none(of: NamedPart) -> Iterator[Link]:
    """No links.

    A source or a capacitor, whose inside is no conductor, or a bar, whose terminals are joined once
    all are known.
    """
    return iter(())


def _protector(of: NamedPart) -> Iterator[Link]:
    line, load = map(of.node, of.part.posts(of.name))
    positions = frozenset({"closed"} if isinstance(of.part, p.BreakerSwitch) else ())
    inside = of.part if isinstance(of.part, p.InsideDevice) and of.part.inside else None
    by_input = inside is not None and inside.commanded_by is not None
    gated = inside is not None and (by_input or inside.without_supply == "open")
    unit = f"parts/{of.part.inside}" if gated else ""
    yield Link(line, load, of.element, Gate.PROTECTOR, positions=positions, unit=unit, by_input=by_input)


def _switch(of: NamedPart) -> Iterator[Link]:
    joined: dict[tuple[str, ...], set[str]] = {}
    for position, pairs in of.part.positions.items():
        for pair in pairs:
            joined.setdefault(tuple(sorted(pair)), set()).add(position)
    for (one, other), positions in joined.items():
        if not of.part.follows:
            yield of.link(one, other, Gate.SWITCH, positions=frozenset(positions))
        elif len(positions) == 2:
            yield of.link(one, other)
        else:
            rest = of.part.at_rest in positions
            yield of.link(one, other, Gate.DE_ENERGISED if rest else Gate.ENERGISED)


def _electromagnet(of: NamedPart) -> Iterator[Link]:
    for contact in of.part.contacts.values():
        if isinstance(contact, p.ChangeoverContact):
            yield of.link(contact.common, contact.de_energised, Gate.DE_ENERGISED)
            yield of.link(contact.common, contact.energised, Gate.ENERGISED)
        elif isinstance(contact, p.MakeContact):
            one, other = contact.joins
            yield of.link(one, other, Gate.ENERGISED)
        elif isinstance(contact, p.BreakContact):
            one, other = contact.joins
            yield of.link(one, other, Gate.DE_ENERGISED)
        else:
            raise TypeError(f"{of.name}: no links are known for a contact of kind {contact.kind}")
    if of.part.suppression == "diode":
        plus, minus = of.part.coil
        yield of.link(minus, plus, Gate.COIL_DIODE, oneway=True)


def _diode(of: NamedPart) -> Iterator[Link]:
    yield of.link("anode", "cathode", oneway=True)


def _shunt(of: NamedPart) -> Iterator[Link]:
    yield of.link("line", "load")


def _resistor(of: NamedPart) -> Iterator[Link]:
    """From each terminal to the next: of a potentiometer, its track on both sides of the wiper."""
    for one, other in pairwise(of.part.terminals()):
        yield of.link(one, other, resistive=True)


def _dimmer(of: NamedPart) -> Iterator[Link]:
    yield of.link("input", "output", Gate.ENERGISED)


def _electronics(of: NamedPart) -> PoweredDevice:
    return PoweredDevice(of.element, (of.at("input"),), (of.at("ground"),))


def _connector(of: NamedPart) -> Iterator[Link]:
    for pin in of.part.pins:
        yield of.link(f"{pin}-plug", f"{pin}-socket")


def _load(of: NamedPart) -> Iterator[Link]:
    returns = of.part.returns
    for other in returns[1:]:
        yield of.link(returns[0], other)
    yield from _mounting(of, returns[0])
    for name, output in of.part.outputs.items():
        joined = returns[0] if output.switches == "ground" else of.part.supplies[0]
        yield of.link(
            output.terminal,
            joined,
            Gate.OUTPUT,
            unit=of.element,
            unpowered=output.when == "not-working",
            output=f"{of.name}.{name}",
            commanded=output.when == "commanded",
        )


def _mounting(of: NamedPart, terminal: str) -> Iterator[Link]:
    """The case or frame, joined to a terminal, on what it is bolted to."""
    if of.part.mounted_on:
        yield Link(of.at(terminal), of.node(of.part.mounted_on), of.element, mounting=True)


def _instrument(of: NamedPart) -> Iterator[Link]:
    yield from _load(of)
    if of.part.signal_returns == "joined":
        for terminal in of.part.ends_of_measuring():
            if terminal not in of.part.returns:
                yield of.link(terminal, of.part.returns[0])


def _sensor(of: NamedPart) -> Iterator[Link]:
    yield from _mounting(of, "return")


def _generator(of: NamedPart) -> Iterator[Link]:
    yield from _mounting(of, "ground")


def _regulator(of: NamedPart) -> Iterator[Link]:
    yield of.link("supply", "field")
    yield from _mounting(of, "ground")


def _battery_or_socket(of: NamedPart) -> Source:
    return Source(of.element, of.part.kind, of.at("positive"), of.at("negative"))


def _socket(of: NamedPart) -> Iterator[Link]:
    """The control pin, which the plug joins to the positive one."""
    if of.part.control_pin:
        yield of.link("positive", "control", Gate.PLUGGED)


def _alternator(of: NamedPart) -> Source:
    field = None if of.part.magnets else of.at("field")
    ends, engine = (of.at("output"), of.at("ground")), of.part.driven_by or ""
    excites_itself = of.part.excitation == "self"
    return Source(of.element, of.part.kind, *ends, field, engine=engine, excites_itself=excites_itself)


def _charger(of: NamedPart) -> Source:
    fed = of.part.from_ == "another-bus"
    supply = PoweredDevice(of.element, (of.at("input"),), (of.at("input-return"),)) if fed else None
    ends = of.at("positive"), of.at("negative")
    return Source(of.element, of.part.kind, *ends, supply=supply, listed=not fed)


def _converter(of: NamedPart) -> Source:
    ground, back = ("output-return", "input-return") if of.part.isolated else ("ground", "ground")
    supply = PoweredDevice(of.element, (of.at("input"),), (of.at(back),))
    return Source(of.element, of.part.kind, of.at("output"), of.at(ground), supply=supply)


def _powered(of: NamedPart) -> PoweredDevice:
    return PoweredDevice(
        of.element,
        tuple(map(of.at, of.part.supplies)),
        tuple(map(of.at, of.part.returns)),
        either_way=bool(getattr(of.part, "reversible", False)),
        own_switch=bool(of.part.own_switch),
    )


def _coil(of: NamedPart) -> PoweredDevice:
    one, other = of.part.coil
    volts = {"picks_up": of.part.pickup_voltage, "drops_out": of.part.dropout_voltage}
    return PoweredDevice(of.element, (of.at(one),), (of.at(other),), either_way=True, **volts)


def _magneto(of: NamedPart) -> SelfPowered:
    return SelfPowered(of.element, of.at("p-lead"), of.at("ground"), of.part.driven_by or "")


@record
class PlaceInNetwork:
    """What a kind of part is in the network: its ``links``, and what it is besides.

    A source, a load (``consumer``), a coil, a magneto or a ``dimmer``; None where it is not one.
    """

    links: Callable[[NamedPart], Iterator[Link]]
    source: Callable[[NamedPart], Source] | None = None
    consumer: Callable[[NamedPart], PoweredDevice] | None = None
    coil: Callable[[NamedPart], PoweredDevice] | None = None
    magneto: Callable[[NamedPart], SelfPowered] | None = None
    dimmer: Callable[[NamedPart], PoweredDevice] | None = None


#: a bar only conducts
_BAR = PlaceInNetwork(_none)

#: kind -> what it is in the network; every kind of PART_KINDS is here
PLACES: Mapping[type[p.Part], PlaceInNetwork] = {
    p.Battery: PlaceInNetwork(_none, source=_battery_or_socket),
    p.Alternator: PlaceInNetwork(_generator, source=_alternator),
    p.Regulator: PlaceInNetwork(_regulator),
    p.ExternalPower: PlaceInNetwork(_socket, source=_battery_or_socket),
    p.Bus: _BAR,
    p.GroundBlock: _BAR,
    p.Stud: _BAR,
    p.Splice: _BAR,
    p.Airframe: _BAR,
    p.Breaker: PlaceInNetwork(_protector),
    p.Fuse: PlaceInNetwork(_protector),
    p.Limiter: PlaceInNetwork(_protector),
    p.BreakerSwitch: PlaceInNetwork(_protector),
    p.Switch: PlaceInNetwork(_switch),
    p.Relay: PlaceInNetwork(_electromagnet, coil=_coil),
    p.Contactor: PlaceInNetwork(_electromagnet, coil=_coil),
    p.Diode: PlaceInNetwork(_diode),
    p.Shunt: PlaceInNetwork(_shunt),
    p.Connector: PlaceInNetwork(_connector),
    p.Load: PlaceInNetwork(_load, consumer=_powered),
    p.Instrument: PlaceInNetwork(_instrument, consumer=_powered),
    p.Sensor: PlaceInNetwork(_sensor),
    MechanicalChannel: PlaceInNetwork(_none),
    p.Magneto: PlaceInNetwork(_generator, magneto=_magneto),
    p.Charger: PlaceInNetwork(_none, source=_charger),
    p.Converter: PlaceInNetwork(_none, source=_converter),
    p.FixedResistor: PlaceInNetwork(_resistor),
    p.Potentiometer: PlaceInNetwork(_resistor),
    p.Capacitor: PlaceInNetwork(_none),
    p.Dimmer: PlaceInNetwork(_dimmer, dimmer=_electronics),
}


def place_of(part: p.Part) -> PlaceInNetwork:
    """What a part is in the network. Raises UnknownKind."""
    return entry_of(PLACES, part, "the network")
