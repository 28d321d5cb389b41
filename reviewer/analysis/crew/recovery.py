"""What the crew can do: declared actions that bring a function back after a single failure.

From the state after the failure every course of one action, then of two, then of three is tried, a lane for each; see :mod:`reviewer.analysis.crew.moves`
for what remains of the failure. What takes another function that is no less grave brings nothing back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import pick, repeated
from reviewer.analysis.conduction.states import StateAnswer, function_masks, rests_on
from reviewer.analysis.crew.moves import Course, go_on, longer, only, start_of
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network

#: actions in a row that are tried
LONGEST = 3
#: lanes solved at once at the most; what goes beyond is told
MOST_LANES = 120_000


@record
class Recovery:
    """Declared actions that bring a function back after a failure.

    ``moves`` are (switch or protector, position) pairs that change something; ``seconds`` the sum of the actions' times, None where one of
    ``untimed`` has none. ``before`` and ``after`` are the channels of the function that work before and after the moves.
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
    """For one function in one state: ``ways[failure]``, the shortest first, () where no declared action helps. ``untried`` says what was not tried."""

    ways: Mapping[Failure, tuple[Recovery, ...]]
    untried: str = ""


def recoveries(
    design: Design,
    network: Network,
    answer: StateAnswer,
    function: str,
    failures: Sequence[Failure] | None = None,
) -> Recoveries:
    """For every single failure (or each of some others) that loses a function in a state: the shortest courses of declared actions that bring it back."""
    if failures is None:
        failures, lives = answer.failures, answer.functions[function]
    else:
        lives = function_masks(
            design, conduct(network, answer.state, failures, answer.healthy).powered, (1 << len(failures)) - 1
        )[function]
    lost = [f for i, f in enumerate(failures) if not lives >> i & 1] if answer.alive[function] else []
    ways: dict[Failure, tuple[Recovery, ...]] = dict.fromkeys(lost, ())
    if not lost or not design.operation or not design.operation.actions:
        return Recoveries(MappingProxyType(ways))
    now = start_of(network, answer.state, lost, answer.healthy)
    watched = [function, *(f for f in design.functions if f != function and _as_grave(design, f, function))]
    before = now.solved.powered
    courses = [Course((), answer.state)]
    for _ in range(LONGEST):
        courses = [more for i, course in enumerate(courses) for more in longer(design, course, i)]
        if not courses or not lost:
            break
        if len(courses) * len(lost) > MOST_LANES:
            most = len(courses[0].actions) - 1
            return Recoveries(
                MappingProxyType(ways),
                f"What the crew can do after {function} is lost was tried with {most} of the actions at most.",
            )
        now = go_on(network, now, lost, courses)
        kept = _kept(design, watched, before, now.solved, len(courses), len(lost))
        left = []
        for j, failure in enumerate(lost):
            lanes = [(c, i * len(lost) + j) for i, c in enumerate(courses) if kept >> i * len(lost) + j & 1]
            here = _channels(design, function, before, j)
            found = [
                _recovery(
                    design,
                    answer,
                    function,
                    failure,
                    c,
                    here,
                    _channels(design, function, now.solved.powered, lane),
                )
                for c, lane in lanes
            ]
            ways[failure] = tuple(sorted(found, key=_length))
            if not found:
                left.append(j)
        now = only(now, len(courses), len(lost), left)
        before = {element: pick(mask, left) for element, mask in before.items()}
        lost = [lost[j] for j in left]
    return Recoveries(MappingProxyType(ways))


def _channels(design: Design, function: str, powered: Mapping[str, int], lane: int) -> tuple[str, ...]:
    masks = function_masks(design, {element: mask >> lane & 1 for element, mask in powered.items()}, 1)
    return tuple(
        c
        for c in design.functions[function].of
        if (masks[c] if c in design.functions else powered[f"parts/{c}"] >> lane & 1)
    )


def _recovery(
    design: Design,
    answer: StateAnswer,
    function: str,
    failure: Failure,
    course: Course,
    before: tuple[str, ...],
    after: tuple[str, ...],
) -> Recovery:
    assert design.operation is not None
    times = {name: design.operation.actions[name].time for name in course.actions}
    untimed = tuple(name for name, time in times.items() if time is None)
    seconds = None if untimed else sum(time for time in times.values() if time is not None)
    return Recovery(
        function, answer.state.name, failure, course.actions, course.moves, seconds, untimed, before, after
    )


def _length(way: Recovery) -> tuple[int, int, float]:
    return len(way.actions), len(way.moves), float("inf") if way.seconds is None else way.seconds


def _as_grave(design: Design, other: str, function: str) -> bool:
    return HazardClass.of(design.functions[other].loss) >= HazardClass.of(design.functions[function].loss)


def _kept(
    design: Design, watched: list[str], before: Mapping[str, int], solved: Conduction, blocks: int, width: int
) -> int:
    """Lanes in which the first of ``watched`` works and none of the others is lost by the moves."""
    worked = function_masks(design, before, (1 << width) - 1)
    works = function_masks(design, solved.powered, (1 << blocks * width) - 1)
    mask = works[watched[0]] & ~solved.unsettled
    for other in watched[1:]:
        mask &= works[other] | ~repeated(worked[other], blocks, width)
    return mask


def restored(found: Mapping[str, Recoveries], design: Design, answer: StateAnswer) -> Mapping[str, int]:
    """For each function of ``found``: the failures of a state after which a declared action brings it back, and with it every function that rests on
    it, is no less grave and is lost too."""
    masks = {}
    for function, answers in found.items():
        made_good = {failure for failure, ways in answers.ways.items() if ways}
        elements = {failure.element for failure in made_good}
        masks[function] = sum(
            1 << i
            for i, failure in enumerate(answer.failures)
            if failure.element in elements and failure in made_good
        )
    done = {}
    for function, mask in masks.items():
        for outer in masks:
            if outer != function and rests_on(design, outer, function) and _as_grave(design, outer, function):
                mask &= answer.functions[outer] | masks[outer]
        done[function] = mask
    return MappingProxyType(done)
