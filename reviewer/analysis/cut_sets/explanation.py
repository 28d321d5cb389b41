"""Why a load died: the way by which it was fed, or by which it was returned, and the element at which that way is broken under a failure."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.simple_paths import Way, feed_ways, return_ways
from reviewer.analysis.conduction.states import StateAnswer, loads_of
from reviewer.analysis.cut_sets.minimal_cut_sets import CutSet
from reviewer.model.record import record
from reviewer.network.graph import Consumer

FED, RETURNED = "fed", "returned"


@record
class LostWay:
    """A load that died. ``way`` is how it was ``fed`` or ``returned`` (``which``), in the order of current, with its source; ``at`` is the element of it at
    which it ends now."""

    load: str
    which: str
    way: tuple[str, ...]
    at: str


@record
class Explanation:
    """A cut set with the loads of the function that it takes, each with the shortest way that was lost."""

    cut: CutSet
    lost: tuple[LostWay, ...]


def explain(answer: StateAnswer, cut: CutSet) -> Explanation:
    """How a cut set loses its function; of the loads, those that live in the healthy system and die."""
    if not cut.failures:
        return Explanation(cut, ())
    after = conduct(answer.network, answer.state, [cut.failures], answer.healthy)
    return Explanation(
        cut, lost_ways(answer, after, 0, (f"parts/{n}" for n in loads_of(answer.design, cut.function)))
    )


def lost_ways(
    answer: StateAnswer, after: Conduction, lane: int, elements: Iterable[str]
) -> tuple[LostWay, ...]:
    """For each of some loads (elements) that lived and is dead in a lane of ``after``, the shortest way that it lost."""
    wanted = set(elements)
    return tuple(
        _lost_way(answer, after, lane, consumer)
        for consumer in answer.network.consumers
        if consumer.element in wanted
        and answer.healthy.powered[consumer.element]
        and not after.powered[consumer.element] >> lane & 1
    )


def _lost_way(answer: StateAnswer, after: Conduction, lane: int, consumer: Consumer) -> LostWay:
    found: list[tuple[int, str, Way, str]] = []
    for source, fed in answer.healthy.fed.items():
        feeds = [n for n in consumer.plus if fed[n]]
        back = [n for n in consumer.minus if answer.healthy.returned[source][n]]
        if not (feeds and back):
            continue
        for node in feeds:
            way = feed_ways(answer, source, node, most=1, steps=0).ways[0]
            reached = [bool(after.fed[source][n] >> lane & 1) for n in way.nodes]
            if not all(reached):
                found.append((len(way.elements), FED, way, _ends(answer, way, reached.index(False), source)))
        for node in back:
            way = return_ways(answer, source, node, most=1, steps=0).ways[0]
            reached = [bool(after.returned[source][n] >> lane & 1) for n in way.nodes]
            if not all(reached):
                # the last place from which the source does not get it back
                last = len(reached) - 1 - reached[::-1].index(False)
                found.append((len(way.elements), RETURNED, way, _ends(answer, way, last + 1, source)))
    if not found:
        # nothing between it and its sources is lost: the load itself is
        return LostWay(consumer.element, FED, (consumer.element,), consumer.element)
    _, which, way, at = min(found, key=lambda f: (f[1], f[0]))
    return LostWay(consumer.element, which, way.elements, at)


def _ends(answer: StateAnswer, way: Way, place: int, source: str) -> str:
    """The element that leads to node number ``place`` of a way, the source where that is its own terminal."""
    return answer.network.links[way.links[place - 1]].element if 0 < place <= len(way.links) else source
