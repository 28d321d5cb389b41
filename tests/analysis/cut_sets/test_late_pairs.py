"""Pairs of a failure and a short that a protector further upstream may clear first."""

from __future__ import annotations

from functools import cache
from random import Random

import pytest

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, SHORT, Failure
from reviewer.analysis.cut_sets.late_pairs import late_pairs
from reviewer.analysis.detection.latent import completing_pairs
from reviewer.analysis.facts import Facts
from reviewer.questions.effects import next_failures_after
from reviewer.questions.solve import solved_of
from tests.analysis.conduction.test_late_outcomes import rated
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.circuit import circuit_of
from tests.oracle.engine import fault_of
from tests.oracle.generator import realistic
from tests.oracle.plain import OPEN, Fault, solve, working


def three_ignitions(feeder: str) -> Facts:
    """Two of three ignitions are on one bus, with a lamp behind 5 A; the third is on a battery of its own."""
    made = SmallDesign()
    made.second_battery()
    made.add("feeder", "breaker", rating=feeder)
    made.add("far-bus", "bus")
    made.run("bus", [("feeder.line", "feeder.load")], "far-bus")
    made.add("lamp-breaker", "breaker", rating="5 A")
    made.load("lamp", ("lamp-breaker.line", "lamp-breaker.load"), start="far-bus")
    for name, start in (("one", "far-bus"), ("two", "far-bus"), ("three", "second-bus")):
        made.add(f"{name}-breaker", "breaker", rating="3 A")
        made.load(name, (f"{name}-breaker.line", f"{name}-breaker.load"), start=start)
    made.function("fire", "one", "two", "three")
    return made.facts()


@pytest.mark.parametrize(("feeder", "lost"), [("7 A", True), ("20 A", False)])
def test_the_feeder_that_may_open_first_takes_what_the_latent_failure_left(feeder: str, lost: bool) -> None:
    facts = three_ignitions(feeder)
    answer = cruise(facts)
    first, short = fails(facts, "parts/three-breaker"), fails(facts, "parts/lamp", SHORT, "lamp.supply")
    late = facts.states.late_failures("cruise")
    (shorts,) = late_pairs(answer, ["fire"], [first], late)["fire"]
    assert (answer.failures.index(short) in shorts) is lost
    pairs = set(completing_pairs(facts.design, answer, [first], late))
    assert any(p.second.element == "parts/lamp" for p in pairs) is lost
    assert not any(p.second.element == "parts/lamp" for p in completing_pairs(facts.design, answer, [first]))
    found = {loss.element: loss for loss in facts.detection.latent_losses.values()}
    seconds = {e for loss in found.values() for _, elements in loss.losses for e in elements}
    assert ("parts/lamp" in seconds) is lost


def test_a_short_that_loses_the_function_alone_is_no_pair() -> None:
    facts = three_ignitions("7 A")
    late = facts.states.late_failures("cruise")
    firsts = [fails(facts, "parts/feeder"), fails(facts, "parts/lamp")]
    assert late_pairs(cruise(facts), ["fire"], firsts, late) == {"fire": [{}, {}]}


def two_sides(reserve: str) -> SmallDesign:
    """An ignition at the bus; one behind a breaker of the second battery, charged from the bus through 5 A
    and a diode."""
    made = SmallDesign()
    made.second_battery(capacity="17 Ah", chemistry="lead-acid")
    made.parts["battery"].update(capacity="17 Ah", chemistry="lead-acid")
    made.add("reserve-breaker", "breaker", rating=reserve)
    made.add("charge-breaker", "breaker", rating="5 A")
    made.add("diode", "diode")
    made.add("far-bus", "bus")
    made.run("second-bus", [("reserve-breaker.line", "reserve-breaker.load")], "far-bus")
    made.run(
        "bus", [("charge-breaker.line", "charge-breaker.load"), ("diode.anode", "diode.cathode")], "far-bus"
    )
    for name, start in (("one", "bus"), ("two", "far-bus")):
        made.load(name, start=start, current="2 A", type="electronic")
    made.function("fire", "one", "two")
    for wire in made.wires.values():
        wire.update(gauge="16 AWG", length="0.5 m")
    return made


@pytest.mark.parametrize(("reserve", "lost"), [("7 A", True), ("20 A", False)])
def test_a_shorted_diode_alters_the_order_in_which_a_short_is_cleared(reserve: str, lost: bool) -> None:
    """Through the diode the second battery feeds a short of the bus too: its breaker may open before 5 A."""
    facts = two_sides(reserve).facts(engine="stopped")
    answer = cruise(facts)
    first, short = fails(facts, "parts/diode", DIODE_SHORT), fails(facts, "parts/bus", SHORT)
    assert short not in facts.states.late_failures("cruise")
    after = facts.states.late_failures_after("cruise", answer.failures)
    opened = [one.opened for one in after[first].get(short, ())] if first in after else []
    assert opened == [{"parts/reserve-breaker"}] * lost
    (mask,) = next_failures_after(facts, answer, [first])["fire"]
    assert bool(mask >> answer.failures.index(short) & 1) is lost
    pairs = completing_pairs(facts.design, answer, [first], after=after)
    assert any(p.second.element == short.element for p in pairs) is lost


@pytest.mark.parametrize(("reserve", "dead"), [("7 A", True), ("20 A", False)])
@pytest.mark.parametrize("turned", [False, True])
def test_two_failures_are_solved_in_the_worst_outcome_of_both(reserve: str, dead: bool, turned: bool) -> None:
    failed = ["diode=shorted", "bus=shorted-to-ground"]
    answer = solved_of(two_sides(reserve).facts(engine="stopped"), "cruise", failed[:: -1 if turned else 1])
    assert any("reserve-breaker opens as well" in words for _, words in answer.failed) is dead
    (phase,) = answer.phases
    assert phase.point is not None
    assert ((phase.point.volts.get("two.supply") or 0.0) < 1.0) is dead


@pytest.mark.parametrize("seeds", [pytest.param(3, marks=pytest.mark.long)])
def test_the_pairs_of_generated_designs_are_the_plain_ones(seeds: int) -> None:
    compared = found = 0
    hunting: list[bool] = []
    for number, design in enumerate(realistic(60, seed, rated) for seed in range(seeds)):
        facts, circuit, chance = Facts(design), circuit_of(design), Random(number)
        for answer in facts.states.answers():
            before = solve(circuit, answer.state)
            late = facts.states.late_failures(answer.state.name)
            functions = [f for f in design.functions if answer.alive[f]]
            if before.unsettled or not late or not functions:
                continue
            firsts = chance.sample(answer.failures, 4)
            shorts = chance.sample(sorted(late, key=repr), min(6, len(late)))
            pairs = late_pairs(answer, functions, firsts, {s: late[s] for s in shorts})

            @cache
            def told(*case: Failure, before=before, facts=facts, circuit=circuit, answer=answer):
                faults = [fault_of(facts.network, f) for f in case]
                opened = [Fault(e, OPEN) for f in case for e in f.opened]
                plain = solve(circuit, answer.state, (*faults, *opened), before)
                return working(facts.design, plain.powered), plain.unsettled

            def works(*case: Failure, told=told) -> dict[str, bool]:
                answer, unsettled = told(*case)
                hunting.append(unsettled)
                return answer

            for i, first in enumerate(firsts):
                for short in shorts:
                    j = answer.failures.index(short)
                    single, near = works(first), works(short)
                    for function in functions:
                        hunting.clear()
                        wanted = [
                            one
                            for one in late[short]
                            if single[function]
                            and near[function]
                            and works(one)[function]
                            and not works(first, one)[function]
                        ]
                        if any(hunting):
                            continue  # a relay that chases itself: nothing is said of such a pair
                        assert (j in pairs[function][i]) is bool(wanted), (number, first, short)
                        compared += 1
                        found += bool(wanted)
    assert compared >= 500 * seeds and found >= 20 * seeds, (compared, found)
