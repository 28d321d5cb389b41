"""The generated circuits are what they are said to be, and the same on every machine."""

from __future__ import annotations

from collections import Counter
from random import Random

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.parts import PART_KINDS
from reviewer.model.resolved_states import resolved
from reviewer.rulebook.runner import run_rules
from tests.oracle.circuit import circuit_of
from tests.oracle.generator import awkward, random_cases, random_states, realistic
from tests.oracle.plain import solve, working
from tests.oracle.sound import sound
from tests.rule_cases import RULES


@pytest.mark.parametrize("parts", [120, 500, 2000])
def test_a_plausible_aircraft_has_about_that_many_parts_of_every_kind(parts: int) -> None:
    design = realistic(parts, 1)
    assert parts <= len(design.parts) <= parts + 30 and len(design.wires) > parts
    assert {part.kind for part in design.parts.values()} == set(PART_KINDS)
    assert design.operation is not None and 4 <= len(design.operation.states) <= 12


@pytest.mark.parametrize("seed", range(6))
def test_a_plausible_aircraft_settles_in_every_state_and_works_in_cruise(seed: int) -> None:
    design = realistic(120, seed)
    assert design == realistic(120, seed) != realistic(120, seed + 1)
    circuit = circuit_of(design)
    assert design.operation is not None
    states = resolved(design.operation)
    assert not any(solve(circuit, state).unsettled for state in states.values())
    cruise = solve(circuit, states["cruise"])
    # the starter alone stands still
    assert sum(not yes for yes in cruise.powered.values()) == 1 and all(
        working(design, cruise.powered).values()
    )
    assert cruise.alive["parts/alternator"] and not cruise.alive["parts/ground-socket"]
    assert not any(solve(circuit, states["parked"]).powered.values())


@pytest.mark.long
@pytest.mark.parametrize("seed", [0, 1, 6])
def test_a_sound_aircraft_has_no_finding_and_lacks_nothing(seed: int) -> None:
    design = sound(220, seed)
    assert 220 <= len(design.parts) <= 230 and len(design.wires) > 220
    assert design == sound(220, seed) != sound(220, seed + 1)
    done, _ = run_rules(list(RULES.values()), Facts(design))
    told = [what for one in done for what in (*one.findings, *one.gaps, *one.breakdowns)]
    assert not told, told[0]
    assert sum(one.examined > 0 for one in done) > 100


@pytest.mark.long
def test_awkward_circuits_are_small_and_hold_what_is_awkward() -> None:
    kinds: Counter[str] = Counter()
    for seed in range(200):
        design = awkward(seed)
        drawn = sum(part.kind != "mechanical" for part in design.parts.values())
        assert 8 <= drawn <= 25 and design == awkward(seed)
        kinds.update({part.kind for part in design.parts.values()})
        kinds.update({way.when for way in circuit_of(design).ways})
        assert not any(way.when == "at rest" for way in circuit_of(awkward(seed, breaks=False)).ways)
    assert set(kinds) >= set(PART_KINDS)
    assert (
        min(
            kinds[kind]
            for kind in (
                "relay",
                "contactor",
                "diode",
                "alternator",
                "external-power",
                "airframe",
                "at rest",
                "breaker-switch",
            )
        )
        >= 20
    )


def test_states_and_cases_are_the_same_for_the_same_seed() -> None:
    design = awkward(3)
    circuit = circuit_of(design)
    one, other = (random_states(design, Random(7), 3) for _ in range(2))
    assert one == other
    assert random_cases(design, circuit, one[0], Random(8), 50) == random_cases(
        design, circuit, one[0], Random(8), 50
    )
