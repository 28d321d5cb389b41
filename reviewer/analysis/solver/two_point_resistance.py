"""Networks of resistors: the resistance between two nodes, and what each node stands at while
current flows between them.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from heapq import heapify, heappop, heappush

#: an ideal joint is taken for this much, ohms
JOINT_OHMS = 1e-9

#: a resistor between two nodes: (node, node, ohms)
Resistance = tuple[int, int, float]
#: by node and neighbour, siemens
Conductances = Mapping[int, Mapping[int, float]]


def two_point_resistance(resistors: Iterable[Resistance], one: int, other: int) -> float | None:
    """Ohms between two nodes, as a milliohm meter reads them; None where nothing joins them."""
    return ohms_between(conductances(resistors), one, other)


def ohms_between(joined: Conductances, one: int, other: int) -> float | None:
    """The same in a network of ``joined`` nodes."""
    if one == other:
        return 0.0
    around: dict[int, dict[int, float]] = {one: {}, other: {}}
    around |= {node: dict(star) for node, star in joined.items()}
    siemens, _ = _reduced(around, one, other)
    return 1 / siemens if siemens > 0 else None


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
