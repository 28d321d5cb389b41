"""Which source feeds back into which, and what a reserve feeds, over every legal combination of the switches that can matter.

The declared states come first, because a finding is easiest to understand there; then all combinations; then all ways from
one position to the next. A combination is told by the one that is most like the dispatch state.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import served
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
from reviewer.network.graph import Network, Source, bare
from reviewer.network.search import anything_along, come_to


@record
class ReverseFeed:
    """``source`` feeds ``into`` (a source that must not take from it), each the other where ``both_ways``.

    ``state`` is a declared state or "", ``combination`` what is set where no declared state shows it, its ``transit`` the movement in which alone
    it happens. ``path`` leads from the one to the other.
    """

    source: str
    into: str
    state: str
    both_ways: bool
    path: tuple[str, ...]
    combination: Combination | None = None


def tie_masks(
    design: Design, network: Network, answer: Conduction
) -> Iterator[tuple[Source, Source, int, int]]:
    """(source, other, lanes in which the source feeds back into the other, lanes in which the other feeds it too).

    Reserve batteries that feed any other source, and main batteries that feed each other. An alternator or outside power that charges a
    battery is what it is for; so is anything that charges a reserve one way.
    """
    for source, other, needs_both in possible_ties(design, network):
        into = answer.alive[source.element] & answer.fed[source.element][other.positive]
        both = into & answer.fed[other.element][source.positive]
        if needs_both:
            into = both
        if into:
            yield source, other, into, both


def possible_ties(design: Design, network: Network) -> Iterator[tuple[Source, Source, bool]]:
    """(source, other, True where only feeding both ways counts) for every pair of sources that must not feed each other."""
    reserve = {
        s.element
        for s in network.sources
        if s.kind == "battery" and design.parts[bare(s.element)].purpose == "reserve"
    }
    for source in network.sources:
        for other in network.sources:
            if source.kind != "battery" or other is source or other.kind == "ground-power":
                continue
            if source.element in reserve:
                yield source, other, False
            elif other.kind == "battery" and other.element not in reserve and source.element < other.element:
                yield source, other, True


def declared_ties(design: Design, network: Network, answers: Iterable[StateAnswer]) -> Iterator[ReverseFeed]:
    """Reverse feeds in the declared states, those of cranking left out: there a second battery may help on purpose."""
    for answer in answers:
        if answer.state.engine == "cranking":
            continue
        for source, other, _, both in tie_masks(design, network, answer.healthy):
            path = feed_path(network, answer, source.element, other.positive)
            yield ReverseFeed(source.element, other.element, answer.state.name, bool(both), path)


def combined_ties(
    design: Design, network: Network, cones: Cones, base: ResolvedState, known: set[tuple[str, str]]
) -> tuple[list[ReverseFeed], list[str]]:
    """Reverse feeds in any legal combination and on the way from one position to the next, those of ``known`` pairs left out.

    Positions that spring back are left out too. Returns the feeds, and what was not tried, one sentence each.
    """
    found: list[ReverseFeed] = []
    untried: list[str] = []
    known = set(known)
    solved: dict[tuple[tuple[str, ...], str], tuple[Grid, Conduction] | None] = {}
    for source, other, _ in possible_ties(design, network):
        pair = (source.element, other.element)
        if other.positive not in come_to(network, [source.positive], anything_along):
            continue
        switches = cones.switches((source.positive, other.positive))
        for moving in ("", *switches):
            if pair in known:
                break
            if (switches, moving) not in solved:
                grid = grid_of(design, base, switches, moving)
                solved[switches, moving] = None if grid is None else (grid, conduct_grid(network, grid))
                if grid and grid.left_out:
                    untried.append(
                        not_varied(grid, f"{bare(source.element)} feeding back into {bare(other.element)}")
                    )
            if (both_of := solved[switches, moving]) is None:
                continue
            grid, answer = both_of
            wanted = grid.legal & ~held_momentary(design, grid)
            for s, o, into, both in tie_masks(design, network, answer):
                if (s.element, o.element) == pair and into & wanted:
                    lane = grid.nearest(into & wanted)
                    combination = grid.combination(lane)
                    path = (
                        _path(design, network, base, combination, s, o.positive)
                        if not moving
                        else (f"parts/{moving}",)
                    )
                    found.append(
                        ReverseFeed(s.element, o.element, "", bool(both >> lane & 1), path, combination)
                    )
                    known.add(pair)
    return found, untried


def not_varied(grid: Grid, about: str) -> str:
    """The sentence that says which switches a question left at their dispatch position."""
    return f"Too many combinations for {about}: {', '.join(grid.left_out)} stayed at the dispatch position."


def _path(
    design: Design, network: Network, base: ResolvedState, combination: Combination, source: Source, goal: int
) -> tuple[str, ...]:
    return feed_path(network, solve_state(design, network, set_as(base, combination)), source.element, goal)


def set_as(base: ResolvedState, combination: Combination) -> ResolvedState:
    """The base state with the switches, engine and outside power of a combination that is not in transit."""
    return replace(
        base,
        name="",
        switches=MappingProxyType(dict(combination.switches)),
        engine=combination.engine,
        ground_power=combination.outside,
    )


@record
class BeyondPurpose:
    """A load that a reserve powers though it is kept for others."""

    reserve: str
    load: str
    state: str
    path: tuple[str, ...]
    combination: Combination | None = None


def beyond_purpose(
    design: Design, network: Network, cones: Cones, answers: tuple[StateAnswer, ...], reserve: str
) -> tuple[list[BeyondPurpose], list[str]]:
    """Loads that a reserve powers beyond what it is kept for, in a declared state or in any legal combination; and what was not tried."""
    source = next(s for s in network.sources if s.element == f"parts/{reserve}")
    kept = {
        load
        for name in design.parts[reserve].kept_for
        for load in (loads_of(design, name) if name in design.functions else (name,))
    }
    reach = come_to(network, [source.positive], anything_along)
    found: list[BeyondPurpose] = []
    untried: list[str] = []
    solved: dict[tuple[str, ...], tuple[Grid, Conduction]] = {}
    for consumer in network.consumers:
        if bare(consumer.element) in kept or not any(n in reach for n in consumer.plus):
            continue

        def powered(answer: Conduction, consumer=consumer) -> int:
            return answer.alive[source.element] & served(
                consumer, answer.fed[source.element], answer.returned[source.element]
            )

        declared = next((a for a in answers if powered(a.healthy)), None)
        if declared:
            goal = next(n for n in consumer.plus if declared.healthy.fed[source.element][n])
            path = feed_path(network, declared, source.element, goal)
            found.append(BeyondPurpose(source.element, consumer.element, declared.state.name, path))
            continue
        switches = cones.switches((source.positive, *consumer.plus))
        if switches not in solved:
            grid = grid_of(design, answers[0].state, switches)
            assert grid is not None
            solved[switches] = (grid, conduct_grid(network, grid))
            if grid.left_out:
                untried.append(not_varied(grid, f"what {reserve} feeds"))
        grid, answer = solved[switches]
        if lanes := powered(answer) & grid.legal:
            lane = grid.nearest(lanes)
            combination = grid.combination(lane)
            goal = next(n for n in consumer.plus if answer.fed[source.element][n] >> lane & 1)
            path = _path(design, network, answers[0].state, combination, source, goal)
            found.append(BeyondPurpose(source.element, consumer.element, "", path, combination))
    return found, untried
