"""What a converter takes at its input, and what it gives at its output, worked out by hand."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT
from tests.analysis.small_designs import SmallDesign, cruise, fails


def with_converter(isolated: bool = False, **fields: object) -> SmallDesign:
    """A converter of 5 V and 4 A on the bus, and a load of 10 W behind it."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.01 ohm",
    }
    made.add("feed", "breaker", rating="5 A")
    converter = {"output_voltage": "5 V", "rating": "4 A", "efficiency": "80 %", "isolated": isolated}
    made.add("converter", "converter", **{**converter, **fields})
    made.run("bus", [("feed.line", "feed.load")], "converter.input")
    for terminal in ("input-return", "output-return") if isolated else ("ground",):
        made.wire(f"converter.{terminal}", "ground")
    made.load(
        "unit", start="converter.output", type="electronic", nominal="5 V", current="2 A", minimum="4 V"
    )
    return made


@pytest.mark.parametrize("isolated", [False, True])
def test_the_input_takes_the_power_of_the_output_over_the_efficiency(isolated: bool) -> None:
    point = with_converter(isolated).facts().points.operating_point("cruise", None, ())
    assert point.across["parts/unit"] == pytest.approx(5.0, abs=2e-3)
    assert point.taken["parts/unit"] == pytest.approx(2.0, abs=2e-3)  # two amperes at its own five volts
    volts = point.volts["converter.input"]
    assert point.amps["parts/feed"] == pytest.approx(10.0 / 0.8 / volts, rel=5e-4)
    assert point.given["parts/battery"] == pytest.approx(point.amps["parts/feed"], rel=1e-6)


def test_it_limits_itself_at_its_rating() -> None:
    point = with_converter(rating="1 A").facts().points.operating_point("cruise", None, ())
    assert point.given["parts/converter"] == pytest.approx(1.0, abs=1e-6)
    assert point.across["parts/unit"] < 4.0


def test_it_lives_by_its_input_and_a_short_of_its_output_leaves_the_bus_alone() -> None:
    made = with_converter()
    made.load("lamp")
    facts = made.facts()
    answer = cruise(facts)
    opened = [fails(facts, element) for element in ("parts/converter", "parts/feed", "parts/battery")]
    assert {failure.mode for failure in opened} == {OPEN}
    ground = next(n for n, w in facts.design.wires.items() if w.from_ == "converter.ground")
    for failure in (*opened, fails(facts, f"wires/{ground}")):
        lane = answer.failures.index(failure)
        assert not answer.failed.powered["parts/unit"] >> lane & 1, failure
    lane = answer.failures.index(fails(facts, "parts/converter", SHORT, "converter.output"))
    assert not answer.failed.powered["parts/unit"] >> lane & 1
    assert answer.failed.powered["parts/lamp"] >> lane & 1
    lane = answer.failures.index(fails(facts, "parts/converter", SHORT, "converter.input"))
    assert not answer.failed.powered["parts/unit"] >> lane & 1
    assert answer.failed.powered["parts/lamp"] >> lane & 1  # its breaker opens


def test_the_battery_is_depended_on_through_the_converter() -> None:
    assert with_converter().facts().sources.depended_on == ("parts/battery",)
