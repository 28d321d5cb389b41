"""Sources that the switches short, in any legal combination or in transit."""

from __future__ import annotations

from collections.abc import Collection

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.states import feed_path, solve_state
from reviewer.analysis.conduction.switch_combinations import Combination, Cones, Grid, conduct_grid, grid_of
from reviewer.analysis.paths.reverse_feed import not_varied, set_as
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, Source, bare


@record
class CombinedShort:
    """A source whose positive is joined to its own negative with no load between.

    In a combination that no declared state has, or in transit.
    """

    source: str
    path: tuple[str, ...]
    combination: Combination


def combined_shorts(
    design: Design, network: Network, cones: Cones, base: ResolvedState, known: Collection[str]
) -> tuple[tuple[CombinedShort, ...], tuple[str, ...]]:
    """For each source that is not ``known`` to be shorted, the combination nearest to the normal
    state that shorts it; and what was not tried.

    Positions that spring back are included.
    """
    shorts, untried = [], []
    solved: dict[tuple[Collection[str], str], tuple[Grid | None, Conduction | None]] = {}
    for source in network.sources:
        if source.element in known:
            continue
        switches = (
            cones.switches((source.positive, source.negative))
            if cones.tree.between((source.positive, source.negative))
            else ()
        )
        for moving in ("", *switches) if switches else ():
            if (key := (switches, moving)) not in solved:
                grid = grid_of(design, base, switches, moving)
                solved[key] = grid, conduct_grid(network, grid) if grid else None
            grid, answer = solved[key]
            if grid is None or answer is None:
                continue
            if grid.left_out:
                untried.append(not_varied(grid, f"a short of {bare(source.element)}"))
            shorted = answer.alive[source.element] & answer.fed[source.element][source.negative]
            if lanes := shorted & grid.legal:
                combination = grid.combination(grid.nearest(lanes))
                path = _path(design, network, base, combination, source, moving)
                shorts.append(CombinedShort(source.element, path, combination))
                break
    return tuple(shorts), tuple(untried)


def _path(
    design: Design,
    network: Network,
    base: ResolvedState,
    combination: Combination,
    source: Source,
    moving: str,
) -> tuple[str, ...]:
    """The elements of the short; in transit the switch that moves, and the others that are not as in the
    base state."""
    if moving:
        return (f"parts/{moving}", *(f"parts/{name}" for name, _ in combination.moved if name != moving))
    state = solve_state(design, network, set_as(base, combination))
    return feed_path(network, state, source.element, source.negative)
