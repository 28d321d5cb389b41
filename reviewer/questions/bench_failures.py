"""What meters read on a supply under failures, the relays dropped out that these leave too few volts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from reviewer.analysis.conduction.failure_modes import DROPPED, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.cut_sets.low_volts import ROUNDING_V
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.operating_point.points import Points, solve_points
from reviewer.analysis.operating_point.solved_state import scenario_of
from reviewer.analysis.paths.sneak_effects import coil_limits
from reviewer.network.graph import bare
from reviewer.questions.bench_supply import Bench
from reviewer.questions.meter_ranges import Seen, SolvedCases
from reviewer.questions.power_steps import Act, PowerStep


def solved_on_bench(bench: Bench, answer: StateAnswer, failures: Sequence[Failure]) -> SolvedCases | None:
    """A state on a supply under each of some failures, the last lane with nothing failed; None where the file
    lacks a figure."""
    cases: tuple[tuple[Failure, ...], ...] = (*((failure,) for failure in failures), ())
    plain = scenario_of(bench.design, bench.network, answer.state, answer.healthy)
    while True:  # each round has more relays dropped out
        lanes = conduct(bench.network, answer.state, cases, answer.healthy)
        scenario = replace(plain, conduction=lanes, cases=cases)
        try:
            points = assessed(
                partial(solve_points, bench.design, bench.network, scenario, wiring=bench.wiring)
            )
        except NotAssessable:
            return None
        after = _with_dropped_out(bench, answer, points, lanes, cases)
        if after == cases:
            return SolvedCases(points, len(cases))
        cases = after


def read_on_bench(bench: Bench, solved: SolvedCases, step: PowerStep) -> list[Seen]:
    """What a step reads under each failure: amperes of the supply, volts of a terminal or across a load."""
    if step.act is Act.SUPPLY_AMPERES:
        return solved.given(bench.source)
    if step.act is Act.VOLTS:
        return solved.volts(step.names[0])
    return solved.across(f"parts/{step.names[0]}")


def low_coils(bench: Bench, answer: StateAnswer, points: Points) -> dict[str, list[bool]]:
    """By coil of which the file gives the current, at which points it has too few volts."""
    found = {}
    for coil in (c for c in points.built.coils if bench.design.parts[bare(c)].coil_current is not None):
        held = bool(answer.healthy.energised[coil])
        least = coil_limits(bench.design.parts[bare(coil)], bench.design.aircraft.volts, held)[0]
        found[coil] = [abs(volts) < least - ROUNDING_V for volts in points.across(coil).tolist()]
    return found


def _with_dropped_out(
    bench: Bench,
    answer: StateAnswer,
    points: Points,
    lanes: Conduction,
    cases: Sequence[tuple[Failure, ...]],
) -> tuple[tuple[Failure, ...], ...]:
    """Some cases, the last of which is the sound system, with the relays that each leaves with too few volts
    at their coils; not those with too few in it."""
    found = list(cases)
    low = low_coils(bench, answer, points)
    for coil, at in ((coil, at) for coil, at in low.items() if not at[-1]):
        for i, case in enumerate(cases):
            if at[i] and lanes.energised[coil] >> i & 1 and coil not in {f.element for f in case}:
                found[i] = (*found[i], Failure(coil, DROPPED))
    return tuple(found)
