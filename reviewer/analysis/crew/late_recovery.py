"""Recoveries that connect a short to another feed, whose protectors may clear it in more than one
way.

A move that puts a short on a feed makes a protector there open. Where the ratings do not ensure
that those further upstream open later, they may open with it or instead of it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.late_outcomes import opens_later
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.scenarios import Case, failures_of, mask_of
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.crew.moves import ActionSequence, Aftermath, acted, after_failures, continued
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.network.graph import Network

NONE: frozenset[str] = frozenset()
#: a case by number, protectors in series that pass its short, and all that have opened
_Passed = tuple[int, tuple[str, ...], set[str]]


def works_in_late_outcomes(
    design: Design,
    network: Network,
    answer: StateAnswer,
    cases: Sequence[Case],
    sequence: ActionSequence,
    before: Mapping[int, int],
    after: Mapping[int, int],
    asked: int,
) -> Mapping[str, int]:
    """By function the cases, a bit each, in which it works after some actions whichever protector
    clears the short that the actions connect to another feed; those without such a short among them,
    and those that are not ``asked`` about.

    ``before`` and ``after`` are the protectors that have opened before and after the actions, by link.
    """
    doubtful = list(bits(asked & newly_opened(network, cases, before, after, sequence)))
    every = (1 << len(cases)) - 1
    always = dict.fromkeys(design.functions, every)
    if not doubtful:
        return always
    tried: list[_Passed] = [
        (number, (one,), opened)
        for number in doubtful
        for opened in [_tripped(network, after, number)]
        for one in sorted(opened - (_tripped(network, before, number) - _reset(sequence)), key=name_order)
    ]
    outcomes = list(_late_outcomes(design, network, answer, cases, sequence, tried))
    if not outcomes:
        return always
    solved = _replayed(design, network, answer, [late for _, late in outcomes], sequence).solved
    works = function_masks(design, solved.powered, (1 << len(outcomes)) - 1)
    for function, mask in works.items():
        lost = {number for lane, (number, _) in enumerate(outcomes) if not mask >> lane & 1}
        always[function] &= ~mask_of(lost, len(cases))
    return always


def newly_opened(
    network: Network,
    cases: Sequence[Case],
    before: Mapping[int, int],
    after: Mapping[int, int],
    sequence: ActionSequence,
) -> int:
    """The cases, a bit each, with a short after which some actions open a protector that had not opened,
    or that they reset: the others have no late outcomes.

    ``before`` and ``after`` are the protectors that have opened before and after the actions, by link.
    """
    reset = _reset(sequence)
    had: dict[str, int] = {}
    for i, mask in before.items():
        element = network.links[i].element
        had[element] = had.get(element, 0) | (0 if element in reset else mask)
    fresh = 0
    for i, mask in after.items():
        fresh |= mask & ~had.get(network.links[i].element, 0)
    return sum(1 << i for i in bits(fresh) if _shorts(cases[i]))


def _shorts(case: Case) -> bool:
    return any(f.nodes for f in failures_of(case))


def _reset(sequence: ActionSequence) -> set[str]:
    """The protectors that some actions close again."""
    return {f"parts/{name}" for name, position in sequence.moves if position in ("in", "closed")}


def _late_outcomes(
    design: Design,
    network: Network,
    answer: StateAnswer,
    cases: Sequence[Case],
    sequence: ActionSequence,
    tried: list[_Passed],
) -> Iterator[tuple[int, Case]]:
    """Each outcome in which a protector that opens after the actions, and those behind it in series,
    do not open first: the number of the case, and the case with that outcome.

    ``tried`` are such protectors: the number of the case, the protector, and all that have opened.
    """
    # the nearest passes the short, then the nearest and one behind it, and so on
    while tried:
        passing = [_cleared(cases[i], passes=frozenset(chain)) for i, chain, _ in tried]
        passed = _replayed(design, network, answer, passing, sequence)
        behind: list[_Passed] = []
        for lane, (i, chain, opened) in enumerate(tried):
            further = _tripped(network, passed.tripped, lane) - opened
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


def _tripped(network: Network, tripped: Mapping[int, int], lane: int) -> set[str]:
    """The protectors that have opened in a lane."""
    return {network.links[i].element for i, mask in tripped.items() if mask >> lane & 1}
