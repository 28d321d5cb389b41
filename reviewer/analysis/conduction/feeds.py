"""How the ends of wires are fed: which sources reach an end with no protector between, and which protectors stand between it and a source.

Each end of each wire in each state is a lane in which the wire is taken away and the end is shorted: the zone of the short is what reaches it
unprotected, and the protectors that carry current into the zone are those that protect it from that end.
"""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.conduction.fixed_point import link_masks
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.propagation import Spreader, zone_of
from reviewer.analysis.conduction.scenarios import lanes_of_states, mask_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.network.graph import Network

Feeding = tuple[tuple[str, ...], tuple[str, ...]]


def feeding_of(
    network: Network, answers: Sequence[StateAnswer], ends: Sequence[tuple[int, str]]
) -> list[list[Feeding]]:
    """For each state and each (node, element): the sources that reach the node unprotected and the protectors it has, the element taken away.

    Protectors are told only where a source stands behind them outside the zone. A node that nothing feeds in a state has neither.
    """
    count = len(ends)
    if not count or not answers:
        return [[] for _ in answers]
    width = len(answers) * count
    block = (1 << count) - 1
    repeat = mask_of((s * count for s in range(len(answers))), width)
    known: dict[int, int] = {}

    def widened(states: int) -> int:
        if states not in known:
            known[states] = sum(block << s * count for s in range(len(answers)) if states >> s & 1)
        return known[states]

    lanes = lanes_of_states(network, [a.state for a in answers])
    energised = {
        c.element: sum(a.healthy.energised[c.element] << s for s, a in enumerate(answers))
        for c in network.coils
    }
    along, against = ([widened(mask) for mask in masks] for masks in link_masks(lanes, energised))
    here: dict[int, list[int]] = {}
    without: dict[str, list[int]] = {}
    for e, (node, element) in enumerate(ends):
        here.setdefault(node, []).append(e)
        without.setdefault(element, []).append(e)
    for element, own in without.items():
        for i in network.links_of.get(element, ()):
            gone = ~(mask_of(own, count) * repeat)
            along[i] &= gone
            against[i] &= gone
    shorted = {}
    for node, at in here.items():
        live = sum(a.healthy.live(node) << s for s, a in enumerate(answers))
        if live:
            shorted[node] = mask_of(at, count) * repeat & widened(live)
    zone = [0] * len(network.names)
    never = [0] * len(network.links)
    for node, mask in zone_of(
        network, shorted, along, against, network.protectors, (1 << width) - 1, (never, never)
    ).items():
        zone[node] = mask
    spreader = Spreader(network.trunk, along, against, zone)
    fed = [0] * len(network.names)
    near = {
        n
        for i in network.protectors
        for n in (network.links[i].a, network.links[i].b)
        if zone[network.links[i].a] | zone[network.links[i].b]
    }
    sources: list[list[str]] = [[] for _ in range(width)]
    for source in network.sources:
        alive = widened(sum(a.healthy.alive[source.element] << s for s, a in enumerate(answers)))
        for lane in bits(alive & zone[source.positive]):
            sources[lane].append(source.element)
        reach = spreader.from_node(source.positive, alive & ~zone[source.positive])
        for node in near:
            fed[node] |= reach[node]
    protectors: list[list[str]] = [[] for _ in range(width)]
    for i in sorted(network.protectors):
        a, b = network.links[i].a, network.links[i].b
        into = along[i] & (zone[a] & ~zone[b] & fed[b] | zone[b] & ~zone[a] & fed[a])
        for lane in bits(into):
            protectors[lane].append(network.links[i].element)
    return [
        [(tuple(sources[k]), tuple(protectors[k])) for k in range(s * count, (s + 1) * count)]
        for s in range(len(answers))
    ]
