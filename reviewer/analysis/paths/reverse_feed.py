"""Which source backfeeds which, and what a reserve feeds, over every legal combination of the
switches that can matter.

The declared states come first, because a finding is easiest to understand there; then all
combinations; then every transit from one position to the next. The combination that is most like
the normal state is reported.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import serves
from reviewer.analysis.conduction.not_varied import NotVaried
from reviewer.analysis.conduction.states import StateAnswer, feed_path, loads_of, solve_state
from reviewer.analysis.conduction.switch_combinations import (
    Combination,
    Cones,
    Grid,
    conduct_grid,
    grid_of,
    held_momentary,
)
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import CHARGES, Network, PoweredDevice, Source, bare
from reviewer.network.search import anything_along, reachable


@record
class ReverseFeed:
    """``source`` backfeeds ``into``, which must not take current from it, by one tie; each the
    other where ``both_ways``.

    ``state`` is a declared state or "", ``combination`` what is set where no declared state has it,
    its ``transfer`` the movement where it happens in transit only. ``path`` leads from one to the
    other. One feed for each independent tie: opening one leaves the others. ``open_leg`` is where the
    leg to a main battery begins that lacks a diode, where a tie conducts one way; else "".
    """

    source: str
    into: str
    state: str
    both_ways: bool
    path: tuple[str, ...]
    combination: Combination | None = None
    open_leg: str = ""

    @property
    def apart(self) -> tuple[str, ...]:
        """The changes that keep both apart, each anywhere in their tie."""
        return tuple(f"{e}/isolation" for e in self.path if e not in (self.source, self.into))


#: sources that a battery may meet at their output
_NOT_FED_BACK = ("external-power", "charger", "converter")
#: (reserve battery, its own alternator), as elements
OwnPairs = frozenset[tuple[str, str]]


def own_alternators(design: Design, network: Network, normal: StateAnswer) -> OwnPairs:
    """The reserve batteries with alternators of their own.

    In the normal state the alternator charges the reserve, and no main battery is on its bus.
    """
    batteries = [s for s in network.sources if s.kind == "battery"]
    reserve = [s for s in batteries if design.parts[bare(s.element)].purpose == "reserve"]
    return frozenset(
        (battery.element, source.element)
        for source in network.sources
        if source.kind == "alternator" and normal.healthy.alive[source.element]
        for fed in [normal.healthy.fed[source.element]]
        if not any(fed[s.positive] for s in batteries if s not in reserve)
        for battery in reserve
        if fed[battery.positive]
    )


def tie_masks(
    design: Design, network: Network, answer: Conduction, own: OwnPairs
) -> Iterator[tuple[Source, Source, int, int]]:
    """(source, other, lanes in which the source backfeeds the other, lanes in which both feed each
    other).

    Reserve batteries that feed any other source, and main batteries that feed each other. An
    alternator, charger or external power that charges a battery does its duty, and so does what charges a
    reserve without taking current from it. A reserve belongs on the bus of its ``own`` alternator.
    What a relay joins only while something charges it parts before one source feeds the other.
    """
    last = answer.uncharged or answer
    for source, other, needs_both in possible_ties(design, network, own):
        into = answer.alive[source.element] & answer.fed[source.element][other.positive]
        into &= last.fed[source.element][other.positive]
        both = into & answer.fed[other.element][source.positive] & last.fed[other.element][source.positive]
        if needs_both:
            into = both
        if into:
            yield source, other, into, both


def possible_ties(design: Design, network: Network, own: OwnPairs) -> Iterator[tuple[Source, Source, bool]]:
    """(source, other, True where only mutual feeding counts) for every pair of sources that must
    not feed each other."""
    reserve = {
        s.element
        for s in network.sources
        if s.kind == "battery" and design.parts[bare(s.element)].purpose == "reserve"
    }
    for source in network.sources:
        for other in network.sources:
            if source.kind != "battery" or other is source or other.kind in _NOT_FED_BACK:
                continue
            if (source.element, other.element) in own or other.element in source.string:
                continue
            if source.element in reserve:
                yield source, other, False
            elif other.kind == "battery" and other.element not in reserve and source.element < other.element:
                yield source, other, True


def declared_ties(
    design: Design, network: Network, answers: Iterable[StateAnswer], own: OwnPairs
) -> Iterator[ReverseFeed]:
    """Backfeeds in the declared states, one for each tie, but those of cranking: a second battery
    may help there."""
    for answer in answers:
        if answer.state.engine == "cranking":
            continue
        mutual = {(s.element, o.element) for s, o, both in possible_ties(design, network, own) if both}
        for source, other, _, _ in tie_masks(design, network, answer.healthy, own):
            for path, both in ties_between(network, answer, source, other):
                if both or (source.element, other.element) not in mutual:
                    yield ReverseFeed(source.element, other.element, answer.state.name, both, path)


def for_an_emergency(
    design: Design, network: Network, answers: Sequence[StateAnswer], ties: Sequence[ReverseFeed]
) -> frozenset[tuple[str, str, tuple[str, ...]]]:
    """(source, into, path) of the ties of two main batteries that declared abnormal states close, as a
    cross-feed after the loss of an alternator, while an alternator, a charger or external power charges
    both: neither drains the other. No state closes them else, but one on the ground in which a pre-flight
    check is made."""
    of_state, sources = {a.state.name: a for a in answers}, {s.element: s for s in network.sources}
    charging = [s.element for s in network.sources if s.kind in (*CHARGES, "external-power")]

    def charged(tie: ReverseFeed) -> bool:
        solved, both = of_state[tie.state].healthy, (sources[tie.source], sources[tie.into])
        return any(
            solved.alive[e]
            and all(solved.fed[e][s.positive] and solved.returned[e][s.negative] for s in both)
            for e in charging
        )

    checked = {check.state for check in design.watch.checks.values()}
    closed: dict[tuple[str, str, tuple[str, ...]], list[ReverseFeed]] = {}
    for tie in ties:
        closed.setdefault((tie.source, tie.into, tie.path), []).append(tie)

    def meant(key: tuple[str, str, tuple[str, ...]]) -> bool:
        uses = {tie.state: of_state[tie.state].state.use for tie in closed[key]}
        mains = all(sources[e].kind == "battery" and design.parts[bare(e)].purpose == "main" for e in key[:2])
        known = all(
            use == "abnormal" or (use == "ground" and state in checked) for state, use in uses.items()
        )
        return mains and known and "abnormal" in uses.values() and all(map(charged, closed[key]))

    return frozenset(filter(meant, closed))


def ties_between(
    network: Network, answer: StateAnswer, source: Source, other: Source
) -> Iterator[tuple[tuple[str, ...], bool]]:
    """The ways from a source to another that remain when those before them are opened.

    Each with whether the other feeds the source as well.
    """
    opened: set[str] = set()
    while path := feed_path(network, answer, source.element, other.positive, opened):
        yield path, bool(feed_path(network, answer, other.element, source.positive, opened))
        alone = _those(
            network,
            path[1:],
            lambda e: bool(feed_path(network, answer, source.element, other.positive, {e})),
        )
        if alone <= opened:
            return
        opened |= alone


def _avoidable(network: Network, path: Iterable[str], source: Source, other: Source) -> set[str]:
    """The elements of a path without which some other path joins the two sources.

    Whether that path conducts is not asked.
    """

    def without(element: str) -> bool:
        reached = reachable(network, [source.positive], lambda link, _: link.element != element)
        return other.positive in reached

    return _those(network, (e for e in path if e not in (source.element, other.element)), without)


def _those(network: Network, path: Iterable[str], without: Callable[[str], bool]) -> set[str]:
    """The elements of a path of which this is true; it is asked once for those of the same chains, of
    which each opens the same."""
    known: dict[tuple[int | str, ...], bool] = {}
    found: set[str] = set()
    for element in path:
        links = network.links_of.get(element, ())
        key = tuple(network.contracted.chain_of.get(i, element) for i in links)
        if key not in known:
            known[key] = without(element)
        if known[key]:
            found.add(element)
    return found


def combined_ties(
    design: Design,
    network: Network,
    cones: Cones,
    base: ResolvedState,
    known: Sequence[ReverseFeed],
    own: OwnPairs,
) -> tuple[list[ReverseFeed], list[str]]:
    """Backfeeds in any legal combination, and in transit from one position to the next.

    Ties that are ``known`` are opened before others are looked for; positions that spring back are
    left out. Returns the backfeeds, and what was not tried, one sentence each.
    """
    feeds: list[ReverseFeed] = []
    solver = _Combinations(design, network, base)
    for source, other, _ in possible_ties(design, network, own):
        if other.positive not in reachable(network, [source.positive], anything_along):
            continue
        path = [e for f in known if (f.source, f.into) == (source.element, other.element) for e in f.path]
        opened = frozenset(_avoidable(network, path, source, other))
        if path and not opened:
            continue
        about = f"{bare(source.element)} backfeeding {bare(other.element)}"
        switches = cones.switches((source.positive, other.positive))
        while feed := _first_feed(solver, switches, about, source, other, opened, own):
            feeds.append(feed)
            alone = _avoidable(network, feed.path, source, other) - opened
            if not alone:
                break
            opened |= alone
    return feeds, solver.untried


def _first_feed(
    solver: _Combinations,
    switches: tuple[str, ...],
    about: str,
    source: Source,
    other: Source,
    opened: frozenset[str],
    own: OwnPairs,
) -> ReverseFeed | None:
    """A combination, or else a transit, in which one source backfeeds another though some elements
    are ``opened``."""
    for moving in ("", *switches):
        grid, answer = solver.solved(switches, moving, about, opened)
        if grid is not None and answer is not None:
            feed = _combined_feed(solver, grid, answer, source, other, moving, opened, own)
            if feed is not None:
                return feed
    return None


def _combined_feed(
    solver: _Combinations,
    grid: Grid,
    answer: Conduction,
    source: Source,
    other: Source,
    moving: str,
    opened: frozenset[str],
    own: OwnPairs,
) -> ReverseFeed | None:
    """The combination of a grid, nearest to its base, in which one source backfeeds another."""
    design, network = solver.design, solver.network
    allowed = grid.legal & ~held_momentary(design, grid)
    for one, two, into, both in tie_masks(design, network, answer, own):
        if (one, two) == (source, other) and into & allowed:
            lane = grid.nearest(into & allowed)
            combination = grid.combination(lane)
            path = (
                (f"parts/{moving}",)
                if moving
                else _path(design, network, grid.base, combination, source, other.positive, opened)
            )
            mutual = bool(both >> lane & 1)
            return ReverseFeed(source.element, other.element, "", mutual, path, combination)
    return None


class _Combinations:
    """The combinations of switches around a base state, each set of switches solved once."""

    def __init__(self, design: Design, network: Network, base: ResolvedState):
        self.design, self.network, self.base = design, network, base
        #: what was not tried, one sentence each
        self.untried: list[str] = []
        self._solved: dict[
            tuple[tuple[str, ...], str, frozenset[str]], tuple[Grid | None, Conduction | None]
        ] = {}

    def solved(
        self, switches: tuple[str, ...], moving: str, about: str, opened: frozenset[str] = frozenset()
    ) -> tuple[Grid | None, Conduction | None]:
        """The grid of some switches and its answer with some elements ``opened``.

        Both None where ``moving`` has no transit.
        """
        key = switches, moving, opened
        if key not in self._solved:
            grid = grid_of(self.design, self.base, switches, moving)
            self._solved[key] = grid, None if grid is None else conduct_grid(self.network, grid, opened)
            if grid and grid.left_out and not opened:
                self.untried.append(not_varied(grid, about))
        return self._solved[key]


def not_varied(grid: Grid, about: str) -> str:
    """The sentence that names the switches that were left at their normal position."""
    return NotVaried.of(about, grid.left_out)


def _path(
    design: Design,
    network: Network,
    base: ResolvedState,
    combination: Combination,
    source: Source,
    goal: int,
    opened: frozenset[str] = frozenset(),
) -> tuple[str, ...]:
    answer = solve_state(design, network, set_as(base, combination))
    return feed_path(network, answer, source.element, goal, opened)


def set_as(base: ResolvedState, combination: Combination) -> ResolvedState:
    """The base state with the switches, engine and external power of a combination."""
    return replace(
        base.with_engine(combination.engine),
        name="",
        switches=MappingProxyType(dict(combination.switches)),
        external_power=combination.outside,
    )


@record
class BeyondPurpose:
    """A load that a reserve powers though the reserve is dedicated to others.

    ``state`` is a declared state or "", with the ``combination`` that no declared state has.
    """

    reserve: str
    load: str
    state: str
    path: tuple[str, ...]
    combination: Combination | None = None


def beyond_purpose(
    design: Design, network: Network, cones: Cones, answers: tuple[StateAnswer, ...], reserve: str
) -> tuple[list[BeyondPurpose], list[str]]:
    """Loads that a reserve powers though it is dedicated to others, and alternators that it excites and that
    give it nothing; and what was not tried.

    In a declared state, or else in any legal combination.
    """
    source = next(s for s in network.sources if s.element == f"parts/{reserve}")
    dedicated = dedicated_loads(design, reserve)
    within_reach = reachable_through(network, source.positive)
    solver = _Combinations(design, network, answers[0].state)
    loads: list[BeyondPurpose] = []
    fields = (
        PoweredDevice(s.element, (s.field,), (s.negative,))
        for s in network.sources
        if s.kind == "alternator" and s.field is not None
    )
    for consumer in (*network.consumers, *fields):
        if bare(consumer.element) in dedicated or within_reach.isdisjoint(consumer.inlets):
            continue
        load = _in_declared_state(network, answers, source, consumer)
        if load is None:
            switches = cones.switches((source.positive, *consumer.inlets))
            grid, answer = solver.solved(switches, "", f"what {reserve} feeds")
            assert grid is not None and answer is not None  # nothing moves
            load = _in_combination(design, network, grid, answer, source, consumer)
        if load is not None:
            loads.append(load)
    return loads, solver.untried


def reachable_through(network: Network, start: int) -> set[int]:
    """The nodes that current from one could reach in any setting, through converters too."""
    within_reach = reachable(network, [start], anything_along)
    for _ in network.converters:  # one may feed another
        fed = [c.positive for c in network.converters if c.supply and within_reach & {*c.supply.plus}]
        within_reach |= reachable(network, fed, anything_along)
    return within_reach


def dedicated_loads(design: Design, reserve: str) -> set[str]:
    """Names of the loads that a reserve is dedicated to, by themselves or by their function."""
    return {
        load
        for name in design.parts[reserve].dedicated_to
        for load in (loads_of(design, name) if name in design.functions else (name,))
    }


def _powers(network: Network, source: Source, consumer: PoweredDevice, answer: Conduction) -> int:
    """The lanes in which a source powers a consumer, itself or through converters: of the field of an
    alternator, those in which that works and does not charge the source."""
    mask = answer.alive[source.element] & serves(network, answer, source.element, consumer)
    if mask and consumer.element in answer.alive:
        charged = answer.fed[consumer.element][source.positive]
        charged &= answer.returned[consumer.element][source.negative]
        mask &= answer.alive[consumer.element] & ~charged
    return mask


def _in_declared_state(
    network: Network, answers: tuple[StateAnswer, ...], source: Source, consumer: PoweredDevice
) -> BeyondPurpose | None:
    """The first declared state in which a source powers a consumer."""
    for answer in answers:
        if _powers(network, source, consumer, answer.healthy):
            fed = answer.healthy.fed[source.element]
            live = [
                n for n in consumer.inlets if answer.healthy.live(n)
            ]  # by a converter, where not by itself
            goal = next((n for n in live if fed[n]), live[0])
            path = feed_path(network, answer, source.element, goal)
            return BeyondPurpose(source.element, consumer.element, answer.state.name, path)
    return None


def _in_combination(
    design: Design, network: Network, grid: Grid, answer: Conduction, source: Source, consumer: PoweredDevice
) -> BeyondPurpose | None:
    """The combination nearest to the base of a grid in which a source powers a consumer."""
    lanes = _powers(network, source, consumer, answer) & grid.legal
    if not lanes:
        return None
    lane = grid.nearest(lanes)
    combination = grid.combination(lane)
    live = [n for n in consumer.inlets if answer.live(n) >> lane & 1]
    goal = next((n for n in live if answer.fed[source.element][n] >> lane & 1), live[0])
    path = _path(design, network, grid.base, combination, source, goal)
    return BeyondPurpose(source.element, consumer.element, "", path, combination)
