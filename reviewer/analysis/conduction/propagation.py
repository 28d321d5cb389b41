"""Propagation: in which lanes current that enters at one node reaches each other node."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sequence
from operator import or_
from types import MappingProxyType
from typing import Any

from reviewer.analysis.conduction.masks import LanePicker
from reviewer.network.contraction import Chain, ContractedGraph
from reviewer.network.graph import Network

#: links -> no lane of any
NEVER: Mapping[int, int] = MappingProxyType({})


class Reached(Sequence[int]):
    """For each node, the lanes in which it is reached.

    Nodes off the contracted graph are worked out when they are first asked for. It is never changed
    after that.
    """

    __slots__ = ("_against", "_along", "_blocked", "_contracted", "_known")

    def __init__(
        self,
        contracted: ContractedGraph,
        known: list[Any],
        along: Sequence[int],
        against: Sequence[int],
        blocked: Sequence[int] | None,
    ):
        self._contracted, self._known = contracted, known
        self._along, self._against, self._blocked = along, against, blocked

    def __len__(self) -> int:
        return len(self._known)

    def __iter__(self) -> Iterator[int]:
        for node, known in enumerate(self._known):
            if known is None:
                self[node]  # is known then
        return iter(self._known)

    def __getitem__(self, node):
        known = self._known[node]
        if known is None:
            known = self._known[node] = self._off_trunk(node)
        return known

    @property
    def kept(self) -> Sequence[int]:
        """The same, to be asked for nodes of the contracted graph alone."""
        return self._known

    @property
    def conducting(self) -> tuple[Sequence[int], Sequence[int], Sequence[int] | None]:
        """The lanes in which each link conducts from a to b, in which it conducts from b to a, and
        in which each node is not entered (or None)."""
        return self._along, self._against, self._blocked

    def keep(self, before: Reached, changed: int) -> None:
        """Add what was reached before, except in the lanes that changed.

        For :class:`Propagator` only.
        """
        known: Any = self._known
        was: Any = before._known
        for node in self._contracted.kept:
            if then := was[node]:
                again = then & changed
                # most are reached as before: their lanes are not written out again
                known[node] = then if again == known[node] else (then ^ again) | known[node]

    def _shut(self, node: int) -> int:
        return self._blocked[node] if self._blocked is not None else 0

    def _off_trunk(self, node: int) -> int:
        pendant = self._contracted.pendant.get(node)
        if pendant:
            i, leaving, parent = pendant
            return self[parent] & (self._along if leaving else self._against)[i] & ~self._shut(node)
        place = self._contracted.inside.get(node)
        return 0 if place is None else self._inside(self._contracted.chains[place[0]], place[1])

    def _inside(self, chain: Chain, place: int) -> int:
        """The lanes in which an inner node of a chain is reached, from either end; the others of the
        chain are noted with it."""
        along, against, blocked, known = self._along, self._against, self._blocked, self._known
        mask = known[chain.a] or 0
        for (i, leaving), node in zip(chain.steps, chain.inner, strict=False):
            if mask:
                mask &= along[i] if leaving else against[i]
                if blocked is not None and blocked[node]:
                    mask &= ~blocked[node]
            known[node] = mask
        mask = known[chain.b] or 0
        for (i, leaving), node in zip(reversed(chain.steps), reversed(chain.inner), strict=False):
            if not mask:
                break
            mask &= against[i] if leaving else along[i]
            if blocked is not None and blocked[node]:
                mask &= ~blocked[node]
            known[node] |= mask
        return known[chain.inner[place]]


class AnyOf(Sequence[int]):
    """For each node, the lanes in which any of several sources reaches it."""

    __slots__ = ("_every", "_known", "_reaches")

    def __init__(self, reaches: tuple[Sequence[int], ...]):
        self._reaches = reaches
        self._known: dict[int, int] = {}
        self._every: list[int] | None = None

    def __len__(self) -> int:
        return len(self._reaches[0]) if self._reaches else 0

    def __iter__(self) -> Iterator[int]:
        if self._every is None:
            first, *others = self._reaches or ((),)
            self._every = list(first)
            for reach in others:
                self._every = list(map(or_, self._every, reach))
        return iter(self._every)

    def __getitem__(self, node):
        known = self._known.get(node)
        if known is None:
            known = 0
            for reach in self._reaches:
                known |= reach[node]
            self._known[node] = known
        return known


class EitherOf(Sequence[int]):
    """For each node, the lanes in which it is reached, or is in a mask of its own."""

    __slots__ = ("_own", "_reach")

    def __init__(self, reach: Sequence[int], own: Sequence[int]):
        self._reach, self._own = reach, own

    def __len__(self) -> int:
        return len(self._reach)

    def __getitem__(self, node):
        return self._reach[node] | self._own[node]


class OneLane(Sequence[int]):
    """For each node, 1 where it is reached in one ``lane`` of ``many``."""

    __slots__ = ("lane", "many")

    def __init__(self, many: Sequence[int], lane: int):
        self.many, self.lane = many, lane

    def __len__(self) -> int:
        return len(self.many)

    def __iter__(self) -> Iterator[int]:
        lane = self.lane
        return iter([mask >> lane & 1 for mask in self.many])

    def __getitem__(self, node):
        return self.many[node] >> self.lane & 1


class SomeLanes(Sequence[int]):
    """For each node, the mask of some lanes of many, renumbered in their order."""

    __slots__ = ("_known", "_many", "_picker")

    def __init__(self, many: Sequence[int], picker: LanePicker):
        self._many, self._picker = many, picker
        self._known: dict[int, int] = {}

    def __len__(self) -> int:
        return len(self._many)

    def __getitem__(self, node):
        known = self._known.get(node)
        if known is None:
            known = self._known[node] = self._picker.pick(self._many[node])
        return known


def chain_masks(
    contracted: ContractedGraph,
    along: Sequence[int],
    against: Sequence[int],
    before: Sequence[int] = (),
    moved: Iterable[int] = (),
) -> list[int]:
    """Two masks for each chain: the lanes in which all of its links conduct from its a end, and from
    its b end. ``before`` are those of links that differ only in the ``moved`` ones."""
    masks, chains = list(before), contracted.chains
    which: Iterable[int] = range(len(chains))
    if masks:
        which = {contracted.chain_of[i] for i in moved if i in contracted.chain_of}
    else:
        masks = [0] * (2 * len(chains))
    for c in which:
        out = back = -1
        for i, leaving in chains[c].steps:
            if leaving:
                out &= along[i]
                back &= against[i]
            else:
                out &= against[i]
                back &= along[i]
        masks[2 * c], masks[2 * c + 1] = out, back
    return masks


def turned(chains: Sequence[int]) -> list[int]:
    """The masks of :func:`chain_masks` for links that conduct the other way round."""
    masks = list(chains)
    masks[::2], masks[1::2] = chains[1::2], chains[::2]
    return masks


def ends_at(contracted: ContractedGraph, reached: Sequence[int]) -> list[int]:
    """``blocked`` of a :class:`Propagator` for current that starts at no node that is ``reached`` by the
    same links, and ends where it meets one; to be asked for nodes of the contracted graph alone.

    A node inside a chain is reached by way of one end of it, which is reached then too, so that
    current ends there, or does not leave from there.
    """
    blocked = [0] * contracted.nodes
    for node in contracted.kept:
        blocked[node] = reached[node]
    return blocked


class Propagator:
    """Propagates current over the contracted graph.

    ``along`` and ``against`` are the lanes in which each link conducts from a to b and from b to a;
    ``blocked`` those in which each node is not entered, or None. ``chains`` are the masks of
    :func:`chain_masks`, where these are known. ``before`` is a propagator that differs only in the
    links ``moved``; it is used where its ``blocked`` is the same list.
    """

    def __init__(
        self,
        contracted: ContractedGraph,
        along: Sequence[int],
        against: Sequence[int],
        blocked: Sequence[int] | None,
        chains: list[int] | None = None,
        before: Propagator | None = None,
        moved: Iterable[int] = (),
    ):
        self.contracted, self.along, self.against, self.blocked = contracted, along, against, blocked
        chains = chain_masks(contracted, along, against) if chains is None else chains
        #: two masks for each chain: lanes in which it conducts from its a end into the node at its b end,
        #: and the other way
        self.masks = chains if blocked is None else list(chains)
        if blocked is not None and before is not None and before.blocked is blocked:
            self.masks = list(before.masks)
            for c in {contracted.chain_of[i] for i in moved if i in contracted.chain_of}:
                self._shut(c, chains[2 * c], chains[2 * c + 1])
        elif blocked is not None:
            for node, shut in enumerate(blocked):
                if shut:
                    self._close(node, ~shut)

    def _close(self, node: int, open_: int) -> None:
        """Let current into a node in some lanes only."""
        masks, place = self.masks, self.contracted.inside.get(node)
        if place is None:
            for c, _ in self.contracted.around[node]:
                masks[c ^ 1] &= open_  # a chain is entered there by its other mask
        else:
            masks[2 * place[0]] &= open_
            masks[2 * place[0] + 1] &= open_

    def _shut(self, c: int, out: int, back: int) -> None:
        """Take new masks of a chain, less where its nodes are blocked."""
        assert self.blocked is not None
        chain, blocked = self.contracted.chains[c], self.blocked
        for node in chain.inner:
            if blocked[node]:
                out &= ~blocked[node]
                back &= ~blocked[node]
        self.masks[2 * c], self.masks[2 * c + 1] = out & ~blocked[chain.b], back & ~blocked[chain.a]

    def update(self, start: int, mask: int, changed: int, before: Reached | None) -> Reached:
        """:meth:`from_node`, taking lanes that are not ``changed`` from ``before``."""
        if before is None:
            return self.from_node(start, mask)
        after = self.from_node(start, mask & changed)
        after.keep(before, changed)
        return after

    def from_node(self, start: int, mask: int) -> Reached:
        """Where current that enters at one node of the contracted graph reaches, in some lanes."""
        reach: list[Any] = list(self.contracted.unreached)
        if mask:
            reach[start] = mask
            todo = deque([start])
            #: node -> its new lanes, and the chain by which all of them came, by its mask back, or -1
            fresh = {start: (mask, -1)}
            masks, contracted = self.masks, self.contracted
            onward, leaves = contracted.onward, contracted.leaves
            while todo:
                node = todo.popleft()
                mask, came = fresh.pop(node)
                for c, other in leaves[node]:  # nothing leads on from there
                    new = mask & masks[c]
                    if new:
                        reach[other] |= new
                for c, other in onward[node]:
                    if c == came:
                        continue  # there they are already
                    new = mask & masks[c]
                    known = reach[other]
                    if known and new:
                        new ^= new & known
                    if new:
                        reach[other] = known | new if known else new
                        if other in fresh:
                            fresh[other] = (fresh[other][0] | new, -1)
                        else:
                            fresh[other] = (new, c ^ 1)
                            todo.append(other)
        return Reached(self.contracted, reach, self.along, self.against, self.blocked)


def zone_of(
    network: Network,
    grounded: Mapping[int, int],
    along: Sequence[int],
    against: Sequence[int],
    protectors: frozenset[int],
    unusual: int,
    usual: tuple[Sequence[bool], Sequence[bool]],
    passed: Mapping[int, int] = NEVER,
) -> dict[int, int]:
    """The fault zone: for each of its nodes, the lanes in which current could flow from it into a
    grounded node without passing one of some protectors.

    In all lanes but the ``unusual`` ones every link conducts as ``usual`` says, (from a to b, from
    b to a). These lanes are answered together, one group of joined nodes at a time; the others by a
    search from each grounded node. ``passed`` has, by protector, those of the unusual lanes in
    which it does not stop the current.
    """
    forward, backward = usual
    group: dict[int, int] = {}
    masks: dict[int, int] = {}
    for start, mask in grounded.items():
        if start not in group:
            _join_group(network, start, forward, backward, protectors, group)
        masks[group[start]] = masks.get(group[start], 0) | mask & ~unusual
    zone = {node: mask for node, g in group.items() if (mask := masks[g])}
    # only what conducts one way leads from one group to another
    every_lane = [-1 if a else 0 for a in forward], [-1 if b else 0 for b in backward]
    ends = {network.links[i].b for i in network.one_way}
    fresh = {node: zone[node] for node in ends if node in zone}
    _upstream(network, fresh, zone, *every_lane, protectors, NEVER)
    rest = {node: mask & unusual for node, mask in grounded.items() if mask & unusual}
    for node, mask in rest.items():
        zone[node] = zone.get(node, 0) | mask
    _upstream(network, rest, zone, along, against, protectors, passed)
    return zone


def _join_group(
    network: Network,
    start: int,
    forward: Sequence[bool],
    backward: Sequence[bool],
    protectors: frozenset[int],
    group: dict[int, int],
) -> None:
    """Enter into ``group`` all nodes that conduct to and from a node with no protector between."""
    group[start] = start
    todo = [start]
    while todo:
        for i, other, _ in network.around[todo.pop()]:
            if other not in group and forward[i] and backward[i] and i not in protectors:
                group[other] = start
                todo.append(other)


def _upstream(
    network: Network,
    fresh: dict[int, int],
    zone: dict[int, int],
    along: Sequence[int],
    against: Sequence[int],
    protectors: frozenset[int],
    passed: Mapping[int, int],
) -> None:
    """Extend a zone by all nodes from which current can flow into the ``fresh`` ones."""
    todo = deque(fresh)
    while todo:
        node = todo.popleft()
        mask = fresh.pop(node)
        for i, other, leaving in network.around[node]:
            # against the current: from the other end into this one
            new = mask & (against[i] if leaving else along[i])
            if new and i in protectors:
                new &= passed.get(i, 0)
            if new:
                new ^= new & zone.get(other, 0)
                if new:
                    zone[other] = zone.get(other, 0) | new
                    if other in fresh:
                        fresh[other] |= new
                    else:
                        fresh[other] = new
                        todo.append(other)
