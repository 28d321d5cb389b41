"""The core of a network in a state: where current can matter to some loads. All else is pendant."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence

from reviewer.analysis.conduction.metal import possible
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import MOVED, Gate, Network

#: ("chain", chain of the contracted graph) or ("end", a node of the pendant part)
Place = tuple[str, int]


@record
class NetworkCore:
    """The nodes and chains of the contracted graph between which current can matter.

    * ``possible[link]`` is False where a switch or a pulled protector holds a link open, whatever
      relays do;
    * ``core`` are the nodes, ``chain_of`` is the chain of each link between them;
    * ``places[node]`` is empty in the core, else the chain that a node is inside, or the pendant
      part that it is on with the chains that this part is joined to;
    * ``lone`` are the pendant parts without a relay contact that are joined to the rest at one node,
      by their place: that node.
    """

    possible: Sequence[bool]
    core: frozenset[int]
    chain_of: Mapping[int, int]
    places: Sequence[frozenset[Place]]
    lone: Mapping[Place, int]

    def reaches_core(self, network: Network, nodes: Iterable[int]) -> bool:
        """Whether no protector is between some nodes and the core, for any relays and diodes."""
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


def network_core(network: Network, state: ResolvedState | None, loads: Collection[str]) -> NetworkCore:
    """The core for some loads (elements): between them, coils, sources and their fields.

    Without a state, the core of all states.
    """
    conducts = tuple(possible(network, state, i) for i in range(len(network.links)))
    core, chain_of = _core(network, conducts, loads)
    return NetworkCore(conducts, frozenset(core), chain_of, *_places(network, core, chain_of))


def _core(
    network: Network, possible: Sequence[bool], loads: Collection[str]
) -> tuple[set[int], dict[int, int]]:
    """The contracted nodes that are not pendant, and link -> chain for those between them."""
    contracted = network.contracted
    wanted = _wanted(network, loads)
    conducting = [all(possible[i] for i, _ in chain.steps) for chain in contracted.chains]
    #: node -> chain -> the node at its other end
    edges = {
        n: {edge >> 1: other for edge, other in contracted.around[n] if conducting[edge >> 1]}
        for n in contracted.kept
    }
    todo = [n for n in edges if len(edges[n]) <= 1 and n not in wanted]
    while todo:
        node = todo.pop()
        for chain, other in edges.pop(node, {}).items():
            edges[other].pop(chain)
            if len(edges[other]) <= 1 and other not in wanted:
                todo.append(other)
    chain_of = {i: c for n in edges for c in edges[n] for i, _ in contracted.chains[c].steps}
    return set(edges), chain_of


def _wanted(network: Network, loads: Collection[str]) -> set[int]:
    """The terminals of the sources, of their fields, of the coils and of some loads."""
    consumers = (*network.drivers, *(c for c in network.consumers if c.element in loads))
    wanted = {n for s in network.sources for n in s.nodes}
    wanted |= {c.node for c in network.channels if c.node is not None and c.element in loads}
    wanted |= {n for m in network.magnetos for n in (m.p_lead, m.ground)}
    wanted |= {n for f in network.followers for n in f.nodes}
    return wanted | {n for c in consumers for n in (*c.plus, *c.minus)}


def _places(
    network: Network, core: Collection[int], chain_of: Mapping[int, int]
) -> tuple[list[frozenset[Place]], dict[Place, int]]:
    """The places of each node and the lone pendant parts, see :class:`NetworkCore`."""
    lone: dict[Place, int] = {}
    places: list[frozenset[Place] | None] = [None] * len(network.names)
    for n in core:
        places[n] = frozenset()
    for c in set(chain_of.values()):
        for n in network.contracted.chains[c].inner:
            places[n] = frozenset({("chain", c)})
    for start in range(len(places)):
        if places[start] is None:
            members, ends, relayed = _pendant_part(network, start, places)
            joined = frozenset({("end", start)}).union(*(places[n] or () for n in ends))
            for n in members:
                places[n] = joined
            if len(ends) == 1 and not relayed:
                lone["end", start] = next(iter(ends))
    return [p or frozenset() for p in places], lone


def _pendant_part(
    network: Network, start: int, places: Sequence[frozenset[Place] | None]
) -> tuple[set[int], set[int], bool]:
    """The nodes without a place joined to one, the nodes next to them, and whether there is a
    contact of a relay on the part."""
    members, ends, relayed = {start}, set[int](), False
    todo = [start]
    while todo:
        for i, other, _ in network.around[todo.pop()]:
            relayed = relayed or network.links[i].gate in MOVED or bool(network.links[i].unit)
            if places[other] is not None:
                ends.add(other)
            elif other not in members:
                members.add(other)
                todo.append(other)
    return members, ends, relayed
