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
#: lanes that are solved at once: sequences times cases with their late outcomes
_AT_ONCE = 16_384
#: a lane, protectors in series that pass its short, and all that have opened
_Passed = tuple[int, tuple[str, ...], set[str]]
#: the number of a sequence, and a case before it
_Asked = tuple[int, Case]


def works_in_late_outcomes(
    design: Design,
    network: Network,
    answer: StateAnswer,
    cases: Sequence[Case],
    sequences: Sequence[ActionSequence],
    before: Mapping[int, int],
    after: Mapping[int, int],
    asked: int,
) -> Mapping[str, int]:
    """By function the lanes in which it works after some actions whichever protector clears the short
    that the actions connect to another feed; those without such a short among them, and those that are
    not ``asked`` about. A lane each for a sequence and a case, in blocks of the cases; the sequences are
    of one length.

    ``before`` and ``after`` are the protectors that have opened before the actions, by link in a block of
    the cases, and after them, in all lanes.
    """
    width = len(cases)
    every = (1 << width) - 1
    tried: list[_Passed] = []
    for number, sequence in enumerate(sequences):
        if not (mine := asked >> number * width & every):
            continue
        then = {i: mask >> number * width & every for i, mask in after.items()}
        for case in bits(mine & newly_opened(network, cases, before, then, sequence)):
            opened = _tripped(network, then, case)
            fresh = opened - (_tripped(network, before, case) - _reset(sequence))
            tried += [(number * width + case, (one,), opened) for one in sorted(fresh, key=name_order)]
    size = len(sequences) * width
    lost: dict[str, set[int]] = {function: set() for function in design.functions}
    outcomes = list(_late_outcomes(design, network, answer, cases, sequences, tried))
    asked_of = [(lane // width, late) for lane, late in outcomes]
    for now, lanes in _replayed(design, network, answer, asked_of, sequences):
        works = function_masks(design, now.solved.powered, (1 << now.solved.width) - 1)
        for function, mask in works.items():
            lost[function] |= {outcomes[place][0] for place, lane in lanes if not mask >> lane & 1}
    return {function: (1 << size) - 1 & ~mask_of(lanes, size) for function, lanes in lost.items()}


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
    sequences: Sequence[ActionSequence],
    tried: list[_Passed],
) -> Iterator[tuple[int, Case]]:
    """Each outcome in which a protector that opens after the actions, and those behind it in series,
    do not open first: the lane, and its case with that outcome.

    ``tried`` are such protectors: the lane, the protector, and all that have opened.
    """
    made: dict[tuple[int, frozenset[str], frozenset[str]], Case] = {}

    def cleared(lane: int, passes: frozenset[str] = NONE, opened: frozenset[str] = NONE) -> Case:
        key = lane % len(cases), passes, opened
        if key not in made:  # one object for each, by which it is known
            made[key] = _cleared(cases[key[0]], passes, opened)
        return made[key]

    # the nearest passes the short, then the nearest and one behind it, and so on
    while tried:
        passing = [(lane // len(cases), cleared(lane, passes=frozenset(chain))) for lane, chain, _ in tried]
        behind: list[_Passed] = []
        for passed, lanes in _replayed(design, network, answer, passing, sequences):
            for place, lane in lanes:
                own, chain, opened = tried[place]
                further = _tripped(network, passed.tripped, lane) - opened
                early = frozenset(e for e in further if not any(opens_later(design, e, o) for o in chain))
                if early:
                    yield own, cleared(own, opened=early)
                    if early == further:
                        yield own, passing[place][1]
                behind += [(own, (*chain, one), opened | further) for one in sorted(further, key=name_order)]
        tried = behind


def _cleared(case: Case, passes: frozenset[str], opened: frozenset[str]) -> Case:
    """A case whose shorts, those of stuck contacts too, pass some more protectors, or open them."""
    return tuple(
        replace(f, passes=f.passes | passes, opened=f.opened | opened) if f.nodes else f
        for f in failures_of(case)
    )


def _replayed(
    design: Design,
    network: Network,
    answer: StateAnswer,
    asked: Sequence[_Asked],
    sequences: Sequence[ActionSequence],
) -> Iterator[tuple[Aftermath, list[tuple[int, int]]]]:
    """What is left after some cases and the actions of their sequences, one after another: many solved at
    once, with the places in ``asked`` that are among them and the lane of each."""
    for places in _at_once(asked):
        own = {id(case): case for case in (asked[place][1] for place in places)}
        cases = list(own.values())
        numbers = list(dict.fromkeys(asked[place][0] for place in places))
        now = after_failures(network, answer.state, cases, answer.healthy)
        states = [answer.state] * len(numbers)
        for step in range(len(sequences[numbers[0]].actions)):
            courses = []
            for block, number in enumerate(numbers):
                name = sequences[number].actions[step]
                states[block], moves = acted(design, states[block], name)
                courses.append(ActionSequence((name,), states[block], moves, moves, block if step else 0))
            now = continued(network, now, cases, courses)
        block_of = {number: block for block, number in enumerate(numbers)}
        lane_of = {case: lane for lane, case in enumerate(own)}
        yield (
            now,
            [(p, block_of[asked[p][0]] * len(cases) + lane_of[id(asked[p][1])]) for p in places],
        )


def _at_once(asked: Sequence[_Asked]) -> Iterator[list[int]]:
    """The places of what is asked, in groups whose sequences times cases are not too many lanes."""
    group: list[int] = []
    numbers: set[int] = set()
    cases: set[int] = set()
    for place, (number, case) in enumerate(asked):
        many = (len(numbers) + (number not in numbers)) * (len(cases) + (id(case) not in cases))
        if group and many > _AT_ONCE:
            yield group
            group, numbers, cases = [], set(), set()
        group.append(place)
        numbers.add(number)
        cases.add(id(case))
    if group:
        yield group


def _tripped(network: Network, tripped: Mapping[int, int], lane: int) -> set[str]:
    """The protectors that have opened in a lane."""
    return {network.links[i].element for i, mask in tripped.items() if mask >> lane & 1}
