"""Stall warnings that stay silent in a state of flight, as their supply hangs on something else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.fixed_point import conduct_states
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import bare


@record
class SilentWarning:
    """``loads`` (names) that a stall switch turns on in another state, none of which has power in
    ``state`` at any position of it; each of the ``moves`` (switch, its position in the state) gives
    one its power back when that switch alone is moved."""

    loads: tuple[str, ...]
    state: str
    moves: tuple[tuple[str, str], ...]


def silent_warning(
    answers: Sequence[StateAnswer], flown: Sequence[StateAnswer], switch: str
) -> SilentWarning | None:
    """The first of the states ``flown``, in the order of ``answers``, in which a stall switch (a name)
    can warn of nothing; None where it warns in each. What it turns on is sought in all ``answers``;
    a lamp counts only where it turns on nothing else."""
    network, design = answers[0].network, answers[0].design
    part = design.part(switch, p.Switch)
    each = len(part.positions)
    moved = [_at(a.state, switch, at) for a in answers for at in part.positions]
    powered = conduct_states(network, moved).powered
    warns = [
        c.element
        for c in network.consumers
        if any(0 < _on(powered[c.element], i, each) < each for i in range(len(answers)))
    ]
    warns = [e for e in warns if getattr(design.parts[bare(e)], "type", None) != "lamp"] or warns
    flying = {a.state.name for a in flown}
    for i, answer in enumerate(answers):
        if warns and answer.state.name in flying and not any(_on(powered[e], i, each) for e in warns):
            moves = dict.fromkeys(move for e in warns for move in _moves(answer, switch, e))
            return SilentWarning(tuple(map(bare, warns)), answer.state.name, tuple(moves))
    return None


def _on(mask: int, index: int, each: int) -> int:
    """The number of positions, of ``each`` in turn, in which a state has something on."""
    return (mask >> index * each & (1 << each) - 1).bit_count()


def _moves(answer: StateAnswer, switch: str, element: str) -> Iterator[tuple[str, str]]:
    """The switches that give a load its power when one alone is moved, with where they stand."""
    design, state = answer.design, answer.state
    tried: list[tuple[str, ResolvedState]] = []
    for name in design.settable:
        other = design.parts[name]
        for to in other.positions if isinstance(other, p.Switch) else ("closed",):
            if name != switch and state.switches.get(name) != to:
                changed = _at(state, name, to)
                stalled = design.part(switch, p.Switch).positions
                tried += [(name, _at(changed, switch, at)) for at in stalled]
    if tried:
        on = conduct_states(answer.network, [s for _, s in tried]).powered[element]
        for name in dict.fromkeys(tried[lane][0] for lane in bits(on)):
            yield name, state.switches.get(name, "open")


def _at(state: ResolvedState, switch: str, position: str) -> ResolvedState:
    return replace(state, switches={**state.switches, switch: position})
