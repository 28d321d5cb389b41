"""Currents of ideal joints: Ohm's law does not give them, the balance of the nodes beyond does."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from reviewer.analysis.solver.circuit_solution import CircuitSolution


def joint_amps(solved: CircuitSolution) -> Mapping[int, Any]:
    """Index of each resistor of 0 ohm -> amperes from a to b, (points,); NaN where its ends are
    joined without it too."""
    import numpy as np

    points, resistors = solved.sources.shape[1], solved.circuit.resistors
    leaving: dict[int, Any] = {}

    def leave(node: int, amps: Any) -> None:
        leaving[node] = leaving.get(node, 0.0) + amps

    joints: dict[int, list[tuple[int, int]]] = {}
    for i, r in enumerate(resistors):
        if r.ohms == 0:
            joints.setdefault(r.a, []).append((i, r.b))
            joints.setdefault(r.b, []).append((i, r.a))
    branches: list[tuple[int, int, Callable[[int], Any], int]] = [
        (r.a, r.b, solved.resistor_amps, i) for i, r in enumerate(resistors) if r.ohms > 0
    ]
    branches += [(d.plus, d.minus, solved.device_amps, i) for i, d in enumerate(solved.circuit.devices)]
    for a, b, ask, i in branches:
        if a in joints or b in joints:
            amps = ask(i)
            leave(a, amps)
            leave(b, -amps)
    found: dict[int, Any] = {i: np.full(points, np.nan) for around in joints.values() for i, _ in around}
    seen: set[int] = set()
    for start in joints:
        if start not in seen:
            order, above, rung = _tree(start, joints)
            seen.update(order)
            # a joint is the only path to what is beyond where nothing beyond reaches round it
            low = dict(rung)
            for node in reversed(order):
                for i, other in joints[node]:
                    if i != above[node]:
                        low[node] = min(low[node], low[other] if above.get(other) == i else rung[other])
            for node in reversed(order[1:]):
                i = above[node]
                beyond = leaving.get(node, 0.0)
                other = resistors[i].a if resistors[i].b == node else resistors[i].b
                if low[node] == rung[node]:
                    found[i] = beyond * (1.0 if resistors[i].b == node else -1.0) + np.zeros(points)
                leave(other, beyond)
    return found


def _tree(
    start: int, joints: Mapping[int, list[tuple[int, int]]]
) -> tuple[list[int], dict[int, int], dict[int, int]]:
    """The nodes that joints join to a node, each after the one it is reached from by going as deep
    as can be; the joint to it (-1 for the start), and its place in that order."""
    order: list[int] = []
    above, rung = {start: -1}, dict[int, int]()
    todo = [(start, -1)]
    while todo:
        node, by = todo.pop()
        if node in rung:
            continue
        above[node], rung[node] = by, len(order)
        order.append(node)
        todo.extend((other, i) for i, other in joints[node] if other not in rung)
    return order, above, rung
