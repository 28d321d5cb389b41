"""What indicates a failure: monitors, and preflight checks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.detection.reading_limits import ReadingLimits
from reviewer.model.design import Check
from reviewer.model.record import record
from reviewer.network.meters import Meter


@record
class Indications:
    """The indications of one failure in a state.

    ``monitors`` read out of their limits, ``dark`` are those that go dark because what shows them has no
    power, ``checks`` are the preflight checks that would notice it. Of the monitors ``unsolved``, and of
    those that the checks ``unsolved_checks`` watch, no operating point was found that tells.
    """

    monitors: tuple[str, ...]
    dark: tuple[str, ...]
    checks: tuple[str, ...]
    unsolved: tuple[str, ...] = ()
    unsolved_checks: tuple[str, ...] = ()


def indications_of(
    answer: StateAnswer,
    meters: Mapping[str, Meter],
    failures: Sequence[Failure],
    checks: Mapping[str, tuple[Check, StateAnswer]],
    limits: ReadingLimits | None = None,
) -> tuple[Indications, ...]:
    """The indications of each of some failures in a state.

    ``checks`` are the preflight checks by name, each with the answer of its state.
    """
    if not failures:
        return ()
    cases = tuple(failures)
    seen, unsolved = dict[str, int](), dict[str, int]()
    for name, (check, there) in checks.items():  # one observation at a time: each is large
        one = Observation(
            there, {n: m for n, m in meters.items() if n in check.watch}, cases, limits, relays=True
        )
        seen[name] = one.watched(check.watch)
        unsolved[name] = join(one.lost.values()) & ~seen[name]
        del one
    observation = Observation(answer, meters, cases, limits, relays=True)

    def names(masks: Mapping[str, int], lane: int) -> tuple[str, ...]:
        return tuple(name for name, mask in masks.items() if mask >> lane & 1)

    return tuple(
        Indications(
            names(observation.indicated, i),
            names(observation.dark, i),
            names(seen, i),
            names(observation.lost, i),
            names(unsolved, i),
        )
        for i in range(len(cases))
    )
