"""Resistance between two nodes of a network of resistors, as a milliohm meter would read it, and
the voltages that a current between them makes on all others. Of conductors alone: no sources, no
devices.

Every other node is eliminated, those with the fewest neighbours first: its star of conductances
becomes the mesh that does the same (star-mesh transform), and its voltage is the mean of those of
its neighbours, weighed by conductance. No step subtracts, so that ideal joints beside long wires
cost no digits.
"""

from __future__ import annotations

from collections.abc import Iterable

#: ohms of an ideal joint
JOINT_OHMS = 1e-9


def two_point_resistance(resistors: Iterable[tuple[int, int, float]], one: int, other: int) -> float | None:
    """Ohms between two nodes that resistors (a, b, ohms) join; None where they do not."""
    return 0.0 if one == other else _eliminated(resistors, one, other)[0]


def unit_current_voltages(
    resistors: Iterable[tuple[int, int, float]], start: int, goal: int
) -> dict[int, float]:
    """Volts of each node over ``start`` for one ampere that flows from there to ``goal``, in V/A; 0
    and less.

    {} where the two are not joined or are the same; a node that is joined to neither is left out.
    """
    if start == goal:
        return {}
    ohms, stars = _eliminated(resistors, start, goal)
    if ohms is None:
        return {}
    volts = {start: 0.0, goal: -ohms}
    for node, star in reversed(stars):
        if star and star.keys() <= volts.keys():
            volts[node] = sum(volts[n] * siemens for n, siemens in star.items()) / sum(star.values())
    return volts


def _eliminated(
    resistors: Iterable[tuple[int, int, float]], one: int, other: int
) -> tuple[float | None, list[tuple[int, dict[int, float]]]]:
    """Ohms between two nodes, None where they are not joined; and the nodes eliminated, in order,
    each with the conductances to its neighbours at that time."""
    around: dict[int, dict[int, float]] = {one: {}, other: {}}
    for a, b, ohms in resistors:
        if a != b:
            siemens = 1 / max(ohms, JOINT_OHMS)
            for here, there in ((a, b), (b, a)):
                own = around.setdefault(here, {})
                own[there] = own.get(there, 0.0) + siemens
    stars: list[tuple[int, dict[int, float]]] = []
    todo = [node for node in around if node not in (one, other)]
    while todo:
        todo.sort(key=lambda node: -len(around[node]))
        node = todo.pop()
        star = around.pop(node)
        stars.append((node, star))
        whole = sum(star.values())
        for a in star:
            del around[a][node]
            for b in star:
                if a != b:
                    around[a][b] = around[a].get(b, 0.0) + star[a] * star[b] / whole
    siemens = around[one].get(other, 0.0)
    return (1 / siemens if siemens > 0 else None), stars
