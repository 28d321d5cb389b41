"""A state under some failures in each of its phases: one point for each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from typing import Any

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.devices import amps_of
from reviewer.analysis.operating_point.points import Figures, Points, solve_points
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare


def phase_points(
    design: Design, network: Network, scenario: Scenario, phases: Sequence[str], wiring: Wiring
) -> Points:
    """A point for each phase, with the currents of that phase; one with those of the scenario where
    there is no phase. Raises as :func:`solve_points` does."""
    loads = _currents(design, network, scenario, phases) if phases[1:] else {}
    figures = Figures(loads=loads, speed=scenario.state.speed)
    return solve_points(design, network, scenario, figures, max(len(phases), 1), wiring)


def _currents(
    design: Design, network: Network, scenario: Scenario, phases: Sequence[str]
) -> Mapping[str, Any]:
    """The currents of powered loads that differ by phase, a number for each phase."""
    import numpy as np

    sound = cache(lambda: conduct(network, scenario.state))

    def amps(element: str) -> Any:
        part, quiet = design.parts[bare(element)], Assumptions()
        taken = [replace(scenario, phases=(p,)).phases_of(part, element, sound) for p in phases]
        return np.array([amps_of(part, element, own, quiet) for own in taken])

    return {
        c.element: amps(c.element)
        for c in network.consumers
        if scenario.conduction.powered[c.element]
        and isinstance(design.parts[bare(c.element)].current, Mapping)
    }
