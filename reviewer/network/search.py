"""Searches of a network: reachable nodes, shortest paths, cheapest paths.

A question says by which links it may go on; nothing here knows states, ohms or metres.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Container, Iterable, Mapping
from dataclasses import replace
from heapq import heappop, heappush
from math import inf
from typing import Generic, TypeVar

from reviewer.network.graph import Gate, Link, Network

T = TypeVar("T")

#: whether a link, left by its a end or entered there, may be passed
Passes = Callable[[Link, bool], bool]


def reachable(network: Network, starts: Iterable[int], passes: Passes) -> set[int]:
    """Nodes reachable from some starts by links that may be passed, the starts included."""
    around, links = network.around, network.links
    seen = set(starts)
    todo = list(seen)
    while todo:
        for i, other, leaving in around[todo.pop()]:
            if other not in seen and passes(links[i], leaving):
                seen.add(other)
                todo.append(other)
    return seen


def reachable_together(network: Network, starts: Iterable[int], passes: Passes) -> set[int]:
    """As :func:`reachable`, but not from one contact of a switch or relay on to another one of it that is
    never closed with it, as its other throw, unless a contact of another such device lies between."""
    by_element: dict[str, list[Link]] = {}
    for link in network.links:
        if link.gate in _THROWN:
            by_element.setdefault(link.element, []).append(link)
    throws = {e for e, of in by_element.items() if any(_never_together(one, two) for one in of for two in of)}
    seen: dict[int, set[Link | None]] = {node: {None} for node in starts}
    todo: list[tuple[int, Link | None]] = [(node, None) for node in seen]
    while todo:
        node, last = todo.pop()
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if not passes(link, leaving) or (last is not None and _never_together(last, link)):
                continue
            came = link if link.element in throws and link.gate in _THROWN else last
            known = seen.setdefault(other, set())
            if came not in known and None not in known:
                known.add(came)
                todo.append((other, came))
    return set(seen)


#: gates of contacts of which one closes as another opens
_THROWN = (Gate.SWITCH, Gate.ENERGISED, Gate.DE_ENERGISED)


def _never_together(one: Link, other: Link) -> bool:
    """Whether two links are contacts of one device that are never closed at once."""
    if one.element != other.element or one.gate not in _THROWN or other.gate not in _THROWN:
        return False
    if one.gate is Gate.SWITCH:
        return one.positions.isdisjoint(other.positions)
    return one.gate is not other.gate


def narrowed(network: Network, passes: Callable[[Link], bool]) -> Network:
    """A network without the links that do not pass: they stay in ``links``, not in ``around``."""
    kept = [passes(link) for link in network.links]
    return replace(network, around=tuple(tuple(s for s in steps if kept[s[0]]) for steps in network.around))


def reachable_by(starts: Iterable[int], onward: Callable[[int], Iterable[int]]) -> set[int]:
    """Nodes reachable from some starts, the starts included; ``onward`` gives the next nodes."""
    seen = set(starts)
    todo = list(seen)
    while todo:
        for other in onward(todo.pop()):
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return seen


class ShortestPaths(Generic[T]):
    """The shortest paths from one node to all others, searched no further than has been asked.

    ``onward`` as of :func:`shortest`.
    """

    def __init__(self, start: int, onward: Callable[[int], Iterable[tuple[int, T]]]):
        self._came: dict[int, tuple[int, T] | None] = {start: None}
        self._todo = deque([start])
        self._onward = onward

    def path(self, goal: int) -> list[T] | None:
        """The steps of the shortest path to a node; None where there is none.

        It is the path that :func:`shortest` finds.
        """
        found = self.nearest((goal,))
        return None if found is None else found[1]

    def nearest(self, goals: Collection[int]) -> tuple[int, list[T]] | None:
        """What :func:`shortest` finds."""
        came = self._came
        met = [goal for goal in goals if goal in came]
        while self._todo and not met:
            node = self._todo.popleft()
            for other, step in self._onward(node):
                if other not in came:
                    came[other] = (node, step)
                    self._todo.append(other)
                    if other in goals:
                        met.append(other)
        if not met:
            return None
        first = met[0] if len(met) == 1 else next(node for node in came if node in met)
        return first, _steps(came, first)


def _steps(came: Mapping[int, tuple[int, T] | None], goal: int) -> list[T]:
    steps, at = [], goal
    while (back := came[at]) is not None:
        steps.append(back[1])
        at = back[0]
    return steps[::-1]


def shortest(
    start: int, goals: Container[int], onward: Callable[[int], Iterable[tuple[int, T]]]
) -> tuple[int, list[T]] | None:
    """The goal nearest to a node, and the steps of the shortest path there; None for none.

    ``onward`` gives for a node the (next node, step) pairs; of paths of the same length, the one
    that it gives first.
    """
    came: dict[int, tuple[int, T] | None] = {start: None}
    todo = deque([start])
    while todo:
        node = todo.popleft()
        if node in goals:
            return node, _steps(came, node)
        for other, step in onward(node):
            if other not in came:
                came[other] = (node, step)
                todo.append(other)
    return None


class CheapestPaths(Generic[T]):
    """The cheapest paths from some starts to all other nodes (Dijkstra 1959), searched no further than
    has been asked.

    ``onward`` gives for a node its (next node, cost of the step, step) triples, with costs of 0 and
    more. Of paths of the same cost, the one that is found first.
    """

    def __init__(self, starts: Iterable[int], onward: Callable[[int], Iterable[tuple[int, float, T]]]):
        self._came: dict[int, tuple[int, T] | None] = dict.fromkeys(starts)
        self._cost = dict.fromkeys(self._came, 0.0)
        self._done: set[int] = set()
        self._queue = [(0.0, place, node) for place, node in enumerate(self._cost)]
        self._pushed = len(self._queue)
        self._onward = onward

    def __contains__(self, goal: object) -> bool:
        """Whether a node is reachable."""
        done, queue, cost = self._done, self._queue, self._cost
        while goal not in done and queue:
            so_far, _, node = heappop(queue)
            if node in done:
                continue
            done.add(node)
            for other, more, step in self._onward(node):
                further = so_far + more
                if further < cost.get(other, inf):
                    cost[other] = further
                    self._came[other] = (node, step)
                    heappush(queue, (further, self._pushed, other))
                    self._pushed += 1
        return goal in done

    @property
    def cost(self) -> Mapping[int, float]:
        """The cost of the path to each node that is reachable."""
        assert None not in self  # searched to the end
        return self._cost

    def cost_of(self, goal: int) -> float:
        """The cost of the path to a node. Raises KeyError where it is not reachable."""
        if goal not in self:
            raise KeyError(goal)
        return self._cost[goal]

    def steps(self, goal: int) -> list[T]:
        """The steps from a start to a node. Raises KeyError where it is not reachable."""
        if goal not in self:
            raise KeyError(goal)
        return _steps(self._came, goal)


def conductors(link: Link, leaving: bool) -> bool:
    """Lets plain conductors through: no contact, protective device, diode or shield."""
    return link.gate is Gate.ALWAYS and not link.oneway


def conductors_and_protectors(link: Link, leaving: bool) -> bool:
    """Lets plain conductors and protective devices through."""
    return link.gate in (Gate.ALWAYS, Gate.PROTECTOR) and not link.oneway


def anything_along(link: Link, leaving: bool) -> bool:
    """Lets everything through that could conduct in any state, diodes in their direction."""
    return leaving or not link.oneway


def anything_against(link: Link, leaving: bool) -> bool:
    """As :func:`anything_along`, against the current."""
    return not (link.oneway and leaving)
