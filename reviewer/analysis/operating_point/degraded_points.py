"""A scenario in which something is degraded or leaks, solved at many resistances of it."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.points import Figures, Points, solve_points
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.model.design import Design
from reviewer.network.graph import Network


def degraded_points(
    design: Design, network: Network, scenario: Scenario, ohms: Sequence[float], wiring: Wiring
) -> Points:
    """A point for each resistance. Raises as :func:`solve_points` does."""
    import numpy as np

    figures = Figures(speed=scenario.state.speed, fault_ohms=np.array(ohms, float))
    return solve_points(design, network, scenario, figures, len(ohms), wiring)
