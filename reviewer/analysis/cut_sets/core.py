"""The core of a network in a state, and its dead ends: where nothing that happens can reach what a function hangs on."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, bare

#: ("chain", chain of the trunk) or ("end", a node of the dead end)
Place = tuple[str, int]


@record
class DeadEnds:
    """``core`` are the trunk nodes between which current can matter, ``chain_of`` gives the chain of each link between them. ``places[node]`` is empty in
    the core, and else the chain that a node is inside, or the dead end that it is on with the chain that this hangs on. ``possible[link]`` is False
    where a switch or a pulled protector holds a link open, whatever relays do."""

    possible: Sequence[bool]
    core: frozenset[int]
    chain_of: Mapping[int, int]
    places: Sequence[frozenset[Place]]

    def reaches_core(self, network: Network, nodes: Iterable[int]) -> bool:
        """Whether a short could take anything of the core, however relays stand and diodes fail: what no protector keeps from it."""
        seen, todo = set(nodes), list(nodes)
        while todo:
            node = todo.pop()
            if node in self.core or any(kind == "chain" for kind, _ in self.places[node]):
                return True
            for i, other, _ in network.around[node]:
                if other not in seen and self.possible[i] and network.links[i].gate is not Gate.PROTECTOR:
                    seen.add(other)
                    todo.append(other)
        return False


def dead_ends(network: Network, state: ResolvedState, loads: Collection[str]) -> DeadEnds:
    """The core for some loads (elements): what lies between them, the coils, the sources and their fields. All else is dead ends."""
    possible = tuple(_possible(network, state, i) for i in range(len(network.links)))
    core, chain_of = _core(network, possible, loads)
    return DeadEnds(possible, frozenset(core), chain_of, _places(network, core, chain_of))


def _core(
    network: Network, possible: Sequence[bool], loads: Collection[str]
) -> tuple[set[int], dict[int, int]]:
    """The trunk nodes that are not on dead ends, and the chains between them: link -> chain."""
    trunk = network.trunk
    wanted = {n for s in network.sources for n in (s.positive, s.negative, s.field) if n is not None}
    wanted |= {
        n
        for c in (*network.coils, *(c for c in network.consumers if c.element in loads))
        for n in (*c.plus, *c.minus)
    }
    live = [all(possible[i] for i, _ in chain.steps) for chain in trunk.chains]
    ways = {n: {way >> 1: other for way, other in trunk.around[n] if live[way >> 1]} for n in trunk.kept}
    todo = [n for n in ways if len(ways[n]) <= 1 and n not in wanted]
    while todo:
        node = todo.pop()
        for c, other in ways.pop(node, {}).items():
            ways[other].pop(c)
            if len(ways[other]) <= 1 and other not in wanted:
                todo.append(other)
    chain_of = {i: c for n in ways for c in ways[n] for i, _ in trunk.chains[c].steps}
    return set(ways), chain_of


def _places(network: Network, core: Collection[int], chain_of: Mapping[int, int]) -> list[frozenset[Place]]:
    """For each node the chain that it is inside, or the dead end that it is on with the chain that it hangs on; empty for nodes of the core."""
    trunk = network.trunk
    places: list[frozenset[Place] | None] = [None] * len(network.names)
    for n in core:
        places[n] = frozenset()
    for c in set(chain_of.values()):
        for n in trunk.chains[c].inner:
            places[n] = frozenset({("chain", c)})
    for start in range(len(places)):
        if places[start] is None:
            members, edge = {start}, {("end", start)}
            todo = [start]
            while todo:
                for _, other, _ in network.around[todo.pop()]:
                    beside = places[other]
                    if beside is not None:
                        edge |= beside
                    elif other not in members:
                        members.add(other)
                        todo.append(other)
            for n in members:
                places[n] = frozenset(edge)
    return [p or frozenset() for p in places]


def _possible(network: Network, state: ResolvedState, i: int) -> bool:
    """Whether a link can conduct as switches and protectors stand, whatever relays do."""
    link = network.links[i]
    name = bare(link.element)
    if link.gate is Gate.PROTECTOR and name in state.pulled:
        return False
    return not link.positions or state.switches.get(name) in link.positions
