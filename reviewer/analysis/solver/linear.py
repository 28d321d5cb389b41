"""The linear part of a circuit: ideal joints made one node, chains and dead ends folded away, the
rest solved once.

Each device is drawn as a resistance ``rho`` and a source ``a = v - rho i`` in series. Then the
voltages of all nodes are a matrix times the sources of the devices, whatever the devices do, and so
are the voltages across the devices: v = H a.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cached_property
from typing import Any

from reviewer.analysis.solver.circuit import SOURCES, DiodeBranch, NodalCircuit, Singular
from reviewer.model.record import record

#: conductance across every device, that of good insulation: it fixes the voltage behind blocked
#: diodes, and takes a tenth of a microampere
LEAK_SIEMENS = 1e-8


@record
class Islands:
    """``merged[node]`` is the number of the joined node a node became, -1 where no live source
    reaches it; ``references`` the joined nodes that volts count from, one an island; ``devices``
    the indexes of devices that lie in live islands."""

    merged: tuple[int, ...]
    count: int
    references: tuple[int, ...]
    devices: tuple[int, ...]


@record
class Linear:
    """Voltages from the sources ``a`` of the devices: ``across`` is H, (devices, devices); ``kept``
    some joined nodes and ``rows`` their voltages, (kept, devices); ``rho`` ohms of the devices;
    each node of ``folded`` has the mean of its neighbours', weighed by the shares beside them, the
    last one first."""

    count: int
    across: Any
    kept: tuple[int, ...]
    rows: Any
    rho: tuple[float, ...]
    folded: tuple[tuple[int, tuple[tuple[int, float], ...]], ...]

    def volts(self, sources: Any) -> Any:
        """Volts of all joined nodes, (joined nodes, points), from ``sources``, (devices,
        points)."""
        import numpy as np

        if sources.shape[1] > 1:
            found = np.zeros((self.count, sources.shape[1]))
            found[list(self.kept)] = self.rows @ sources
            return self._unfolded(found)
        one = [0.0] * self.count
        for node, volts in zip(self.kept, (self.rows @ sources)[:, 0].tolist(), strict=True):
            one[node] = volts
        return np.array(self._unfolded(one)).reshape(self.count, 1)

    @cached_property
    def nodes(self) -> Any:
        """The matrix that gives the voltages of all joined nodes from the sources, (joined nodes,
        devices)."""
        import numpy as np

        found = np.zeros((self.count, self.rows.shape[1]))
        found[list(self.kept)] = self.rows
        return self._unfolded(found)

    def _unfolded(self, volts: Any) -> Any:
        for node, shares in reversed(self.folded):
            for other, share in shares:
                volts[node] += share * volts[other]
        return volts


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


def islands(circuit: NodalCircuit) -> Islands:
    """The joined nodes of a circuit and the islands that a source feeds."""
    joined, fed = _Groups(circuit.count), _fed(circuit)
    linked: dict[int, list[int]] = {node: [] for node in fed}
    for r in circuit.resistors:
        if r.a in fed:
            linked[r.a].append(r.b)
            linked[r.b].append(r.a)
            if r.ohms == 0:
                joined.join(r.a, r.b)
    devices = tuple(i for i, d in enumerate(circuit.devices) if d.plus in fed and d.minus in fed)
    for d in (circuit.devices[i] for i in devices):
        linked[d.plus].append(d.minus)
        linked[d.minus].append(d.plus)
    anchors, seen = [], set[int]()
    for anchor in (*circuit.anchors, *(d.minus for d in circuit.devices if isinstance(d, SOURCES))):
        if anchor not in seen:
            anchors.append(anchor)
            _reach(linked, [anchor], seen)
    number: dict[int, int] = {}
    merged = tuple(
        number.setdefault(joined.find(n), len(number)) if n in fed else -1 for n in range(circuit.count)
    )
    return Islands(merged, len(number), tuple(merged[anchor] for anchor in anchors), devices)


def _fed(circuit: NodalCircuit) -> set[int]:
    """Nodes reachable by current from a terminal of a source, through loads too; a node only behind
    a diode that blocks is dead."""
    onward: list[list[int]] = [[] for _ in range(circuit.count)]
    for r in circuit.resistors:
        onward[r.a].append(r.b)
        onward[r.b].append(r.a)
    for d in circuit.devices:
        onward[d.plus].append(d.minus)
        if not isinstance(d, DiodeBranch):
            onward[d.minus].append(d.plus)
    return _reach(
        onward, [n for d in circuit.devices if isinstance(d, SOURCES) for n in (d.plus, d.minus)], set()
    )


def _reach(
    onward: Sequence[list[int]] | dict[int, list[int]], todo: list[int], reached: set[int]
) -> set[int]:
    """``reached`` with ``todo`` and the nodes reachable from there."""
    reached.update(todo)
    while todo:
        for node in onward[todo.pop()]:
            if node not in reached:
                reached.add(node)
                todo.append(node)
    return reached


def linear_part(circuit: NodalCircuit, made: Islands, rho: Sequence[float], temperature: float) -> Linear:
    """The linear part at one conductor temperature; ``rho`` ohms for each device of
    ``made.devices``. Raises Singular."""
    import numpy as np

    ends = [
        (made.merged[circuit.devices[i].plus], made.merged[circuit.devices[i].minus]) for i in made.devices
    ]
    graph: list[dict[int, float]] = [{} for _ in range(made.count)]
    for r, ohms in zip(circuit.resistors, circuit.wires.ohms_at(temperature).tolist(), strict=True):
        a, b = made.merged[r.a], made.merged[r.b]
        if a >= 0 and a != b:
            graph[a][b] = graph[b][a] = graph[a].get(b, 0.0) + 1.0 / ohms
    folded = _fold(graph, {n for pair in ends for n in pair} | set(made.references))
    gone = {node for node, _ in folded} | set(made.references)
    rest = [n for n in range(made.count) if n not in gone]
    place = {n: i for i, n in enumerate(rest)} | dict.fromkeys(made.references, len(rest))
    rows = np.zeros((len(rest) + 1, len(ends)))
    if rest:
        matrix, drive = _system(graph, place, len(rest), ends, rho)
        try:
            rows[:-1] = np.linalg.solve(matrix, drive)
        except np.linalg.LinAlgError as singular:
            raise Singular from singular
    plus, minus = ([place[end] for end in side] for side in zip(*ends, strict=True)) if ends else ([], [])
    shares = tuple((node, _shares(around)) for node, around in folded)
    return Linear(made.count, rows[plus] - rows[minus], tuple(rest), rows[:-1], tuple(rho), shares)


def _shares(around: dict[int, float]) -> tuple[tuple[int, float], ...]:
    if len(around) == 1:
        return ((next(iter(around)), 1.0),)
    (one, first), (other, second) = around.items()
    return (one, first / (first + second)), (other, second / (first + second))


def _system(
    graph: list[dict[int, float]],
    place: dict[int, int],
    count: int,
    ends: list[tuple[int, int]],
    rho: Sequence[float],
) -> tuple[Any, Any]:
    """The conductances between the nodes of ``place``, numbered 0 to ``count`` and the references
    ``count``, and what the sources of the devices drive into them; the references left out."""
    import numpy as np

    links = [(i, place[other], siemens) for n, i in place.items() for other, siemens in graph[n].items()]
    links += [
        (place[one], place[other], 1.0 / ohms + LEAK_SIEMENS)
        for pair, ohms in zip(ends, rho, strict=True)
        for one, other in (pair, pair[::-1])
    ]
    matrix, drive = np.zeros((count + 1, count + 1)), np.zeros((count + 1, len(ends)))
    one, other, siemens = (np.array(which) for which in zip(*links, strict=True))
    np.add.at(matrix, (one, one), siemens)
    np.subtract.at(matrix, (one, other), siemens)
    plus, minus = (np.array([place[end] for end in side]) for side in zip(*ends, strict=True))
    port, driven = np.arange(len(ends)), 1.0 / np.asarray(rho)
    np.add.at(drive, (plus, port), driven)
    np.subtract.at(drive, (minus, port), driven)
    return matrix[:-1, :-1], drive[:-1]


def _fold(graph: list[dict[int, float]], kept: Iterable[int]) -> list[tuple[int, dict[int, float]]]:
    """Eliminate every node of one or two neighbours that is not kept, combining the two resistors
    of a chain.

    Gives the nodes eliminated, in order, with the conductances to their neighbours at that time;
    changes ``graph``.
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
