"""Single points of failure: elements of which one failure loses a function, and their side."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from itertools import chain
from types import MappingProxyType
from typing import NamedTuple

from reviewer.analysis.conduction.circuit_paths import circuit_path
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    rests_on,
    units_of,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network, bare
from reviewer.network.work_count import SINGLE_POINT, add_work

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
    #: gives its path
    circuit: Callable[[], tuple[str, ...]] = field(compare=False)
    hazard: HazardClass
    #: the fault zones of the shorts among them
    zones: frozenset[frozenset[int]]
    #: the failures of ``modes``
    failures: tuple[Failure, ...]
    returns: bool = False
    #: what else the function rests on and loses, in words: ``main-bus is dead``
    others: tuple[str, ...] = ()
    #: those of ``lost`` that are magnetos
    grounded: tuple[str, ...] = ()
    #: those of ``lost`` that have power, with less than their minimum voltage
    low: tuple[str, ...] = ()
    #: (load, its least volts, its minimum) of these, where they are solved
    low_volts: tuple[tuple[str, float, float | None], ...] = ()
    #: what each of them loses: loads, instruments and sources
    effects: frozenset[frozenset[str]] = frozenset()
    #: what a protective device loses by opening
    opening: frozenset[str] = frozenset()
    #: other elements of which a short has the same fault zone, or is cleared by this device alone
    equivalent: tuple[str, ...] = ()
    #: other elements of which every failure loses this load alone
    series: tuple[str, ...] = ()
    #: the loads of the function that have no power in the state before anything fails
    idle: tuple[str, ...] = ()

    @property
    def path(self) -> tuple[str, ...]:
        """Its path, searched for when it is asked for: only those of findings are."""
        return self.circuit()

    @property
    def alone(self) -> frozenset[str]:
        """The load, where it is all that each of these failures loses; else empty."""
        lost = frozenset[str]().union(*self.effects)
        return lost if len(lost) == 1 else frozenset()

    @property
    def gone(self) -> tuple[str, ...]:
        """The loads of the function that do not work then: those lost, and those that had no power before."""
        return (*self.lost, *(n for n in self.idle if n not in self.lost))


class _Tried(NamedTuple):
    """Failures of a state, the state under each, and those that each load and function survives."""

    failures: tuple[Failure, ...]
    solved: Conduction
    working: Mapping[str, int]
    works: Mapping[str, int]
    #: gives the loads, instruments and sources that each failure loses, by its number
    dark: Callable[[], Mapping[int, list[str]]]


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
    ``unstuck[function]`` those of its stuck relays. What is mechanical is no element of the electrical
    system, and its own failure no point of it. Where a function and one that needs it are both
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
    critical = [f for f in critical_functions(design) if answer.alive[f]]
    single, stuck = answer.functions, answer.stuck_functions
    mechanical = {c.element for c in network.channels if c.kind == "mechanical"}
    for tried in (
        _Tried(
            answer.failures,
            answer.failed,
            answer.failed_working,
            {f: counted(single[f], f, restored) for f in critical},
            lambda: answer.lost,
        ),
        _Tried(
            answer.stuck_relays,
            answer.stuck,
            answer.stuck_working,
            {f: counted(stuck[f], f, unstuck) for f in critical},
            lambda: answer.stuck_lost,
        ),
    ):
        for element, indexes in _by_element(tried.failures).items():
            if element in mechanical:
                continue
            those = sum([1 << i for i in indexes])
            lost = [f for f in critical if those & ~tried.works[f]]
            for function in outermost(design, lost):
                losing = [i for i in indexes if not tried.works[function] >> i & 1]
                if (function, element) not in points:
                    points[function, element] = _describe(
                        design, network, answer, tried, function, element, losing
                    )
    return _in_series(_merged(list(points.values())))


def by_element(points: Iterable[tuple[SinglePoint, ...]]) -> dict[str, tuple[SinglePoint, ...]]:
    """The points of several states, by element."""
    grouped: dict[str, tuple[SinglePoint, ...]] = {}
    for point in chain.from_iterable(points):
        grouped[point.element] = (*grouped.get(point.element, ()), point)
    return grouped


def _merged(points: list[SinglePoint]) -> tuple[SinglePoint, ...]:
    """Elements that matter by a short alone are reported once for each fault zone.

    At the protective device whose opening loses the same, if it is a single point; else at an
    element of this zone that matters otherwise too, if there is one.
    """
    shorts: list[SinglePoint] = []
    hosts: list[SinglePoint] = []
    for point in points:
        alone = all(f.grounds for f in point.failures) and all(point.zones)
        (shorts if alone else hosts).append(point)
    by_opening: dict[tuple[str, frozenset[frozenset[str]]], SinglePoint] = {}
    by_zones: dict[tuple[str, frozenset[frozenset[int]]], SinglePoint] = {}
    for host in hosts:
        if host.opening:
            by_opening.setdefault((host.function, frozenset([host.opening])), host)
        by_zones.setdefault((host.function, host.zones), host)
    same: dict[tuple[str, str], list[str]] = {}
    for point in shorts:
        zones = (point.function, point.zones)
        found = by_opening.get((point.function, point.effects)) or by_zones.get(zones)
        if found is None:
            hosts.append(by_zones.setdefault(zones, point))
        else:
            same.setdefault((found.function, found.element), []).append(point.element)
    order = {p.element: i for i, p in enumerate(points)}
    done = (replace(h, equivalent=tuple(same.get((h.function, h.element), ()))) for h in hosts)
    return tuple(sorted(done, key=lambda p: order[p.element]))


def _in_series(points: tuple[SinglePoint, ...]) -> tuple[SinglePoint, ...]:
    """Elements of which every failure loses one load and nothing else are reported at that load,
    where its own failure loses the function too.
    """
    own = {(p.function, p.element) for p in points}
    series: dict[tuple[str, str], list[str]] = {}
    done = []
    for point in points:
        load = (point.function, next(iter(point.alone), ""))
        if load in own and point.element != load[1] and point.side != BUNDLE:
            series.setdefault(load, []).append(point.element)
        else:
            done.append(point)
    return tuple(replace(p, series=tuple(series.get((p.function, p.element), ()))) for p in done)


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
    add_work(SINGLE_POINT)
    dark = tried.dark()
    loads = [n for n in units_of(design, function) if answer.healthy.powered[f"parts/{n}"]]
    lost = [n for n in loads if any(not tried.working[f"parts/{n}"] >> i & 1 for i in indexes)]
    low = tuple(n for n in lost if any(_is_low(tried, n, i) for i in indexes))
    part = design.parts[bare(element)] if element.startswith("parts/") else None
    hot = not answer.hot.isdisjoint(network.nodes_of.get(element, ()))
    grounded = tuple(n for n in lost if isinstance(design.parts[n], p.Magneto))
    bolt = element.startswith("bolts/")
    shorts = (i for i in indexes if tried.failures[i].grounds)
    opened = (i for i in indexes if tried.failures[i].mode == OPEN and isinstance(part, p.Protector))
    return SinglePoint(
        function=function,
        element=element,
        state=answer.state.name,
        side=BUNDLE if element.startswith("bundles/") else BODY if bolt else side_of(part, hot),
        modes=tuple(dict.fromkeys(tried.failures[i].words(network) for i in indexes)),
        lost=tuple(lost),
        circuit=lambda: circuit_path(answer, [f"parts/{n}" for n in lost], network.opened_by(element)),
        hazard=HazardClass.of(design.functions[function].loss),
        zones=frozenset(answer.dead_by.get(i, frozenset[int]()) for i in shorts),
        failures=tuple(tried.failures[i] for i in indexes),
        returns=bool(lost)
        and not low
        and lost != list(grounded)
        and all(_still_fed(network, tried, lost, i) for i in indexes),
        others=tuple(_others(network, answer, tried, design.function_tree.others[function], indexes)),
        low=low,
        grounded=grounded,
        effects=frozenset(frozenset(dark.get(i, ())) for i in indexes),
        opening=frozenset(next((dark.get(i, ()) for i in opened), ())),
        idle=tuple(n for n in units_of(design, function) if n not in loads),
    )


#: what a channel that is no load does when it is lost
_LOST = {"source": "powers nothing", "bus": "is dead", "mechanical": "fails"}


def _others(
    network: Network, answer: StateAnswer, tried: _Tried, names: Sequence[str], indexes: Sequence[int]
) -> Iterator[str]:
    """Those of some sources, buses and mechanical channels that failures lose, in words."""
    for channel in network.channels:
        name, survived = bare(channel.element), tried.working[channel.element]
        lost = any(not survived >> i & 1 for i in indexes)
        if name in names and answer.healthy.powered[channel.element] and lost:
            yield f"{name} {_LOST[channel.kind]}"


def _is_low(tried: _Tried, load: str, index: int) -> bool:
    """Whether a load has power under a failure, and too little voltage."""
    element = f"parts/{load}"
    return bool((tried.solved.powered[element] & ~tried.working[element]) >> index & 1)


def _still_fed(network: Network, tried: _Tried, loads: Sequence[str], index: int) -> bool:
    """Whether all of some loads that a failure leaves without power are fed as before: what they
    lose is their return. A load that fails itself does not count.
    """
    dark = {f"parts/{n}" for n in loads if not tried.solved.powered[f"parts/{n}"] >> index & 1}
    dark.discard(tried.failures[index].element)
    fed = tried.solved.fed.values()
    return all(
        any(reach[node] >> index & 1 for reach in fed for node in consumer.inlets)
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


def elements_on(
    design: Design, network: Network, answers: tuple[StateAnswer, ...], side: str
) -> tuple[str, ...]:
    """Elements that are on a side in any of some states."""
    elements = []
    for element in network.elements:
        part = design.parts[bare(element)] if element.startswith("parts/") else None
        hot = any(not a.hot.isdisjoint(network.nodes_of[element]) for a in answers)
        if side_of(part, hot) == side:
            elements.append(element)
    return (*elements, *(f"bolts/{name}" for name in network.bolts if side == BODY))
