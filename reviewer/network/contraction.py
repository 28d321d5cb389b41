"""The contracted graph of a network: chains drawn as one line, dead ends cut off.

Solving searches the contracted graph alone. A node inside a chain or on a dead end gets its answer
afterwards, from the contracted graph, when somebody asks. Nothing is lost by that: a chain conducts
where all of its links do and none of its inner nodes is blocked. A ring that is joined to nothing
is on neither; no source reaches it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property

from reviewer.model.record import record
from reviewer.network.graph import Network


@record
class Chain:
    """Links in series from contracted node ``a`` to contracted node ``b``.

    ``steps`` are (link index, True where the link is passed from its own a end to its b end),
    ``inner`` the nodes between them.
    """

    a: int
    b: int
    steps: tuple[tuple[int, bool], ...]
    inner: tuple[int, ...]


@record
class ContractedGraph:
    """A network without its chains and dead ends.

    ``around[n]`` lists (2 * chain index, one more where the chain is left by its b end; other node
    kept) and is empty for a node that is not kept. ``inside[n]`` is (chain index, place in
    ``inner``) for a node in a chain. ``pendant[n]`` is (link index, True where the link leads from
    the parent by its a end, parent) for a pendant node, one on a dead end.
    """

    chains: tuple[Chain, ...]
    around: tuple[tuple[tuple[int, int], ...], ...]
    inside: dict[int, tuple[int, int]]
    pendant: dict[int, tuple[int, bool, int]]
    kept: frozenset[int]
    #: link -> the chain it is in
    chain_of: dict[int, int]

    @property
    def nodes(self) -> int:
        """How many nodes the network has."""
        return len(self.around)

    @cached_property
    def leaves(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Those of ``around`` that lead to a node with no other chain, as a terminal of a load has."""
        return self._leading(to_leaves=True)

    @cached_property
    def onward(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """Those of ``around`` that lead to a node with other chains."""
        return self._leading(to_leaves=False)

    def _leading(self, to_leaves: bool) -> tuple[tuple[tuple[int, int], ...], ...]:
        return tuple(
            tuple((c, other) for c, other in ends if (len(self.around[other]) == 1) == to_leaves)
            for ends in self.around
        )

    @cached_property
    def unreached(self) -> tuple[int | None, ...]:
        """By node: 0 where it is kept, else None."""
        return tuple(0 if n in self.kept else None for n in range(self.nodes))


def nodes_to_keep(network: Network) -> frozenset[int]:
    """Nodes at which something is powered, fed or energised.

    They always stay on the contracted graph.
    """
    wanted: set[int] = set()
    for source in network.sources:
        wanted.update(source.nodes)
    for follower in network.followers:
        wanted.update(follower.nodes)
    for consumer in (*network.consumers, *network.acting):
        wanted |= {*consumer.plus, *consumer.minus}
    wanted.update(channel.node for channel in network.channels if channel.node is not None)
    for magneto in network.magnetos:
        wanted |= {magneto.p_lead, magneto.ground}
    return frozenset(wanted)


def contract(network: Network) -> ContractedGraph:
    """The contracted graph of a network."""
    wanted = nodes_to_keep(network)
    around = [
        {i: (other, leaving) for i, other, leaving in steps if other != n}
        for n, steps in enumerate(network.around)
    ]
    pendant = cut_dead_ends(around, wanted)
    kept = {n for n, steps in enumerate(around) if n in wanted or (n not in pendant and len(steps) > 2)}
    chains = chains_between(around, kept)
    inside = {n: (c, place) for c, chain in enumerate(chains) for place, n in enumerate(chain.inner)}
    ends: list[list[tuple[int, int]]] = [[] for _ in around]
    for c, chain in enumerate(chains):
        if chain.a != chain.b:
            ends[chain.a].append((2 * c, chain.b))
            ends[chain.b].append((2 * c + 1, chain.a))
    chain_of = {i: c for c, chain in enumerate(chains) for i, _ in chain.steps}
    return ContractedGraph(tuple(chains), tuple(map(tuple, ends)), inside, pendant, frozenset(kept), chain_of)


def chains_between(around: Sequence[Mapping[int, tuple[int, bool]]], kept: Collection[int]) -> list[Chain]:
    """The chains from one of some nodes to the next; all other nodes that are joined to them have two
    links. ``around[n]`` gives for each link (other node, True where it is left by its a end)."""
    chains: list[Chain] = []
    used: set[int] = set()
    for start in sorted(kept):
        for i in around[start]:
            if i not in used:
                chains.append(_follow(start, i, around, kept, used))
    return chains


def cut_dead_ends(
    around: list[dict[int, tuple[int, bool]]], wanted: Iterable[int]
) -> dict[int, tuple[int, bool, int]]:
    """Take out of ``around``, which is as of :func:`chains_between`, what lies on dead ends with no
    wanted node behind; gives for each such node what :class:`ContractedGraph` has in ``pendant``."""
    pendant: dict[int, tuple[int, bool, int]] = {}
    wanted = set(wanted)
    todo = [n for n, steps in enumerate(around) if len(steps) == 1 and n not in wanted]
    while todo:
        node = todo.pop()
        if node in pendant or len(around[node]) != 1:
            continue
        ((i, (parent, leaving)),) = around[node].items()
        pendant[node] = (i, not leaving, parent)
        del around[parent][i]
        around[node].clear()
        if len(around[parent]) == 1 and parent not in wanted:
            todo.append(parent)
    return pendant


def _follow(
    start: int,
    first: int,
    around: Sequence[Mapping[int, tuple[int, bool]]],
    kept: Collection[int],
    used: set[int],
) -> Chain:
    steps: list[tuple[int, bool]] = []
    inner: list[int] = []
    node, i = start, first
    while True:
        other, leaving = around[node][i]
        used.add(i)
        steps.append((i, leaving))
        if other in kept:
            return Chain(start, other, tuple(steps), tuple(inner))
        inner.append(other)
        node, i = other, next(j for j in around[other] if j != i)
