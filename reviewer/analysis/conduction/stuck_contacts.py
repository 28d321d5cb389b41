"""Contacts that are stuck in a state, with what they short to ground.

Welded contacts that join what a source feeds to the negative of that source are a short: the
protective devices around it open. The nodes at the contacts are then grounded, as by a short there.
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
    ground."""
    if not stuck:
        return ()
    solved = conduct(network, state, stuck, healthy)
    shorted: dict[int, int] = {}
    for node in {n for f in stuck for n in network.nodes_of[f.element]}:
        mask = 0
        for source, fed in solved.fed.items():
            if not (healthy.fed[source][node] and healthy.returned[source][node]):
                mask |= fed[node] & solved.returned[source][node]
        shorted[node] = mask & ~solved.unsettled
    return tuple(
        replace(f, nodes=nodes)
        if (nodes := tuple(n for n in network.nodes_of[f.element] if shorted[n] >> i & 1))
        else f
        for i, f in enumerate(stuck)
    )
