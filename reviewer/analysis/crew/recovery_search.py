"""Sequences of declared actions that restore a function after failures, tried side by side.

From the state after the failures every sequence of one action, then of two, then of three is tried,
a lane for each; :mod:`reviewer.analysis.crew.moves` says what remains of the failures.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from typing import Any

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import pick_each, repeated
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.conduction.states import StateAnswer, function_mask, function_masks
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.crew.late_recovery import works_in_late_outcomes
from reviewer.analysis.crew.moves import (
    ActionSequence,
    Begun,
    after_failures,
    continued,
    longer,
    low_after_moves,
    only,
)
from reviewer.model.design import Design
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network

#: actions in a row that are tried
LONGEST = 3
#: the most lanes solved at once; what goes beyond is reported as not tried
MOST_LANES = 120_000
#: the most lanes that are kept for other functions that the same failures lose
KEPT_LANES = 20_000


class RecoverySearch:
    """Sequences of one action, then of two, then of three, a lane for each with each case.

    ``outcomes`` are the cases, each the first of its outcomes; ``longest`` is the most actions in a row.
    """

    def __init__(
        self,
        design: Design,
        network: Network,
        answer: StateAnswer,
        function: str,
        outcomes: Sequence[tuple[Case, ...]],
        longest: int = LONGEST,
        begun: Begun | None = None,
    ):
        """``begun`` has all outcomes, each one failure, if they were solved before: an answer asks, which
        judges functions of each class by volts."""
        self.longest, self._minor = longest, begun is not None
        self.design, self.network, self.answer, self.function = design, network, answer, function
        #: the cases not yet recovered, by number
        self.outcomes = list(enumerate(outcomes))
        #: what must work afterwards, the function first
        self.watched = [
            function,
            *(f for f in design.functions if f != function and as_severe(design, f, function)),
        ]
        self.untried = ""
        if begun is None:
            self.now = after_failures(network, answer.state, self._cases(), answer.healthy)
            self.before = less(self.now.solved.powered, answer.low(self._cases(), self.now.solved))
            self._shared: dict[Hashable, Any] = {}
        else:
            self._shared = begun.tried
            lanes = [begun.lane_of[failures_of(case)[0]] for case in self._cases()]
            self.now = only(begun.now, 1, begun.now.solved.width, lanes)
            self.before = pick_each(begun.powered, lanes)
        #: the cases tried so far, by length of the sequences: with the actions they say what was solved
        self._tried: tuple[tuple[Case, ...], ...] = ()
        #: the protectors that have opened before any action, by link
        self.opened: Mapping[int, int] = self.now.tripped

    def _cases(self) -> list[Case]:
        """Every outcome of every case not yet recovered, a lane each."""
        return [outcome for _, outcomes in self.outcomes for outcome in outcomes]

    def losing(self) -> set[int]:
        """The numbers of the cases not yet recovered of which any outcome loses the function."""
        width = len(self._cases())
        works = function_mask(self.design, self.before, (1 << width) - 1, self.function)
        numbers = [number for number, outcomes in self.outcomes for _ in outcomes]
        return {number for lane, number in enumerate(numbers) if not works >> lane & 1}

    def found(self) -> Iterator[tuple[int, tuple[int, int], list[tuple[int, ActionSequence]]]]:
        """Search until every case is recovered, or the sequences become too long or too many.

        For each case that is recovered: its number, its lane before and the number of lanes, the
        shortest sequences with their numbers. To be described before the next one is asked for.
        """
        sequences = [ActionSequence((), self.answer.state)]
        for length in range(self.longest):
            key = id(self.design), length
            if key not in self._shared:
                self._shared[key] = [
                    more for i, sequence in enumerate(sequences) for more in longer(self.design, sequence, i)
                ]
            sequences = self._shared[key]
            if not sequences or not self.outcomes:
                break
            if len(sequences) * len(self._cases()) > MOST_LANES:
                self.untried = (
                    f"After the loss of {self.function} at most {length} crew actions in sequence were tried."
                )
                break
            yield from self._try(sequences)

    def _try(
        self, sequences: Sequence[ActionSequence]
    ) -> Iterator[tuple[int, tuple[int, int], list[tuple[int, ActionSequence]]]]:
        """Try sequences of one length; cases that one of them recovers need no longer ones."""
        cases = self._cases()
        width = len(cases)
        self._tried = (*self._tried, tuple(cases))
        key = id(self.design), self._tried
        known = self._shared.get(key)
        self.now = known or continued(self.network, self.now, cases, sequences)
        if width * len(sequences) <= KEPT_LANES:
            self._shared[key] = self.now
        solved = self.now.solved
        restored = _restored_lanes(
            self.design, self.watched, self.before, solved, solved.powered, len(sequences), width
        )
        if restored and (low := self._low(cases, sequences, restored)):
            works = less(solved.powered, low)
            restored = _restored_lanes(
                self.design, self.watched, self.before, solved, works, len(sequences), width
            )
        holding = self._holding(cases, sequences, restored)
        still: list[tuple[int, tuple[Case, ...]]] = []
        open_cases: list[int] = []
        j = 0
        for number, outcomes in self.outcomes:
            every = (1 << len(outcomes)) - 1
            ways = [(i, s) for i, s in enumerate(sequences) if holding >> i * width + j & every == every]
            if ways:
                yield number, (j, width), ways
            else:
                still.append((number, outcomes))
                open_cases += range(j, j + len(outcomes))
            j += len(outcomes)
        self.now = only(self.now, len(sequences), width, open_cases)
        self.before = pick_each(self.before, open_cases)
        self.opened = pick_each(self.opened, open_cases)
        self.outcomes = still

    def _low(
        self, cases: Sequence[Case], sequences: Sequence[ActionSequence], restored: int
    ) -> Mapping[str, int]:
        """The lanes in which loads have too little voltage after the moves."""
        states = [sequence.state for sequence in sequences]
        return low_after_moves(self.answer, self.now, states, cases, restored, minor=self._minor)

    def _holding(self, cases: Sequence[Case], sequences: Sequence[ActionSequence], restored: int) -> int:
        """Those of some lanes in which a sequence restores the function whichever protector clears
        the short after it."""
        if not restored:
            return 0
        late = works_in_late_outcomes(
            self.design, self.network, self.answer, cases, sequences, self.opened, self.now.tripped, restored
        )
        width = len(cases)
        worked = function_masks(self.design, self.before, (1 << width) - 1, self.watched)
        holds = restored & late[self.function]
        for other in self.watched[1:]:
            holds &= late[other] | ~repeated(worked[other], len(sequences), width)
        return holds


def as_severe(design: Design, other: str, function: str) -> bool:
    """Whether the loss of another function is of at least the same hazard class."""
    return HazardClass.of(design.functions[other].loss) >= HazardClass.of(design.functions[function].loss)


def _restored_lanes(
    design: Design,
    watched: list[str],
    before: Mapping[str, int],
    solved: Conduction,
    working: Mapping[str, int],
    blocks: int,
    width: int,
) -> int:
    """The lanes in which the first of ``watched`` works and the moves lose none of the others."""
    worked = function_masks(design, before, (1 << width) - 1, watched[1:])
    works = function_masks(design, working, (1 << blocks * width) - 1, watched)
    mask = works[watched[0]] & ~solved.unsettled
    for other in watched[1:]:
        mask &= works[other] | ~repeated(worked[other], blocks, width)
    return mask
