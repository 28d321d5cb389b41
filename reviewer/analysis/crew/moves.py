"""Moves of the crew: the state that switches and breakers lead to, and what earlier events left in
it.

A protector that a failure opened stays open unless it is reset, a source that was shorted stays
lost, relays and alternators start as the failure left them, and a short is still there: what the
moves connect to it loses its voltage as well. No move repairs a part that has failed open.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType
from typing import Any, TypeVar

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, carriers, conduct, conduct_from, link_masks
from reviewer.analysis.conduction.masks import joined, pick_each
from reviewer.analysis.conduction.scenarios import (
    Case,
    Lanes,
    failures_of,
    lanes_of_cases,
    lanes_of_moves,
)
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.switch_combinations import positions_of
from reviewer.analysis.conduction.too_low import less
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, bare

_Key = TypeVar("_Key")
NONE_DROPPED: Mapping[str, int] = MappingProxyType({})


@record
class Aftermath:
    """Some lanes solved, the protectors that have opened (by link), the sources lost."""

    solved: Conduction
    tripped: Mapping[int, int]
    lost: Mapping[str, int]
    #: what the lanes are; None where some were left out since
    lanes: Lanes | None = None


@record
class Begun:
    """All single failures of a state, solved before any move: the lane of each, what is after them, and
    the lanes in which each load works, or some moves might make it work."""

    lane_of: Mapping[Failure, int]
    now: Aftermath
    powered: Mapping[str, int]
    may_work: Mapping[str, int]
    #: what searches among the same failures share: sequences, and what comes of them
    tried: dict[Hashable, Any]


@record
class ActionSequence:
    """Actions in sequence and the ``state`` that they lead to.

    ``moves`` are all moves, ``last`` those of the last action; ``parent`` is the number of the
    sequence that this one extends by its last action.
    """

    actions: tuple[str, ...]
    state: ResolvedState
    moves: tuple[tuple[str, str], ...] = ()
    last: tuple[tuple[str, str], ...] = ()
    parent: int = 0


def longer(design: Design, one: ActionSequence, place: int) -> list[ActionSequence]:
    """A sequence extended by each action that changes something in flight and leads to no excluded
    combination.

    ``place`` is the number of the sequence. What the crew cannot reach stays as it is.
    """
    extended = []
    operation = design.operation
    assert operation is not None
    for name in operation.actions:
        if name in one.actions:
            continue
        state, moves = acted(design, one.state, name)
        if moves and not excluded(design, state):
            extended.append(ActionSequence((*one.actions, name), state, (*one.moves, *moves), moves, place))
    return extended


def acted(
    design: Design, state: ResolvedState, action: str
) -> tuple[ResolvedState, tuple[tuple[str, str], ...]]:
    """:func:`moved` by a declared action, what the crew cannot reach left as it is."""
    assert design.operation is not None
    return moved(design, state, within_reach(design, design.operation.actions[action].move))


def moved(
    design: Design, state: ResolvedState, move: Mapping[str, str]
) -> tuple[ResolvedState, tuple[tuple[str, str], ...]]:
    """A state after some moves, and those that change something; a reset always may."""
    switches, pulled, done = dict(state.switches), list(state.pulled), []
    for name, position in move.items():
        if position == "pulled":
            if name not in pulled:
                pulled.append(name)
                done.append((name, position))
        elif position == "in" and name not in switches:
            pulled = [n for n in pulled if n != name]
            done.append((name, position))
        elif position == "in":
            pulled = [n for n in pulled if n != name]
            switches[name] = "closed"
            done.append((name, position))
        elif isinstance(part := design.parts[name], p.BreakerSwitch) or position != switches.get(
            name, "on" if isinstance(part, p.Consumer) else ""
        ):
            switches[name] = position
            done.append((name, position))
    return replace(state, switches=MappingProxyType(switches), pulled=tuple(pulled)), tuple(done)


def single_moves(design: Design, state: ResolvedState) -> dict[tuple[tuple[str, str], ...], str]:
    """Every switch moved by itself to a position that it keeps, every breaker pulled and every
    declared action, as moves; with each the breakers, in words, that do not say whether they are
    in reach, or ""."""
    found: dict[tuple[tuple[str, str], ...], str] = {}
    for name, part in design.parts.items():
        if isinstance(part, (p.Switch, p.BreakerSwitch)) and design.by_hand(name):
            for at in positions_of(design, name):
                if state.switches.get(name) not in (None, at) and at not in getattr(part, "momentary", ()):
                    found[((name, at),)] = ""
        elif isinstance(part, p.Breaker) and part.accessible != "on-ground":
            found[((name, "pulled"),)] = "" if part.accessible else name
    for action in design.operation.actions.values() if design.operation else ():
        moves = within_reach(design, action.move)
        unknown = [
            n for n in moves if isinstance(design.parts[n], p.Breaker) and not design.parts[n].accessible
        ]
        found.setdefault(tuple(moves.items()), ", ".join(unknown))
    return found


def out_of_reach(design: Design, move: Mapping[str, str]) -> tuple[str, ...]:
    """The protectors of some moves that are accessible on the ground only."""
    return tuple(
        name
        for name in move
        if isinstance(part := design.parts[name], p.Protector) and part.accessible == "on-ground"
    )


def within_reach(design: Design, move: Mapping[str, str]) -> dict[str, str]:
    """Some moves without those of protectors that are accessible on the ground only."""
    away = out_of_reach(design, move)
    return {name: position for name, position in move.items() if name not in away}


def excluded(design: Design, state: ResolvedState) -> bool:
    """Whether the switches of a state are in a combination that is declared impossible."""
    return is_excluded(design, state.switches)


def positions_in_flight(
    design: Design, network: Network, states: Iterable[ResolvedState], normal: ResolvedState
) -> frozenset[tuple[str, str]]:
    """The (switch, position) that states of flight, abnormal ones and the normal one set.

    One that ground states alone set is not among them: the loads of a check are not those of
    flight. Among them is one without which no starter runs in a state that cranks the engine: the
    start is judged there.
    """
    states = tuple(states)
    flown = {
        pair for s in (normal, *states) if s.use != "ground" or s is normal for pair in s.switches.items()
    }
    starters = [f"parts/{n}" for n in design.starters]

    def runs(state: ResolvedState) -> bool:
        powered = conduct(network, state).powered
        return any(powered[starter] for starter in starters)

    for state in states:
        if state.engine == "cranking" and state.use == "ground" and runs(state):
            for switch, at in state.switches.items() - flown:
                back = {**state.switches, switch: normal.switches.get(switch, "")}
                if not runs(replace(state, switches=MappingProxyType(back))):
                    flown.add((switch, at))
    return frozenset(flown)


def after_failures(
    network: Network,
    state: ResolvedState,
    cases: Sequence[Case],
    healthy: Conduction,
    solved: Conduction | None = None,
) -> Aftermath:
    """A state under some cases, a lane each; ``solved`` are these lanes, if they were solved before."""
    if solved is None:
        solved = conduct(network, state, cases, healthy)
    lanes = lanes_of_cases(network, state, cases)
    energised = {element: lanes.every if mask & 1 else 0 for element, mask in healthy.energised.items()}
    return _aftermath(network, lanes, solved, energised, {}, {})


def continued(
    network: Network,
    now: Aftermath,
    cases: Sequence[Case],
    courses: Sequence[ActionSequence],
    dropped: Mapping[str, int] = NONE_DROPPED,
) -> Aftermath:
    """What comes of the last moves of each sequence.

    ``now`` has a block of the cases for each parent, the answer a block of the cases for each
    sequence; by relay the lanes of these in which it has ``dropped`` out with too few volts at its coil.
    """
    width = len(cases)
    block = (1 << width) - 1

    def of_parents(mask: int) -> int:
        return joined([mask >> c.parent * width & block for c in courses], width) if mask else 0

    reset: dict[str, int] = {}
    for k, course in enumerate(courses):
        for name, at in course.last:
            if at in ("in", "closed"):
                reset[name] = reset.get(name, 0) | block << k * width
    tripped = {
        i: of_parents(mask) & ~reset.get(bare(network.links[i].element), 0) for i, mask in now.tripped.items()
    }
    lost = {element: of_parents(mask) for element, mask in now.lost.items()}
    lanes = lanes_of_moves(network, [c.state for c in courses], cases, tripped, lost)
    if dropped:
        more = {relay: mask | lanes.dropped.get(relay, 0) for relay, mask in dropped.items()}
        lanes = replace(lanes, dropped={**lanes.dropped, **more})
    energised = {element: of_parents(mask) for element, mask in now.solved.energised.items()}
    alive = {element: of_parents(mask) for element, mask in now.solved.alive.items()}
    solved = conduct_from(network, lanes, energised, alive)
    if dropped:
        solved = replace(solved, energised=less(solved.energised, dropped))
    return _aftermath(network, lanes, solved, energised, tripped, lost)


def _aftermath(
    network: Network,
    lanes: Lanes,
    solved: Conduction,
    energised: Mapping[str, int],
    tripped: Mapping[int, int],
    lost: Mapping[str, int],
) -> Aftermath:
    """What was solved, with the protectors and sources that it adds to those lost before.

    A protector that the unit around it has open both before (``energised``) and after carries
    nothing, and does not open.
    """
    opened = dict(tripped)
    before, _ = link_masks(lanes, energised)
    after, _ = link_masks(lanes, solved.energised)
    for i, carried in carriers(network, solved):
        if mask := carried & (before[i] | after[i]):
            opened[i] = opened.get(i, 0) | mask
    gone = dict(lost)
    for source in network.sources:
        if solved.zone[source.positive]:
            gone[source.element] = gone.get(source.element, 0) | solved.zone[source.positive]
    return Aftermath(solved, MappingProxyType(opened), MappingProxyType(gone), lanes)


def low_after_moves(
    answer: StateAnswer,
    now: Aftermath,
    states: Sequence[ResolvedState],
    cases: Sequence[Case],
    asked: int,
    coils: bool = False,
    minor: bool = False,
) -> Mapping[str, int]:
    """By load (element), those of the lanes ``asked`` in which it has power and less than its minimum
    voltage, or with ``coils`` by relay those in which it drops out; ``now`` has a block of the cases for
    each of ``states``. With ``minor`` functions of each class are asked for."""
    network, too_low = answer.network, answer.too_low
    if too_low is None or now.lanes is None:
        return {}

    def lane_of(lane: int) -> tuple[ResolvedState, tuple[Failure, ...]]:
        number, case = divmod(lane, len(cases))
        state = states[number]
        tripped = (bare(network.links[i].element) for i, mask in now.tripped.items() if mask >> lane & 1)
        lost = (Failure(e, OPEN) for e, mask in now.lost.items() if mask >> lane & 1)
        pulled = tuple(dict.fromkeys((*state.pulled, *tripped)))
        return replace(state, pulled=pulled), (*failures_of(cases[case]), *lost)

    return too_low(answer, now.lanes, now.solved, lane_of, asked, coils=coils, minor=minor)


def only(now: Aftermath, blocks: int, width: int, left: list[int]) -> Aftermath:
    """The same with only the cases ``left`` in each block.

    Only what :func:`continued` needs is kept.
    """
    lanes = [k * width + j for k in range(blocks) for j in left]
    solved = replace(
        now.solved,
        width=len(lanes),
        energised=_picked(now.solved.energised, lanes),
        alive=_picked(now.solved.alive, lanes),
    )
    return Aftermath(solved, _picked(now.tripped, lanes), _picked(now.lost, lanes))


def some(now: Aftermath, lanes: Sequence[int]) -> Aftermath:
    """Some lanes by themselves, in their order."""
    return Aftermath(now.solved.some(lanes), _picked(now.tripped, lanes), _picked(now.lost, lanes))


def _picked(masks: Mapping[_Key, int], lanes: Sequence[int]) -> Mapping[_Key, int]:
    """The masks of some lanes only."""
    return MappingProxyType(pick_each(masks, lanes))
