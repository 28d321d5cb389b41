"""Late outcomes of shorts against the plain evaluator: which protectors may open first, and what is dead then.

The definition, by names and sets. Round the fault zone of a short stand the protectors that carry its current. A *chain* is one of them,
then one that carries it where the first does not open, and so on towards the sources. A protector behind a chain may open first where
the ratings ensure for none of the chain that it opens later. Then either the short is cleared by such protectors alone: where all behind
each link of the chain may open first, and no source feeds the zone; or those that may open first open as well, those of the chain left
out whose current all came from behind.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest

from reviewer.analysis.conduction import late_outcomes as late_outcomes_module
from reviewer.analysis.conduction.failure_modes import SHORT
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.late_outcomes import closing_paths, late_outcomes
from reviewer.analysis.conduction.metal import MetalAfter, alike
from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.awkward import awkward
from tests.oracle.circuit import Circuit, circuit_of
from tests.oracle.engine import differences, fault_of
from tests.oracle.generator import realistic
from tests.oracle.plain import OPEN, Answer, Fault, solve

KINDS = {"fuse": 0, "breaker": 1, "breaker-switch": 1, "limiter": 2}
#: what is passed and what opens as well
Outcome = tuple[frozenset[str], frozenset[str]]


def rated(data: dict[str, Any]) -> None:
    """Ratings so close that order is often in doubt; alternators of permanent magnets where no regulator stands apart."""
    chance = Random(len(data["parts"]))
    data["aircraft"]["stage"] = "detailed"
    regulated = {part.get("regulates") for part in data["parts"].values()}
    for name, part in data["parts"].items():
        if part["kind"] in KINDS:
            part["rating"] = f"{chance.choice([5, 6, 7.5, 10, 15, 25])} A"
        elif part["kind"] == "alternator":
            part["rating"] = f"{chance.choice([6, 10, 60])} A"
            if name not in regulated:
                part["excitation"] = "permanent-magnet"
                ends = ("from", "to")
                data["wires"] = {
                    w: one
                    for w, one in data["wires"].items()
                    if f"{name}.field" not in [one[e] for e in ends]
                }


def later(design: Design, upper: str, lower: str) -> bool:
    """Whether ratings ensure that the upper one opens later: as slow and 1.5 times as high, a fuse twice a breaker."""
    one, other = (design.parts[element.partition("/")[2]] for element in (upper, lower))
    assert one.rating and other.rating
    if one.kind == "fuse" and KINDS[other.kind] == 1:
        return one.rating >= 2 * other.rating
    return KINDS[one.kind] >= KINDS[other.kind] and one.rating >= 1.5 * other.rating


def carriers(circuit: Circuit, state: ResolvedState, before: Answer, answer: Answer) -> dict[str, set[str]]:
    """The protectors that conduct, with one end in the zone and the other fed from outside it; and what feeds that.

    One that its unit or an input of it had open before the short carries nothing of it.
    """
    found: dict[str, set[str]] = {}
    for way in circuit.ways:
        name = way.element.partition("/")[2]
        conducts = name not in state.pulled and (
            not way.positions or state.switches.get(name) in way.positions
        )
        conducts = conducts and (not way.unit or before.energised[way.unit])
        conducts = conducts and (not way.by_input or before.energised[way.element])
        if way.when == "protector" and conducts:
            for dead, live in ((way.one, way.other), (way.other, way.one)):
                by = {source for source, reached in answer.fed.items() if live in reached}
                if dead in answer.dead and live not in answer.dead and by:
                    found.setdefault(way.element, set()).update(by)
    return found


def opens(design: Design, protector: str, sources: set[str]) -> bool:
    """Whether some sources together give more than a protector is rated for."""
    given = 0.0
    for source in sources:
        part = design.parts[source.partition("/")[2]]
        limit = (part.current_limit or part.rating) if part.kind == "alternator" else None
        given += math.inf if limit is None else limit
    rating = design.parts[protector.partition("/")[2]].rating
    assert rating
    return given > rating


class Plain:
    """The late outcomes of one short."""

    def __init__(self, design: Design, circuit: Circuit, state: ResolvedState, before: Answer, short: Fault):
        self.design, self.circuit, self.state, self.before, self.short = design, circuit, state, before, short
        #: those that may open before the chain by their ratings, and not by what feeds them
        self.held: set[str] = set()

    def passing(self, chain: tuple[str, ...]) -> tuple[dict[str, set[str]], set[str]]:
        """The carriers where a chain does not open, and the live sources in the zone."""
        case = Fault(self.short.element, self.short.mode, self.short.nodes, passes=frozenset(chain))
        answer = solve(self.circuit, self.state, (case,), self.before)
        inside = {
            s.element
            for s in self.circuit.sources
            if s.positive in answer.dead and self.before.alive[s.element]
        }
        return carriers(self.circuit, self.state, self.before, answer), inside

    def outcomes(self) -> set[Outcome]:
        nearest, _ = self.passing(())
        return {o for n in nearest for o in self._behind((n,), set(nearest), set(), True, set(), set())}

    def _behind(
        self,
        chain: tuple[str, ...],
        known: set[str],
        early: set[str],
        alone: bool,
        fed_by: set[str],
        only: set[str],
    ) -> Iterator[Outcome]:
        carrying, inside = self.passing(chain)
        further = carrying.keys() - known
        first = {t for t in further if not any(later(self.design, t, c) for c in chain)}
        self.held |= {t for t in first if not opens(self.design, t, carrying[t])}
        if first:
            if first == further and alone and not inside:
                yield frozenset(chain), frozenset()
            else:
                idle = only if first == further and inside <= fed_by else set()
                yield frozenset(), frozenset(early - idle | first)
        for one in further:
            whole = further - {one} <= first
            kept = only if whole and inside <= fed_by else set()
            yield from self._behind(
                (*chain, one), known | further, early | first, alone and whole, inside, kept | {one}
            )


@pytest.mark.long
def test_the_late_outcomes_of_generated_designs_are_the_plain_ones() -> None:
    """Three states of each design, drawn from a fixed seed."""
    tally: Counter[str] = Counter()
    designs = [awkward(seed, dress=rated) for seed in range(20)]
    designs += [realistic(60, seed, rated) for seed in range(6)]
    for number, design in enumerate(designs):
        facts, circuit = Facts(design), circuit_of(design)
        declared = list(facts.states.declared)
        for name in Random(number).sample(declared, min(3, len(declared))):
            answer = facts.states.answer(name)
            before = solve(circuit, answer.state)
            if before.unsettled:
                continue
            late = facts.states.late_failures(name)
            for failure in answer.failures:
                if failure.mode != SHORT:
                    continue
                plain = Plain(design, circuit, answer.state, before, fault_of(facts.network, failure))
                wanted = plain.outcomes()
                found = {(f.passes, f.opened) for f in late.get(failure, ())}
                assert found == wanted, (number, name, failure)
                tally["shorts"] += 1
                tally["late"] += len(wanted)
                tally["held"] += bool(plain.held)
                tally["third"] += any(len(passes) > 1 for passes, _ in wanted)
            cases = [one for those in late.values() for one in those][:200]
            if cases:
                solved = conduct(facts.network, answer.state, cases, answer.healthy)
                answers = [
                    solve(
                        circuit,
                        answer.state,
                        (fault_of(facts.network, case), *(Fault(e, OPEN) for e in case.opened)),
                        before,
                    )
                    for case in cases
                ]
                for what, mask in differences(facts.network, solved, answers):
                    assert not mask, (number, name, what)
                tally["solved"] += len(cases)
    floors = {"shorts": 2_000, "late": 1_000, "third": 100, "solved": 1_000, "held": 100}
    assert all(tally[what] >= floor for what, floor in floors.items()), tally


@pytest.mark.parametrize(("third", "outcomes"), [("7 A", 2), ("8 A", 1)])
def test_a_third_protector_in_series_may_be_the_first_to_open(third: str, outcomes: int) -> None:
    """5 A behind 6 A behind a third: 7 A is not 1.5 times 5 A, and 8 A is."""
    made = SmallDesign()
    made.add("feed", "breaker", rating=third)
    made.add("far-bus", "bus")
    made.run("bus", [("feed.line", "feed.load")], "far-bus")
    for name, rating in (("branch", "6 A"), ("own", "5 A")):
        made.add(name, "breaker", rating=rating)
    made.load("radio", ("branch.line", "branch.load"), ("own.line", "own.load"), start="far-bus")
    made.load("other", start="far-bus")
    facts = made.facts()
    late = facts.states.late_failures("cruise")[fails(facts, "parts/radio", SHORT, "radio.supply")]
    passed = [{"parts/own"}, {"parts/own", "parts/branch"}]
    assert [set(f.passes) for f in late] == passed[:outcomes]
    answer = cruise(facts)
    powered = conduct(facts.network, answer.state, late, answer.healthy).powered["parts/other"]
    assert powered == 1  # the second alone spares it, the third does not


@pytest.mark.parametrize(("third", "early"), [("7 A", True), ("10 A", False)])
def test_a_third_protector_may_open_first_past_a_second_that_does_not(third: str, early: bool) -> None:
    """5 A behind 20 A, which opens later, behind a third that is smaller."""
    made = SmallDesign()
    made.add("feed", "breaker", rating=third)
    made.add("far-bus", "bus")
    made.run("bus", [("feed.line", "feed.load")], "far-bus")
    for name, rating in (("branch", "20 A"), ("own", "5 A")):
        made.add(name, "breaker", rating=rating)
    made.load("radio", ("branch.line", "branch.load"), ("own.line", "own.load"), start="far-bus")
    facts = made.facts()
    late = facts.states.late_failures("cruise").get(fails(facts, "parts/radio", SHORT, "radio.supply"), ())
    assert [set(f.passes) for f in late] == [{"parts/own", "parts/branch"}] * early


def opened_as_well(made: SmallDesign) -> list[set[str]]:
    """What opens with the nearest protector of the radio, in each late outcome of a short there."""
    facts = made.facts()
    late = facts.states.late_failures("cruise")[fails(facts, "parts/radio", SHORT, "radio.supply")]
    assert not any(f.passes for f in late)
    return [set(f.opened) for f in late]


def test_what_carries_nothing_more_does_not_open_as_well() -> None:
    """The radio is on the bus of a battery; a tie brings the current of a second one. Either device of the tie may open."""
    made = SmallDesign()
    made.second_battery()
    made.add("own", "breaker", rating="10 A")
    made.load("radio", ("own.line", "own.load"))
    made.add("far-bus", "bus")
    for name, ends in (("tie", ("bus", "far-bus")), ("feed", ("far-bus", "second-bus"))):
        made.add(name, "breaker", rating="10 A")
        made.run(ends[0], [(f"{name}.line", f"{name}.load")], ends[1])
    assert opened_as_well(made) == [{"parts/tie"}, {"parts/feed"}]


def test_a_second_feed_that_opens_later_makes_the_nearest_open_too() -> None:
    made = SmallDesign()
    made.second_battery()
    made.add("mid-bus", "bus")
    made.add("far-bus", "bus")
    for name, ends, rating in (
        ("feed", ("bus", "mid-bus"), "10 A"),
        ("tie", ("mid-bus", "far-bus"), "10 A"),
        ("large", ("second-bus", "far-bus"), "100 A"),
    ):
        made.add(name, "breaker", rating=rating)
        made.run(ends[0], [(f"{name}.line", f"{name}.load")], ends[1])
    made.add("own", "breaker", rating="10 A")
    made.load("radio", ("own.line", "own.load"), start="far-bus")
    assert opened_as_well(made) == [{"parts/tie"}, {"parts/feed"}]


def short_of_the_battery(*machines: dict[str, str], limiter: str) -> Facts:
    """A battery behind 70 A, where alternators feed the bus by one limiter."""
    made = SmallDesign()
    made.add("feed", "limiter", rating="70 A")
    made.add("main-bus", "bus")
    made.run("bus", [("feed.line", "feed.load")], "main-bus")
    made.add("machines-bus", "bus")
    made.add("output", "limiter", rating=limiter)
    made.run("machines-bus", [("output.line", "output.load")], "main-bus")
    for number, fields in enumerate(machines):
        made.add(f"machine-{number}", "alternator", excitation="permanent-magnet", **fields)
        made.wire(f"machine-{number}.output", "machines-bus")
        made.wire(f"machine-{number}.ground", "ground")
    made.load("radio", start="main-bus")
    return made.facts()


@pytest.mark.parametrize(
    ("machines", "limiter", "in_doubt"),
    [
        pytest.param([{"rating": "40 A"}], "45 A", False, id="it limits itself below the rating"),
        pytest.param([{"rating": "45 A"}], "45 A", False, id="a device carries its rating for good"),
        pytest.param([{"rating": "60 A"}], "40 A", True, id="it gives more than the device is rated for"),
        pytest.param([{"rating": "40 A", "current-limit": "50 A"}], "45 A", True, id="its limit is higher"),
        pytest.param([{"rating": "40 A"}] * 2, "45 A", True, id="two add up"),
        pytest.param([{"rating": "40 A"}] * 2, "80 A", False, id="two add up to no more than the rating"),
        pytest.param([{}], "45 A", True, id="its limit is not known"),
        pytest.param([{"rating": "40 A"}, {}], "45 A", True, id="the limit of one of two is not known"),
    ],
)
def test_an_alternator_does_not_open_what_is_rated_for_all_that_it_gives(
    machines: list[dict[str, str]], limiter: str, in_doubt: bool
) -> None:
    """It holds the zone dead then, which is told as the loss of what is behind; no rating is at fault."""
    facts = short_of_the_battery(*machines, limiter=limiter)
    short = fails(facts, "parts/battery", SHORT, "battery.positive")
    assert [f.opened for f in facts.states.late_failures("cruise")[short]] == [{"parts/output"}]
    outcomes = late_outcomes(facts.design, facts.network, facts.states.answer("cruise"))
    assert {one.limited for one in outcomes if "parts/output" in one.first} == {not in_doubt}
    assert any("parts/output" in one.first for one in facts.failures.selectivity_failures) is in_doubt


def test_a_battery_behind_an_alternator_opens_what_the_alternator_does_not() -> None:
    made = SmallDesign()
    made.second_battery()
    made.add("machine", "alternator", excitation="permanent-magnet", rating="40 A")
    made.wire("machine.output", "second-bus")
    made.wire("machine.ground", "ground")
    made.add("mid-bus", "bus")
    ties = (("feed", ("bus", "mid-bus"), "70 A"), ("tie", ("mid-bus", "second-bus"), "45 A"))
    for name, ends, rating in ties:
        made.add(name, "limiter", rating=rating)
        made.run(ends[0], [(f"{name}.line", f"{name}.load")], ends[1])
    made.load("radio", start="mid-bus")
    facts = made.facts()
    short = fails(facts, "parts/battery", SHORT, "battery.positive")
    assert [f.opened for f in facts.states.late_failures("cruise")[short]] == [{"parts/tie"}]


@pytest.mark.parametrize("seed", [1, 3, pytest.param(4, marks=pytest.mark.long)])
def test_after_several_failures_together_it_is_as_after_each_by_itself(seed: int) -> None:
    facts = Facts(realistic(60, seed, rated))
    grouped = closed = 0
    for answer in facts.states.answers()[:2]:
        state = answer.state.name
        failures = (*answer.failures, *answer.stuck_contacts)
        together = facts.states.late_failures_after(state, failures)
        usual = facts.states.late_failures(state)
        closing = closing_paths(answer, failures)
        closed += len(closing)
        grouped += len(closing) - len(alike(facts.network, answer.state, closing))
        for failure in Random(seed).sample(closing, min(40, len(closing))):
            assert together.get(failure, usual) == facts.states.late_failures_with(state, (failure,)), failure
    assert closed and grouped


@pytest.mark.parametrize("seed", [1, 3, 5])
def test_one_short_of_a_piece_of_metal_stands_for_all(seed: int) -> None:
    facts, spared = Facts(realistic(90, seed, rated)), 0
    for answer in facts.states.answers()[:2]:
        failures = (*answer.failures, *answer.stuck_contacts)
        closing = closing_paths(answer, failures)
        opening = [f for f in answer.failures if f.mode != SHORT]
        groups = [(f,) for f in (*closing[:15], *Random(seed).sample(opening, 15))]
        groups += [(groups[0][0], one) for (one,) in groups[1:8]]
        by_piece = late_outcomes_module._after(facts.network, answer, groups)
        each = late_outcomes_module._after(facts.network, answer, groups, each=True)
        for one, plain in zip(by_piece, each, strict=True):
            assert one.already == plain.already and one.zones == plain.zones
            for zone in plain.zones:
                carrying = {e for e, mask in plain.carrying.items() if mask >> zone[0] & 1}
                assert {e for e, mask in one.carrying.items() if mask >> zone[0] & 1} == carrying
        metal = MetalAfter(facts.network, answer.failures)
        shorts = [i for i, f in enumerate(answer.failures) if f.mode == SHORT]
        spared += sum(len(shorts) - len(metal.alike(group, shorts)) for group in groups)
    assert spared > 500
