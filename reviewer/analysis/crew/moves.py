"""Moves of the crew: the state that switches and breakers lead to, and what remains in it of what happened before.

A protector that a failure opened stays open unless it is put in, a source that was shorted stays lost, relays and alternators start as the failure
left them, and a short is still there: what the moves connect to it goes dead as well. A part that has failed open is not mended by a move.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction, carriers, conduct, conduct_onward
from reviewer.analysis.conduction.masks import joined, pick
from reviewer.analysis.conduction.scenarios import Case, Lanes, lanes_of_cases, lanes_of_moves
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, bare


@record
class Aftermath:
    """Some lanes solved, and what remains of what happened in them: protectors that have opened (by link), sources that are gone."""

    solved: Conduction
    tripped: Mapping[int, int]
    lost: Mapping[str, int]


@record
class Course:
    """Actions in a row, the state that they lead to, all moves and those of the last action, and which of the courses one action shorter it goes on from."""

    actions: tuple[str, ...]
    state: ResolvedState
    moves: tuple[tuple[str, str], ...] = ()
    last: tuple[tuple[str, str], ...] = ()
    parent: int = 0


def longer(design: Design, one: Course, place: int) -> list[Course]:
    """A course with each action added that changes something and leads to no excluded combination."""
    found = []
    operation = design.operation
    assert operation is not None
    for name, action in operation.actions.items():
        if name in one.actions:
            continue
        state, moves = moved(design, one.state, action.move)
        if moves and not excluded(design, state):
            found.append(Course((*one.actions, name), state, (*one.moves, *moves), moves, place))
    return found


def moved(
    design: Design, state: ResolvedState, move: Mapping[str, str]
) -> tuple[ResolvedState, tuple[tuple[str, str], ...]]:
    """A state after some moves, and those moves that change something; putting in a protector always may."""
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
            switches[name] = "on"
            done.append((name, position))
        elif switches.get(name) != position or isinstance(design.parts[name], p.BreakerSwitch):
            switches[name] = position
            done.append((name, position))
    return replace(state, switches=MappingProxyType(switches), pulled=tuple(pulled)), tuple(done)


def excluded(design: Design, state: ResolvedState) -> bool:
    """Whether something prevents that the switches stand so."""
    rules = design.operation.excluded if design.operation else ()
    return any(all(state.switches.get(n) == at for n, at in rule.switches.items()) for rule in rules)


def start_of(network: Network, state: ResolvedState, cases: Sequence[Case], healthy: Conduction) -> Aftermath:
    """A state under some cases, a lane each, with the protectors that have opened and the sources that are lost."""
    solved = conduct(network, state, cases, healthy)
    return _aftermath(network, lanes_of_cases(network, state, cases), solved, {}, {})


def go_on(network: Network, now: Aftermath, cases: Sequence[Case], courses: Sequence[Course]) -> Aftermath:
    """The lanes of ``now`` (a block of the cases for each parent) after the last moves of each course: a block of the cases for each."""
    width = len(cases)
    whole = (1 << width) - 1

    def spread(mask: int) -> int:
        return joined([mask >> c.parent * width & whole for c in courses], width) if mask else 0

    tripped = {}
    for i, mask in now.tripped.items():
        name = bare(network.links[i].element)
        put_in = sum(
            whole << k * width
            for k, c in enumerate(courses)
            if (name, "in") in c.last or (name, "on") in c.last
        )
        tripped[i] = spread(mask) & ~put_in
    lost = {element: spread(mask) for element, mask in now.lost.items()}
    lanes = lanes_of_moves(network, [c.state for c in courses], cases, tripped, lost)
    energised = {element: spread(mask) for element, mask in now.solved.energised.items()}
    alive = {element: spread(mask) for element, mask in now.solved.alive.items()}
    return _aftermath(network, lanes, conduct_onward(network, lanes, energised, alive), tripped, lost)


def _aftermath(
    network: Network, lanes: Lanes, solved: Conduction, tripped: Mapping[int, int], lost: Mapping[str, int]
) -> Aftermath:
    opened = dict(tripped)
    for i, carried in carriers(network, solved):
        if carried & lanes.forward[i]:
            opened[i] = opened.get(i, 0) | carried & lanes.forward[i]
    gone = dict(lost)
    for source in network.sources:
        if solved.zone[source.positive]:
            gone[source.element] = gone.get(source.element, 0) | solved.zone[source.positive]
    return Aftermath(solved, MappingProxyType(opened), MappingProxyType(gone))


def only(now: Aftermath, blocks: int, width: int, left: list[int]) -> Aftermath:
    """The same with only the cases ``left`` in each block. Only what :func:`go_on` needs is kept."""
    lanes = [k * width + j for k in range(blocks) for j in left]
    cut = lambda table: MappingProxyType({key: pick(mask, lanes) for key, mask in table.items()})  # noqa: E731
    solved = replace(
        now.solved, width=len(lanes), energised=cut(now.solved.energised), alive=cut(now.solved.alive)
    )
    return Aftermath(solved, cut(now.tripped), cut(now.lost))
