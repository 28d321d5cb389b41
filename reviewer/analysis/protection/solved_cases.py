"""Solved cases that load protection: all that is flown, and positions that no state of flight sets."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache, partial
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.exclusions import ways_along
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.crew.changeover import Changeover
from reviewer.analysis.crew.moves import positions_in_flight
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
from reviewer.analysis.protection import circuit_protection
from reviewer.analysis.protection.protection_loading import SolvedCase, feeding_devices
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import bare
from reviewer.tables.practice import longest_brief

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.points import Figures
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


def require_currents(design: Design) -> None:
    """Raises NotAssessable where no load has a current, before anything is solved."""
    consumers = [part for part in design.parts.values() if isinstance(part, p.Consumer)]
    if all(part.current is None for part in consumers):
        raise NotAssessable("`current` of the loads and instruments")


def solved_cases(states: States, points: OperatingPoints, crew: Crew) -> tuple[SolvedCase, ...]:
    """All that is flown, then each position of a change-over switch that no state of flight sets.

    Of the latter those that change a critical function over, with the switches that an exclusion
    takes along. Raises NotAssessable.
    """
    require_currents(states.design)
    return (*(flown_case(states, points, flown) for flown in points.flown), *_untried(states, points, crew))


def flown_case(states: States, points: OperatingPoints, flown: Flown) -> SolvedCase:
    """What is flown, solved. Raises NotAssessable."""
    phase = states.operation.phases.get(flown.phase) if flown.phase else None
    brief = phase is not None and phase.duration is not None and phase.duration <= longest_brief()
    return _case(
        states,
        (flown.state, str(flown), ()),
        states.answer(flown.state),
        points.point(flown),
        partial(points.figured, flown, ()),
        brief,
    )


def _untried(states: States, points: OperatingPoints, crew: Crew) -> Iterator[SolvedCase]:
    if not states.design.functions or not states.critical_functions:
        return
    normal = states.answers()[0]
    used = dict.fromkeys(
        (bare(c.switch), at) for c in crew.changeovers for at in _feeding(states.design, c, normal.state)
    )
    declared = used and positions_in_flight(
        states.design, states.network, states.declared.values(), normal.state
    )
    for switch, at in (pair for pair in used if pair not in declared):
        along = next(ways_along(states.design, {**normal.state.switches, switch: at}, switch), None)
        if along is not None:
            moves = ((switch, at), *along)
            answer = circuit_protection.moved(states.design, states.network, normal, dict(moves))
            words = f"{states.operation.normal} with {' and '.join(f'{s} at {a}' for s, a in moves)}"
            figured = partial(points.solved_of, answer)
            yield _case(states, ("", words, moves), answer, figured(), figured, False)


def _feeding(design: Design, change: Changeover, normal: ResolvedState) -> Iterator[str]:
    """The positions of a change-over that feed what the normal one does: joining nothing, and with
    a channel without a source, it is off."""
    part, sources = design.parts[bare(change.switch)], dict(change.sources)
    home = sources.get(normal.switches.get(bare(change.switch), ""), ())
    for at, feeds in change.sources:
        joins = not isinstance(part, p.Switch) or part.positions[at]
        if joins or all(new for old, new in zip(home, feeds, strict=False) if old):
            yield at


def _case(
    states: States,
    named: tuple[str, str, tuple[tuple[str, str], ...]],
    answer: StateAnswer,
    point: OperatingPoint,
    figured: Callable[[Figures], OperatingPoint],
    brief: bool,
) -> SolvedCase:
    powered = frozenset(
        bare(c.element) for c in states.network.consumers if answer.healthy.powered[c.element]
    )
    taken = cache(lambda: circuit_protection.lost_by_opening(states.design, answer))
    consumers = {bare(c.element): c for c in states.network.consumers}
    feeding = cache(lambda load: feeding_devices(states.design, states.network, consumers[load], answer))
    short = {e: 0.0 for e, amps in point.taken.items() if amps and _is_intermittent(states, e)}
    return SolvedCase(
        *named,
        answer.state.engine == "cranking",
        brief,
        point,
        powered,
        taken,
        feeding,
        tuple(map(bare, short)),
        cache(lambda: figured(_figures(answer, short))),
    )


def _is_intermittent(states: States, load: str) -> bool:
    return states.design.part(bare(load), p.Consumer).duty == "intermittent"


def _figures(answer: StateAnswer, loads: Mapping[str, float]) -> Figures:
    """The figures of a state with some loads at currents of their own."""
    from reviewer.analysis.operating_point.points import Figures

    return Figures(loads=loads, speed=answer.state.speed)
