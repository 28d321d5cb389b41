"""What the crew can do: declared actions that restore a function after a single failure.

From the state after the failure every sequence of one action, then of two, then of three is tried,
a lane for each; :mod:`reviewer.analysis.crew.moves` says what remains of the failure. A sequence
that loses another function of at least the same hazard class does not count. Where a protector
further upstream may clear a short first, before the moves or after them, the sequence must restore
the function in each outcome. A load that the moves leave with less than its minimum voltage is not
restored.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.late_outcomes import NONE_AFTER, NONE_LATE, Late, LateAfter
from reviewer.analysis.conduction.states import (
    StateAnswer,
    channel_mask,
    function_mask,
    function_masks,
    rests_on,
)
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.crew.left_ways import may_work
from reviewer.analysis.crew.moves import ActionSequence, Begun
from reviewer.analysis.crew.recovery_search import LONGEST, MOST_LANES, RecoverySearch, as_severe
from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.model.record import record
from reviewer.network.graph import Network


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

    @property
    def words(self) -> str:
        """The moves: ``source to reserve and master to off``."""
        return and_list(f"{name} to {position}" for name, position in self.moves)


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
    late: Callable[[], Late] = lambda: NONE_LATE,
    longest: int = LONGEST,
    begun: Begun | None = None,
) -> Recoveries:
    """The shortest sequences of declared actions that restore a function in a state.

    After each single failure that loses it, or each of ``failures`` that does. ``late()[failure]`` is
    the failure with each other outcome that the ratings of the protectors allow; it is asked for only
    where a short may be recovered. ``longest`` is the most actions in a row. ``begun`` has all of these
    failures and outcomes, if they were solved before.
    """
    lost = _losing(design, network, answer, function, failures, begun)
    ways: dict[Failure, tuple[Recovery, ...]] = dict.fromkeys(lost, ())
    if not lost or not design.operation or not design.operation.actions:
        return Recoveries(MappingProxyType(ways))
    lost = _not_beyond_moves(design, network, answer, function, lost, begun)
    known = late() if any(f.grounds for f in lost) else NONE_LATE
    outcomes = [(f, *_others(f, known)) for f in lost]
    search = RecoverySearch(design, network, answer, function, outcomes, longest, begun)
    for number, place, sequences in search.found():
        failure = lost[number]
        found = (_described(search, failure, place, *numbered) for numbered in sequences)
        ways[failure] = tuple(sorted(found, key=_length))
    return Recoveries(MappingProxyType(ways), search.untried)


def unrecovered(
    design: Design,
    network: Network,
    answer: StateAnswer,
    function: str,
    pairs: Sequence[tuple[Failure, Failure]],
    late: Late = NONE_LATE,
    after: LateAfter = NONE_AFTER,
) -> tuple[list[tuple[Failure, Failure]], str]:
    """Those of some pairs of failures that lose a function which no declared actions then restore,
    and what was not tried, or "".

    ``late`` has the outcomes of the second of a pair, as in :func:`recoveries`, and ``after[first]``
    where the first alters it. Pairs are judged by logic, not by volts.
    """
    assert design.operation is not None
    actions = len(design.operation.actions)
    sequences = max(actions, actions * (actions - 1) * max(1, actions - 2))
    # as many at once as leave room for three outcomes of each
    height = max(1, MOST_LANES // (3 * sequences))
    left: list[tuple[Failure, Failure]] = []
    untried = ""
    for start in range(0, len(pairs), height):
        block = pairs[start : start + height]
        outcomes = [
            ((one, two), *((one, other) for other in _others(two, after.get(one, late))))
            for one, two in block
        ]
        search = RecoverySearch(design, network, replace(answer, too_low=None), function, outcomes)
        lost = search.losing()
        lost -= {number for number, _, _ in search.found()}
        untried = untried or search.untried
        left += [] if search.untried else [block[i] for i in sorted(lost)]
    return left, untried


def _losing(
    design: Design,
    network: Network,
    answer: StateAnswer,
    function: str,
    failures: Sequence[Failure] | None,
    begun: Begun | None,
) -> list[Failure]:
    """The failures that lose a function which works in the healthy state."""
    if not answer.alive[function]:
        return []
    if failures is not None and begun is not None:
        survives = function_mask(design, begun.powered, (1 << begun.now.solved.width) - 1, function)
        return [f for f in failures if not survives >> begun.lane_of[f] & 1]
    if failures is None:
        failures, survives = answer.failures, answer.functions[function]
    else:
        solved = conduct(network, answer.state, failures, answer.healthy)
        works = less(solved.powered, answer.low(failures, solved))
        survives = function_mask(design, works, (1 << len(failures)) - 1, function)
    return [f for i, f in enumerate(failures) if not survives >> i & 1]


def _not_beyond_moves(
    design: Design,
    network: Network,
    answer: StateAnswer,
    function: str,
    lost: Sequence[Failure],
    begun: Begun | None,
) -> list[Failure]:
    """Those of some failures after which some moves might restore a function."""
    lane_of: Mapping[Failure, int] = {f: i for i, f in enumerate(lost)} if begun is None else begun.lane_of
    left = may_work(network, answer.state, lost) if begun is None else begun.may_work
    may = function_mask(design, left, (1 << len(lane_of) + 1) - 1, function)
    return [f for f in lost if may >> lane_of[f] & 1]


def _described(
    search: RecoverySearch, failure: Failure, place: tuple[int, int], number: int, sequence: ActionSequence
) -> Recovery:
    """A sequence that was found for a failure."""
    assert search.design.operation is not None
    times = {name: search.design.operation.actions[name].time for name in sequence.actions}
    untimed = tuple(name for name, time in times.items() if time is None)
    lane, width = place
    return Recovery(
        function=search.function,
        state=search.answer.state.name,
        failure=failure,
        actions=sequence.actions,
        moves=sequence.moves,
        seconds=None if untimed else sum(time for time in times.values() if time is not None),
        untimed=untimed,
        before=_channels(search.design, search.function, search.before, lane),
        after=_channels(search.design, search.function, search.now.solved.powered, number * width + lane),
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
        if (masks[c] if c in design.functions else channel_mask(design, powered, c) >> lane & 1)
    )


def _length(recovery: Recovery) -> tuple[int, int, float]:
    seconds = float("inf") if recovery.seconds is None else recovery.seconds
    return len(recovery.actions), len(recovery.moves), seconds


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
            if outer != function and rests_on(design, outer, function) and as_severe(design, outer, function):
                mask &= survived[outer] | masks[outer]
        done[function] = mask
    return MappingProxyType(done)
