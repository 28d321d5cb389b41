"""What is left after a failure and some crew actions, against the plain evaluator: one move after another, by names and sets.

The plain evaluator knows failures and states; what a move leaves of the failure is told here once more: protectors that carried the short are pulled
until they are put in, a source that was shorted gives nothing for good, relays and alternators start as they were, the short stays.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random

import pytest

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.crew.left_ways import may_work
from reviewer.analysis.crew.moves import ActionSequence, Aftermath, after_failures, continued, moved
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState, resolved
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from reviewer.reading import read_text
from tests.oracle.circuit import Circuit, Way, circuit_of
from tests.oracle.engine import differences, failures_of
from tests.oracle.generator import awkward, random_cases, random_states
from tests.oracle.plain import OPEN, SHORT, STAYS, Answer, Fault, solve

DESIGNS, CASES, MOVES = 80, 25, 4
BASE = Path(__file__).parents[2] / "rules" / "bases" / "bench.yaml"


@dataclass(frozen=True)
class Left:
    """A plain answer, and what remains of what has happened: protectors that have opened, sources that are gone (elements)."""

    answer: Answer
    opened: frozenset[str]
    gone: frozenset[str]


def left(
    circuit: Circuit,
    state: ResolvedState,
    case: tuple[Fault, ...],
    answer: Answer,
    start: Answer,
    before: Left | None = None,
) -> Left:
    """What remains after an answer in a state, which began as at ``start``.

    A protector that its unit, or an input of it, has open at the start and after carries nothing.
    """
    opened = set(before.opened) if before else set()
    broken = {f.element for f in case if f.mode == OPEN} - {f.element for f in case if f.mode == SHORT}
    stays = {f.element: f.position for f in case if f.mode == STAYS}
    for way in circuit.ways:
        name = bare(way.element)
        if way.when != "protector" or name in state.pulled or way.element in broken:
            continue
        if way.positions and stays.get(way.element, state.switches[name]) not in way.positions:
            continue
        if not (unit_closes(way, start) or unit_closes(way, answer)):
            continue
        for dead, other in ((way.one, way.other), (way.other, way.one)):
            if (
                dead in answer.dead
                and other not in answer.dead
                and any(other in nodes for nodes in answer.fed.values())
            ):
                opened.add(way.element)
    gone = {s.element for s in circuit.sources if s.positive in answer.dead}
    return Left(answer, frozenset(opened), frozenset(gone) | (before.gone if before else frozenset()))


def unit_closes(way: Way, answer: Answer) -> bool:
    """Whether the unit that a protector is inside lets it conduct, if it has a say in that."""
    powered = not way.unit or answer.energised[way.unit]
    return powered and (not way.by_input or answer.energised[way.element])


def move_on(
    circuit: Circuit,
    state: ResolvedState,
    moves: tuple[tuple[str, str], ...],
    case: tuple[Fault, ...],
    now: Left,
) -> Left:
    """One case after some moves that lead to a state."""
    put_in = {f"parts/{name}" for name, position in moves if position in ("in", "closed")}
    now = replace(now, opened=now.opened - put_in)
    stands = replace(state, pulled=(*state.pulled, *map(bare, now.opened)))
    # a short has no element here: what is both open and shorted would count as shorted only
    lost = [Fault(element, OPEN) for element in now.gone]
    whole = now.gone - {f.element for f in case if f.mode == OPEN}
    case = tuple(
        replace(fault, element="") if fault.mode == SHORT and fault.element in now.gone else fault
        for fault in case
    )
    answer = solve(apart(circuit, whole), stands, (*case, *lost), now.answer)
    return left(circuit, stands, case, answer, now.answer, now)


def apart(circuit: Circuit, gone: frozenset[str]) -> Circuit:
    """A circuit in which the mountings and pins of sources that are gone are no part of them: they conduct on."""
    if not gone:
        return circuit
    ways = (
        replace(way, element="") if way.element in gone and way.when != "dark" else way
        for way in circuit.ways
    )
    return replace(circuit, ways=tuple(ways))


def bare(element: str) -> str:
    return element.partition("/")[2]


def random_move(design: Design, chance: Random) -> dict[str, str]:
    """One to three switches and protectors, each to a position that it has."""
    places = {n: list(design.parts[n].positions) for n in design.of_kind(p.Switch)}
    places |= {
        n: ["pulled", "in", *(["closed", "open"] if n in design.of_kind(p.BreakerSwitch) else [])]
        for n in design.of_kind(p.Protector)
    }
    return {
        name: chance.choice(places[name])
        for name in chance.sample(sorted(places), min(len(places), chance.randint(1, 3)))
    }


def compare(network: Network, after: Aftermath, answers: list[Left], seed: int, tally: Counter[str]) -> None:
    for what, mask in differences(network, after.solved, [one.answer for one in answers]):
        assert not mask, f"seed {seed}, lane {(mask & -mask).bit_length() - 1}: {what}"
    settled = [lane for lane, one in enumerate(answers) if not one.answer.unsettled]
    for i, link in enumerate(network.links):
        for lane in settled:
            if after.tripped.get(i, 0) >> lane & 1:
                assert link.element in answers[lane].opened, (seed, lane, link.element)
    for lane in settled:
        engine = {network.links[i].element for i, mask in after.tripped.items() if mask >> lane & 1}
        assert engine == answers[lane].opened, (seed, lane)
        assert {e for e, mask in after.lost.items() if mask >> lane & 1} == answers[lane].gone, (seed, lane)
        tally["opened"] += bool(engine)
        tally["gone"] += bool(answers[lane].gone)
    tally["lanes"] += len(answers)


def bounded(
    network: Network, may: Mapping[str, int], after: Aftermath, width: int, seed: int, tally: Counter[str]
) -> None:
    """No moves power what the bound says that none can."""
    for user in network.consumers:
        beyond = ~may[user.element] & ((1 << width) - 1)
        powered = after.solved.powered[user.element] & ~after.solved.unsettled
        for k in range(MOVES):
            assert not powered >> k * width & beyond, (seed, user.element)
        tally["beyond moves"] += beyond.bit_count()


@pytest.mark.long
def test_two_moves_after_a_failure_leave_what_the_plain_evaluator_says() -> None:
    tally: Counter[str] = Counter()
    for seed in range(3000, 3000 + DESIGNS):
        design, chance = awkward(seed), Random(seed)
        circuit, network = circuit_of(design), build_network(design)
        (state,) = random_states(design, chance, 1)
        before = solve(circuit, state)
        if before.unsettled or not (design.of_kind(p.Switch) or design.of_kind(p.Protector)):
            continue
        cases = random_cases(design, circuit, state, chance, CASES)
        failures = [failures_of(network, case) for case in cases]
        plain = [left(circuit, state, case, solve(circuit, state, case, before), before) for case in cases]
        # from a state that does not settle nothing follows
        kept = [lane for lane, one in enumerate(plain) if not one.answer.unsettled]
        cases, failures, plain = ([some[lane] for lane in kept] for some in (cases, failures, plain))
        if not cases:
            continue
        now = after_failures(network, state, failures, conduct(network, state))
        compare(network, now, plain, seed, tally)
        courses = [ActionSequence(("x",), *moved_twice(design, state, chance)) for _ in range(MOVES)]
        first = [
            move_on(circuit, c.state, c.last, case, one)
            for c in courses
            for case, one in zip(cases, plain, strict=True)
        ]
        after = continued(network, now, failures, courses)
        compare(network, after, first, seed, tally)
        bounded(network, may_work(network, state, failures), after, len(cases), seed, tally)
        if any(one.answer.unsettled for one in first):
            continue
        longer = [
            ActionSequence(
                ("x", "y"), *moved_twice(design, courses[k % MOVES].state, chance), parent=k % MOVES
            )
            for k in range(2 * MOVES)
        ]
        blocks = [first[c.parent * len(cases) : (c.parent + 1) * len(cases)] for c in longer]
        second = [
            move_on(circuit, c.state, c.last, case, one)
            for c, block in zip(longer, blocks, strict=True)
            for case, one in zip(cases, block, strict=True)
        ]
        compare(network, continued(network, after, failures, longer), second, seed, tally)
    assert tally["lanes"] >= 13_000 and tally["opened"] >= 650 and tally["gone"] >= 650, tally
    assert tally["beyond moves"] >= 650, tally


def moved_twice(design: Design, state: ResolvedState, chance: Random) -> tuple[ResolvedState, tuple, tuple]:
    after, moves = moved(design, state, random_move(design, chance))
    return after, moves, moves


def test_the_comparison_notices_an_opened_protector_that_is_forgotten() -> None:
    text = BASE.read_text(encoding="utf-8")
    design = read_text(text, "x")
    network, circuit, state = build_network(design), circuit_of(design), resolved(design.operation)["cruise"]
    case = (Fault("wires/W22", SHORT, ("left-switch.load", "left-ignition.supply")),)
    healthy = conduct(network, state)
    now = after_failures(network, state, [failures_of(network, case)], healthy)
    before = solve(circuit, state)
    plain = left(circuit, state, case, solve(circuit, state, case, before), before)
    compare(network, now, [plain], 0, Counter())
    assert plain.opened == {"parts/left-fuse"}
    with pytest.raises(AssertionError):
        compare(network, now, [replace(plain, opened=frozenset())], 0, Counter())
