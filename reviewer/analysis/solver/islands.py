"""Ideal joints made one node, and the parts of a circuit that a source feeds."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.solver.circuit import SOURCES, DiodeBranch, NodalCircuit
from reviewer.model.record import record


@record
class Islands:
    """``merged[node]`` is the number of the joined node a node became, -1 where no live source
    reaches it; ``references`` the joined nodes that volts count from, one an island; ``devices``
    the indexes of devices that lie in live islands."""

    merged: tuple[int, ...]
    count: int
    references: tuple[int, ...]
    devices: tuple[int, ...]


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
    for a, b, ohms in circuit.wires.each:
        if a in fed:
            linked[a].append(b)
            linked[b].append(a)
            if ohms == 0:
                joined.join(a, b)
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
    for a, b, _ in circuit.wires.each:
        onward[a].append(b)
        onward[b].append(a)
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
