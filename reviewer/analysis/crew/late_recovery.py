"""Recoveries that connect a short to another feed, whose protectors may clear it in more than one
way.

A move that puts a short on a feed makes a protector there open. Where the ratings do not ensure
that those further upstream open later, they may open with it or instead of it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.late_outcomes import opens_later
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.crew.moves import ActionSequence, Aftermath, after_failures, continued, moved
from reviewer.model.design import Design
from reviewer.network.graph import Network


def holds_in_late_outcomes(
    design: Design,
    network: Network,
    answer: StateAnswer,
    case: Failure,
    sequence: ActionSequence,
    needed: Collection[str],
) -> bool:
    """Whether the functions ``needed`` work after some actions, whichever protector clears the
    short that the actions connect to another feed."""
    if not case.nodes:
        return True
    before = after_failures(network, answer.state, [case], answer.healthy)
    after = _replayed(design, network, answer, case, sequence)
    reset = {f"parts/{name}" for name, position in sequence.moves if position in ("in", "closed")}
    opened = _tripped(network, after)
    for nearest in sorted(opened - (_tripped(network, before) - reset)):
        for late in _late(design, network, answer, case, sequence, (nearest,), opened):
            solved = _replayed(design, network, answer, late, sequence).solved
            works: Mapping[str, int] = function_masks(design, solved.powered, 1)
            if not all(works[function] for function in needed):
                return False
    return True


def _late(
    design: Design,
    network: Network,
    answer: StateAnswer,
    case: Failure,
    sequence: ActionSequence,
    chain: tuple[str, ...],
    opened: Collection[str],
) -> Iterator[Failure]:
    """The short with each outcome in which a ``chain`` of protectors, the nearest and those behind
    it in series, does not open first after the actions."""
    passing = replace(case, passes=case.passes | set(chain))
    solved = _replayed(design, network, answer, passing, sequence)
    further = _tripped(network, solved) - set(opened)
    early = frozenset(e for e in further if not any(opens_later(design, e, passed) for passed in chain))
    if early:
        yield replace(case, opened=case.opened | early)
        if early == further:
            yield passing
    for one in sorted(further):
        yield from _late(design, network, answer, case, sequence, (*chain, one), {*opened, *further})


def _replayed(
    design: Design, network: Network, answer: StateAnswer, case: Failure, sequence: ActionSequence
) -> Aftermath:
    """What is left after a failure and some actions, one after another."""
    assert design.operation is not None
    now, state = after_failures(network, answer.state, [case], answer.healthy), answer.state
    for name in sequence.actions:
        state, moves = moved(design, state, design.operation.actions[name].move)
        now = continued(network, now, [case], [ActionSequence((name,), state, moves, moves)])
    return now


def _tripped(network: Network, now: Aftermath) -> set[str]:
    """The protectors that have opened in the only lane."""
    return {network.links[i].element for i, mask in now.tripped.items() if mask & 1}
