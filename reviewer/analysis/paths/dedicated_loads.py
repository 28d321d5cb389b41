"""Loads that a reserve battery is dedicated to and never powers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import serves
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.switch_combinations import Cones, conduct_grid, grid_of
from reviewer.analysis.paths.reverse_feed import dedicated_loads, reachable_through
from reviewer.model.design import Design
from reviewer.network.graph import Network, PoweredDevice, bare


def never_powered(
    design: Design, network: Network, cones: Cones, answers: Sequence[StateAnswer], reserve: str
) -> frozenset[str]:
    """The loads, by name, that a reserve is dedicated to and does not power.

    In no declared state, healthy or with something open, and in no legal combination of the
    switches that matter. A short may be the return of anything and is not tried.
    """
    element = f"parts/{reserve}"
    positive = next(s.positive for s in network.sources if s.element == element)
    within_reach = reachable_through(network, positive)
    dedicated = dedicated_loads(design, reserve)

    def powered(consumer: PoweredDevice, answer: Conduction) -> int:
        return answer.alive[element] & serves(network, answer, element, consumer)

    def tried(consumer: PoweredDevice) -> Iterator[int]:
        yield from (powered(consumer, a.healthy) for a in answers)
        yield from (powered(consumer, a.failed) & opened(a) for a in answers)
        grid = grid_of(design, answers[0].state, cones.switches((positive, *consumer.inlets)))
        if grid is not None:
            yield powered(consumer, conduct_grid(network, grid)) & grid.legal

    def opened(answer: StateAnswer) -> int:
        """The lanes of the failures in which something opens."""
        return sum(1 << i for i, failure in enumerate(answer.failures) if failure.mode == OPEN)

    return frozenset(
        bare(c.element)
        for c in network.consumers
        if bare(c.element) in dedicated and (within_reach.isdisjoint(c.inlets) or not any(tried(c)))
    )
