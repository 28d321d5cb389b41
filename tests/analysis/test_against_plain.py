"""The engine against the plain evaluator: every answer of many scenarios, bit by bit.

The engine solves scenarios as bits side by side and on a network that it has contracted; ``tests/oracle/plain.py`` solves one at a time,
by names and sets, and is the definition. Circuits, states and cases are drawn from fixed seeds; a failure of the test prints the
seed, the state and the case, which ``awkward(seed)`` and ``random_cases`` give again.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random
from typing import Any

import pytest

from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_pairs, conduct_states
from reviewer.analysis.conduction.states import function_masks
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState, SneakCurrent, resolved
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from tests.oracle.circuit import Circuit, circuit_of
from tests.oracle.engine import differences, failures_of, function_differences
from tests.oracle.generator import awkward, random_cases, random_states, realistic
from tests.oracle.plain import DROPPED, HELD, OPEN, SEVERED, SHORT, STAYS, THROUGH, Answer, Fault, solve
from tests.oracle.scenarios import Case
from tests.oracle.workbench import Workbench

DESIGNS, STATES, CASES = 230, 4, 125
MODES = (OPEN, SHORT, THROUGH, HELD, DROPPED, STAYS, SEVERED)


def judge(
    network: Network,
    result: Conduction,
    answers: Sequence[Answer],
    seed: object,
    state: str,
    cases: Sequence[object],
    design: Design,
) -> None:
    """Fail with everything that is needed to see the first scenario that differs."""
    masks = function_masks(design, result.powered, (1 << len(answers)) - 1)
    for what, mask in (
        *differences(network, result, answers),
        *function_differences(design, masks, result, answers),
    ):
        if mask:
            lane = (mask & -mask).bit_length() - 1
            pytest.fail(
                f"seed {seed}, {state}, lane {lane}: {what} is not what the plain answer says; the case is {cases[lane]}"
            )


def healthy(
    design: Design, network: Network, circuit: Circuit, states: Sequence[ResolvedState], seed: object
) -> list[tuple[Conduction, Answer]]:
    """The healthy answers of some states, compared alone and as lanes of one call."""
    plain = [solve(circuit, state) for state in states]
    judge(network, conduct_states(network, states), plain, seed, "all states", states, design)
    engine = [conduct(network, state) for state in states]
    for state, result, answer in zip(states, engine, plain, strict=True):
        judge(network, result, [answer], seed, state.name, [()], design)
    return list(zip(engine, plain, strict=True))


def count(
    tally: Counter[str],
    circuit: Circuit,
    state: ResolvedState,
    before: Answer,
    cases: Sequence[Case],
    answers: Sequence[Answer],
) -> None:
    """Count what kinds of scenarios were compared, so that a test whose cases do nothing is noticed."""
    tally["scenarios"] += len(cases)
    for lane, (case, answer) in enumerate(zip(cases, answers, strict=True)):
        tally.update({fault.mode for fault in case})
        tally["double"] += len(case) == 2
        tally["hunting"] += answer.unsettled
        tally["in reverse"] += any(
            c.either_way and answer.powered[c.element] and answer.fed[s].intersection(c.minus)
            for c in circuit.consumers
            for s in answer.fed
        )
        tally["something lost"] += answer.powered != before.powered
        tally["one after another"] += answer.rounds > 2 and not answer.unsettled
        if lane % 5 == 0 and not answer.unsettled and any(answer.energised.values()):
            # a relay or an alternator that holds itself: from cold the same case would end otherwise
            cold = solve(circuit, state, case)
            tally["holding itself"] += cold.unsettled or (cold.energised, cold.alive) != (
                answer.energised,
                answer.alive,
            )


@pytest.mark.parametrize(
    "part",
    [
        pytest.param(16, marks=pytest.mark.within_long, id="sixteenth"),
        pytest.param(6, marks=pytest.mark.long, id="sixth"),
    ],
)
def test_every_answer_of_awkward_circuits_is_the_plain_one(part: int) -> None:
    """A sixteenth of the circuits in the short run, a sixth in the long one."""
    tally: Counter[str] = Counter()
    for seed in range(DESIGNS // part):
        design, chance = awkward(seed), Random(seed)
        circuit, network = circuit_of(design), build_network(design)
        states = random_states(design, chance, STATES)
        for state, (before, plain) in zip(
            states, healthy(design, network, circuit, states, seed), strict=True
        ):
            tally["states"] += 1
            tally["states that hunt"] += plain.unsettled
            if plain.unsettled:
                continue  # there is nothing that a failure could begin from
            cases = random_cases(design, circuit, state, chance, CASES)
            answers = [solve(circuit, state, case, plain) for case in cases]
            result = conduct(network, state, [failures_of(network, case) for case in cases], before)
            judge(network, result, answers, seed, state.name, cases, design)
            count(tally, circuit, state, plain, cases, answers)
    # what was compared is plenty of everything, else the test says little
    floors = {m: 1_500 for m in MODES} | {SHORT: 40_000}
    floors |= {"scenarios": 100_000, "double": 50_000, "something lost": 40_000}
    floors |= {"one after another": 1_000, "hunting": 500, "in reverse": 500, "holding itself": 200}
    assert all(tally[what] >= floor / part / 1.5 ** (part > 1) for what, floor in floors.items()), tally


def test_every_pair_of_two_lists_is_what_the_two_do_together() -> None:
    compared = 0
    for seed in range(1000, 1012):
        design, chance = awkward(seed), Random(seed)
        circuit, network = circuit_of(design), build_network(design)
        for state in random_states(design, chance, 2):
            before, plain = conduct(network, state), solve(circuit, state)
            if plain.unsettled:
                continue
            singles = [case for case in random_cases(design, circuit, state, chance, 120) if len(case) == 1]
            firsts, seconds = singles[:12], singles[12:30]
            cases = [first + second for first in firsts for second in seconds]
            one, other = ([failures_of(network, case) for case in some] for some in (firsts, seconds))
            result = conduct_pairs(network, state, one, other, before)
            kept = [i for i, case in enumerate(cases) if sensible(case)]
            answers = [solve(circuit, state, case, plain) for case in cases]
            for what, mask in differences(network, result, answers):
                assert not any(mask >> i & 1 for i in kept), (
                    seed,
                    state.name,
                    what,
                    [cases[i] for i in kept if mask >> i & 1][:1],
                )
            compared += len(kept)
    assert compared > 3_000


def sensible(case: Case) -> bool:
    """Whether two faults do not gainsay each other; a relay stuck both ways, a switch at two places has no answer."""
    one, other = case
    return one.element != other.element or not (
        {one.mode, other.mode} <= {HELD, DROPPED} or one.mode == other.mode == STAYS
    )


def test_a_protector_that_opens_too_late_for_one_short_stops_the_other() -> None:
    """``passes`` belongs to one short: the breaker of the first line stops a short on its own line whatever else the case holds."""
    bench = Workbench(Random(0), "composite")
    bench.add("battery", "battery")
    bench.add("bar", "bus")
    bench.add("lamp", "load")
    bench.wire("battery.positive", "bar")
    bench.wire("bar", bench.protector("first")[0])
    bench.wire("bar", bench.protector("second")[0])
    bench.run("bar", [bench.protector("third")], "lamp.supply")
    bench.wire("lamp.return", "battery.negative")
    bench.states["on"] = {"engine": "running"}
    design = bench.design("Three lines from a bar")
    assert design.operation is not None
    circuit, network, state = circuit_of(design), build_network(design), resolved(design.operation)["on"]
    case = (
        Fault("parts/first", SHORT, ("first.load",)),
        Fault("parts/second", SHORT, ("second.load",), passes=frozenset({"parts/first"})),
    )
    answer = solve(circuit, state, case, solve(circuit, state))
    assert answer.powered == {"parts/lamp": True} and answer.dead == {"first.load", "second.load"}
    judge(
        network,
        conduct(network, state, [failures_of(network, case)], conduct(network, state)),
        [answer],
        "none",
        "on",
        [case],
        design,
    )


def test_two_relays_that_drop_out_together_leave_no_gap_for_a_third() -> None:
    """A race that chance does not draw: an open source is dead from the first round on, so its relay drops with the one whose wire is open.

    Were it a round late, the latch would be fed through the late one's make and the other one's break contact, and then hold itself.
    """
    bench = Workbench(Random(0), "composite")
    bench.add("ground", "ground-block")
    for name in ("first", "second"):
        bench.add(f"{name}-battery", "battery")
        bench.wire(f"{name}-battery.negative", "ground")
    for name, kind in (("first", "make"), ("second", "break")):
        bench.add(
            f"{name}-relay",
            "relay",
            coil=["plus", "minus"],
            contacts={"way": {"kind": kind, "joins": ["line", "load"]}},
        )
        bench.wire(f"{name}-battery.positive", f"{name}-relay.plus")
        bench.wire(f"{name}-relay.minus", "ground")
    bench.add(
        "latch",
        "relay",
        coil=["plus", "minus"],
        contacts={"hold": {"kind": "make", "joins": ["line", "plus"]}},
    )
    bench.run(
        "second-battery.positive",
        [(f"{name}-relay.line", f"{name}-relay.load") for name in ("first", "second")],
        "latch.plus",
    )
    bench.wire("second-battery.positive", "latch.line")
    bench.wire("latch.minus", "ground")
    bench.states["on"] = {"engine": "running"}
    design = bench.design("A latch between two relays")
    assert design.operation is not None
    circuit, network, state = circuit_of(design), build_network(design), resolved(design.operation)["on"]
    case = (Fault("parts/first-battery", OPEN), Fault("wires/W5", OPEN))
    answer = solve(circuit, state, case, solve(circuit, state))
    assert answer.energised == {"parts/first-relay": False, "parts/second-relay": False, "parts/latch": False}
    judge(
        network,
        conduct(network, state, [failures_of(network, case)], conduct(network, state)),
        [answer],
        "none",
        "on",
        [case],
        design,
    )


def lamps_before_coils(chance: Random) -> Callable[[dict[str, Any]], None]:
    """Puts a lamp into the feed or return of most coils; sometimes a second load into the same one."""

    def dress(data: dict[str, Any]) -> None:
        for relay in [name for name, part in data["parts"].items() if "coil" in part]:
            for number in range(chance.choice([0, 1, 1, 1, 2])):
                end = f"{relay}.{chance.choice(data['parts'][relay]['coil'])}"
                lamp, ends = f"{relay}-lamp-{number}", ["supply", "return"]
                chance.shuffle(ends)
                for wire in data["wires"].values():
                    wire.update({key: f"{lamp}.{ends[0]}" for key in ("from", "to") if wire[key] == end})
                data["parts"][lamp] = {"kind": "load", "type": "lamp"}
                data["wires"][f"{lamp}-wire"] = {"from": f"{lamp}.{ends[1]}", "to": end}

    return dress


def sneaking(circuit: Circuit, state: ResolvedState, chance: Random) -> tuple[ResolvedState, Answer]:
    """A state with sneak currents drawn at random, mostly such as change something; and its plain answer."""
    ends = {
        taker.element: [(plus, minus) for plus in taker.plus for minus in taker.minus]
        for taker in (*circuit.consumers, *circuit.coils)
    }
    answer, kept = solve(circuit, state), state
    for coil in circuit.coils:
        lamps = [e for e in ends if e.startswith(f"{coil.element}-lamp")]
        for _ in range(10 if lamps else 0):
            chain = [coil.element, *chance.sample(lamps, chance.randint(1, len(lamps)))]
            chance.shuffle(chain)
            hops = [(e, *chance.choice(ends[e])[:: chance.choice([1, -1])]) for e in chain]
            tried = replace(kept, sneaks=(*kept.sneaks, SneakCurrent(coil.element, tuple(hops))))
            found = solve(circuit, tried)
            if found != answer or chance.random() < 0.02:
                kept, answer = tried, found
    return kept, answer


@pytest.mark.parametrize(
    "part",
    [
        pytest.param(8, marks=pytest.mark.within_long, id="eighth"),
        pytest.param(2, marks=pytest.mark.long, id="half"),
    ],
)
def test_sneak_currents_energise_their_relays_as_in_the_plain_answer(part: int) -> None:
    """States with sneak currents, alone, side by side, and under failures that end them or not."""
    tally: Counter[str] = Counter()
    for seed in range(DESIGNS // part):
        chance = Random(seed)
        design = awkward(seed, dress=lamps_before_coils(chance))
        circuit, network = circuit_of(design), build_network(design)
        drawn = [sneaking(circuit, state, chance) for state in random_states(design, chance, 2)]
        states = [state for state, _ in drawn]
        judge(
            network,
            conduct_states(network, states),
            [plain for _, plain in drawn],
            seed,
            "all",
            states,
            design,
        )
        for state, plain in drawn:
            bare = solve(circuit, replace(state, sneaks=()))
            held = {e for e, on in plain.energised.items() if on and not bare.energised[e]}
            tally["unsettled"] += plain.unsettled
            if plain.unsettled or not held:
                continue
            tally["held by a sneak current"] += 1
            through = [
                e for sneak in state.sneaks if sneak.relay in held for e in (*sneak.through, sneak.relay)
            ]
            cases = [*((Fault(e, OPEN),) for e in through), *random_cases(design, circuit, state, chance, 40)]
            answers = [solve(circuit, state, case, plain) for case in cases]
            before = conduct(network, state)
            result = conduct(network, state, [failures_of(network, case) for case in cases], before)
            judge(network, result, answers, seed, state.name, cases, design)
            tally["dropped out"] += sum(any(not a.energised[e] for e in held) for a in answers)
            tally["held under a failure"] += sum(all(a.energised[e] for e in held) for a in answers)
    floors = {"held by a sneak current": 40, "dropped out": 300, "held under a failure": 500, "unsettled": 5}
    assert all(tally[what] >= floor / part / 1.5 ** (part > 1) for what, floor in floors.items()), tally


@pytest.mark.parametrize(
    "parts, states, cases",
    [
        pytest.param(100, 5, 120, marks=pytest.mark.long),
        pytest.param(250, 3, 40, marks=pytest.mark.long),
    ],
)
def test_every_answer_of_a_plausible_aircraft_is_the_plain_one(parts: int, states: int, cases: int) -> None:
    tally: Counter[str] = Counter()
    for seed in range(2):
        design, chance = realistic(parts, seed), Random(seed)
        circuit, network = circuit_of(design), build_network(design)
        assert design.operation is not None
        declared = list(resolved(design.operation).values())[:states]
        for state, (before, plain) in zip(
            declared, healthy(design, network, circuit, declared, seed), strict=True
        ):
            drawn = random_cases(design, circuit, state, chance, cases)
            answers = [solve(circuit, state, case, plain) for case in drawn]
            result = conduct(network, state, [failures_of(network, case) for case in drawn], before)
            judge(network, result, answers, seed, state.name, drawn, design)
            count(tally, circuit, state, plain, drawn, answers)
    assert tally["something lost"] > tally["scenarios"] / 4 and tally["one after another"] > 0


def _flipped(masks: Sequence[int], node: int) -> tuple[int, ...]:
    return tuple(mask ^ 4 if n == node else mask for n, mask in enumerate(masks))


WRONG: dict[str, Callable[[Conduction, Network], Any]] = {
    "powered": lambda r, n: {**r.powered, (e := next(iter(r.powered))): r.powered[e] ^ 4},
    "energised": lambda r, n: {**r.energised, (e := next(iter(r.energised))): r.energised[e] ^ 4},
    "alive": lambda r, n: {**r.alive, (e := next(iter(r.alive))): r.alive[e] ^ 4},
    "fed": lambda r, n: {**r.fed, (e := next(iter(r.fed))): _flipped(r.fed[e], len(n.names) // 2)},
    "returned": lambda r, n: {
        **r.returned,
        (e := next(iter(r.returned))): _flipped(r.returned[e], len(n.names) - 1),
    },
    "zone": lambda r, n: _flipped(r.zone, 1),
    "unsettled": lambda r, n: r.unsettled ^ 4,
}


@pytest.mark.parametrize("answer", WRONG)
def test_one_wrong_bit_in_any_answer_is_noticed(answer: str) -> None:
    """The comparison can fail: an answer with one bit turned is told, and told with the lane that differs."""
    design, network, state, cases = _one()
    circuit = circuit_of(design)
    plain = solve(circuit, state)
    result = conduct(network, state, [failures_of(network, case) for case in cases], conduct(network, state))
    answers = [solve(circuit, state, case, plain) for case in cases]
    judge(network, result, answers, "one", state.name, cases, design)
    wrong: dict[str, Any] = {answer: WRONG[answer](result, network)}
    turned = replace(result, **wrong)
    with pytest.raises(pytest.fail.Exception, match=rf"lane 2: .*{'dead' if answer == 'zone' else answer}"):
        judge(network, turned, answers, "one", state.name, cases, design)


def test_a_failure_that_the_engine_was_not_told_of_is_noticed() -> None:
    design, network, state, cases = _one()
    circuit = circuit_of(design)
    plain, before = solve(circuit, state), conduct(network, state)
    answers = [solve(circuit, state, case, plain) for case in cases]
    noticed = 0
    for left_out, answer in enumerate(answers):
        told = [() if lane == left_out else failures_of(network, case) for lane, case in enumerate(cases)]
        found = [
            mask for _, mask in differences(network, conduct(network, state, told, before), answers) if mask
        ]
        assert all(mask == 1 << left_out for mask in found)
        same = (answer.powered, answer.energised, answer.alive, answer.fed, answer.returned, answer.dead) == (
            plain.powered, plain.energised, plain.alive, plain.fed, plain.returned, plain.dead)  # fmt: skip
        assert bool(found) != same
        noticed += bool(found)
    assert noticed > 20


def _one() -> tuple[Design, Network, ResolvedState, tuple[Case, ...]]:
    """A circuit with a coil and a state that settles, as do its first cases."""
    for seed in range(50):
        design, chance = awkward(seed), Random(seed)
        circuit = circuit_of(design)
        state = random_states(design, chance, 1)[0]
        plain = solve(circuit, state)
        cases = random_cases(design, circuit, state, chance, 40)
        if (
            circuit.coils
            and sum(plain.powered.values()) > 2
            and not any(solve(circuit, state, c, plain).unsettled for c in cases)
        ):
            return design, build_network(design), state, cases
    raise AssertionError("no such circuit among the first 50")
