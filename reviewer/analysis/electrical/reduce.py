"""The linear part of a circuit: ideal joints made one node, chains and dead ends folded away, the rest solved once.

Each device is drawn as a resistance ``rho`` and a source ``a = v - rho i`` in series. Then the voltages of all nodes are a matrix times the sources of
the devices, whatever the devices do, and so are the voltages across the devices: v = H a.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from reviewer.analysis.electrical.circuit import COPPER_AT_20, COPPER_ZERO, SOURCES, Circuit, Diode, Resistor

#: conductance across every device, that of good insulation: it holds what hangs on blocked diodes alone, and takes a tenth of a microampere
LEAK_SIEMENS = 1e-8


@dataclass(frozen=True)
class Islands:
    """``merged[node]`` is the number of the joined node a node became, -1 where no live source reaches it; ``references`` the joined nodes that
    volts count from, one an island; ``devices`` the indexes of devices that lie in live islands."""

    merged: tuple[int, ...]
    count: int
    references: tuple[int, ...]
    devices: tuple[int, ...]


@dataclass(frozen=True)
class Linear:
    """``across`` is H, (devices, devices); ``nodes`` gives the voltages of the joined nodes, (joined nodes, devices), both from the sources ``a``."""

    across: Any
    nodes: Any


class _Groups:
    def __init__(self, count: int):
        self.parent = list(range(count))

    def find(self, node: int) -> int:
        while self.parent[node] != node:
            self.parent[node] = self.parent[self.parent[node]]
            node = self.parent[node]
        return node

    def join(self, one: int, other: int) -> None:
        self.parent[self.find(other)] = self.find(one)


def islands(circuit: Circuit) -> Islands:
    """The joined nodes of a circuit and the islands that a source feeds."""
    joined, linked, fed = _Groups(circuit.count), _Groups(circuit.count), _fed(circuit)
    for r in circuit.resistors:
        linked.join(r.a, r.b)
        if r.ohms == 0:
            joined.join(r.a, r.b)
    devices = tuple(i for i, d in enumerate(circuit.devices) if d.plus in fed and d.minus in fed)
    for i in devices:
        linked.join(circuit.devices[i].plus, circuit.devices[i].minus)
    live: dict[int, int] = {}
    for anchor in (*circuit.anchors, *(d.minus for d in circuit.devices if isinstance(d, SOURCES))):
        live.setdefault(linked.find(anchor), anchor)
    number: dict[int, int] = {}
    merged = tuple(number.setdefault(joined.find(n), len(number)) if n in fed else -1 for n in range(circuit.count))
    return Islands(merged, len(number), tuple(merged[anchor] for anchor in live.values()), devices)


def _fed(circuit: Circuit) -> set[int]:
    """Nodes that current from a terminal of a source can get to, through loads too; what is only behind a diode that blocks is dead."""
    ways: list[list[int]] = [[] for _ in range(circuit.count)]
    pairs = [(r.a, r.b, True) for r in circuit.resistors] + [(d.plus, d.minus, not isinstance(d, Diode)) for d in circuit.devices]
    for a, b, both in pairs:
        ways[a].append(b)
        if both:
            ways[b].append(a)
    todo = [n for d in circuit.devices if isinstance(d, SOURCES) for n in (d.plus, d.minus)]
    fed = set(todo)
    while todo:
        for node in ways[todo.pop()]:
            if node not in fed:
                fed.add(node)
                todo.append(node)
    return fed


def ohms_at(resistor: Resistor, temperature: float) -> float:
    """Resistance at a conductor temperature in degrees Celsius."""
    return resistor.ohms * ((COPPER_ZERO + temperature) / COPPER_AT_20 if resistor.copper else 1.0)


def linear_part(circuit: Circuit, made: Islands, rho: Sequence[float], temperature: float) -> Linear:
    """The linear part at one conductor temperature; ``rho`` ohms for each device of ``made.devices``."""
    import numpy as np

    ends = [(made.merged[circuit.devices[i].plus], made.merged[circuit.devices[i].minus]) for i in made.devices]
    graph: list[dict[int, float]] = [{} for _ in range(made.count)]
    for r in circuit.resistors:
        a, b = made.merged[r.a], made.merged[r.b]
        if a >= 0 and a != b:
            graph[a][b] = graph[b][a] = graph[a].get(b, 0.0) + 1.0 / ohms_at(r, temperature)
    folded = _fold(graph, {n for pair in ends for n in pair} | set(made.references))
    gone = {node for node, _ in folded} | set(made.references)
    rest = [n for n in range(made.count) if n not in gone]
    place = {n: i for i, n in enumerate(rest)}
    matrix, drive = np.zeros((len(rest), len(rest))), np.zeros((len(rest), len(ends)))
    for n, i in place.items():
        for other, siemens in graph[n].items():
            matrix[i, i] += siemens
            if other in place:
                matrix[i, place[other]] -= siemens
    for port, ((plus, minus), ohms) in enumerate(zip(ends, rho, strict=True)):
        for one, other, sign in ((plus, minus, 1.0), (minus, plus, -1.0)):
            if one != other and one in place:
                matrix[place[one], place[one]] += 1.0 / ohms + LEAK_SIEMENS
                drive[place[one], port] += sign / ohms
                if other in place:
                    matrix[place[one], place[other]] -= 1.0 / ohms + LEAK_SIEMENS
    nodes = np.zeros((made.count, len(ends)))
    if rest:
        nodes[rest] = np.linalg.solve(matrix, drive)
    for node, neighbours in reversed(folded):
        total = sum(neighbours.values())
        for other, siemens in neighbours.items():
            nodes[node] += siemens / total * nodes[other]
    return Linear(nodes[[p for p, _ in ends]] - nodes[[m for _, m in ends]], nodes)


def _fold(graph: list[dict[int, float]], kept: Iterable[int]) -> list[tuple[int, dict[int, float]]]:
    """Take away every node of one or two neighbours that is not kept, drawing the two resistors of a chain as one.

    Gives the nodes taken away, in order, with the conductances to their neighbours at that time; changes ``graph``.
    """
    kept = set(kept)
    folded: list[tuple[int, dict[int, float]]] = []
    todo = [n for n, around in enumerate(graph) if len(around) <= 2 and n not in kept]
    done: set[int] = set()
    while todo:
        node = todo.pop()
        around = graph[node]
        if node in done or not around or len(around) > 2:
            continue
        done.add(node)
        folded.append((node, dict(around)))
        for other in around:
            del graph[other][node]
        if len(around) == 2:
            (one, first), (other, second) = around.items()
            siemens = first * second / (first + second) + graph[one].get(other, 0.0)
            graph[one][other] = graph[other][one] = siemens
        todo.extend(other for other in around if other not in kept and len(graph[other]) <= 2)
        around.clear()
    return folded
