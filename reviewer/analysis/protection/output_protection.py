"""Protective devices and diodes that carry all that an alternator gives.

From the output of an alternator the network is followed as far as the first protective devices. A
device carries the whole output where nothing else is fed there, and where without it no battery and
no bus is reached. The fuse of a sense lead at the output is none.
"""

from __future__ import annotations

from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.search import anything_along, reachable


def output_devices(design: Design, network: Network) -> dict[str, tuple[str, ...]]:
    """Protective device -> the alternators whose whole output it carries, all by name."""
    takers = _takers(design, network)
    found: dict[str, tuple[str, ...]] = {}
    for source in network.sources:
        if source.kind == "alternator":
            for device in _carriers(network, source.positive, takers):
                found[device] = (*found.get(device, ()), bare(source.element))
    return found


def outputs_through(design: Design, network: Network, diode: str) -> dict[str, float]:
    """The alternators, by name, whose whole output a diode carries: without it that reaches no battery
    and no bus; with the most that each gives, A, where the file says it."""
    takers = _takers(design, network)
    machines = {bare(s.element): s.positive for s in network.sources if s.kind == "alternator"}
    return {
        name: most
        for name, output in machines.items()
        if (most := design.part(name, p.Alternator).most) is not None
        and takers & _reached_without(network, output, "")
        and not takers & _reached_without(network, output, f"parts/{diode}")
    }


def _takers(design: Design, network: Network) -> set[int]:
    takers = {n for name in design.of_kind(p.Bus) for n in network.nodes_of[f"parts/{name}"]}
    return takers | {s.positive for s in network.sources if s.kind == "battery"}


def _reached_without(network: Network, output: int, element: str) -> set[int]:
    return reachable(
        network, [output], lambda link, leaving: link.element != element and anything_along(link, leaving)
    )


def _carriers(network: Network, output: int, takers: set[int]) -> list[str]:
    """The devices next to an output without which it reaches none of the takers."""
    near = reachable(
        network,
        [output],
        lambda link, leaving: link.gate is not Gate.PROTECTOR and anything_along(link, leaving),
    )
    if near & takers:
        return []
    links = network.links
    edge = {links[i].element for i in network.protectors if links[i].a in near or links[i].b in near}
    if not takers & _reached_without(network, output, ""):
        return []
    cut = (bare(e) for e in edge if not takers & _reached_without(network, output, e))
    return sorted(cut, key=name_order)
