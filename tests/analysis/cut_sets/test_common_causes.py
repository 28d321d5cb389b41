"""Common causes: what the elements at one place lose together, told by the plain evaluator as well."""

from __future__ import annotations

from functools import cache
from random import Random

import pytest

from reviewer.analysis.conduction.states import critical_functions
from reviewer.analysis.cut_sets.common_causes import common_losses
from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign
from tests.oracle.circuit import circuit_of
from tests.oracle.generator import realistic
from tests.oracle.plain import OPEN, SEVERED, Fault, solve, working


def lost_by_the_plain_answer(facts: Facts, state: str, places: dict[str, list[str]]) -> dict[str, set[str]]:
    """The critical functions that the wires of each place lose together and no failure among them loses alone."""
    design, setting = facts.design, facts.states.declared[state]
    circuit = circuit_of(design)
    healthy = solve(circuit, setting)

    @cache
    def works(*case: Fault) -> set[str]:
        answer = solve(circuit, setting, case, healthy) if case else healthy
        return {f for f, yes in working(design, answer.powered).items() if yes}

    def lost(wires: list[str]) -> set[str]:
        bundles = [b for b, own in circuit.bundles.items() if len(set(own) & set(wires)) > 1]
        gone = works() - works(*(Fault(w, OPEN) for w in wires))
        gone &= set(critical_functions(design)) - set(setting.without)
        for single in (*(Fault(w, OPEN) for w in wires), *(Fault(b, SEVERED) for b in bundles)):
            gone = gone and gone & works(single)
        return gone

    return {place: lost(wires) for place, wires in places.items()}


@pytest.mark.parametrize("seeds", [pytest.param(2, marks=pytest.mark.long)])
def test_what_is_lost_together_and_not_alone_is_what_the_plain_answer_says(seeds: int) -> None:
    seen = 0
    for seed in range(seeds):
        facts, chance = Facts(realistic(90, seed)), Random(seed)
        wires = [f"wires/{name}" for name in facts.design.wires]
        places = {str(i): chance.sample(wires, 12) for i in range(25)}
        for answer in facts.states.flight_answers():
            found: dict[str, set[str]] = {place: set() for place in places}
            for loss in common_losses(facts.design, facts.network, answer, places):
                found[loss.place].add(loss.function)
                seen += 1
            state = answer.state.name
            assert found == lost_by_the_plain_answer(facts, state, places), (seed, state)
    assert seen > 10 * seeds / 6


def two_channels() -> SmallDesign:
    made = SmallDesign()
    for name in ("left", "right"):
        made.load(name, made.protector(f"{name}-breaker"))
    made.function("fire", "left", "right")
    return made


def test_an_opening_has_the_wires_that_pass_it_and_says_which_channel_each_serves() -> None:
    made = two_channels()
    feeds = [name for name, wire in made.wires.items() if wire["to"].endswith(".supply")]
    for name in feeds:
        made.wires[name]["through"] = ["grommet"]
    failures = made.facts().failures
    assert failures.openings == {"grommet": tuple(f"wires/{name}" for name in feeds)}
    (loss,) = failures.common_openings["fire"]
    assert loss.channels == ((feeds[0], "left"), (feeds[1], "right"))


def test_a_zone_counts_where_the_file_gives_it_a_hazard() -> None:
    for hazards in ([], ["exhaust"]):
        made = two_channels()
        made.more["aircraft"] = {"zones": {"hot": {"hazards": hazards}}}
        feeds = [name for name, wire in made.wires.items() if wire["to"].endswith(".supply")]
        for name in feeds:
            made.wires[name]["zone"] = "hot"
        failures = made.facts().failures
        assert failures.exposed_zones == ({"hot": tuple(f"wires/{n}" for n in feeds)} if hazards else {})
        assert set(failures.common_zones) == ({"fire"} if hazards else set())


def test_a_zone_that_holds_the_units_of_all_channels_is_no_matter_of_routes() -> None:
    made = two_channels()
    made.more["aircraft"] = {"zones": {"hot": {"hazards": ["exhaust"]}}}
    for place in (*made.parts.values(), *made.wires.values()):
        place["zone"] = "hot"
    assert not made.facts().failures.common_zones
