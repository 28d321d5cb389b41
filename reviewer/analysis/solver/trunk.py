"""Resistors that many circuits have in common, joined and folded once for all of them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any

from reviewer.model.record import record
from reviewer.tables.wire_tables import temperature_factor

if TYPE_CHECKING:
    from reviewer.analysis.solver.circuit import Resistor


@record
class ResistorArrays:
    """Resistors as arrays, one entry each: see :class:`Resistor`."""

    a: Any
    b: Any
    ohms: Any
    copper: Any

    @property
    def each(self) -> Iterable[tuple[int, int, float]]:
        """Both ends of each, with its ohms."""
        return zip(self.a.tolist(), self.b.tolist(), self.ohms.tolist(), strict=True)

    def ohms_at(self, temperature: float) -> Any:
        """Resistances at a conductor temperature in degrees Celsius."""
        import numpy as np

        return self.ohms * np.where(self.copper, temperature_factor(temperature), 1.0)

    def with_more(self, others: ResistorArrays) -> ResistorArrays:
        """These and others after them."""
        import numpy as np

        return ResistorArrays(
            np.concatenate([self.a, others.a]),
            np.concatenate([self.b, others.b]),
            np.concatenate([self.ohms, others.ohms]),
            np.concatenate([self.copper, others.copper]),
        )


def arrays_of(rows: Sequence[Resistor]) -> ResistorArrays:
    """Resistors as arrays."""
    import numpy as np

    return ResistorArrays(
        np.array([r.a for r in rows], int),
        np.array([r.b for r in rows], int),
        np.array([r.ohms for r in rows], float),
        np.array([r.copper for r in rows], bool),
    )


def joined(begin: Sequence[int], pairs: Iterable[tuple[int, int]]) -> list[int]:
    """For each node one that stands for all that are joined with it: by ``begin``, and by pairs."""
    parent: dict[int, int] = {}

    def find(node: int) -> int:
        while (above := parent.get(node, node)) != node:
            parent[node] = node = parent.get(above, above)
        return node

    for one, other in pairs:
        one, other = find(begin[one]), find(begin[other])
        if one != other:
            parent[other] = one
    if not parent:
        return list(begin)
    ends = {node: find(node) for node in parent}
    return [ends.get(node, node) for node in begin]


#: conductances by node and neighbour, siemens
Conductances = dict[int, dict[int, float]]
#: for a node two others and the share of the volts of each that it has
Lies = dict[int, tuple[int, float, int, float]]


def add_resistors(graph: Conductances, a: Any, b: Any, ohms: Any) -> None:
    """Put resistors into a graph, arrays (resistors,); those with both ends at one node are left out."""
    siemens = 1.0 / ohms[a != b]
    for one, other, more in zip(a[a != b].tolist(), b[a != b].tolist(), siemens.tolist(), strict=True):
        here, there = graph.setdefault(one, {}), graph.setdefault(other, {})
        here[other] = there[one] = here.get(other, 0.0) + more


def fold(graph: Conductances, kept: Collection[int]) -> list[tuple[int, dict[int, float]]]:
    """Eliminate every node of one or two neighbours that is not kept, combining the two resistors
    of a chain.

    Gives the nodes eliminated, in order, with the conductances to their neighbours at that time;
    changes ``graph``.
    """
    folded: list[tuple[int, dict[int, float]]] = []
    todo = [n for n, around in graph.items() if len(around) <= 2 and n not in kept]
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


def put_back(folded: Sequence[tuple[int, Mapping[int, float]]], lies: Lies) -> None:
    """Say of nodes that were folded where they lie; of the others ``lies`` says it."""
    for node, around in reversed(folded):
        if len(around) == 1:  # it has the volts of its neighbour
            (other,) = around
            lies[node] = lies[other]
            continue
        (one, first), (other, second) = around.items()
        whole = first + second
        (end, share, _, rest), (other_end, other_share, _, other_rest) = lies[one], lies[other]
        if rest or other_rest or end == other_end:
            lies[node] = between(lies, [(one, first / whole), (other, second / whole)])
        else:  # as of most, both stay or lie beside one that does
            lies[node] = end, first / whole * share, other_end, second / whole * other_share


def between(lies: Lies, shares: Iterable[tuple[int, float]]) -> tuple[int, float, int, float]:
    """Where a node lies that has shares of the volts of two others: a node that is folded lies between
    two that stay, or beside one."""
    mean: dict[int, float] = {}
    for other, part in shares:
        one, share, two, rest = lies[other]
        mean[one] = mean.get(one, 0.0) + part * share
        if rest:
            mean[two] = mean.get(two, 0.0) + part * rest
    (one, share), (two, rest) = [*mean.items(), (one, 0.0)][:2]
    return one, share, two, rest


@record
class FoldedTrunk:
    """A trunk at one temperature of the conductors without what is folded away, by the nodes that stand
    for what ideal joints join. Each of the ``gone`` lies between ``nodes``, (2, gone), with ``shares`` of
    their volts, (2, gone)."""

    conductances: Conductances
    gone: Any
    nodes: Any
    shares: Any


class Trunk:
    """The first ``resistors`` of circuits whose first ``count`` nodes are the same. ``ends`` are nodes at
    which circuits have devices and other resistors."""

    def __init__(self, count: int, resistors: Sequence[Resistor], ends: Iterable[int] = ()):
        self.count, self.resistors = count, tuple(resistors)
        self._folded: dict[float, FoldedTrunk] = {}
        self.ends = frozenset(ends)

    @cached_property
    def wires(self) -> ResistorArrays:
        """The resistors as arrays."""
        return arrays_of(self.resistors)

    @cached_property
    def pieces(self) -> Sequence[int]:
        """For each node one that stands for all that it is joined with."""
        return joined(range(self.count), ((r.a, r.b) for r in self.resistors))

    @cached_property
    def joints(self) -> Sequence[int]:
        """The same by ideal joints alone."""
        return joined(range(self.count), ((r.a, r.b) for r in self.resistors if r.ohms == 0))

    @cached_property
    def _stays(self) -> frozenset[int]:
        return frozenset(self.joints[node] for node in self.ends)

    def folded(self, temperature: float, nodes: Iterable[int]) -> FoldedTrunk:
        """The trunk at a temperature, degrees Celsius, without dead ends and chains, where some nodes
        have more than its resistors."""
        needed = {self.joints[node] for node in nodes if node < self.count}
        if not needed <= self._stays:  # as where a short to ground lies: seldom the same again
            return self._fold(temperature, self._stays | needed)
        if temperature not in self._folded:
            self._folded[temperature] = self._fold(temperature, self._stays)
        return self._folded[temperature]

    def _fold(self, temperature: float, stays: frozenset[int]) -> FoldedTrunk:
        import numpy as np

        graph: Conductances = {}
        joints, wires = np.array(self.joints, int), self.wires
        add_resistors(graph, joints[wires.a], joints[wires.b], wires.ohms_at(temperature))
        folded = fold(graph, stays)
        gone = [node for node, _ in folded]
        lies: Lies = {node: (node, 1.0, node, 0.0) for node in graph.keys() - set(gone)}
        put_back(folded, lies)
        one, share, two, rest = zip(*(lies[node] for node in gone), strict=True) if gone else ((),) * 4
        return FoldedTrunk(
            {node: around for node, around in graph.items() if around},
            np.array(gone, int),
            np.array([one, two], int),
            np.array([share, rest], float),
        )
