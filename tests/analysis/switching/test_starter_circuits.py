"""Starters with welded contacts, against every setting of the switches solved by the plain evaluator."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from types import MappingProxyType

import pytest

from reviewer.analysis.conduction.switch_combinations import conduct_grid, grid_of
from reviewer.analysis.paths.reverse_feed import set_as
from reviewer.model import parts as p
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import HELD, Fault, solve
from tests.rule_cases import design, facts, text

RULE = "a-starter-with-welded-contacts-can-be-stopped"


@pytest.mark.parametrize(
    "case", ["met", "unmet", "a second contactor in the starter's own cable, switched by a toggle of its own"]
)
def test_a_starter_runs_on_where_the_plain_evaluator_finds_no_setting_that_stops_it(case: str) -> None:
    made = facts(text(design(RULE, case)))
    base = replace(made.states.answers()[0].state, engine="stopped")
    choices = {
        s: [at for at in made.design.parts[s].positions if at not in made.design.parts[s].momentary]
        for s in made.design.of_kind(p.Switch)
    }
    circuit, welded = circuit_of(made.design), [Fault("parts/starter-contactor", HELD)]
    runs = [
        solve(
            circuit, replace(base, switches=MappingProxyType(dict(zip(choices, at, strict=True)))), welded
        ).powered["parts/start-motor"]
        for at in product(*choices.values())
    ]
    found = made.switches.unstopped_starter("parts/start-motor")
    assert (found is not None) is all(runs)


def test_welded_contacts_conduct_in_every_combination_of_a_grid() -> None:
    made = facts(text(design(RULE, "unmet")))
    grid = grid_of(
        made.design, made.states.answers()[0].state, ["master", "start-button", "alternator-switch"]
    )
    assert grid is not None
    circuit, welded = circuit_of(made.design), "parts/starter-contactor"
    powered = conduct_grid(made.network, grid, welded=[welded]).powered
    for lane in range(grid.width):
        plain = solve(circuit, set_as(grid.base, grid.combination(lane)), [Fault(welded, HELD)])
        assert {e: bool(mask >> lane & 1) for e, mask in powered.items()} == plain.powered
