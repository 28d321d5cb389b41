"""The conductors that return the current of one load and of nothing else."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from reviewer.network.graph import Network


def own_returns(network: Network) -> frozenset[str]:
    """The elements by which the return of one load alone leads away, whatever is switched.

    Where one opens, the load is off and the conductors up to it lead nowhere: no current that goes
    through the load finds another path there, and nothing else loses its return. Of a load with
    several supplies, whose inputs are joined inside, none is listed. Found once for a network.
    """
    if "own returns" not in network.searched:
        network.searched["own returns"] = _own_returns(network)
    return network.searched["own returns"]


def _own_returns(network: Network) -> frozenset[str]:
    used = Counter(_terminals(network))
    found: set[str] = set()
    for user in network.consumers:
        if len(user.plus) != 1 or len(user.minus) != 1 or used[user.minus[0]] != 1:
            continue
        node, came = user.minus[0], -1
        while came < 0 or not used[node]:
            onward = [(i, other) for i, other, _ in network.around[node] if i != came]
            if len(onward) != 1:
                break
            came, node = onward[0]
            element = network.links[came].element
            if len(network.links_of[element]) == 1:
                found.add(element)
    return frozenset(found)


def _terminals(network: Network) -> Iterator[int]:
    """The nodes of all that takes or gives current or asks what is joined, one for each terminal."""
    for user in (*network.consumers, *network.coils):
        yield from (*user.plus, *user.minus)
    for source in network.sources:
        yield from (*source.nodes, source.minus)
    for magneto in network.magnetos:
        yield from (magneto.p_lead, magneto.ground)
    for follower in network.followers:
        if follower.device is not None:
            yield from (*follower.device.plus, *follower.device.minus)
