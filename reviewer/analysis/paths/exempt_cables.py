"""Battery and starter cables, which are customarily exempt from circuit protection.

They are computed, not named. Exempt are the power cables of the starting circuit, from a battery
through contactors, relays, battery switches, shunts, connectors, studs and current limiters to the
starter, and its returns; those from an external power socket behind a contactor of its own, also to
the bar at which the starter's cables begin; and a battery's cable as far as the first main contact
of a contactor, which a relay that starts nothing is not. A relay that no battery picks up by itself
passes no start. Nothing else that feeds a bus, a coil or a switch is exempt.
"""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.voltage_sensing import voltage_sensing
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.biconnected import BlockTree
from reviewer.network.graph import Gate, Link, Network, Source, bare
from reviewer.network.search import narrowed, reachable

#: what a battery cable may pass on its way to the first contactor
_IN_A_CABLE = (p.Shunt, p.Connector, p.Stud, p.Splice)
#: what the power cables of a starter may pass besides
_TO_THE_STARTER = (*_IN_A_CABLE, p.Electromagnet, p.Switch, p.Limiter)
#: what the returns of a starter may pass besides
_FROM_THE_STARTER = (*_IN_A_CABLE, p.Electromagnet, p.Switch, p.GroundBlock, p.Airframe)


def exempt_wires(design: Design, network: Network) -> frozenset[str]:
    """Wires that are customarily exempt from protection, in every state."""
    cables = _starter_cables(design, network, _TO_THE_STARTER)
    return frozenset((*cables, *_battery_cables(design, network)))


def starting_cables(design: Design, network: Network) -> frozenset[str]:
    """The power cables of the starters from their batteries, by way of buses too, and their returns: a
    protective device in them passes the current of a start, whatever their size allows."""
    return frozenset(_starter_cables(design, network, (*_TO_THE_STARTER, p.Bus)))


def _starter_cables(design: Design, network: Network, passing: tuple[type[p.Part], ...]) -> Iterator[str]:
    """The power cables of the starters through parts of some kinds, and their returns."""
    starters = design.starters
    if not starters:
        return
    charged = {element for element, _, _, _ in voltage_sensing(network)}
    supply = narrowed(network, lambda link: link.element not in charged and _joins(design, link, passing))
    returns = narrowed(
        network, lambda link: bare(link.element) in starters or _joins(design, link, _FROM_THE_STARTER)
    )
    supply_tree, return_tree = BlockTree(supply), BlockTree(returns)
    for name in starters:
        part = design.part(name, p.Load)
        for node in (network.node(f"{name}.{t}") for t in part.supplies):
            near = reachable(supply, [node], _anything)
            batteries = [s for s in network.sources if s.kind == "battery" and s.positive in near]
            buses = [] if batteries else _buses(design, network, near)
            for start in [s.positive for s in batteries] or buses:
                yield from _cables(design, network, supply_tree, start, node)
            ends = {node, *(n for bus in buses for n in network.nodes_of[f"parts/{_part_of(network, bus)}"])}
            for socket in _switched_sockets(design, network, supply):
                for end in sorted(ends & reachable(supply, [socket.positive], _anything)):
                    yield from _cables(design, network, supply_tree, socket.positive, end)
            for back in (network.node(f"{name}.{t}") for t in part.returns):
                for battery in batteries:
                    yield from _cables(design, network, return_tree, back, battery.negative)


def _switched_sockets(design: Design, network: Network, supply: Network) -> list[Source]:
    """The external power sockets from which a contactor parts every bus, load and other source."""
    still = narrowed(supply, lambda link: not isinstance(design.parts.get(bare(link.element)), p.Contactor))
    ends = {n for c in network.consumers for n in c.inlets} | {s.positive for s in network.sources}
    ends |= {n for name in design.of_kind(p.Bus) for n in network.nodes_of[f"parts/{name}"]}
    return [
        s
        for s in network.sources
        if s.kind == "external-power"
        and reachable(still, [s.positive], _anything).isdisjoint(ends - {s.positive})
    ]


def _part_of(network: Network, node: int) -> str:
    return network.names[node].partition(".")[0]


def _buses(design: Design, network: Network, near: set[int]) -> list[int]:
    """The buses among some nodes: where no battery is near, the cables of a starter start there."""
    buses = {n for name in design.of_kind(p.Bus) for n in network.nodes_of[f"parts/{name}"]}
    return sorted(buses & near)


def _battery_cables(design: Design, network: Network) -> Iterator[str]:
    """The cables from the batteries to the first main contact of a contactor, and between those in
    series."""
    within = narrowed(network, lambda link: _joins(design, link, _IN_A_CABLE))
    contacts = _main_contacts(design, network)
    joints = BlockTree(within) if any(s.string for s in network.sources) else None
    for source in network.sources:
        if source.kind != "battery":
            continue
        if joints is not None and source.stands_on_another:
            for other in (s for s in network.sources if s.element in source.string and s is not source):
                if other.positive in reachable(within, [source.minus], _anything):
                    yield from _cables(design, network, joints, other.positive, source.minus)
        for contact in sorted(contacts & reachable(within, [source.positive], _anything)):
            # the path ends at the first contactor: it passes the terminal of no other
            tree = BlockTree(_without(within, contacts - {contact, source.positive}))
            yield from _cables(design, network, tree, source.positive, contact)


def _main_contacts(design: Design, network: Network) -> set[int]:
    """The terminals of the main contacts of contactors.

    The main contacts are those that the thickest wires of the contactor lead to; all of them where
    no gauge is given. An auxiliary contact is wired with less.
    """
    thickness: dict[int, float] = {}
    for wire in design.wires.values():
        for end in (network.node(wire.from_), network.node(wire.to)):
            area = wire.gauge.area_mm2 if wire.gauge else 0.0
            thickness[end] = max(thickness.get(end, 0.0), area)
    found = set()
    for name in design.of_kind(p.Contactor):
        contacts = []
        for contact in design.part(name, p.Contactor).contacts.values():
            contacts.append({network.node(f"{name}.{end}") for end in contact.terminals})
        thickest = max((thickness.get(n, 0.0) for nodes in contacts for n in nodes), default=0.0)
        for nodes in contacts:
            if any(thickness.get(n, 0.0) >= thickest for n in nodes):
                found |= nodes
    return found


def _cables(design: Design, network: Network, tree: BlockTree, start: int, end: int) -> Iterator[str]:
    """Wires on a simple path between two nodes, without those that a thicker one runs beside.

    A thin wire in parallel with a cable is no cable.
    """
    for block in tree.blocks_between((start, end)):
        wires = {e for i in block if (e := network.links[i].element).startswith("wires/")}
        gauges = {w: design.wires[bare(w)].gauge for w in wires}
        thickest = max((g.area_mm2 for g in gauges.values() if g is not None), default=0.0)
        yield from (w for w, g in gauges.items() if g is None or g.area_mm2 >= thickest)


def _joins(design: Design, link: Link, kinds: tuple[type[p.Part], ...]) -> bool:
    """Whether a link is a wire, or in a part of some kinds."""
    if link.element.startswith("wires/"):
        return link.gate is not Gate.SHIELD
    return isinstance(design.parts[bare(link.element)], kinds)


def _anything(link: Link, leaving: bool) -> bool:
    """Lets every link of a narrowed network through."""
    return True


def _without(network: Network, nodes: set[int]) -> Network:
    """A network without the links at some nodes."""
    return narrowed(network, lambda link: link.a not in nodes and link.b not in nodes)
