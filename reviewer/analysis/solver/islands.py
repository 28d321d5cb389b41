"""Ideal joints made one node, and the parts of a circuit that a source feeds."""

from __future__ import annotations

from collections.abc import Mapping

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


def islands(circuit: NodalCircuit) -> Islands:
    """The joined nodes of a circuit and the islands that a source feeds."""
    piece, joint = circuit.pieces, circuit.joints
    fed = _fed(circuit)
    linked: dict[int, list[int]] = {piece: [] for piece in fed}
    devices = tuple(
        i for i, d in enumerate(circuit.devices) if piece[d.plus] in fed and piece[d.minus] in fed
    )
    for d in (circuit.devices[i] for i in devices):
        linked[piece[d.plus]].append(piece[d.minus])
        linked[piece[d.minus]].append(piece[d.plus])
    anchors, seen = [], set[int]()
    for anchor in (*circuit.anchors, *(d.minus for d in circuit.devices if isinstance(d, SOURCES))):
        if piece[anchor] not in seen:
            anchors.append(anchor)
            _reach(linked, [piece[anchor]], seen)
    number: dict[int, int] = {}
    merged = tuple(
        number.setdefault(one, len(number)) if own in fed else -1
        for one, own in zip(joint, piece, strict=True)
    )
    return Islands(merged, len(number), tuple(merged[anchor] for anchor in anchors), devices)


def _fed(circuit: NodalCircuit) -> set[int]:
    """Pieces reachable by current from a terminal of a source, through loads too; one only behind
    a diode that blocks is dead."""
    piece = circuit.pieces
    onward: dict[int, list[int]] = {}
    for d in circuit.devices:
        plus, minus = piece[d.plus], piece[d.minus]
        onward.setdefault(plus, []).append(minus)
        if not isinstance(d, DiodeBranch):
            onward.setdefault(minus, []).append(plus)
    starts = [piece[n] for d in circuit.devices if isinstance(d, SOURCES) for n in (d.plus, d.minus)]
    return _reach(onward, starts, set())


def _reach(onward: Mapping[int, list[int]], todo: list[int], reached: set[int]) -> set[int]:
    """``reached`` with ``todo`` and what is reachable from there."""
    reached.update(todo)
    while todo:
        for other in onward.get(todo.pop(), ()):
            if other not in reached:
                reached.add(other)
                todo.append(other)
    return reached
