"""Protective devices that carry all that an alternator gives.

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
    takers = {n for name in design.of_kind(p.Bus) for n in network.nodes_of[f"parts/{name}"]}
    takers |= {s.positive for s in network.sources if s.kind == "battery"}
    found: dict[str, tuple[str, ...]] = {}
    for source in network.sources:
        if source.kind == "alternator":
            for device in _carriers(network, source.positive, takers):
                found[device] = (*found.get(device, ()), bare(source.element))
    return found


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

    def without(element: str) -> set[int]:
        return reachable(
            network,
            [output],
            lambda link, leaving: link.element != element and anything_along(link, leaving),
        )

    if not takers & without(""):
        return []
    return sorted((bare(element) for element in edge if not takers & without(element)), key=name_order)
