"""The core of a circuit: ideal joints made one node, chains and dead ends folded away."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from reviewer.analysis.solver.circuit import NodalCircuit
from reviewer.analysis.solver.islands import Islands
from reviewer.model.record import record


@record
class Core:
    """``count`` nodes numbered from 0, and the references, which are one node numbered ``count``.

    ``links`` are conductances between them in siemens, each once; ``plus`` and ``minus`` the nodes
    of each device, ``rho`` its ohms, each (devices,). The volts of each joined node of the circuit
    are those of two nodes of the core, each times its share: ``nodes`` and ``shares``, each (2,
    joined nodes).
    """

    count: int
    links: tuple[tuple[int, int, float], ...]
    plus: Any
    minus: Any
    rho: Any
    nodes: Any
    shares: Any


def core_of(circuit: NodalCircuit, made: Islands, rho: Sequence[float], temperature: float) -> Core:
    """The core of a circuit at one conductor temperature; ``rho`` ohms for each device of
    ``made.devices``."""
    import numpy as np

    ends = [
        (made.merged[circuit.devices[i].plus], made.merged[circuit.devices[i].minus]) for i in made.devices
    ]
    graph: list[dict[int, float]] = [{} for _ in range(made.count)]
    merged, wires = np.array(made.merged, int), circuit.wires
    a, b = merged[wires.a], merged[wires.b]
    live = (a >= 0) & (a != b)
    siemens = 1.0 / wires.ohms_at(temperature)[live]
    for one, other, more in zip(a[live].tolist(), b[live].tolist(), siemens.tolist(), strict=True):
        graph[one][other] = graph[other][one] = graph[one].get(other, 0.0) + more
    folded = _fold(graph, {n for pair in ends for n in pair} | set(made.references))
    gone = {node for node, _ in folded} | set(made.references)
    kept = [n for n in range(made.count) if n not in gone]
    place = {n: i for i, n in enumerate(kept)} | dict.fromkeys(made.references, len(kept))
    links = tuple(
        (i, place[other], siemens)
        for n, i in place.items()
        for other, siemens in graph[n].items()
        if i < place[other]
    )
    # a node that is folded lies between two nodes of the core, or beside one
    first, second = [place.get(n, len(kept)) for n in range(made.count)], [len(kept)] * made.count
    share, rest = [1.0] * made.count, [0.0] * made.count
    for node, around in reversed(folded):
        if len(around) == 1:  # it has the volts of its neighbour
            (other,) = around
            first[node], share[node] = first[other], share[other]
            second[node], rest[node] = second[other], rest[other]
            continue
        mean: dict[int, float] = {}
        whole = sum(around.values())
        for other, siemens in around.items():
            part = siemens / whole
            mean[first[other]] = mean.get(first[other], 0.0) + part * share[other]
            if rest[other]:
                mean[second[other]] = mean.get(second[other], 0.0) + part * rest[other]
        (first[node], share[node]), (second[node], rest[node]) = [*mean.items(), (len(kept), 0.0)][:2]
    ports = np.array([(place[one], place[other]) for one, other in ends], int).reshape(len(ends), 2)
    return Core(
        len(kept),
        links,
        ports[:, 0],
        ports[:, 1],
        np.asarray(rho, float),
        np.array([first, second], int),
        np.array([share, rest]),
    )


def _fold(graph: list[dict[int, float]], kept: Iterable[int]) -> list[tuple[int, dict[int, float]]]:
    """Eliminate every node of one or two neighbours that is not kept, combining the two resistors
    of a chain.

    Gives the nodes eliminated, in order, with the conductances to their neighbours at that time;
    changes ``graph``.
    """
    kept = set(kept)
    folded: list[tuple[int, dict[int, float]]] = []
    todo = [n for n, around in enumerate(graph) if len(around) <= 2 and n not in kept]
    while todo:
        node = todo.pop()
        around = graph[node]
        if not around or len(around) > 2:
            continue
        folded.append((node, around))
        graph[node] = {}
        for other in around:
            del graph[other][node]
        if len(around) == 2:
            (one, first), (other, second) = around.items()
            siemens = first * second / (first + second) + graph[one].get(other, 0.0)
            graph[one][other] = graph[other][one] = siemens
        for other in around:
            if other not in kept and len(graph[other]) <= 2:
                todo.append(other)
    return folded
