"""Networks of resistors: the resistance between two nodes, and what each node stands at while
current flows between them.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator
from heapq import heapify, heappop, heappush

#: an ideal joint is taken for this much, ohms
JOINT_OHMS = 1e-9

#: a resistor between two nodes: (node, node, ohms)
Resistance = tuple[int, int, float]


def two_point_resistance(resistors: Iterable[Resistance], one: int, other: int) -> float | None:
    """Ohms between two nodes, as a milliohm meter reads them; None where nothing joins them."""
    return JoinedNodes(resistors).ohms(one, other)


class JoinedNodes:
    """A network of resistors in which the ohms between many pairs of nodes are asked for.

    What hangs on one node only carries nothing, unless one of the two nodes is on it: of that
    the way to the rest is taken.
    """

    def __init__(self, resistors: Iterable[Resistance]):
        self._joined = conductances(resistors)
        left = {node: len(star) for node, star in self._joined.items()}
        #: by node of a dead end the next one towards the rest, if any
        self._onward: dict[int, int | None] = {}
        ends = [node for node, many in left.items() if many <= 1]
        while ends:
            node = ends.pop()
            onward = next((n for n in self._joined[node] if n not in self._onward), None)
            self._onward[node] = onward
            if onward is not None:
                left[onward] -= 1
                if left[onward] == 1:
                    ends.append(onward)
        self._core = [node for node in self._joined if node not in self._onward]
        self._between = {node: self._star(node, set(self._core)) for node in self._core}

    def _star(self, node: int, kept: Container[int]) -> dict[int, float]:
        return {other: own for other, own in self._joined[node].items() if other in kept}

    def ohms(self, one: int, other: int) -> float | None:
        """Ohms between two nodes; None where nothing joins them."""
        if one == other:
            return 0.0
        ways = {node for end in (one, other) for node in self._way(end)}
        kept = ways.union(self._core)
        around: dict[int, dict[int, float]] = {one: {}, other: {}}
        around |= {node: dict(star) for node, star in self._between.items()}
        around |= {node: self._star(node, kept) for node in ways if node in self._joined}
        siemens, _ = _reduced(around, one, other)
        return 1 / siemens if siemens > 0 else None

    def _way(self, node: int) -> Iterator[int]:
        """The nodes from one in a dead end to the rest, the first of the rest too."""
        here: int | None = node
        while here is not None:
            yield here
            here = self._onward.get(here)


def volts_per_ampere(resistors: Iterable[Resistance], start: int, goal: int) -> dict[int, float]:
    """Volts of each node over ``start`` for each ampere that flows from there to ``goal``, in ohms.

    Nodes that are not joined to the two are left out; {} where the two are not joined, or are one.

    Every other node is taken away, those with the fewest neighbours first, and its star of
    conductances replaced by the mesh that does the same. Put back, it stands at the mean of its
    neighbours, weighted by conductance.
    """
    siemens, taken = _reduced({start: {}, goal: {}} | conductances(resistors), start, goal)
    if siemens <= 0:
        return {}
    volts = {start: 0.0, goal: -1 / siemens}
    for node, star in reversed(taken):
        if any(n in volts for n in star):
            volts[node] = sum(volts[n] * g for n, g in star.items()) / sum(star.values())
    return volts


def _reduced(
    around: dict[int, dict[int, float]], start: int, goal: int
) -> tuple[float, list[tuple[int, dict[int, float]]]]:
    """The siemens between two nodes once all others are taken away, and these in that order, each with
    its star; changes ``around``."""
    taken: list[tuple[int, dict[int, float]]] = []
    todo = [(len(star), node) for node, star in around.items() if node not in (start, goal)]
    heapify(todo)
    while todo:
        neighbours, node = heappop(todo)
        if node not in around or neighbours != len(around[node]):
            continue  # taken already, or it stands in the list again with what it has now
        star = around.pop(node)
        taken.append((node, star))
        whole = sum(star.values())
        for a in star:
            del around[a][node]
            for b in star:
                if a != b:
                    around[a][b] = around[a].get(b, 0.0) + star[a] * star[b] / whole
        for a in star:
            if a not in (start, goal):
                heappush(todo, (len(around[a]), a))
    return around[start].get(goal, 0.0), taken


def conductances(resistors: Iterable[Resistance]) -> dict[int, dict[int, float]]:
    """For each node the siemens to each of its neighbours, those side by side added up."""
    around: dict[int, dict[int, float]] = {}
    for a, b, ohms in resistors:
        if a != b:
            siemens = 1 / max(ohms, JOINT_OHMS)
            for here, there in ((a, b), (b, a)):
                own = around.setdefault(here, {})
                own[there] = own.get(there, 0.0) + siemens
    return around
