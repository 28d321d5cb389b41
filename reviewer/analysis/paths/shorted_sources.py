"""Sources that a setting of the switches shorts: in any legal combination, and on the way from one position to the next."""

from __future__ import annotations

from collections.abc import Collection

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.states import feed_path, solve_state
from reviewer.analysis.conduction.switch_combinations import Combination, Cones, Grid, conduct_grid, grid_of
from reviewer.analysis.paths.reverse_feed import not_varied, set_as
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, bare


@record
class CombinedShort:
    """A source whose positive reaches its own negative with no load between, in a combination that no declared state shows or in transit."""

    source: str
    path: tuple[str, ...]
    combination: Combination


def combined_shorts(
    design: Design, network: Network, cones: Cones, base: ResolvedState, known: Collection[str]
) -> tuple[tuple[CombinedShort, ...], tuple[str, ...]]:
    """The nearest such combination of each source that is not ``known`` to be shorted, positions that spring back included; and what was not tried."""
    found, untried = [], []
    for source in network.sources:
        if source.element in known:
            continue
        switches = (
            cones.switches((source.positive, source.negative))
            if cones.tree.between((source.positive, source.negative))
            else ()
        )
        for moving in ("", *switches) if switches else ():
            grid = grid_of(design, base, switches, moving)
            if grid is None:
                continue
            if grid.left_out:
                untried.append(not_varied(grid, f"a short of {bare(source.element)}"))
            answer = conduct_grid(network, grid)
            if (
                lanes := answer.alive[source.element]
                & answer.fed[source.element][source.negative]
                & grid.legal
            ):
                found.append(
                    CombinedShort(
                        source.element,
                        *_shown(design, network, base, grid, answer, source.element, lanes, moving),
                    )
                )
                break
    return tuple(found), tuple(untried)


def _shown(
    design: Design,
    network: Network,
    base: ResolvedState,
    grid: Grid,
    answer: Conduction,
    source: str,
    lanes: int,
    moving: str,
) -> tuple[tuple[str, ...], Combination]:
    combination = grid.combination(grid.nearest(lanes))
    if moving:
        return (f"parts/{moving}",), combination
    negative = next(s.negative for s in network.sources if s.element == source)
    return feed_path(
        network, solve_state(design, network, set_as(base, combination)), source, negative
    ), combination
