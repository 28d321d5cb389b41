"""A bound before any move is tried: the loads that no move can power again, as their own wire, breaker
or return is what failed.

All switches, relays and breakers are closed, every source gives, and current passes every diode both ways;
only what is open is gone, and what is shorted to ground by conductors that nothing opens. Where no way from
a source is left even then, no move makes one.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Mapping, Sequence

from reviewer.analysis.conduction.masks import join, served
from reviewer.analysis.conduction.propagation import EitherOf, Propagator
from reviewer.analysis.conduction.scenarios import Case, Lanes, lanes_of_cases
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network


def may_work(network: Network, state: ResolvedState, cases: Sequence[Case]) -> Mapping[str, int]:
    """By element, the lanes in which some moves might power it after each of some cases, a lane each;
    of what is no load all of them."""
    lanes = lanes_of_cases(network, state, cases)
    conducts, every = [lanes.every] * len(network.links), lanes.every
    for element, mask in lanes.opened.items():
        for i in network.parting(element):
            conducts[i] &= ~mask
    dead = _dead(network, lanes, conducts)
    feeds = Propagator(network.contracted, conducts, conducts, dead if lanes.grounded else None)
    returns = Propagator(network.contracted, conducts, conducts, None)
    # through a short too, wherever it is
    shorted = [join(dead)] * len(dead)
    reached = [
        (
            feeds.from_node(s.positive, every & ~dead[s.positive] & ~lanes.opened.get(s.element, 0)),
            EitherOf(returns.from_node(s.negative, every), shorted),
        )
        for s in network.sources
    ]
    found = dict.fromkeys(network.working, every)
    for user in network.consumers:
        left = join(served(user, fed, returned) for fed, returned in reached)
        found[user.element] = left & ~lanes.opened.get(user.element, 0)
    return found


def _dead(network: Network, lanes: Lanes, conducts: Sequence[int]) -> list[int]:
    """By node, the lanes in which it is at a short, or joined to one by conductors alone."""
    opening = {i for i, *_ in (*network.switched, *network.commanded, *network.relayed)}
    opening.update(network.plugged, network.one_way, network.protectors)
    dead = [0] * len(network.names)
    for at in lanes.grounded.values():
        for node, mask in at.items():
            dead[node] |= mask
    todo = deque(node for node, mask in enumerate(dead) if mask)
    while todo:
        node = todo.popleft()
        for i, other, _ in network.around[node]:
            if i not in opening and dead[node] & conducts[i] & ~dead[other]:
                dead[other] |= dead[node] & conducts[i]
                todo.append(other)
    return dead
