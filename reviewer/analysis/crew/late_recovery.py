"""Recoveries that connect a short to another feed, whose protectors may clear it in more than one
way.

A move that puts a short on a feed makes a protector there open. Where the ratings do not ensure
that those further upstream open later, they may open with it or instead of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.late_outcomes import opens_later
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.crew.moves import ActionSequence, Aftermath, acted, after_failures, continued
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.network.graph import Network

NONE: frozenset[str] = frozenset()


def holds_in_late_outcomes(
    design: Design,
    network: Network,
    answer: StateAnswer,
    cases: Sequence[Case],
    sequence: ActionSequence,
    needed: Mapping[str, int],
) -> int:
    """The cases, a bit each, in which the functions that they need work after some actions,
    whichever protector clears the short that the actions connect to another feed.

    ``needed[function]`` are the cases that need a function.
    """
    every = (1 << len(cases)) - 1
    shorts = [i for i, case in enumerate(cases) if any(f.nodes for f in failures_of(case))]
    outcomes = list(_late_outcomes(design, network, answer, [cases[i] for i in shorts], sequence))
    if not outcomes:
        return every
    solved = _replayed(design, network, answer, [late for _, late in outcomes], sequence).solved
    works = function_masks(design, solved.powered, (1 << len(outcomes)) - 1)
    lost = 0
    for lane, (number, _) in enumerate(outcomes):
        case = shorts[number]
        if any(mask >> case & 1 and not works[function] >> lane & 1 for function, mask in needed.items()):
            lost |= 1 << case
    return every & ~lost


def _late_outcomes(
    design: Design, network: Network, answer: StateAnswer, cases: Sequence[Case], sequence: ActionSequence
) -> Iterator[tuple[int, Case]]:
    """Each outcome in which a protector that opens after the actions, and those behind it in series,
    do not open first: the number of the case, and the case with that outcome."""
    if not cases:
        return
    reset = {f"parts/{name}" for name, position in sequence.moves if position in ("in", "closed")}
    before = after_failures(network, answer.state, cases, answer.healthy)
    after = _replayed(design, network, answer, cases, sequence)
    tried: list[tuple[int, tuple[str, ...], set[str]]] = []
    for i in range(len(cases)):
        opened = _tripped(network, after, i)
        fresh = opened - (_tripped(network, before, i) - reset)
        tried += [(i, (one,), opened) for one in sorted(fresh, key=name_order)]
    # the nearest passes the short, then the nearest and one behind it, and so on
    while tried:
        passing = [_cleared(cases[i], passes=frozenset(chain)) for i, chain, _ in tried]
        passed = _replayed(design, network, answer, passing, sequence)
        behind: list[tuple[int, tuple[str, ...], set[str]]] = []
        for lane, (i, chain, opened) in enumerate(tried):
            further = _tripped(network, passed, lane) - opened
            early = frozenset(e for e in further if not any(opens_later(design, e, one) for one in chain))
            if early:
                yield i, _cleared(cases[i], opened=early)
                if early == further:
                    yield i, passing[lane]
            behind += [(i, (*chain, one), opened | further) for one in sorted(further, key=name_order)]
        tried = behind


def _cleared(case: Case, passes: frozenset[str] = NONE, opened: frozenset[str] = NONE) -> Case:
    """A case whose shorts, those of stuck contacts too, pass some more protectors, or open them."""
    return tuple(
        replace(f, passes=f.passes | passes, opened=f.opened | opened) if f.nodes else f
        for f in failures_of(case)
    )


def _replayed(
    design: Design, network: Network, answer: StateAnswer, cases: Sequence[Case], sequence: ActionSequence
) -> Aftermath:
    """What is left after each case and some actions, one after another."""
    now, state = after_failures(network, answer.state, cases, answer.healthy), answer.state
    for name in sequence.actions:
        state, moves = acted(design, state, name)
        now = continued(network, now, cases, [ActionSequence((name,), state, moves, moves)])
    return now


def _tripped(network: Network, now: Aftermath, lane: int) -> set[str]:
    """The protectors that have opened in a lane."""
    return {network.links[i].element for i, mask in now.tripped.items() if mask >> lane & 1}
