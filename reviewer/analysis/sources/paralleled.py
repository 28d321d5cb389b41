"""Two alternators: whether those that share the load both give current, and whether one that stands
by waits and takes over."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer, powers
from reviewer.analysis.crew.moves import acted, excluded
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState

#: what reads 0 A with one decimal: an alternator that gives less gives nothing
NOTHING_A = 0.05


@record
class Uneven:
    """What an alternator gives while ``other`` gives ``others``, A."""

    flown: Flown
    amperes: float
    other: str
    others: float


def idle_beside(operating: OperatingPoints, name: str) -> Uneven | None:
    """Where an alternator that shares the load gives nothing while another one with which it shares gives
    current. Raises NotAssessable with what is missing."""
    for found in _beside(operating, name, operating.design.parts[name].shares_with):
        if found.amperes < NOTHING_A <= found.others:
            return found
    return None


def carries_beside(operating: OperatingPoints, name: str) -> Uneven | None:
    """Where an alternator that stands by gives current while one that it stands by for is on line and
    gives less than it can. Raises NotAssessable with what is missing."""
    parts = operating.design.parts
    for found in _beside(operating, name, parts[name].standby_for):
        most = parts[found.other].most
        if found.amperes >= NOTHING_A and (most is None or found.others < most - NOTHING_A):
            return found
    return None


def waits(operating: OperatingPoints, name: str) -> bool:
    """Whether an alternator gives nothing in any flight state in which one that it stands by for is on
    line with it; not where there is no such state. Raises NotAssessable with what is missing."""
    beside = tuple(_beside(operating, name, operating.design.parts[name].standby_for))
    return bool(beside) and all(found.amperes < NOTHING_A for found in beside)


def _beside(operating: OperatingPoints, name: str, others: tuple[str, ...]) -> Iterator[Uneven]:
    """An alternator beside each of some others that is on line with it, in the flight states."""
    states = operating.states
    for flown in operating.flown_in(a.state.name for a in states.flight_answers()):
        answer = states.answer(flown.state)
        on_line = [n for n in others if answer.healthy.alive[f"parts/{n}"]]
        if not on_line or not answer.healthy.alive[f"parts/{name}"] or answer.state.engine != "running":
            continue
        given = operating.point(flown).given
        for other in on_line:
            yield Uneven(flown, given[f"parts/{name}"], other, given[f"parts/{other}"])


def never_takes_over(operating: OperatingPoints, name: str) -> str | None:
    """The normal state where an alternator that stands by powers nothing once all those are lost that it
    stands by for, at once or after a declared action; None where it takes over."""
    design, states, element = operating.design, operating.states, f"parts/{name}"
    answer = states.answer(states.operation.normal)
    case = tuple(Failure(f"parts/{other}", OPEN) for other in design.parts[name].standby_for)
    lost = conduct(operating.network, answer.state, (case,), answer.healthy)
    if powers(design, operating.network, lost, element):
        return None
    for state in _acted(operating, answer):
        moved = conduct(operating.network, state, (case,), lost)
        if powers(design, operating.network, moved, element):
            return None
    return answer.state.name


def shed_with(operating: OperatingPoints, name: str) -> str | None:
    """The action of the shed plan after which an alternator that stands by powers nothing, with those
    lost that it stands by for; None where it powers something until then, and after all of them."""
    design, states, element = operating.design, operating.states, f"parts/{name}"
    answer = states.answer(states.operation.normal)
    case = tuple(Failure(f"parts/{other}", OPEN) for other in design.parts[name].standby_for)
    before = conduct(operating.network, answer.state, (case,), answer.healthy)
    state, powered = answer.state, bool(powers(design, operating.network, before, element))
    for action in states.operation.load_shedding:
        state, _ = acted(design, state, action)
        before = conduct(operating.network, state, (case,), before)
        was, powered = powered, bool(powers(design, operating.network, before, element))
        if was and not powered:
            return action
    return None


def _acted(operating: OperatingPoints, answer: StateAnswer) -> Iterator[ResolvedState]:
    for action in operating.states.operation.actions:
        state, moves = acted(operating.design, answer.state, action)
        if moves and not excluded(operating.design, state):
            yield state
