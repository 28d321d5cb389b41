"""The ways by which current gets from a source to a node in the healthy state, and back: the shortest, and others as far as a limit allows."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.model.record import record
from reviewer.network.search import shortest

#: more ways than this are not listed, and no more steps than this are taken to find them
MOST_WAYS, MOST_STEPS = 12, 20_000


@record
class Way:
    """A way of current from ``nodes[0]`` to the last node; ``links`` join them one after the other. ``elements`` are the parts and wires in order, each
    once, with the source where the way begins or ends at one."""

    source: str
    nodes: tuple[int, ...]
    links: tuple[int, ...]
    elements: tuple[str, ...]


@record
class Ways:
    """Ways of one kind, the shortest first; ``stopped`` where a limit was reached, so that there may be more."""

    ways: tuple[Way, ...]
    stopped: bool


def feed_ways(
    answer: StateAnswer, source: str, goal: int, most: int = MOST_WAYS, steps: int = MOST_STEPS
) -> Ways:
    """The simple ways from the positive of a source to a node; none where it does not feed it."""
    if not answer.healthy.fed[source][goal]:
        return Ways((), False)
    start = next(s.positive for s in answer.network.sources if s.element == source)
    found = _search(answer, start, goal, lambda n: bool(answer.healthy.fed[source][n]), most, steps)
    return Ways(tuple(_way(answer, source, nodes, links, True) for nodes, links in found.ways), found.stopped)


def return_ways(
    answer: StateAnswer, source: str, start: int, most: int = MOST_WAYS, steps: int = MOST_STEPS
) -> Ways:
    """The simple ways from a node to the negative of a source; none where the source does not get it back."""
    if not answer.healthy.returned[source][start]:
        return Ways((), False)
    goal = next(s.negative for s in answer.network.sources if s.element == source)
    found = _search(answer, start, goal, lambda n: bool(answer.healthy.returned[source][n]), most, steps)
    return Ways(
        tuple(_way(answer, source, nodes, links, False) for nodes, links in found.ways), found.stopped
    )


@record
class Shut:
    """The way that comes nearest to feeding a dead node, or to returning one: its ``elements`` in the order of current, and those of them, ``at``, that
    do not conduct as they stand."""

    source: str
    elements: tuple[str, ...]
    at: tuple[str, ...]


def nearest_shut(answer: StateAnswer, node: int, returns: bool = False) -> Shut | None:
    """How a live source could feed a node (or get it back) if the fewest possible switches, relays and protectors stood otherwise.

    Diodes are passed forwards only. None where nothing that stands otherwise would help.
    """
    network = answer.network
    live = [s for s in network.sources if answer.healthy.alive[s.element]]
    names = {s.negative if returns else s.positive: s.element for s in reversed(live)}
    came: dict[int, tuple[int, int, bool] | None] = {}
    todo: list[tuple[int, int, int, tuple[int, int, bool] | None]] = [(0, 0, n, None) for n in sorted(names)]
    while todo and node not in came:
        shut, length, at, step = heappop(todo)
        if at in came:
            continue
        came[at] = step
        for i, other, leaving in network.around[at]:
            forth = leaving != returns
            if other not in came and not (network.links[i].oneway and not forth):
                closed = conducts(network, answer, i, forth)
                heappush(todo, (shut + (not closed), length + 1, other, (at, i, closed)))
    if node not in came:
        return None
    links, bad, at = [], [], node
    while (step := came[at]) is not None:
        links.append(step[1])
        bad += [] if step[2] else [network.links[step[1]].element]
        at = step[0]
    if not returns:
        links.reverse()
        bad.reverse()
    elements = tuple(e for e in _elements(answer, links) if e != names[at])
    return Shut(
        names[at], (*elements, names[at]) if returns else (names[at], *elements), tuple(dict.fromkeys(bad))
    )


def _way(answer: StateAnswer, source: str, nodes: Sequence[int], links: Sequence[int], feeds: bool) -> Way:
    elements = tuple(e for e in _elements(answer, links) if e != source)
    return Way(source, tuple(nodes), tuple(links), (source, *elements) if feeds else (*elements, source))


def _elements(answer: StateAnswer, links: Sequence[int]) -> tuple[str, ...]:
    found: list[str] = []
    for i in links:
        element = answer.network.links[i].element
        if not found or found[-1] != element:
            found.append(element)
    return tuple(found)


@record
class _Found:
    ways: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]
    stopped: bool


def _search(
    answer: StateAnswer, start: int, goal: int, allowed: Callable[[int], bool], most: int, steps: int
) -> _Found:
    onward = _onward(answer, start, goal, allowed)
    first = _shortest(onward, start, goal)
    found = {first} if first else set()
    stopped = False
    for taken, way in enumerate(_simple(onward, start, goal)):
        if way is not None:
            found.add(way)
        if taken >= steps or len(found) > most:
            stopped = True
            break
    ways = sorted(found, key=lambda w: (len(w[0]), w))[:most]
    return _Found(tuple(ways), stopped)


def _onward(
    answer: StateAnswer, start: int, goal: int, allowed: Callable[[int], bool]
) -> dict[int, list[tuple[int, int]]]:
    """For each node that is on some walk from start to goal, the (link, other node) pairs by which current goes on."""
    network = answer.network
    reach, todo = {start}, [start]
    pairs: dict[int, list[tuple[int, int]]] = {}
    back: dict[int, list[int]] = {}
    while todo:
        node = todo.pop()
        pairs[node] = []
        for i, other, leaving in network.around[node]:
            if other != node and allowed(other) and conducts(network, answer, i, leaving):
                pairs[node].append((i, other))
                back.setdefault(other, []).append(node)
                if other not in reach:
                    reach.add(other)
                    todo.append(other)
    useful, todo = {goal}, [goal]
    while todo:
        for before in back.get(todo.pop(), ()):
            if before not in useful:
                useful.add(before)
                todo.append(before)
    return {n: [(i, o) for i, o in ways if o in useful] for n, ways in pairs.items() if n in useful}


def _shortest(
    onward: dict[int, list[tuple[int, int]]], start: int, goal: int
) -> tuple[tuple[int, ...], tuple[int, ...]] | None:
    found = shortest(start, {goal}, lambda node: ((other, (i, other)) for i, other in onward.get(node, ())))
    if found is None:
        return None
    return (start, *(other for _, other in found[1])), tuple(i for i, _ in found[1])


def _simple(
    onward: dict[int, list[tuple[int, int]]], start: int, goal: int
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]] | None]:
    """Every way that visits no node twice, and None for each step that is taken between them."""
    if start == goal:
        yield ((start,), ())
        return
    nodes: list[int] = [start]
    links: list[int] = []
    choices = [iter(onward.get(start, ()))]
    on = {start}
    while choices:
        step = next(choices[-1], None)
        yield None
        if step is None:
            choices.pop()
            on.discard(nodes.pop())
            if links:
                links.pop()
            continue
        i, other = step
        if other == goal:
            yield ((*nodes, goal), (*links, i))
        elif other not in on:
            nodes.append(other)
            links.append(i)
            on.add(other)
            choices.append(iter(onward.get(other, ())))
