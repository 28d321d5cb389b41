"""How each alternator is regulated: by itself, or by a regulator that is a part of its own.

A regulator passes the current of the field from its supply to its field terminal, as long as its
leads hold. Without its sense lead or its ground it gives full field or none, as the file says.
Where its alternator does not reach what it senses and another source does, it gives full field.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network, NodeOf, PoweredDevice, Source, bare
from reviewer.network.search import anything_along, reachable, reachable_by


def regulator_of(design: Design, alternator: str) -> str:
    """The name of the regulator that is a part of its own and regulates an alternator, by name; ""
    for none."""
    return next((n for n in design.of_kind(p.Regulator) if design.parts[n].regulates == alternator), "")


def has_control(design: Design, alternator: str) -> bool:
    """Whether a wire leads to the control of an alternator of permanent magnets, by name."""
    return any(f"{alternator}.control" in (wire.from_, wire.to) for wire in design.wires.values())


def regulating(design: Design) -> tuple[str, ...]:
    """The parts that regulate an alternator, by name: regulators, and alternators that none regulates."""
    alone = (n for n in design.of_kind(p.Alternator) if not regulator_of(design, n))
    return (*design.of_kind(p.Regulator), *alone)


def regulated_by(design: Design, name: str) -> str:
    """The alternator, by name, that one of :func:`regulating` regulates."""
    part = design.parts[name]
    return part.regulates if isinstance(part, p.Regulator) else name


@record
class Regulation:
    """What holds the voltage of an ``alternator``: the part that has the key ``set-point`` is
    ``owner``.

    ``set_point`` volts are held from the terminal ``plus`` to ``minus``. ``senses`` is the key that
    says where that is, with what it says; None where the file does not. ``trip`` volts, ``"none"``
    or None, and whether the trip is ``built_in``: part of a regulator that is a part of its own.
    """

    alternator: str
    owner: str
    set_point: float | None
    plus: str
    minus: str
    senses: str | None
    trip: float | Literal["none"] | None
    built_in: bool

    @property
    def separate(self) -> bool:
        """Whether the regulator is a part of its own."""
        return self.owner != self.alternator

    @property
    def remote(self) -> bool:
        """Whether it holds the volts elsewhere than at the output of the alternator."""
        return self.plus != f"{self.alternator}.output"


def regulation(design: Design, alternator: str) -> Regulation:
    """How an alternator, by name, is regulated."""
    machine, owner = design.part(alternator, p.Alternator), regulator_of(design, alternator)
    own = machine.overvoltage_trip
    if not owner:
        at = "field" if machine.regulator_senses == "field" and not machine.magnets else "output"
        plus, minus = f"{alternator}.{at}", f"{alternator}.ground"
        senses = machine.regulator_senses
        return Regulation(alternator, alternator, machine.set_point, plus, minus, senses, own, False)
    part = design.part(owner, p.Regulator)
    built_in = own in (None, "none") and part.overvoltage_trip is not None
    trip = part.overvoltage_trip if built_in else own
    plus, minus = f"{owner}.{part.senses}", f"{owner}.ground"
    return Regulation(alternator, owner, part.set_point, plus, minus, part.senses, trip, built_in)


def trip_stops(design: Design, alternator: str) -> bool:
    """Whether the overvoltage trip of an alternator stops it. One that acts on the field does not stop
    permanent magnets without a control, nor a regulator inside."""
    machine = design.part(alternator, p.Alternator)
    own_field = not has_control(design, alternator) if machine.magnets else machine.regulator == "internal"
    idle = machine.trip_acts_on in ("field", "field-short") and own_field
    return isinstance(regulation(design, alternator).trip, float) and not idle


def own_trip(design: Design, alternator: str) -> float | None:
    """The volts at which an overvoltage trip apart from the regulator stops an alternator, by name; None
    where none does, or where it is inside a regulator that is a part of its own."""
    held = regulation(design, alternator)
    stops = not held.built_in and trip_stops(design, alternator)
    return held.trip if stops and isinstance(held.trip, float) else None


def with_leads(design: Design, node: NodeOf, source: Source) -> Source:
    """An alternator's source with the leads of its regulator without which it gives no current, and
    with the regulator that a trip ends.

    A lead counts unless its loss drives the field full on and no trip apart from the regulator
    stops the alternator then. One whose loss the file does not describe counts. Where such a trip is
    there, the alternator must reach what its regulator senses: else that stays low whatever it gives.
    So too where one inside senses the feed of the field. One of permanent magnets has its control for
    a lead, where that is wired, and its capacitor.
    """
    alternator = bare(source.element)
    owner = regulator_of(design, alternator)
    machine = design.part(alternator, p.Alternator)
    if name := machine.smoothing_capacitor:
        plus, minus = (node(f"{name}.{pole}") for pole in p.Capacitor.fixed)
        source = replace(source, smoothing=PoweredDevice(f"parts/{name}", (plus,), (minus,)))
    if not owner and trip_stops(design, alternator):
        source = replace(source, tripped=source.element)
    if has_control(design, alternator):
        control = node(f"{alternator}.control")
        return replace(source, leads=PoweredDevice(source.element, (control,), (source.negative,)))
    if not owner:
        if not source.tripped or not regulation(design, alternator).remote:
            return source
        return replace(
            source,
            leads=PoweredDevice(source.element, (node(f"{alternator}.field"),), (source.negative,)),
            held=True,
        )
    part = design.part(owner, p.Regulator)
    if isinstance(regulation(design, alternator).trip, float):
        source = replace(source, tripped=f"parts/{owner}")
    tripped = isinstance(machine.overvoltage_trip, float)
    if tripped:
        source = _without_leads(source, owner, part, node)
    leads = _needed_leads(source, owner, part, node, tripped)
    if not tripped:
        return source if leads is None else replace(source, leads=leads)
    return replace(
        source, leads=leads, held=True, untripped=_needed_leads(source, owner, part, node, tripped=False)
    )


def _needed_leads(
    source: Source, owner: str, part: p.Regulator, node: NodeOf, tripped: bool
) -> PoweredDevice | None:
    """The leads of a regulator without which its alternator gives nothing, whether a trip apart from it
    stops that, or nothing does."""
    sensed = part.senses == "sense" and (tripped or part.without_sense != "full-field")
    grounded = tripped or part.without_ground != "full-field"
    if not sensed and not grounded:
        return None
    plus = node(f"{owner}.{'sense' if sensed else 'supply'}")
    minus = node(f"{owner}.ground") if grounded else source.negative
    return PoweredDevice(f"parts/{owner}", (plus,), (minus,))


def _without_leads(source: Source, owner: str, part: p.Regulator, node: NodeOf) -> Source:
    """The source with the leads of its regulator whose loss drives its field full on, or turns it off."""
    ground = PoweredDevice(f"parts/{owner}", (node(f"{owner}.supply"),), (node(f"{owner}.ground"),))
    leads = [(part.without_ground, ground)]
    if part.senses == "sense":
        sense = PoweredDevice(f"parts/{owner}", (node(f"{owner}.sense"),), (source.negative,))
        leads.append((part.without_sense, sense))
    full, off = (tuple(lead for does, lead in leads if does == key) for key in ("full-field", "no-output"))
    return replace(source, full_without=full, off_without=off)


def trip_node(network: Network, source: Source, acts_on: str | None) -> int | None:
    """The node that an overvoltage trip shorts or opens: the feed of the field or control, or that of
    the coil of a relay whose contact parts the output. None where there is none."""
    if acts_on != "coil-short":
        return source.excited_at
    near = near_output(network, source)
    parting = {
        link.element
        for link in network.links
        if link.gate is Gate.ENERGISED and (link.a in near) != (link.b in near)
    }
    return next((coil.plus[0] for coil in network.coils if coil.element in parting), None)


def near_output(network: Network, source: Source) -> set[int]:
    """The nodes that no contact of a relay, nor one that a unit commands, parts from an output."""
    contacts = (Gate.ENERGISED, Gate.DE_ENERGISED, Gate.OUTPUT)
    return reachable(
        network,
        [source.positive],
        lambda link, along: anything_along(link, along) and link.gate not in contacts,
    )


def with_relay(
    design: Design, links: Sequence[Link], sources: Sequence[Source], own: Source, node: NodeOf
) -> Source:
    """A source with the overvoltage relay that the file draws for it, and the ground of that."""
    relay = overvoltage_relay(design, links, sources, own)
    if relay is None:
        return own
    name = bare(relay[0])
    ground = design.part(name, p.Switch).ground
    return replace(own, relay=relay, relay_ground=None if ground is None else node(f"{name}.{ground}"))


def overvoltage_relay(
    design: Design, links: Sequence[Link], sources: Sequence[Source], own: Source
) -> tuple[str, str] | None:
    """The switch that is the overvoltage relay of an alternator (an element), with its position after a
    trip: voltage works it, it follows nothing, and in that position nothing feeds the field.

    None where the file draws none: the trip is inside the alternator or regulator then.
    """
    if not own.tripped or own.field is None:
        return None
    feeds = {s.positive for s in sources}
    for name in design.of_kind(p.Switch):
        part, element = design.part(name, p.Switch), f"parts/{name}"
        if part.operated_by != "voltage" or part.follows or len(part.positions) != 2:
            continue
        tripped = next(at for at in part.positions if at != part.at_rest)
        left = [k for k in links if k.element != element or tripped in k.positions]
        if feeds & _metal(own.field, links) and not feeds & _metal(own.field, left):
            return element, tripped
    return None


def _metal(node: int, links: Sequence[Link]) -> set[int]:
    """What a node is joined to with every contact closed."""
    around: dict[int, list[int]] = {}
    for link in links:
        around.setdefault(link.a, []).append(link.b)
        around.setdefault(link.b, []).append(link.a)
    return set(reachable_by([node], lambda n: around.get(n, ())))
