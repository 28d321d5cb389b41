"""What the crew can do: declared actions that restore a function after a single failure.

From the state after the failure every sequence of one action, then of two, then of three is tried,
a lane for each; :mod:`reviewer.analysis.crew.moves` says what remains of the failure. A sequence
that loses another function of at least the same hazard class does not count. Where a protector
further upstream may clear a short first, before the moves or after them, the sequence must restore
the function in each outcome.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import pick, repeated
from reviewer.analysis.conduction.states import StateAnswer, function_masks, rests_on
from reviewer.analysis.crew.late_recovery import holds_in_late_outcomes
from reviewer.analysis.crew.moves import ActionSequence, after_failures, continued, longer, only
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network

#: a failure -> the same with each other outcome
Late = Mapping[Failure, tuple[Failure, ...]]
NONE_LATE: Late = MappingProxyType({})
#: actions in a row that are tried
LONGEST = 3
#: the most lanes solved at once; what goes beyond is reported as not tried
MOST_LANES = 120_000


@record
class Recovery:
    """Declared actions that restore a function after a failure.

    ``moves`` are (switch or protector, position) pairs that change something; ``seconds`` is the
    sum of the times of the actions, None where those of ``untimed`` have none. ``before`` and
    ``after`` are the channels of the function that work before and after the moves.
    """

    function: str
    state: str
    failure: Failure
    actions: tuple[str, ...]
    moves: tuple[tuple[str, str], ...]
    seconds: float | None
    untimed: tuple[str, ...]
    before: tuple[str, ...]
    after: tuple[str, ...]


@record
class Recoveries:
    """For one function in one state, what restores it after each failure.

    ``ways[failure]`` has the shortest first, () where no declared action helps. ``untried`` says
    what was not tried, or "".
    """

    ways: Mapping[Failure, tuple[Recovery, ...]]
    untried: str = ""


def recoveries(
    design: Design,
    network: Network,
    answer: StateAnswer,
    function: str,
    failures: Sequence[Failure] | None = None,
    late: Late = NONE_LATE,
) -> Recoveries:
    """The shortest sequences of declared actions that restore a function in a state.

    After each single failure that loses it, or each of ``failures`` that does. ``late[failure]`` is
    the failure with each other outcome that the ratings of the protectors allow.
    """
    lost = _losing(design, network, answer, function, failures)
    if not lost or not design.operation or not design.operation.actions:
        return Recoveries(MappingProxyType(dict.fromkeys(lost, ())))
    return _RecoverySearch(design, network, answer, function, lost, late).recoveries()


def _losing(
    design: Design,
    network: Network,
    answer: StateAnswer,
    function: str,
    failures: Sequence[Failure] | None,
) -> list[Failure]:
    """The failures that lose a function which works in the healthy state."""
    if not answer.alive[function]:
        return []
    if failures is None:
        failures, survives = answer.failures, answer.functions[function]
    else:
        powered = conduct(network, answer.state, failures, answer.healthy).powered
        survives = function_masks(design, powered, (1 << len(failures)) - 1)[function]
    return [f for i, f in enumerate(failures) if not survives >> i & 1]


class _RecoverySearch:
    """Sequences of one action, then of two, then of three, a lane for each with each failure."""

    def __init__(
        self,
        design: Design,
        network: Network,
        answer: StateAnswer,
        function: str,
        lost: list[Failure],
        late: Late,
    ):
        self.design, self.network, self.answer, self.function = design, network, answer, function
        #: the failures not yet recovered, each the first of its outcomes
        self.outcomes = [(failure, *_others(failure, late)) for failure in lost]
        #: what must work afterwards, the function first
        self.watched = [
            function,
            *(f for f in design.functions if f != function and _as_severe(design, f, function)),
        ]
        self.recovered: dict[Failure, tuple[Recovery, ...]] = dict.fromkeys(lost, ())
        self.now = after_failures(network, answer.state, self._cases(), answer.healthy)
        self.before = self.now.solved.powered

    def _cases(self) -> list[Failure]:
        """Every outcome of every failure not yet recovered, a lane each."""
        return [outcome for outcomes in self.outcomes for outcome in outcomes]

    def recoveries(self) -> Recoveries:
        """Search until every failure is recovered, or the sequences become too long or too many."""
        untried = ""
        sequences = [ActionSequence((), self.answer.state)]
        for length in range(LONGEST):
            sequences = [
                more for i, sequence in enumerate(sequences) for more in longer(self.design, sequence, i)
            ]
            if not sequences or not self.outcomes:
                break
            if len(sequences) * len(self._cases()) > MOST_LANES:
                untried = (
                    f"After the loss of {self.function} at most {length} crew actions in sequence were tried."
                )
                break
            self._try(sequences)
        return Recoveries(MappingProxyType(self.recovered), untried)

    def _try(self, sequences: Sequence[ActionSequence]) -> None:
        """Try sequences of one length; failures that one of them recovers need no longer ones."""
        cases = self._cases()
        width = len(cases)
        self.now = continued(self.network, self.now, cases, sequences)
        solved = self.now.solved
        restored = _restored_lanes(self.design, self.watched, self.before, solved, len(sequences), width)
        still: list[tuple[Failure, ...]] = []
        open_cases: list[int] = []
        j = 0
        for outcomes in self.outcomes:
            before = _channels(self.design, self.function, self.before, j)
            every = (1 << len(outcomes)) - 1
            ways = [
                self._recovery(outcomes[0], sequence, before, i * width + j)
                for i, sequence in enumerate(sequences)
                if restored >> i * width + j & every == every and self._holds(outcomes, sequence, j)
            ]
            self.recovered[outcomes[0]] = tuple(sorted(ways, key=_length))
            if not ways:
                still.append(outcomes)
                open_cases += range(j, j + len(outcomes))
            j += len(outcomes)
        self.now = only(self.now, len(sequences), width, open_cases)
        self.before = {element: pick(mask, open_cases) for element, mask in self.before.items()}
        self.outcomes = still

    def _holds(self, outcomes: Sequence[Failure], sequence: ActionSequence, first: int) -> bool:
        """Whether a sequence restores the function whichever protector clears the short after it.

        The outcomes are lanes ``first`` and on of ``before``.
        """
        for lane, case in enumerate(outcomes, first):
            worked = function_masks(self.design, self.before, -1)
            needed = [self.function, *(f for f in self.watched[1:] if worked[f] >> lane & 1)]
            if not holds_in_late_outcomes(self.design, self.network, self.answer, case, sequence, needed):
                return False
        return True

    def _recovery(
        self, failure: Failure, sequence: ActionSequence, before: tuple[str, ...], lane: int
    ) -> Recovery:
        assert self.design.operation is not None
        times = {name: self.design.operation.actions[name].time for name in sequence.actions}
        untimed = tuple(name for name, time in times.items() if time is None)
        return Recovery(
            function=self.function,
            state=self.answer.state.name,
            failure=failure,
            actions=sequence.actions,
            moves=sequence.moves,
            seconds=None if untimed else sum(time for time in times.values() if time is not None),
            untimed=untimed,
            before=before,
            after=_channels(self.design, self.function, self.now.solved.powered, lane),
        )


def _others(failure: Failure, late: Late) -> tuple[Failure, ...]:
    """The other outcomes of a failure: those cleared further upstream, or the plain one."""
    if failure.passes or failure.opened:
        return (replace(failure, passes=frozenset(), opened=frozenset()),)
    return late.get(failure, ())


def _channels(design: Design, function: str, powered: Mapping[str, int], lane: int) -> tuple[str, ...]:
    """The channels of a function that work in a lane."""
    masks = function_masks(design, {element: mask >> lane & 1 for element, mask in powered.items()}, 1)
    return tuple(
        c
        for c in design.functions[function].of
        if (masks[c] if c in design.functions else powered[f"parts/{c}"] >> lane & 1)
    )


def _length(recovery: Recovery) -> tuple[int, int, float]:
    seconds = float("inf") if recovery.seconds is None else recovery.seconds
    return len(recovery.actions), len(recovery.moves), seconds


def _as_severe(design: Design, other: str, function: str) -> bool:
    """Whether the loss of another function is of at least the same hazard class."""
    return HazardClass.of(design.functions[other].loss) >= HazardClass.of(design.functions[function].loss)


def _restored_lanes(
    design: Design, watched: list[str], before: Mapping[str, int], solved: Conduction, blocks: int, width: int
) -> int:
    """The lanes in which the first of ``watched`` works and the moves lose none of the others."""
    worked = function_masks(design, before, (1 << width) - 1)
    works = function_masks(design, solved.powered, (1 << blocks * width) - 1)
    mask = works[watched[0]] & ~solved.unsettled
    for other in watched[1:]:
        mask &= works[other] | ~repeated(worked[other], blocks, width)
    return mask


def restored(
    found: Mapping[str, Recoveries],
    design: Design,
    tried: Sequence[Failure],
    survived: Mapping[str, int],
) -> Mapping[str, int]:
    """For each function of ``found``, the failures ``tried`` after which a declared action restores
    it; ``survived[function]`` are those that do not lose it.

    A function that needs it, is of at least the same hazard class and is lost too must be restored
    too.
    """
    masks = {}
    for function, recovered in found.items():
        failures = {failure for failure, ways in recovered.ways.items() if ways}
        elements = {failure.element for failure in failures}
        masks[function] = sum(
            1 << i for i, failure in enumerate(tried) if failure.element in elements and failure in failures
        )
    done = {}
    for function, mask in masks.items():
        for outer in masks:
            if (
                outer != function
                and rests_on(design, outer, function)
                and _as_severe(design, outer, function)
            ):
                mask &= survived[outer] | masks[outer]
        done[function] = mask
    return MappingProxyType(done)
