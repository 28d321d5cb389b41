"""The core of a circuit: ideal joints made one node, chains and dead ends folded away."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from reviewer.analysis.solver.circuit import NodalCircuit
from reviewer.analysis.solver.islands import Islands
from reviewer.analysis.solver.trunk import (
    Conductances,
    FoldedTrunk,
    Lies,
    add_resistors,
    between,
    fold,
    put_back,
)
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

    devices, rest = [circuit.devices[i] for i in made.devices], circuit.beside_trunk
    ends = [(made.merged[d.plus], made.merged[d.minus]) for d in devices]
    graph: Conductances = {}
    trunk = None
    if circuit.trunk is not None:
        at_devices = {n for d in circuit.devices for n in (d.plus, d.minus)}
        trunk = circuit.trunk.folded(temperature, at_devices.union(rest.a.tolist(), rest.b.tolist()))
        _take_over(graph, trunk, made.merged)
    merged = np.array(made.merged, int)
    a, b = merged[rest.a], merged[rest.b]
    live = a >= 0
    add_resistors(graph, a[live], b[live], rest.ohms_at(temperature)[live])
    ported = {n for pair in ends for n in pair}.union(made.references)
    folded = fold(graph, ported)
    gone = {node for node, _ in folded}.union(made.references)
    kept = sorted(ported.union(graph) - gone)
    place = {n: i for i, n in enumerate(kept)} | dict.fromkeys(made.references, len(kept))
    links = tuple(
        (i, place[other], siemens)
        for n, i in place.items()
        for other, siemens in graph.get(n, {}).items()
        if i < place[other]
    )
    lies = {n: (i, 1.0, len(kept), 0.0) for n, i in place.items()}
    put_back(folded, lies)
    ports = np.array([(place[one], place[other]) for one, other in ends], int).reshape(len(ends), 2)
    nodes, shares = np.zeros((2, made.count), int), np.zeros((2, made.count))
    if lies:
        one, share, two, other_share = zip(*lies.values(), strict=True)
        known = np.array(list(lies), int)
        nodes[:, known], shares[:, known] = (one, two), (share, other_share)
    if trunk is not None:
        _put_on(trunk, merged, lies, nodes, shares)
    return Core(len(kept), links, ports[:, 0], ports[:, 1], np.asarray(rho, float), nodes, shares)


def _take_over(graph: Conductances, trunk: FoldedTrunk, merged: Sequence[int]) -> None:
    """Put the live part of a trunk into a graph of joined nodes."""
    for node, around in trunk.conductances.items():
        if (one := merged[node]) >= 0:
            here = graph.setdefault(one, {})
            for other, siemens in around.items():
                if (far := merged[other]) != one:
                    here[far] = here.get(far, 0.0) + siemens


def _put_on(trunk: FoldedTrunk, merged: Any, lies: Lies, nodes: Any, shares: Any) -> None:
    """Say of the joined nodes that went with a trunk where they lie, in ``nodes`` and ``shares``."""
    gone = merged[trunk.gone]
    live = gone >= 0
    (one, two), (share, rest) = merged[trunk.nodes[:, live]], trunk.shares[:, live]
    gone = gone[live]
    nodes[0, gone], nodes[1, gone] = nodes[0, one], nodes[0, two]
    shares[0, gone], shares[1, gone] = share * shares[0, one], rest * shares[0, two]
    for i in ((shares[1, one] != 0) | ((rest != 0) & (shares[1, two] != 0))).nonzero()[0].tolist():
        ends = [(int(one[i]), float(share[i])), (int(two[i]), float(rest[i]))]
        first, its_share, second, its_rest = between(lies, ends if rest[i] else ends[:1])
        nodes[:, gone[i]], shares[:, gone[i]] = (first, second), (its_share, its_rest)
