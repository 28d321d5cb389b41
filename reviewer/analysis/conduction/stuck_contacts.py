"""Contacts that are stuck in a state, with what they short to ground.

Welded contacts that join what a source feeds to the negative of that source are a short: the
protective devices around it open. The contact's terminal on the return side is then grounded, as by a short
there: what feeds it up to the next protective devices is in the fault zone, and nothing else at the
relay or switch is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network


def grounding(
    network: Network, state: ResolvedState, healthy: Conduction, stuck: Sequence[Failure]
) -> tuple[Failure, ...]:
    """The failures of contacts in a state, those that short a source with the nodes that they
    ground: terminals of the contacts that in the healthy state are returns and no feed, and that are
    still returns. A change-over contact that leaves its ground takes its common off it."""
    if not stuck:
        return ()
    solved = conduct(network, state, stuck, healthy)
    shorted: dict[int, int] = {}
    ends = {e: _ends(network, e) for e in {f.element for f in stuck}}
    for node in {n for nodes in ends.values() for n in nodes}:
        mask = 0
        for source, fed in solved.fed.items():
            if healthy.returned[source][node] and not healthy.fed[source][node]:
                mask |= fed[node] & solved.returned[source][node]
        shorted[node] = mask & ~solved.unsettled
    return tuple(
        replace(f, nodes=nodes) if (nodes := tuple(n for n in ends[f.element] if shorted[n] >> i & 1)) else f
        for i, f in enumerate(stuck)
    )


def _ends(network: Network, element: str) -> tuple[int, ...]:
    """The nodes at the contacts of a relay or switch; its coil is none of them."""
    links = (network.links[i] for i in network.links_of.get(element, ()))
    return tuple(dict.fromkeys(n for link in links for n in (link.a, link.b)))
