"""Single moves by hand as if the file declared each of them as an action: a switch to a position that
it keeps, a unit switched on, and, where they are asked for, breakers pulled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.crew.moves import single_moves
from reviewer.model import parts as p
from reviewer.model.design import Action, Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState


@record
class HandMoves:
    """A ``design`` whose actions are those of the file and single moves; ``moves`` has the latter by
    the name that they have there, as (switch, breaker or unit, position)."""

    design: Design
    moves: Mapping[str, tuple[str, str]]


def hand_moves(design: Design, state: ResolvedState, pulled: bool = False) -> HandMoves:
    """A design with the single moves from a state: of switches, and of units that are off to on;
    with ``pulled`` also of the breakers that say that they are in reach, pulled and reset."""
    assert design.operation is not None
    found: dict[str, tuple[str, str]] = {}
    for moves, unknown in single_moves(design, state).items():
        if len(moves) != 1 or unknown or (moves[0][1] == "pulled" and not pulled):
            continue
        (name, at) = moves[0]
        if at == "pulled" or isinstance(design.parts[name], (p.Switch, p.BreakerSwitch)):
            found[f"{name} to {at}"] = name, at
    if pulled:
        resets = design.of_kind((p.Breaker, p.BreakerSwitch))
        found |= {f"{n} to in": (n, "in") for n in resets if design.parts[n].accessible == "in-flight"}
    for name in design.parts:
        if isinstance(design.parts[name], p.Consumer) and state.is_off(name):
            found[f"{name} to on"] = name, "on"
    own = {words: Action(move={name: at}) for words, (name, at) in found.items()}
    every = MappingProxyType({**design.operation.actions, **own})
    operation = design.operation.model_copy(update={"actions": every})
    return HandMoves(replace(design, operation=operation), MappingProxyType(found))
