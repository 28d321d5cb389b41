"""Spreading: the lanes in which current that enters at some nodes reaches each node of a network."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from reviewer.network.contraction import Chain, Trunk
from reviewer.network.graph import Network


class Reached(Sequence[int]):
    """For each node, the lanes in which it is reached; nodes off the trunk are worked out on first asking. Nobody can change it."""

    __slots__ = ("_against", "_along", "_blocked", "_known", "_trunk")

    def __init__(
        self,
        trunk: Trunk,
        known: list[Any],
        along: Sequence[int],
        against: Sequence[int],
        blocked: Sequence[int] | None,
    ):
        self._trunk, self._known, self._along, self._against, self._blocked = (
            trunk,
            known,
            along,
            against,
            blocked,
        )

    def __len__(self) -> int:
        return len(self._known)

    def __iter__(self) -> Iterator[int]:
        return (self[n] for n in range(len(self._known)))

    def __getitem__(self, node):
        known = self._known[node]
        if known is None:
            known = self._known[node] = self._off_trunk(node)
        return known

    @property
    def ways(self) -> tuple[Sequence[int], Sequence[int], Sequence[int] | None]:
        """The lanes in which each link conducts from a to b, and from b to a, and those in which each node is not entered (or None)."""
        return self._along, self._against, self._blocked

    def keep(self, before: Reached, changed: int) -> None:
        """Adds what was reached before, but for the lanes that changed; only for what makes this."""
        known: Any = self._known
        was: Any = before._known
        for node in self._trunk.kept:
            if was[node]:
                known[node] |= was[node] & ~changed

    def _shut(self, node: int) -> int:
        return self._blocked[node] if self._blocked is not None else 0

    def _off_trunk(self, node: int) -> int:
        hung = self._trunk.hung.get(node)
        if hung:
            i, leaving, parent = hung
            return self[parent] & (self._along if leaving else self._against)[i] & ~self._shut(node)
        place = self._trunk.inside.get(node)
        if place is None:
            return 0
        chain = self._trunk.chains[place[0]]
        from_a = self._known[chain.a] or 0
        for (i, leaving), inner in zip(chain.steps[: place[1] + 1], chain.inner, strict=False):
            from_a &= (self._along if leaving else self._against)[i] & ~self._shut(inner)
        from_b = self._known[chain.b] or 0
        for (i, leaving), inner in zip(
            chain.steps[: place[1] : -1], chain.inner[place[1] :][::-1], strict=True
        ):
            from_b &= (self._against if leaving else self._along)[i] & ~self._shut(inner)
        return from_a | from_b


class Union(Sequence[int]):
    """For each node, the lanes in which any of some reaches it."""

    __slots__ = ("_known", "_reaches")

    def __init__(self, reaches: tuple[Sequence[int], ...]):
        self._reaches = reaches
        self._known: dict[int, int] = {}

    def __len__(self) -> int:
        return len(self._reaches[0]) if self._reaches else 0

    def __getitem__(self, node):
        known = self._known.get(node)
        if known is None:
            known = 0
            for reach in self._reaches:
                known |= reach[node]
            self._known[node] = known
        return known


class OneLane(Sequence[int]):
    """For each node, 1 where it is reached in one lane of many."""

    __slots__ = ("_lane", "_many")

    def __init__(self, many: Sequence[int], lane: int):
        self._many, self._lane = many, lane

    def __len__(self) -> int:
        return len(self._many)

    def __getitem__(self, node):
        return self._many[node] >> self._lane & 1


class Spreader:
    """Spreads along links that conduct ``along`` from a to b and ``against`` from b to a. ``blocked`` are lanes in which a node is not entered, or None.

    ``before`` is a spreader of which only the links of ``changed`` differ, and the blocked lanes where those are another list.
    """

    def __init__(
        self,
        trunk: Trunk,
        along: Sequence[int],
        against: Sequence[int],
        blocked: Sequence[int] | None,
        before: Spreader | None = None,
        changed: frozenset[int] = frozenset(),
    ):
        self.trunk, self.along, self.against, self.blocked = trunk, along, against, blocked
        #: twice as many as there are chains: the lanes in which each is passed from its a end, and from its b end
        self.masks: list[int] = list(before.masks) if before and before.blocked is blocked else []
        if self.masks:
            again = {trunk.chain_of[i] for i in changed if i in trunk.chain_of}
            for c in again:
                self.masks[2 * c : 2 * c + 2] = self._chain(trunk.chains[c])
        else:
            for chain in trunk.chains:
                self.masks += self._chain(chain)

    def _chain(self, chain: Chain) -> tuple[int, int]:
        along, against, blocked = self.along, self.against, self.blocked
        out = back = -1
        for i, leaving in chain.steps:
            out &= along[i] if leaving else against[i]
            back &= against[i] if leaving else along[i]
        if blocked is not None:
            for node in chain.inner:
                if blocked[node]:
                    out &= ~blocked[node]
                    back &= ~blocked[node]
        return out, back

    def again(self, start: int, mask: int, changed: int, before: Reached | None) -> Reached:
        """:meth:`from_node`, taking what was reached before for the lanes that did not change."""
        if before is None:
            return self.from_node(start, mask)
        after = self.from_node(start, mask & changed)
        after.keep(before, changed)
        return after

    def from_node(self, start: int, mask: int) -> Reached:
        """Where current that enters at one trunk node in some lanes gets to."""
        reach: list[Any] = [None] * self.trunk.nodes
        for node in self.trunk.kept:
            reach[node] = 0
        if mask:
            reach[start] = mask
            todo = deque([start])
            fresh = {start: mask}
            blocked, masks, around = self.blocked, self.masks, self.trunk.around
            while todo:
                node = todo.popleft()
                mask = fresh.pop(node)
                for c, other in around[node]:
                    new = mask & masks[c]
                    if new:
                        new &= ~reach[other]
                        if new and blocked is not None:
                            new &= ~blocked[other]
                        if new:
                            reach[other] |= new
                            if other in fresh:
                                fresh[other] |= new
                            else:
                                fresh[other] = new
                                todo.append(other)
        return Reached(self.trunk, reach, self.along, self.against, self.blocked)


def zone_of(
    network: Network,
    grounded: Mapping[int, int],
    along: Sequence[int],
    against: Sequence[int],
    protectors: frozenset[int],
    unusual: int,
    usual: tuple[list[int], list[int]],
) -> dict[int, int]:
    """For each node of a zone, the lanes in which current could flow from it into a grounded node without passing one of some protectors.

    In all lanes but the ``unusual`` ones every link conducts as ``usual`` says, along it and against it. These lanes are answered together, a
    group of joined nodes at a time; the rest by walking from each grounded node.
    """
    forth, back = usual
    group: dict[int, int] = {}
    masks: dict[int, int] = {}
    for start, mask in grounded.items():
        if start not in group:
            _gather(network, start, forth, back, protectors, group)
        masks[group[start]] = masks.get(group[start], 0) | mask & ~unusual
    zone = {node: mask for node, g in group.items() if (mask := masks[g])}
    # from group to group only diodes lead, one way
    _walk(
        network, dict(zone), zone, [-1 if a else 0 for a in forth], [-1 if b else 0 for b in back], protectors
    )
    rest = {node: mask & unusual for node, mask in grounded.items() if mask & unusual}
    for node, mask in rest.items():
        zone[node] = zone.get(node, 0) | mask
    _walk(network, rest, zone, along, against, protectors)
    return zone


def _gather(
    network: Network,
    start: int,
    forth: list[int],
    back: list[int],
    protectors: frozenset[int],
    group: dict[int, int],
) -> None:
    """Marks all nodes that are joined both ways to a node, no protector between, as of its group."""
    group[start] = start
    todo = [start]
    while todo:
        for i, other, _ in network.around[todo.pop()]:
            if other not in group and forth[i] and back[i] and i not in protectors:
                group[other] = start
                todo.append(other)


def _walk(
    network: Network,
    fresh: dict[int, int],
    zone: dict[int, int],
    along: Sequence[int],
    against: Sequence[int],
    protectors: frozenset[int],
) -> None:
    todo = deque(fresh)
    while todo:
        node = todo.popleft()
        mask = fresh.pop(node)
        for i, other, leaving in network.around[node]:
            # against the current: from the other end into this one
            new = mask & (against[i] if leaving else along[i])
            if new and i not in protectors:
                new &= ~zone.get(other, 0)
                if new:
                    zone[other] = zone.get(other, 0) | new
                    if other in fresh:
                        fresh[other] |= new
                    else:
                        fresh[other] = new
                        todo.append(other)
