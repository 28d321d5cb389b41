"""The simple paths by which current gets from a source to a node in the healthy state, and back.

The shortest is always found, others as far as a limit allows. Only the blocks between both ends are searched
(:mod:`reviewer.network.biconnected`): what hangs on them, or lies beside them, is on no simple path.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from heapq import heappop, heappush

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.model.record import record
from reviewer.network.biconnected import BlockTree
from reviewer.network.search import shortest
from reviewer.network.work_count import STEPS_OF_A_LINK, add_work

#: no more paths than this are listed, and no more steps than this are taken to find them
MOST_PATHS, MOST_STEPS = 12, 20_000
#: starts and goals of a state whose edges are kept
KEPT = 4

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
    edges = _between(answer, _edges_of(answer, ("feed", source), start, goal, fed), start, goal)
    paths, stopped = _search(edges, start, goal, most, steps)
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
    edges = _between(answer, _edges_of(answer, ("return", source), start, goal, returned), start, goal)
    paths, stopped = _search(edges, start, goal, most, steps)
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


def _search(edges: _Edges, start: int, goal: int, most: int, steps: int) -> tuple[list[_Path], bool]:
    """The shortest path and others, the shortest first; and whether a limit was reached."""
    first = _shortest(edges, start, goal)
    paths = {first} if first else set()
    stopped, taken = False, 0
    for taken, path in enumerate(_simple(edges, start, goal)):
        if path is not None:
            paths.add(path)
        if taken >= steps or len(paths) > most:
            stopped = True
            break
    add_work(taken // STEPS_OF_A_LINK)
    return sorted(paths, key=lambda path: (len(path[0]), path))[:most], stopped


def may_pass(answer: StateAnswer, source: str, node: int, by: Collection[str], returns: bool = False) -> bool:
    """Whether a simple path from a source to a node, or back where it ``returns``, may pass one of some
    elements: one of their links lies between both ends, or it is the source."""
    end = next(s for s in answer.network.sources if s.element == source)
    tree = _blocks(answer)
    numbers = tree.numbers_between((end.negative if returns else end.positive, node))
    links = answer.network.links_of
    return source in by or any(tree.block_of.get(i) in numbers for e in by for i in links.get(e, ()))


def _blocks(answer: StateAnswer) -> BlockTree:
    """The blocks of what conducts in a state, worked out once."""
    known = answer.searched
    if "blocks" not in known:
        known["blocks"] = BlockTree(answer.network, closed=answer.closed)
    tree: BlockTree = known["blocks"]
    return tree


def _between(answer: StateAnswer, edges: _Edges, start: int, goal: int) -> _Edges:
    """Those of some edges that lie in the blocks between start and goal."""
    tree = _blocks(answer)
    numbers, block_of = tree.numbers_between((start, goal)), tree.block_of
    kept: _Edges = {}
    todo = [start]
    while todo:
        node = todo.pop()
        if node not in kept:
            kept[node] = [edge for edge in edges.get(node, ()) if block_of[edge[0]] in numbers]
            todo += [other for _, other in kept[node]]
    return kept


def _edges_of(
    answer: StateAnswer, side: tuple[str, str], start: int, goal: int, allowed: Sequence[int]
) -> _Edges:
    """:func:`useful_edges`, worked out once for all starts and goals that current joins both ways:
    what can be reached from one of them, or reaches it, is the same. ``side`` says what is allowed."""
    known = answer.searched
    if "joined" not in known:
        known["conducting"] = conducting = _conducting(answer)
        known["joined"], known["edges"] = _joined(answer, conducting), {}
    joined, kept = known["joined"], known["edges"]
    key = (side, joined[start], joined[goal])
    if key not in kept:
        if len(kept) == KEPT:
            del kept[next(iter(kept))]
        kept[key] = useful_edges(known["conducting"], start, goal, allowed)
    edges: _Edges = kept[key]
    return edges


def _conducting(answer: StateAnswer) -> list[list[tuple[int, int]]]:
    """The conducting edges of each node."""
    network = answer.network
    return [
        [(i, o) for i, o, leaving in around if o != node and conducts(network, answer, i, leaving)]
        for node, around in enumerate(network.around)
    ]


def _joined(answer: StateAnswer, conducting: Sequence[Sequence[tuple[int, int]]]) -> list[int]:
    """For each node one that stands for all that links join to it which conduct both ways."""
    links, first = answer.network.links, [-1] * len(conducting)
    for start in range(len(conducting)):
        todo = [start] if first[start] < 0 else []
        while todo:
            node = todo.pop()
            first[node] = start
            todo += [o for i, o in conducting[node] if first[o] < 0 and not links[i].oneway]
    return first


def useful_edges(
    conducting: Sequence[list[tuple[int, int]]], start: int, goal: int, allowed: Sequence[int]
) -> _Edges:
    """Those of the ``conducting`` edges of all nodes that are on some walk from start to goal, by
    nodes that are ``allowed``."""
    seen, todo = {start}, [start]
    before: dict[int, list[int]] = {}
    while todo:
        node = todo.pop()
        for _, other in conducting[node]:
            if allowed[other]:
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
    return {n: _within(conducting[n], useful) for n in useful & seen}


def _within(edges: list[tuple[int, int]], useful: set[int]) -> list[tuple[int, int]]:
    """The edges that lead to useful nodes; the same list where all do."""
    kept = [edge for edge in edges if edge[1] in useful]
    return edges if len(kept) == len(edges) else kept


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
