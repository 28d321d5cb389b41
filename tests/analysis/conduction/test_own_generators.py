"""The generator of one unit, apart from all batteries."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.edits import edited
from tests.rule_cases import design, text

RULE, TRAP = (
    "critical-functions-do-not-rest-on-the-alternator-alone",
    "an ignition with a generator of its own never has a battery beside it",
)


@pytest.mark.parametrize(
    ("edits", "own"),
    [
        ({}, True),
        ({"wires/G3": {"from": "right-generator.output", "to": "main-bus.generator"}}, False),
        ({"wires/G3": {"from": "right-generator.output", "to": "audio-panel.supply"}}, False),
    ],
    ids=["one load", "the bus", "a load that the bus feeds too"],
)
def test_a_generator_of_a_units_own_meets_no_bus_and_no_battery(edits: dict, own: bool) -> None:
    found = Facts(read_text(text(edited(design(RULE, TRAP), edits)), "design.yaml"))
    generator = "parts/right-generator"
    assert (generator in found.states.own_generators) is own
    assert "parts/alternator" not in found.states.own_generators
    assert (generator not in found.states.generation) is own
    assert (generator not in found.endurance.alternators) is own
