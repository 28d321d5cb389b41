"""Solved cases that load protection: all that is flown, and positions that no state sets."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.crew.inadvertent_moves import ways_along
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.protection import circuit_protection
from reviewer.analysis.protection.protection_loading import SolvedCase, feeding_devices
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


def require_currents(design: Design) -> None:
    """Raises NotAssessable where no load has a current, before anything is solved."""
    consumers = [part for part in design.parts.values() if isinstance(part, p.Consumer)]
    if all(part.current is None for part in consumers):
        raise NotAssessable("`current` of the loads and instruments")


def solved_cases(states: States, points: OperatingPoints, crew: Crew) -> tuple[SolvedCase, ...]:
    """All that is flown, then each position of a change-over switch that no state sets.

    Of the latter those that change a critical function over, with the switches that an exclusion
    takes along. Raises NotAssessable.
    """
    require_currents(states.design)
    flown = (
        _case(states, f.state, str(f), (), states.answer(f.state), points.point(f)) for f in points.flown
    )
    return (*flown, *_untried(states, points, crew))


def _untried(states: States, points: OperatingPoints, crew: Crew) -> Iterator[SolvedCase]:
    if not states.design.functions or not states.critical_functions:
        return
    declared = {(switch, at) for state in states.declared.values() for switch, at in state.switches.items()}
    used = ((bare(c.switch), at) for c in crew.changeovers for at, _ in c.sources)
    normal = states.answers()[0]
    for switch, at in dict.fromkeys(pair for pair in used if pair not in declared):
        along = next(ways_along(states.design, {**normal.state.switches, switch: at}, switch), None)
        if along is not None:
            moves = ((switch, at), *along)
            answer = circuit_protection.moved(states.design, states.network, normal, dict(moves))
            words = f"{states.operation.normal} with {' and '.join(f'{s} at {a}' for s, a in moves)}"
            yield _case(states, "", words, moves, answer, points.solved_of(answer))


def _case(
    states: States,
    state: str,
    words: str,
    moved: tuple[tuple[str, str], ...],
    answer: StateAnswer,
    point: OperatingPoint,
) -> SolvedCase:
    powered = frozenset(bare(element) for element, works in answer.healthy.powered.items() if works)
    taken = cache(lambda: circuit_protection.lost_by_opening(states.design, answer))
    consumers = {bare(c.element): c for c in states.network.consumers}
    feeding = cache(lambda load: feeding_devices(states.design, states.network, consumers[load], answer))
    return SolvedCase(state, words, moved, answer.state.engine == "cranking", point, powered, taken, feeding)
