"""Plain walks through a network: which nodes can be come to from one, by the links that a question lets through."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Container, Iterable, Mapping
from typing import Generic, TypeVar

from reviewer.network.graph import Gate, Link, Network

T = TypeVar("T")

#: whether a link, left by its a end or entered there, may be passed
Passes = Callable[[Link, bool], bool]


def come_to(network: Network, starts: Iterable[int], passes: Passes) -> set[int]:
    """All nodes that are come to from some nodes by links that may be passed, the starts included."""
    seen = set(starts)
    todo = list(seen)
    while todo:
        for i, other, leaving in network.around[todo.pop()]:
            if other not in seen and passes(network.links[i], leaving):
                seen.add(other)
                todo.append(other)
    return seen


class Tree(Generic[T]):
    """The shortest ways from one node to all others, walked no further than has been asked; ``onward`` as of :func:`shortest`."""

    def __init__(self, start: int, onward: Callable[[int], Iterable[tuple[int, T]]]):
        self._came: dict[int, tuple[int, T] | None] = {start: None}
        self._todo = deque([start])
        self._onward = onward

    def way(self, goal: int) -> list[T] | None:
        """The steps of the shortest way to a node, the one that :func:`shortest` finds; None where there is none."""
        while goal not in self._came and self._todo:
            node = self._todo.popleft()
            for other, step in self._onward(node):
                if other not in self._came:
                    self._came[other] = (node, step)
                    self._todo.append(other)
        return _steps(self._came, goal) if goal in self._came else None


def _steps(came: Mapping[int, tuple[int, T] | None], goal: int) -> list[T]:
    steps, at = [], goal
    while (back := came[at]) is not None:
        steps.append(back[1])
        at = back[0]
    return steps[::-1]


def shortest(
    start: int, goals: Container[int], onward: Callable[[int], Iterable[tuple[int, T]]]
) -> tuple[int, list[T]] | None:
    """The goal that is nearest to a node, and the steps of the shortest way there; None where there is none.

    ``onward`` gives for a node the (next node, step) pairs; of ways of the same length, the one that it gives first.
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


def conductors(link: Link, leaving: bool) -> bool:
    """Lets plain conductors through: no contact, protector, diode or shield."""
    return link.gate is Gate.ALWAYS and not link.oneway


def conductors_and_protectors(link: Link, leaving: bool) -> bool:
    """Lets plain conductors and protectors through."""
    return link.gate in (Gate.ALWAYS, Gate.PROTECTOR) and not link.oneway


def anything_along(link: Link, leaving: bool) -> bool:
    """Lets everything through that could conduct in any state, diodes in their direction."""
    return leaving or not link.oneway


def anything_against(link: Link, leaving: bool) -> bool:
    """As :func:`anything_along`, against the current."""
    return not (link.oneway and leaving)
