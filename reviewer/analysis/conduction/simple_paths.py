"""The simple paths by which current gets from a source to a node in the healthy state, and back.

The shortest is always found, others as far as a limit allows.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.model.record import record
from reviewer.network.search import shortest

#: no more paths than this are listed, and no more steps than this are taken to find them
MOST_PATHS, MOST_STEPS = 12, 20_000

#: the edges of a graph: node -> (link, other node) pairs
_Edges = dict[int, list[tuple[int, int]]]
#: the nodes of a path, and the links that join them
_Path = tuple[tuple[int, ...], tuple[int, ...]]


@record
class SimplePath:
    """A path of current from ``nodes[0]`` to the last node, joined by ``links`` in order.

    ``elements`` are the parts and wires in order, each once, with the ``source`` at the end where
    the path begins or ends at it.
    """

    source: str
    nodes: tuple[int, ...]
    links: tuple[int, ...]
    elements: tuple[str, ...]


@record
class SimplePaths:
    """Paths, the shortest first; ``stopped`` where a limit was reached and there may be more."""

    paths: tuple[SimplePath, ...]
    stopped: bool


def feed_paths(
    answer: StateAnswer, source: str, goal: int, most: int = MOST_PATHS, steps: int = MOST_STEPS
) -> SimplePaths:
    """The simple paths from the positive of a source to a node; none where it is not fed."""
    fed = answer.healthy.fed[source]
    if not fed[goal]:
        return SimplePaths((), False)
    start = next(s.positive for s in answer.network.sources if s.element == source)
    paths, stopped = _search(answer, start, goal, lambda n: bool(fed[n]), most, steps)
    return SimplePaths(
        tuple(
            SimplePath(source, nodes, links, (source, *_elements(answer, links, source)))
            for nodes, links in paths
        ),
        stopped,
    )


def return_paths(
    answer: StateAnswer, source: str, start: int, most: int = MOST_PATHS, steps: int = MOST_STEPS
) -> SimplePaths:
    """The simple paths from a node to the negative of a source; none where there is no return."""
    returned = answer.healthy.returned[source]
    if not returned[start]:
        return SimplePaths((), False)
    goal = next(s.negative for s in answer.network.sources if s.element == source)
    paths, stopped = _search(answer, start, goal, lambda n: bool(returned[n]), most, steps)
    return SimplePaths(
        tuple(
            SimplePath(source, nodes, links, (*_elements(answer, links, source), source))
            for nodes, links in paths
        ),
        stopped,
    )


@record
class BlockedPath:
    """The path that is nearest to feeding a dead node, or to returning it.

    ``elements`` are in the order of current; ``at`` are those of them that do not conduct in the
    state.
    """

    source: str
    elements: tuple[str, ...]
    at: tuple[str, ...]


@record
class _PathStep:
    """How a node was reached: from node ``before`` by a link that is ``closed`` or not."""

    before: int
    link: int
    closed: bool


def nearest_blocked_path(answer: StateAnswer, node: int, returns: bool = False) -> BlockedPath | None:
    """How a live source could feed a node, or be its return, if the fewest possible switches,
    relays and protectors were in another position.

    Diodes are passed in their direction only. None where no other position would help.
    """
    network = answer.network
    live = [s for s in network.sources if answer.healthy.alive[s.element]]
    names = {s.negative if returns else s.positive: s.element for s in reversed(live)}
    steps = _fewest_open(answer, sorted(names), node, returns)
    if node not in steps:
        return None
    path, at = [], node
    while (step := steps[at]) is not None:
        path.append(step)
        at = step.before
    if not returns:
        path.reverse()
    source = names[at]
    elements = _elements(answer, [step.link for step in path], source)
    open_ones = dict.fromkeys(network.links[step.link].element for step in path if not step.closed)
    return BlockedPath(source, (*elements, source) if returns else (source, *elements), tuple(open_ones))


def _fewest_open(
    answer: StateAnswer, starts: Sequence[int], goal: int, returns: bool
) -> dict[int, _PathStep | None]:
    """How each node is reached from a start by the fewest open links, then by the fewest links.

    The search goes against the current where it ``returns``, and ends at the goal.
    """
    network = answer.network
    steps: dict[int, _PathStep | None] = {}
    todo: list[tuple[int, int, int, tuple[int, int, bool] | None]] = [(0, 0, n, None) for n in starts]
    while todo and goal not in steps:
        opened, length, at, step = heappop(todo)
        if at in steps:
            continue
        steps[at] = None if step is None else _PathStep(*step)
        for i, other, leaving in network.around[at]:
            forward = leaving != returns
            if other not in steps and (forward or not network.links[i].oneway):
                closed = conducts(network, answer, i, forward)
                heappush(todo, (opened + (not closed), length + 1, other, (at, i, closed)))
    return steps


def _elements(answer: StateAnswer, links: Sequence[int], source: str) -> tuple[str, ...]:
    """The elements of some links in a row, each run of one element once, without the source."""
    elements: list[str] = []
    for i in links:
        element = answer.network.links[i].element
        if not elements or elements[-1] != element:
            elements.append(element)
    return tuple(e for e in elements if e != source)


def _search(
    answer: StateAnswer, start: int, goal: int, allowed: Callable[[int], bool], most: int, steps: int
) -> tuple[list[_Path], bool]:
    """The shortest path and others, the shortest first; and whether a limit was reached."""
    edges = _useful_edges(answer, start, goal, allowed)
    first = _shortest(edges, start, goal)
    paths = {first} if first else set()
    stopped = False
    for taken, path in enumerate(_simple(edges, start, goal)):
        if path is not None:
            paths.add(path)
        if taken >= steps or len(paths) > most:
            stopped = True
            break
    return sorted(paths, key=lambda path: (len(path[0]), path))[:most], stopped


def _useful_edges(answer: StateAnswer, start: int, goal: int, allowed: Callable[[int], bool]) -> _Edges:
    """The conducting edges of all nodes that are on some walk from start to goal."""
    network = answer.network
    seen, todo = {start}, [start]
    edges: _Edges = {}
    before: dict[int, list[int]] = {}
    while todo:
        node = todo.pop()
        edges[node] = []
        for i, other, leaving in network.around[node]:
            if other != node and allowed(other) and conducts(network, answer, i, leaving):
                edges[node].append((i, other))
                before.setdefault(other, []).append(node)
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
    useful, todo = {goal}, [goal]
    while todo:
        for node in before.get(todo.pop(), ()):
            if node not in useful:
                useful.add(node)
                todo.append(node)
    return {n: [(i, o) for i, o in out if o in useful] for n, out in edges.items() if n in useful}


def _shortest(edges: _Edges, start: int, goal: int) -> _Path | None:
    nearest = shortest(start, {goal}, lambda node: ((other, (i, other)) for i, other in edges.get(node, ())))
    if nearest is None:
        return None
    return (start, *(other for _, other in nearest[1])), tuple(i for i, _ in nearest[1])


def _simple(edges: _Edges, start: int, goal: int) -> Iterator[_Path | None]:
    """Every path that visits no node twice, and None for each step of the search between them."""
    if start == goal:
        yield ((start,), ())
        return
    nodes: list[int] = [start]
    links: list[int] = []
    choices = [iter(edges.get(start, ()))]
    visited = {start}
    while choices:
        step = next(choices[-1], None)
        yield None
        if step is None:
            choices.pop()
            visited.discard(nodes.pop())
            if links:
                links.pop()
            continue
        i, other = step
        if other == goal:
            yield ((*nodes, goal), (*links, i))
        elif other not in visited:
            nodes.append(other)
            links.append(i)
            visited.add(other)
            choices.append(iter(edges.get(other, ())))
