"""Single points of failure: elements of which one failure loses a function, and their side."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import replace
from itertools import chain, combinations
from types import MappingProxyType
from typing import NamedTuple

from reviewer.analysis.conduction.circuit_paths import circuit_path
from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, OPEN, SHORT, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_masks,
    loads_of,
    rests_on,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network, bare

NOTHING: Mapping[str, int] = MappingProxyType({})
SUPPLY, RETURN, BODY, BUNDLE = "supply", "return", "body", "bundle"
_BODIES = (p.Switch, p.Electromagnet, p.Connector, p.Stud, p.Splice, p.GroundBlock)


@record
class SinglePoint:
    """One element whose failure loses a function in a state.

    ``modes`` are the failures that do it, in words; ``lost`` the loads of the function that lose
    their power; ``path`` the path through the element by which one of them was fed, had its return,
    or had the coil of a relay fed; ``side`` where the element is: on the supply side, on the return
    side, or in a body that several circuits share. ``returns`` where all that is lost is still fed
    and has no return.
    """

    function: str
    element: str
    state: str
    side: str
    modes: tuple[str, ...]
    lost: tuple[str, ...]
    path: tuple[str, ...]
    hazard: HazardClass
    #: nodes that a short here makes dead
    zone: frozenset[int]
    #: the failures of ``modes``
    failures: tuple[Failure, ...]
    returns: bool = False
    #: other elements of which a short has the same fault zone
    equivalent: tuple[str, ...] = ()


class _Tried(NamedTuple):
    """Failures of a state, the state under each, and those that each function survives."""

    failures: tuple[Failure, ...]
    solved: Conduction
    works: Mapping[str, int]


def single_points(
    design: Design,
    network: Network,
    answer: StateAnswer,
    restored: Mapping[str, int] = NOTHING,
    unstuck: Mapping[str, int] = NOTHING,
) -> tuple[SinglePoint, ...]:
    """Every element whose single failure loses a critical function for good.

    The function works in the healthy state, and no declared action restores it:
    ``restored[function]`` are the failures of the state after which an action does,
    ``unstuck[function]`` those of its stuck relays. Where a function and one that needs it are both
    lost, the outermost of at least the same class is named.
    """
    return _points(design, network, answer, lambda works, f, done: works | done.get(f, 0), restored, unstuck)


def recoverable_points(
    design: Design,
    network: Network,
    answer: StateAnswer,
    restored: Mapping[str, int],
    unstuck: Mapping[str, int] = NOTHING,
) -> tuple[SinglePoint, ...]:
    """Every element whose single failure loses a critical function until the crew restores it."""
    return _points(design, network, answer, lambda works, f, done: works | ~done.get(f, 0), restored, unstuck)


def _points(
    design: Design,
    network: Network,
    answer: StateAnswer,
    counted: Callable[[int, str, Mapping[str, int]], int],
    restored: Mapping[str, int],
    unstuck: Mapping[str, int],
) -> tuple[SinglePoint, ...]:
    """The points by all failures, contacts that are stuck at elements that have no other."""
    points: dict[tuple[str, str], SinglePoint] = {}
    critical = [f for f in critical_functions(design) if answer.alive[f] and f not in answer.state.without]
    single, stuck = answer.functions, answer.stuck_functions
    for tried in (
        _Tried(answer.failures, answer.failed, {f: counted(single[f], f, restored) for f in critical}),
        _Tried(answer.stuck_relays, answer.stuck, {f: counted(stuck[f], f, unstuck) for f in critical}),
    ):
        for element, indexes in _by_element(tried.failures).items():
            lost = [f for f in critical if any(not tried.works[f] >> i & 1 for i in indexes)]
            for function in outermost(design, lost):
                losing = [i for i in indexes if not tried.works[function] >> i & 1]
                if (function, element) not in points:
                    points[function, element] = _describe(
                        design, network, answer, tried, function, element, losing
                    )
    return _merged(list(points.values()))


def by_element(points: Iterable[tuple[SinglePoint, ...]]) -> dict[str, tuple[SinglePoint, ...]]:
    """The points of several states, by element."""
    grouped: dict[str, tuple[SinglePoint, ...]] = {}
    for point in chain.from_iterable(points):
        grouped[point.element] = (*grouped.get(point.element, ()), point)
    return grouped


def _merged(points: list[SinglePoint]) -> tuple[SinglePoint, ...]:
    """Elements that matter by a short alone are reported once for each fault zone.

    At the element that also matters when open, if there is one.
    """
    groups: dict[tuple[str, frozenset[int]], list[SinglePoint]] = {}
    for point in points:
        groups.setdefault((point.function, point.zone), []).append(point)
    done = []
    for (_, zone), group in groups.items():
        shorts = [p for p in group if OPEN not in p.modes] if zone else []
        rest = [p for p in group if p not in shorts]
        first = rest[:1] or shorts[:1]
        equivalent = tuple(p.element for p in shorts if p not in first)
        done += [replace(p, equivalent=equivalent) if p in first else p for p in (rest or first)]
    order = {p.element: i for i, p in enumerate(points)}
    return tuple(sorted(done, key=lambda p: order[p.element]))


def _describe(
    design: Design,
    network: Network,
    answer: StateAnswer,
    tried: _Tried,
    function: str,
    element: str,
    indexes: list[int],
) -> SinglePoint:
    """The single point of an element whose failures ``indexes`` lose a function."""
    loads = [n for n in loads_of(design, function) if answer.healthy.powered[f"parts/{n}"]]
    lost = [n for n in loads if any(not tried.solved.powered[f"parts/{n}"] >> i & 1 for i in indexes)]
    part = design.parts[bare(element)] if element.startswith("parts/") else None
    hot = any(answer.healthy.live(n) for n in network.nodes_of.get(element, ()))
    shorts = (i for i in indexes if tried.failures[i].mode == SHORT)
    return SinglePoint(
        function=function,
        element=element,
        state=answer.state.name,
        side=BUNDLE if element.startswith("bundles/") else side_of(part, hot),
        modes=tuple(dict.fromkeys(tried.failures[i].words(network) for i in indexes)),
        lost=tuple(lost),
        path=circuit_path(
            answer, [f"parts/{n}" for n in lost], network.bundles.get(bare(element), ()) or (element,)
        ),
        hazard=HazardClass.of(design.functions[function].loss),
        zone=frozenset[int]().union(*(answer.dead_by.get(i, ()) for i in shorts)),
        failures=tuple(tried.failures[i] for i in indexes),
        returns=all(_still_fed(network, tried, lost, i) for i in indexes),
    )


def _still_fed(network: Network, tried: _Tried, loads: Sequence[str], index: int) -> bool:
    """Whether all of some loads that a failure leaves without power are fed as before: what they
    lose is their return.
    """
    dark = {f"parts/{n}" for n in loads if not tried.solved.powered[f"parts/{n}"] >> index & 1}
    fed = tried.solved.fed.values()
    return all(
        any(reach[node] >> index & 1 for reach in fed for node in consumer.plus)
        for consumer in network.consumers
        if consumer.element in dark
    )


def side_of(part: p.Part | None, hot: bool) -> str:
    """Where an element is (``part`` None for a wire).

    In a body that circuits share, else on the supply side where it is hot, else on the return side.
    """
    if isinstance(part, _BODIES):
        return BODY
    return SUPPLY if hot else RETURN


def _by_element(failures: Sequence[Failure]) -> dict[str, list[int]]:
    grouped: dict[str, list[int]] = {}
    for i, failure in enumerate(failures):
        grouped.setdefault(failure.element, []).append(i)
    return grouped


def outermost(design: Design, functions: Sequence[str]) -> tuple[str, ...]:
    """Those of some functions that no other of them, of at least the same class, needs."""
    return tuple(
        f
        for f in functions
        if not any(rests_on(design, outer, f) and _worse(design, outer, f) for outer in functions)
    )


def _worse(design: Design, outer: str, inner: str) -> bool:
    return HazardClass.of(design.functions[outer].loss) >= HazardClass.of(design.functions[inner].loss)


def shared_protectors(design: Design, answer: StateAnswer, function: str) -> dict[str, tuple[str, ...]]:
    """Protectors whose opening loses a redundant function by two or more of its channels.

    Element -> the channels. Where enough channels stay powered by another path, the protector is
    not a common cause. It is no shared protector where the channels are lost by a load that they
    have in common, or by a relay that drops out.
    """
    spec = design.functions[function]
    if spec.any >= len(spec.of) or not answer.alive[function]:
        return {}
    opened = [
        failure
        for i, failure in enumerate(answer.failures)
        if failure.mode == OPEN and not answer.functions[function] >> i & 1 and _is_protector(design, failure)
    ]
    held = tuple(
        Failure(c.element, HELD if answer.healthy.energised[c.element] else DROPPED)
        for c in answer.network.coils
    )
    cases = [(failure, *held) for failure in opened]
    solved = conduct(answer.network, answer.state, cases, answer.healthy) if cases else answer.healthy
    works = function_masks(design, solved.powered, (1 << len(cases)) - 1)[function]
    shared: dict[str, tuple[str, ...]] = {}
    for lane, failure in enumerate(opened):
        lost = {
            bare(element)
            for element, mask in solved.powered.items()
            if answer.healthy.powered[element] and not mask >> lane & 1
        }
        channels = _lost_channels(design, function, answer, lost)
        if not works >> lane & 1 and len(channels) >= 2:
            shared[failure.element] = channels
    return shared


def _lost_channels(design: Design, function: str, answer: StateAnswer, lost: Set[str]) -> tuple[str, ...]:
    """The channels of a function that some loads lose, if two of them each by a load of its own."""
    working = {e: mask & 1 and int(bare(e) not in lost) for e, mask in answer.healthy.powered.items()}
    before = _by_name(function_masks(design, answer.healthy.powered, 1), answer.healthy.powered)
    after = _by_name(function_masks(design, working, 1), working)
    channels = tuple(c for c in design.functions[function].of if before[c] and not after[c])
    loads = [set(loads_of(design, c) if c in design.functions else (c,)) for c in channels]
    apart = any(lost & (one - other) and lost & (other - one) for one, other in combinations(loads, 2))
    return channels if apart else ()


def _by_name(functions: Mapping[str, int], powered: Mapping[str, int]) -> Mapping[str, int]:
    """The masks of functions and of loads, by name; a function goes before a load of its name."""
    return {**{bare(element): mask for element, mask in powered.items()}, **functions}


def _is_protector(design: Design, failure: Failure) -> bool:
    return failure.element.startswith("parts/") and isinstance(
        design.parts[bare(failure.element)], p.Protector
    )


def shared_in_states(
    design: Design, answers: tuple[StateAnswer, ...], function: str
) -> dict[str, tuple[str, tuple[str, ...]]]:
    """:func:`shared_protectors` over several states: element -> (first state, channels)."""
    shared: dict[str, tuple[str, tuple[str, ...]]] = {}
    for answer in answers:
        for element, channels in shared_protectors(design, answer, function).items():
            shared.setdefault(element, (answer.state.name, channels))
    return shared


def elements_on(
    design: Design, network: Network, answers: tuple[StateAnswer, ...], side: str
) -> tuple[str, ...]:
    """Elements that are on a side in any of some states."""
    elements = []
    for element in network.elements:
        part = design.parts[bare(element)] if element.startswith("parts/") else None
        hot = any(a.healthy.live(n) for a in answers for n in network.nodes_of[element])
        if side_of(part, hot) == side:
            elements.append(element)
    return tuple(elements)
