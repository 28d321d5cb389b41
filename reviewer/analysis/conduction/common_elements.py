"""The elements that every path between a source and a node passes, in the healthy state."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.conduction.simple_paths import SimplePaths
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.network.search import reachable_by


def common_elements(answer: StateAnswer, found: SimplePaths) -> tuple[str, ...]:
    """The elements of the first of the paths that every path passes, in its order.

    Where the search for paths stopped, what is on all that it found is proven: with its links open no
    path is left.
    """
    first, *others = found.paths or (None,)
    if first is None:
        return ()
    listed = [set(path.elements) for path in others]
    shared = tuple(e for e in dict.fromkeys(first.elements) if all(e in path for path in listed))
    if not found.stopped:
        return shared
    healthy, feeds = answer.healthy, first.elements[0] == first.source
    allowed = (healthy.fed if feeds else healthy.returned)[first.source]
    start, goal = first.nodes[0], first.nodes[-1]
    return tuple(
        e for e in shared if e == first.source or not _joined_without(answer, allowed, start, goal, e)
    )


def _joined_without(answer: StateAnswer, allowed: Sequence[int], start: int, goal: int, element: str) -> bool:
    """Whether current gets from start to goal without an element, by nodes that are ``allowed``."""
    network = answer.network

    def onward(node: int) -> Iterator[int]:
        for i, other, leaving in network.around[node]:
            whole = network.links[i].element != element and allowed[other]
            if whole and conducts(network, answer, i, leaving):
                yield other

    return goal in reachable_by([start], onward)
