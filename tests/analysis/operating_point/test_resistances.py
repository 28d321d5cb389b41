"""The resistance of each link: from the file, from a table, or typical."""

from __future__ import annotations

import pytest

from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.resistances import Wiring, resistor
from reviewer.model.quantities import FOOT_M
from tests.analysis.operating_point.bench import bench
from tests.analysis.sources.test_regulator_leads import apart

W23 = "W23: {from: left-ignition.return, to: main-ground.left, gauge: 18 AWG, length: 0.6 m, bundle: left}"


def of(element: str, *edits: tuple[str, str]) -> tuple[float, Assumptions]:
    facts, assumptions = bench(*edits), Assumptions()
    link = facts.network.links[facts.network.links_of[element][0]]
    return resistor(facts.design, link, assumptions).ohms, assumptions


def test_a_wire_has_the_ohms_of_table_11_9_unless_the_file_says_them() -> None:
    assert of("wires/W23")[0] == pytest.approx(6.23 * 0.6 / (1000 * FOOT_M))
    assert of("wires/W23", (W23, W23[:-1] + ", resistance: 0.02 ohm}"))[0] == 0.02


def test_a_wire_without_a_length_is_an_ideal_joint_and_says_what_is_missing() -> None:
    ohms, assumptions = of("wires/W23", (W23, W23.replace(", length: 0.6 m", "")))
    assert (ohms, assumptions.unsized) == (0, {"wires/W23": "`length`"})


def test_a_breaker_drops_150_mv_at_its_rating() -> None:
    ohms, assumptions = of("parts/field-breaker")
    assert ohms == pytest.approx(0.15 / 5) and [a.elements for a in assumptions.assumed()] == [
        ("parts/field-breaker",)
    ]


def test_a_resistor_is_made_once_and_its_assumptions_are_told_each_time() -> None:
    facts = bench()
    wiring, link = Wiring(facts.design, facts.network), facts.network.links_of["parts/field-breaker"][0]
    first, second = Assumptions(), Assumptions()
    assert wiring.resistor(link, first) is wiring.resistor(link, second)
    assert first.used == second.used and first.used


def test_a_regulator_has_a_resistance_to_the_field_and_its_case_that_of_a_ring_terminal() -> None:
    facts = apart("mounted-on: engine.case")
    through, case = (
        resistor(facts.design, facts.network.links[i], Assumptions())
        for i in facts.network.links_of["parts/keeper"]
    )
    assert through.ohms == pytest.approx(0.1) and case.ohms == pytest.approx(0.0002)
