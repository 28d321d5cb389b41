"""Large networks of conductances, solved for many operating points side by side.

A node is taken away by replacing its star of conductances with the mesh that does the same, those
with few neighbours first: nothing is subtracted, so that no small conductance is lost beside
a large one. Which nodes go when depends on the network alone and is planned once. Nodes with
nearly as few neighbours that do not touch go in one step, for all points at once. (Minimum degree:
Tinney and Walker, "Direct solutions of sparse network equations by optimally ordered triangular
factorization", Proceedings of the IEEE 55 (1967) 1801-1809; cited from memory.)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property, lru_cache
from itertools import chain, combinations, pairwise
from math import nan
from typing import Any

from reviewer.model.record import record

#: points from which on rows are added a group at a time; fewer are counted, all at once
MANY_COUNTED = 300
#: points up to which groups are reduced along the rows
FEW_REDUCED = 12
#: nodes of a step: the last steps, of no more each, are taken node by node where there is one point
FEW_NODES = 16
#: the slot of a conductance of nothing: that of a node with fewer neighbours than others of its step
NOTHING = 0
#: of a node of the last steps its slots, the places of the nodes at their far ends, and the pairs of
#: these with the slot between them: counted from the first of those steps
Single = tuple[list[int], list[int], list[tuple[int, int, int]]]
#: nodes that go at once, their slots, the nodes at the far ends, and the slots between these
Gone = tuple[list[int], list[list[int]], list[list[int]], list[int]]


class RowGroups:
    """Rows of arrays that belong together: row i belongs to ``goals[i]``."""

    def __init__(self, goals: Any):
        import numpy as np

        self.goals = goals
        #: the places of all points of the goals in an array that is written in one line
        self._places: Any = np.empty((len(goals), 0), int)

    @cached_property
    def distinct(self) -> Any:
        """The goals, each once, in order."""
        return self.goals[self._order[self._first]]

    @cached_property
    def _order(self) -> Any:
        """The rows in the order of their goals, (goals,)."""
        return self.goals.argsort(kind="stable")

    @cached_property
    def _first(self) -> Any:
        """Where the rows of each group begin in this order."""
        import numpy as np

        goals = self.goals[self._order]
        return np.flatnonzero(np.concatenate([[True], goals[1:] != goals[:-1]])[: len(goals)])

    @cached_property
    def _sizes(self) -> list[tuple[Any, Any]]:
        """For each size of a group: which of the distinct goals have such a group, and their rows."""
        import numpy as np

        first, order = self._first, self._order
        size = np.diff(first, append=len(order))
        return [
            (np.flatnonzero(size == many), order[first[size == many][:, None] + np.arange(many)])
            for many in sorted(set(size.tolist()))
        ]

    def reduced(self, ufunc: Any, rows: Any) -> Any:
        """What ``ufunc`` makes of the rows of each group, (distinct, points), of ``rows``, (goals,
        points)."""
        import numpy as np

        if rows.shape[1] <= FEW_REDUCED:
            return ufunc.reduceat(rows[self._order], self._first, axis=0)
        found = np.empty((len(self.distinct), rows.shape[1]))
        for groups, which in self._sizes:
            found[groups] = ufunc.reduce(rows[which], axis=1)
        return found

    def add(self, to: Any, rows: Any) -> None:
        """Add each of ``rows``, (goals, points), to the row of ``to`` that is its goal."""
        import numpy as np

        if (points := rows.shape[1]) < MANY_COUNTED:
            if self._places.shape[1] != points:
                self._places = self.goals[:, None] * points + np.arange(points)
            to += np.bincount(self._places.ravel(), rows.ravel(), to.size).reshape(to.shape)
        else:  # a group of the same size in one operation
            for groups, which in self._sizes:
                to[self.distinct[groups]] += rows[which].sum(axis=1)


@record
class EliminationStep:
    """Nodes of nearly as many neighbours that go at once, those at the places ``nodes``. Of each the
    conductances are in the ``slots``, (neighbours, nodes) written in one line, with the places of the
    nodes at their ``far`` ends, (neighbours, nodes): that of the node that stays where it has fewer;
    ``left`` and ``right`` number the pairs of neighbours; ``mesh`` adds to the conductances between
    these, ``passed`` to the currents of the neighbours, both of which come after those of the step."""

    nodes: slice
    slots: slice
    far: Any
    left: Any
    right: Any
    mesh: RowGroups
    passed: RowGroups


class EliminationPlan:
    """The order in which the nodes 0 to ``count`` go that are joined as ``ends`` say, in pairs; the
    node ``count`` stays, at no volts. ``order`` has the nodes in that order, the one that stays last, and
    ``place`` where each is in it, both (count + 1,). ``slot_of`` gives the slot of the conductance of each
    pair, (pairs,); pairs with the same ends share one. The slots of a step lie together, in the order of
    the steps; one of each node that has fewer neighbours than others of its step is of no pair, and the
    last takes what goes between such."""

    def __init__(self, count: int, ends: Iterable[tuple[int, int]]):
        import numpy as np

        self.count = count
        self._pairs = 0
        #: of each node that remains its neighbours, with the slot of the conductance to each
        self._around: list[dict[int, int]] = [{} for _ in range(count + 1)]
        slot_of = [self._slot(one, other) for one, other in ends]
        gone = [self._gone(nodes) for nodes in self._order()]
        self.order = np.array([*chain.from_iterable(nodes for nodes, *_ in gone), count])
        self.place = np.empty_like(self.order)
        self.place[self.order] = np.arange(count + 1)
        starts = np.cumsum([0, *(len(nodes) * len(star[0]) for nodes, star, *_ in gone)])
        self.slots = int(starts[-1]) + 1
        where = np.full(self._pairs + 1, self.slots - 1)
        for first, (_, star, *_) in zip(starts.tolist(), gone, strict=False):
            numbers = np.array(star, int).T.ravel()
            where[numbers] = first + np.arange(len(numbers))
        where[NOTHING] = self.slots - 1
        self.slot_of = where[slot_of] if slot_of else np.zeros(0, int)
        self.steps = tuple(self._steps(gone, starts.tolist(), where))

    def _slot(self, one: int, other: int) -> int:
        found = self._around[one].get(other)
        if found is None:
            self._pairs = found = self._pairs + 1
            self._around[one][other] = self._around[other][one] = found
        return found

    def _order(self) -> Iterable[list[int]]:
        """The nodes of each step; those that remain are changed between two steps."""
        around = self._around
        by_degree: dict[int, set[int]] = {}
        degree = [len(others) for others in around[:-1]]
        for node, many in enumerate(degree):
            by_degree.setdefault(many, set()).add(node)
        while by_degree:
            fewest = min(by_degree)
            chosen: list[int] = []
            touched = set[int]()
            for many in range(fewest, max(2, fewest + (fewest > 2)) + 1):
                for node in sorted(by_degree.get(many, ())):
                    if node not in touched:
                        chosen.append(node)
                        touched.update(around[node])
            yield chosen
            for node in (*chosen, *touched):
                if node == self.count:
                    continue
                at = by_degree[degree[node]]
                at.discard(node)
                if not at:
                    del by_degree[degree[node]]
            for node in touched - {self.count}:
                degree[node] = len(around[node])
                by_degree.setdefault(degree[node], set()).add(node)

    def _gone(self, nodes: list[int]) -> Gone:
        """Take away nodes that do not touch: these, for each its slots and the nodes at their far ends,
        NOTHING and the node that stays where it has fewer than another; and the slot of each pair of
        neighbours, for all nodes pair by pair."""
        far = [sorted(self._around[node]) for node in nodes]
        star = [
            [self._around[node][other] for other in others] for node, others in zip(nodes, far, strict=True)
        ]
        for node, others in zip(nodes, far, strict=True):
            for other in others:
                del self._around[other][node]
        width = max(map(len, far))
        mesh = [
            self._slot(others[i], others[j]) if j < len(others) else NOTHING
            for i, j in combinations(range(width), 2)
            for others in far
        ]
        return nodes, _padded(star, width, NOTHING), _padded(far, width, self.count), mesh

    def _steps(self, gone: Sequence[Gone], starts: Sequence[int], where: Any) -> Iterator[EliminationStep]:
        import numpy as np

        first = 0
        for (nodes, _, far, mesh), (begin, end) in zip(gone, pairwise(starts), strict=True):
            width = len(far[0])
            left, right = np.array(tuple(combinations(range(width), 2)), int).reshape(-1, 2).T
            ends = self.place[np.array(far, int).reshape(len(nodes), width).T]
            yield EliminationStep(
                slice(first, first + len(nodes)),
                slice(begin, end),
                ends,
                left,
                right,
                RowGroups(where[mesh] - end if mesh else np.zeros(0, int)),
                RowGroups(ends.ravel() - first - len(nodes)),
            )
            first += len(nodes)

    @cached_property
    def singles(self) -> tuple[int, Sequence[Single]]:
        """How many steps come before the last ones, of few nodes each, and the nodes of these."""
        many = max((n for n, step in enumerate(self.steps, 1) if step.far.shape[1] > FEW_NODES), default=0)
        rest = self.steps[many:]
        place, slot = (rest[0].nodes.start, rest[0].slots.start) if rest else (0, 0)
        found: list[Single] = []
        for step in rest:
            begin, after = step.slots.start - slot, step.slots.stop - slot
            count = step.far.shape[1]
            mesh = (step.mesh.goals + after).reshape(len(step.left), count).T.tolist()
            pairs = list(zip(step.left.tolist(), step.right.tolist(), strict=True))
            for i, (far, goals) in enumerate(zip((step.far - place).T.tolist(), mesh, strict=True)):
                between = [(*pair, goal) for pair, goal in zip(pairs, goals, strict=True)]
                found.append((list(range(begin + i, after, count)), far, between))
        return many, found

    def factored(self, siemens: Any) -> EliminatedNetwork:
        """The network with the conductances ``siemens`` in its slots, (slots, points); what is in
        the slots changes."""
        import numpy as np

        found, single = [], siemens.shape[1] == 1
        many, nodes = self.singles if single else (len(self.steps), ())
        for step in self.steps[:many]:
            star = siemens[step.slots].reshape(*step.far.shape, siemens.shape[1])
            whole = np.add.reduce(star, axis=0)
            share = star / whole
            if len(step.left):
                more = star[step.left] * share[step.right]
                step.mesh.add(siemens[step.slots.stop :], more.reshape(-1, siemens.shape[1]))
            found.append((whole, share))
        last = _by_node(nodes, siemens[self.steps[many].slots.start :, 0].tolist()) if nodes else ()
        return EliminatedNetwork(self, found, last)


@lru_cache(maxsize=8)
def plan_of(count: int, ends: tuple[tuple[int, int], ...]) -> EliminationPlan:
    """The plan of a network, made once for circuits that differ in their figures or dead ends alone."""
    return EliminationPlan(count, ends)


def _by_node(nodes: Iterable[Single], siemens: list[float]) -> list[tuple[float, list[float]]]:
    """What nodes have that go one after the other, with ``siemens`` in their slots: the sum of the
    conductances of each, NaN where that is nothing, and of each of these its share of it."""
    found = []
    for slots, _, between in nodes:
        star = [siemens[slot] for slot in slots]
        whole = sum(star) or nan
        share = [own / whole for own in star]
        for one, other, goal in between:
            siemens[goal] += star[one] * share[other]
        found.append((whole, share))
    return found


def _padded(rows: Sequence[list[int]], width: int, end: int) -> list[list[int]]:
    return [row if len(row) == width else [*row, *[end] * (width - len(row))] for row in rows]


@record
class EliminatedNetwork:
    """For each step of the ``plan``, of each node the sum of its conductances, (nodes, points), and
    of each of these its share of it, (neighbours, nodes, points); where there is one point not of the
    ``last`` steps, but of each of their nodes."""

    plan: EliminationPlan
    steps: Sequence[tuple[Any, Any]]
    last: Sequence[tuple[float, list[float]]] = ()

    def steady(self) -> Any:
        """The points at which each node that goes is joined to the rest by more than nothing: with
        conductances below zero only there all currents fall off from a push, (points,)."""
        import numpy as np

        wholes = [whole for whole, _ in self.steps]
        held = np.logical_and.reduce(np.concatenate(wholes) > 0, axis=0) if wholes else np.ones(1, bool)
        return held & all(whole > 0 for whole, _ in self.last)

    def volts(self, amps: Any) -> Any:
        """Volts of all nodes and of the one that stays, (count + 1, points), with ``amps`` driven
        into them, (count + 1, points)."""
        import numpy as np

        found, single = amps.take(self.plan.order, axis=0), amps.shape[1] == 1
        factors = self.steps if single else self._as_steps
        steps = self.plan.steps[: len(factors)]
        for step, (_, share) in zip(steps, factors, strict=True):
            passed = share * found[step.nodes]
            step.passed.add(found[step.nodes.stop :], passed.reshape(step.far.size, found.shape[1]))
        found[-1] = 0.0
        if single and self.last:
            self._last_volts(found[self.plan.count - len(self.last) :, 0])
        for step, (whole, share) in zip(reversed(steps), reversed(factors), strict=True):
            own = found[step.nodes]
            own /= whole
            own += np.einsum("knp,knp->np", share, found.take(step.far, axis=0))
        return found.take(self.plan.place, axis=0)

    def _last_volts(self, found: Any) -> None:
        """Put volts in the place of the amperes into the nodes of the last steps, (nodes + 1,)."""
        each, shares = found.tolist(), self._last_shares
        for amps, passed in zip(each, shares, strict=False):
            for there, share in passed:
                each[there] += share * amps
        each[-1] = 0.0
        for here in range(len(shares) - 1, -1, -1):
            volts = each[here] / self.last[here][0]
            for there, share in shares[here]:
                volts += share * each[there]
            each[here] = volts
        found[:] = each

    @cached_property
    def _last_shares(self) -> Sequence[Sequence[tuple[int, float]]]:
        """Of each node of the ``last`` steps the places of the nodes at its far ends, with its shares."""
        nodes = self.plan.singles[1]
        return [
            list(zip(far, share, strict=True))
            for (_, far, _), (_, share) in zip(nodes, self.last, strict=True)
        ]

    @cached_property
    def _as_steps(self) -> Sequence[tuple[Any, Any]]:
        """The ``steps`` with the last ones, for the amperes of many points."""
        import numpy as np

        steps, begin = list(self.steps), 0
        for step in self.plan.steps[len(steps) :] if self.last else ():
            own = self.last[begin : (begin := begin + step.far.shape[1])]
            whole = np.array([whole for whole, _ in own])[:, None]
            steps.append((whole, np.array([share for _, share in own]).T[:, :, None]))
        return steps
