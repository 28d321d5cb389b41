"""The network of a design.

A bus, block, stud, splice or airframe is a star of links round a node of its own, so that losing
the bar separates everything on it while one of its terminals is still a place of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.network.battery_strings import in_string, passing, strings
from reviewer.network.bridges import bridging
from reviewer.network.graph import (
    Channel,
    Follower,
    Gate,
    Link,
    Network,
    PoweredDevice,
    Source,
    bare,
    own_battery,
)
from reviewer.network.part_links import NamedPart, place_of
from reviewer.network.regulators import with_leads, with_relay
from reviewer.network.work_count import BUILT_LINK, add_work


def build_network(design: Design) -> Network:
    """The network of a design, whose references must resolve, as those of one that was read do.

    Raises UnknownKind for a kind of part that has no place in a network.
    """
    index: dict[str, int] = {}
    links: list[Link] = []

    def node(name: str) -> int:
        return index.setdefault(name, len(index))

    for name, part in design.parts.items():
        for terminal in part.terminals():
            node(f"{name}.{terminal}")
        links.extend(place_of(part).links(NamedPart(name, part, node)))
    for name, wire in design.wires.items():
        links.append(Link(node(wire.from_), node(wire.to), f"wires/{name}"))
        if wire.shield and len(wire.shield) == 2:
            links.append(Link(node(wire.shield[0]), node(wire.shield[1]), f"wires/{name}", Gate.SHIELD))
        elif wire.shield:
            node(wire.shield[0])
    for name in design.of_kind(p.Alternator):
        lamp = f"{name}.lamp"
        if any(lamp in (wire.from_, wire.to) for wire in design.wires.values()):
            links.append(Link(node(lamp), node(f"{name}.ground"), f"parts/{name}", Gate.DE_ENERGISED))
    for monitor in design.watch.monitors.values():
        if "." in monitor.senses:
            node(monitor.senses)  # a bar may be sensed where no wire is drawn
    for terminal in list(index):
        owner = terminal.partition(".")[0]
        part = design.parts[owner]
        if part.open_ended and "." in terminal and _conducts(design, part):
            links.append(Link(node(owner), index[terminal], f"parts/{owner}"))
    found = strings(design, index, links)
    links.extend(passing(index, found))
    add_work(BUILT_LINK * len(links))
    return _freeze(design, index, links, found)


def _conducts(design: Design, part: p.Part) -> bool:
    return not isinstance(part, p.Airframe) or (part.material or design.aircraft.airframe) == "metal"


def _freeze(design: Design, index: dict[str, int], links: list[Link], found: Mapping[str, str]) -> Network:
    nodes_of = _nodes_of(design, index)
    bundles = {bundle: tuple(f"wires/{n}" for n in names) for bundle, names in design.bundles.items()}
    sources, consumers, coils, magnetos, dimmers = [], [], [], [], []
    for name, part in design.parts.items():
        named, place = NamedPart(name, part, index.__getitem__), place_of(part)
        if place.source:
            source = place.source(named)
            if source.kind == "alternator":
                source = with_leads(design, index.__getitem__, source)
            elif found:
                source = in_string(source, index, found)
            if isinstance(part, p.Battery) and not source.string:
                source = replace(source, at_rest=(part, design.class_of(name)))
            elif isinstance(part, p.Charger | p.Converter | p.ExternalPower):
                source = replace(source, holds=_held(part))
            sources.append(source)
        if place.consumer:
            consumers.append(place.consumer(named))
        if place.coil:
            coils.append(place.coil(named))
        if place.magneto:
            magnetos.append(place.magneto(named))
        if place.dimmer:
            dimmers.append(place.dimmer(named))
    sources = [with_relay(design, links, sources, s, index.__getitem__) for s in sources]
    around: list[list[tuple[int, int, bool]]] = [[] for _ in index]
    across = bridging(links, sources)
    for i, link in enumerate(links):
        if i not in across:
            around[link.a].append((i, link.b, True))
            around[link.b].append((i, link.a, False))
    return Network(
        names=tuple(index),
        index=MappingProxyType(index),
        links=tuple(links),
        around=tuple(map(tuple, around)),
        sources=tuple(sources),
        consumers=tuple(consumers),
        coils=tuple(coils),
        dimmers=tuple(dimmers),
        channels=tuple(_channels(design, index)),
        elements=tuple(nodes_of),
        nodes_of=nodes_of,
        bundles=MappingProxyType(bundles),
        bolts=_bolts(design),
        inside=_inside(design),
        followers=tuple(_followers(design, index, sources, consumers)),
        magnetos=tuple(magnetos),
        commands=tuple(_commands(design, index)),
    )


def _inside(design: Design) -> Mapping[str, tuple[str, ...]]:
    """Unit -> the protective devices inside it, elements."""
    found: dict[str, tuple[str, ...]] = {}
    for name in design.of_kind(p.InsideDevice):
        if unit := design.parts[name].inside:
            found[f"parts/{unit}"] = (*found.get(f"parts/{unit}", ()), f"parts/{name}")
    return MappingProxyType(found)


def _commands(design: Design, index: Mapping[str, int]) -> Iterator[PoweredDevice]:
    """The inputs that command what is inside their unit: one closed to ground lets current of the
    supplies of the unit go there, one closed to supply gets it and gives it to the returns."""
    for name in design.of_kind(p.InsideDevice):
        if terminal := design.parts[name].commanded_by:
            unit = design.parts[design.parts[name].inside]
            supplies = tuple(index[f"{design.parts[name].inside}.{t}"] for t in unit.supplies)
            returns = tuple(index[f"{design.parts[name].inside}.{t}"] for t in unit.returns)
            own, to_ground = (index[terminal],), unit.reads(terminal.partition(".")[2]) == "closed-to-ground"
            plus, minus = (supplies, own) if to_ground else (own, returns)
            yield PoweredDevice(f"parts/{name}", plus, minus)


def _channels(design: Design, index: Mapping[str, int]) -> Iterator[Channel]:
    """The channels of functions that are no loads, each once, and the batteries inside units."""
    tree = design.function_tree
    for name in dict.fromkeys(channel for function in design.functions for channel in tree.others[function]):
        part = design.parts[name]
        if isinstance(part, MechanicalChannel):
            yield Channel(f"parts/{name}", "mechanical", engine=part.driven_by or "")
        elif isinstance(part, p.Bus):
            yield Channel(f"parts/{name}", "bus", index.get(name))
        else:
            yield Channel(f"parts/{name}", "source", index[f"{name}.{part.terminals()[0]}"])
    yield from (Channel(own_battery(f"parts/{n}"), "own battery") for n in _on_own_battery(design))


def _held(part: p.Charger | p.Converter | p.ExternalPower) -> float | None:
    if isinstance(part, p.Charger):
        return part.set_point
    return part.output_voltage if isinstance(part, p.Converter) else part.voltage


def _on_own_battery(design: Design) -> Iterator[str]:
    """The units that work on by themselves for as long as the operation asks for."""
    wanted = design.operation.endurance or 0.0 if design.operation else 0.0
    for name in design.of_kind(p.Consumer):
        if 0 < design.works_on_for(name) >= wanted:
            yield name


def _followers(
    design: Design, index: Mapping[str, int], sources: Sequence[Source], consumers: Sequence[PoweredDevice]
) -> Iterator[Follower]:
    """The switches that what they follow moves. A bus works where some source feeds its bar."""
    devices = {bare(c.element): c for c in consumers}
    negatives = tuple(dict.fromkeys(s.negative for s in sources))
    for name in design.followers:
        followed, moved_to = design.parts[name].follows, design.parts[name].moved_to
        part, element, own = design.parts.get(followed), f"parts/{name}", design.parts[name].ground
        switch = design.part(name, p.Switch)
        volts = {"picks_up": switch.pickup_voltage, "drops_out": switch.dropout_voltage}
        ground = index[f"{name}.{own}"] if own else None
        if isinstance(part, p.Consumer):
            yield Follower(element, moved_to, replace(devices[followed], **volts), ground=ground)
        elif isinstance(part, p.Bus):
            bar = (index[followed],) if followed in index else ()
            bus = PoweredDevice(f"parts/{followed}", bar, negatives, **volts)
            yield Follower(element, moved_to, bus, ground=ground)
        elif isinstance(part, p.Alternator):
            yield Follower(element, moved_to, source=f"parts/{followed}", ground=ground)
        else:
            yield Follower(element, moved_to, ground=ground)


def _bolts(design: Design) -> Mapping[str, tuple[str, ...]]:
    """The terminals of conducting structure that hold two wires or more: each is one bolt.

    A concept says what is grounded to structure, not yet at which bolt.
    """
    held: dict[str, list[str]] = {}
    for name, wire in design.wires.items():
        for terminal in dict.fromkeys((wire.from_, wire.to)):
            part = design.parts[terminal.partition(".")[0]]
            if "." in terminal and isinstance(part, p.Airframe) and _conducts(design, part):
                held.setdefault(terminal, []).append(f"wires/{name}")
    several = {t: tuple(wires) for t, wires in held.items() if len(wires) > 1}
    return MappingProxyType({} if design.aircraft.stage == "concept" else several)


def _nodes_of(design: Design, index: Mapping[str, int]) -> Mapping[str, tuple[int, ...]]:
    """Element -> its nodes: of a part its terminals and its bar, of a wire its two ends."""
    found: dict[str, list[int]] = {f"parts/{name}": [] for name in design.parts}
    for terminal, number in index.items():
        found["parts/" + terminal.partition(".")[0]].append(number)
    for name, wire in design.wires.items():
        found[f"wires/{name}"] = [index[wire.from_], index[wire.to]]
    return MappingProxyType({element: tuple(nodes) for element, nodes in found.items()})
