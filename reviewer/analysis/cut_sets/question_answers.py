"""Facts that questions ask for and no rule does; their engines are loaded when one is asked. No logic lives here."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.cut_sets.answers import FailureFacts
from reviewer.model.design import Design

if TYPE_CHECKING:
    from reviewer.analysis.crew import recovery
    from reviewer.analysis.cut_sets import explanation
    from reviewer.analysis.cut_sets import minimal_cut_sets as cuts
    from reviewer.analysis.detection import indications


class QuestionFacts(FailureFacts):
    """What may be asked about pairs of failures, and about one failure in full."""

    def __init__(self, design: Design):
        super().__init__(design)
        self._pairs: dict[str, cuts.PairLosses] = {}
        self._cuts: dict[tuple[str, str, int], tuple[cuts.CutSet, ...]] = {}

    def pair_losses(self, state: str) -> cuts.PairLosses:
        """For each function, the pairs of single failures of a state that lose it where neither does alone."""
        from reviewer.analysis.cut_sets import minimal_cut_sets as cuts

        if state not in self._pairs:
            self._pairs[state] = cuts.pair_losses(self.answer(state))
        return self._pairs[state]

    def cut_sets(self, state: str, function: str, order: int = 2) -> tuple[cuts.CutSet, ...]:
        """The minimal cut sets of a function in a state, of at most ``order`` (1 or 2) failures."""
        from reviewer.analysis.cut_sets import minimal_cut_sets as cuts

        if (state, function, order) not in self._cuts:
            self._cuts[state, function, order] = cuts.cut_sets(
                self.answer(state), function, order, self._pairs.get(state)
            )
        return self._cuts[state, function, order]

    def explanation(self, cut: cuts.CutSet) -> explanation.Explanation:
        """The loads that a cut set takes, each with the way that was lost."""
        from reviewer.analysis.cut_sets import explanation

        return explanation.explain(self.answer(cut.state), cut)

    def signs(self, state: str, failures: Sequence[Failure]) -> tuple[indications.Signs, ...]:
        """What shows each of some failures in a state: monitors, and checks before flight."""
        from reviewer.analysis.detection import indications

        checks = {name: (check, self.answer(check.state)) for name, check in self.design.watch.checks.items()}
        return indications.signs(self.answer(state), self.telling.meters, failures, checks)

    def recoveries_from(self, function: str, state: str, failures: Sequence[Failure]) -> recovery.Recoveries:
        """What declared actions bring a function back after any of some failures, contacts that stick included."""
        from reviewer.analysis.crew import recovery

        return recovery.recoveries(self.design, self.network, self.answer(state), function, failures)
