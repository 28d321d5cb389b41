"""The path of current that is the evidence of a finding: to a user, back from it, or of a coil on
its way.

A path is a tuple of element pointers in the order of the current, each run of one element once. It
is taken in the healthy state.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence

from reviewer.analysis.conduction.simple_paths import (
    SimplePath,
    SimplePaths,
    feed_paths,
    may_pass,
    return_paths,
)
from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.network.graph import PoweredDevice
from reviewer.network.search import shortest

Elements = tuple[str, ...]

#: the paths, and the steps of their search, that are tried for one that passes an element
MOST, STEPS = 100, 1_500


def path_to(
    answer: StateAnswer, element: str, by: Collection[str] = (), nodes: Sequence[int] = ()
) -> Elements:
    """From a source to an element, both included; () where nothing feeds it.

    The shortest path that passes one of ``by``; the shortest of all where none does. It ends at one
    of ``nodes`` of the element, where some are given, else where the element is supplied. Of a
    magneto it is the path from its p-lead to one of ``by``.
    """
    if element in answer.healthy.hot:
        return _from_p_lead(answer, element, [n for e in by for n in answer.network.nodes_of.get(e, ())], by)
    ends = [(source, n) for n in nodes or _plus(answer, element) for source in answer.fed_by(n)]
    paths = [_to(feed_path(answer.network, answer, source, node), element) for source, node in ends]
    passing = (end for end in ends if may_pass(answer, *end, by))
    return _through(
        paths, by, (_to(p.elements, element) for e in passing for p in _searched(answer, feed_paths, *e))
    )


def path_from(answer: StateAnswer, source: str, element: str) -> Elements:
    """The shortest path from a source (an element) to an element that it feeds, both included; () where it
    feeds none."""
    paths = (feed_path(answer.network, answer, source, node) for node in _plus(answer, element))
    path = min(filter(None, paths), key=len, default=())
    return _to(path, element) if path else ()


def dead_path(normal: StateAnswer, answer: StateAnswer, element: str) -> Elements:
    """From a source that works in a state to where its power ends there, on the shortest path that feeds
    an element in another state, and the element; () where none leads there."""
    network = answer.network
    live = [s.element for s in network.sources if answer.healthy.alive[s.element]]
    ends = [(source, node) for source in live for node in _plus(normal, element)]
    paths = (feed_path(network, normal, *end) for end in ends)
    path = min(filter(None, paths), key=len, default=())
    fed = [reach for source, reach in answer.healthy.fed.items() if source in live]
    dark = (i for i, e in enumerate(path) if not any(reach[n] for n in network.nodes_of[e] for reach in fed))
    on = path[: next(dark, len(path))]
    return _to(on, element) if on else ()


def grounding_path(answer: StateAnswer, magneto: str) -> Elements:
    """From the p-lead of a magneto (a pointer) to its ground; () where it is not grounded."""
    (own,) = (m for m in answer.network.magnetos if m.element == magneto)
    return _from_p_lead(answer, magneto, [own.ground], ())


def _from_p_lead(answer: StateAnswer, magneto: str, goals: Iterable[int], ends: Collection[str]) -> Elements:
    """The elements on a shortest way from a p-lead to a node, with the one of ``ends`` that is there."""
    (own,) = (m for m in answer.network.magnetos if m.element == magneto)
    nearest = shortest(own.p_lead, set(goals), lambda node: answer.onward[node])
    if nearest is None:
        return ()
    node, way = nearest
    there = (e for e in ends if node in answer.network.nodes_of.get(e, ()))
    return tuple(dict.fromkeys((magneto, *way, *there)))


def path_back(
    answer: StateAnswer, element: str, by: Collection[str] = (), device: PoweredDevice | None = None
) -> Elements:
    """From an element to the negative of a source that feeds it, both included; () without one.

    ``by`` as of :func:`path_to`. ``device`` is what of the element is fed and returned, else its own.
    """
    ends = _ends_back(answer, element, device)
    paths = [_from(element, p.elements) for end in ends for p in _searched(answer, return_paths, *end)]
    return _through(sorted(paths, key=len), by, ())


def _ends_back(
    answer: StateAnswer, element: str, device: PoweredDevice | None = None
) -> list[tuple[str, int]]:
    """The sources that feed an element, each with a node from which current gets back to it."""
    plus = device.plus if device else _plus(answer, element)
    minus = device.minus if device else _minus(answer, element)
    feeding = {source for node in plus for source in answer.fed_by(node)}
    returned = answer.healthy.returned
    return [(s, n) for n in minus for s in returned if s in feeding and returned[s][n]]


def circuit_path(answer: StateAnswer, users: Sequence[str], by: Collection[str]) -> Elements:
    """The path that passes one of some elements (``by``) in the circuits of some users.

    The feed of the last user that is fed so, else the return of one, else the feed or the return
    of the coil of a relay on the feed of one, else the path to one of ``by``. Where there is none,
    the feed of a user.
    """
    feeds = []
    for user in reversed(users):
        feeds.append(path_to(answer, user, by))
        if not set(by).isdisjoint(feeds[-1]):
            return feeds[-1]
    coils = {coil.element for coil in answer.network.coils}
    held = dict.fromkeys(e for path in feeds for e in path if e in coils and answer.healthy.energised[e])

    def candidates() -> Iterator[Elements]:
        for user in (*users, *held):
            if user in by or any(may_pass(answer, *end, by, True) for end in _ends_back(answer, user)):
                yield path_back(answer, user, by)
            if user in held:
                yield path_to(answer, user, by)
        yield from (path_to(answer, element) for element in by)

    found = next((path for path in candidates() if not set(by).isdisjoint(path)), None)
    return found or next((path for path in feeds if path), ())


def _searched(
    answer: StateAnswer, search: Callable[..., SimplePaths], source: str, node: int
) -> tuple[SimplePath, ...]:
    """The paths between a source and a node, searched once for a state."""
    known, key = answer.searched, (search, source, node)
    if key not in known:
        known[key] = search(answer, source, node, MOST, STEPS).paths
    return known[key]


def _through(paths: Sequence[Elements], by: Collection[str], more: Iterable[Elements]) -> Elements:
    """The first path that passes one of ``by``, of ``paths`` or else of ``more``; else the first."""
    if not by or not paths:
        return min(paths, key=len, default=())
    passing = (p for group in (sorted(paths, key=len), more) for p in group if not set(by).isdisjoint(p))
    return next(passing, min(paths, key=len))


def _plus(answer: StateAnswer, element: str) -> tuple[int, ...]:
    network = answer.network
    if element in network.users:
        return network.users[element].inlets
    field = next((s.field for s in network.sources if s.element == element), None)
    return network.nodes_of.get(element, ()) if field is None else (field,)


def _minus(answer: StateAnswer, element: str) -> tuple[int, ...]:
    network = answer.network
    if element in network.users:
        return network.users[element].outlets
    own = next((s for s in network.sources if s.element == element), None)
    return network.nodes_of.get(element, ()) if own is None else (own.negative,)


def _to(path: Elements, element: str) -> Elements:
    return path if path[-1:] == (element,) else (*path, element)


def _from(element: str, path: Elements) -> Elements:
    return path if path[:1] == (element,) else (element, *path)
