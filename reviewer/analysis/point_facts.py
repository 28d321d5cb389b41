"""Facts in volts and amperes; what solves them is loaded when one is asked. No logic lives here."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

from reviewer.analysis.question_facts import QuestionFacts
from reviewer.analysis.state_facts import NotAssessable
from reviewer.model.design import Design

if TYPE_CHECKING:
    from reviewer.analysis.electrical.build import Scenario
    from reviewer.analysis.electrical.points import Figures, Points
    from reviewer.analysis.electrical.state import OperatingPoint
    from reviewer.analysis.failures import Failure

T = TypeVar("T")


class PointFacts(QuestionFacts):
    """Operating points of the declared states."""

    def __init__(self, design: Design):
        super().__init__(design)
        self._points: dict[tuple[str, str | None, tuple[Failure, ...], tuple[str, ...]], OperatingPoint] = {}

    def operating_point(self, state: str, phase: str | None = None, case: tuple[Failure, ...] = (), starting: tuple[str, ...] = ()) -> OperatingPoint:
        """Volts and amperes of a state, with the figures of a phase, under some failures, while some motors start or lamps are cold.

        Raises NotAssessable with what is missing.
        """
        from reviewer.analysis.electrical.state import solve_state

        key = (state, phase, case, starting)
        if key not in self._points:
            self._points[key] = _assessed(lambda: solve_state(self.design, self.network, self._scenario(*key)))
        return self._points[key]

    def operating_points(self, state: str, figures: Figures, points: int, phase: str | None = None, starting: tuple[str, ...] = ()) -> Points:
        """Many operating points of a state, that differ in their figures. Raises NotAssessable with what is missing."""
        from reviewer.analysis.electrical.points import solve_points

        return _assessed(lambda: solve_points(self.design, self.network, self._scenario(state, phase, (), starting), figures, points))

    def _scenario(self, state: str, phase: str | None, case: tuple[Failure, ...], starting: tuple[str, ...]) -> Scenario:
        from reviewer.analysis.electrical.state import scenario_of

        return scenario_of(self.design, self.network, self.states[state], self.answer(state).healthy, phase, case, starting)


def _assessed(solve: Callable[[], T]) -> T:
    from reviewer.analysis.electrical.notes import NotSolvable
    from reviewer.tables.table import OutsideTable

    try:
        return solve()
    except (NotSolvable, OutsideTable) as missing:
        raise NotAssessable(str(missing)) from missing
