"""Loads that are off with nothing failed and that a failure gives power: with the volts that they need, with less, or with none
because the converter that feeds them has too few."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT
from reviewer.analysis.facts import Facts
from reviewer.questions.effects import Effect, effects_of
from reviewer.questions.fail import fail_of
from reviewer.questions.solve import solved_of
from reviewer.rulebook.single_point_rules import loss_words
from tests.analysis.cut_sets.test_pendant_loads import on_one_lead
from tests.analysis.small_designs import SmallDesign, fails

WEAK, STRONG = 8.0, 0.1
BATTERY = {"chemistry": "lead-acid", "capacity": "17 Ah", "internal-resistance": "0.01 ohm"}


def behind_a_blocking_diode(ohms: float, converter: bool, minimum: str | None = "10 V") -> Facts:
    """A lamp of 10 W behind a diode that blocks, in series with some ohms, fed itself or by a converter."""
    made = SmallDesign()
    made.parts["battery"] |= BATTERY
    made.add("diode", "diode", duty="isolation")
    made.add("second", "bus")
    made.run("bus", [("diode.cathode", "diode.anode")], "second")
    made.wires[f"W{len(made.wires)}"]["resistance"] = f"{ohms} ohm"
    if converter:
        made.add("converter", "converter", output_voltage="12 V", rating="4 A", efficiency="80 %")
        made.wire("second", "converter.input")
        made.wire("converter.ground", "ground")
    made.load(
        "lamp",
        start="converter.output" if converter else "second",
        type="lamp",
        nominal="12 V",
        current="0.8 A",
        **({"minimum": minimum} if minimum else {}),
    )
    made.function("cabin light", "lamp", loss="minor")
    return made.facts()


def effect_of_short(facts: Facts) -> Effect:
    (effect,) = fail_of(facts, "diode", "shorted").effects
    return effect


@pytest.mark.parametrize("converter", [False, True])
def test_with_its_volts_it_is_powered(converter: bool) -> None:
    facts = behind_a_blocking_diode(STRONG, converter)
    effect = effect_of_short(facts)
    assert effect.newly_powered == ("parts/lamp",) and not effect.low
    solved = facts.points.operating_point("cruise", None, (fails(facts, "parts/diode", DIODE_SHORT),))
    assert solved.across["parts/lamp"] > 10.0


def test_with_less_than_its_minimum_it_is_powered_and_low() -> None:
    facts = behind_a_blocking_diode(WEAK, converter=False)
    effect = effect_of_short(facts)
    assert effect.newly_powered == effect.low == ("parts/lamp",)
    solved = facts.points.operating_point("cruise", None, (fails(facts, "parts/diode", DIODE_SHORT),))
    assert 1.0 < solved.across["parts/lamp"] < 10.0


@pytest.mark.parametrize("minimum", ["10 V", None])
def test_behind_a_converter_with_too_few_volts_it_is_not(minimum: str | None) -> None:
    facts = behind_a_blocking_diode(WEAK, True, minimum)
    effect = effect_of_short(facts)
    assert not effect.newly_powered and not effect.low
    solved = facts.points.operating_point("cruise", None, (fails(facts, "parts/diode", DIODE_SHORT),))
    assert solved.across["parts/lamp"] == 0.0


def with_a_second_feed(ohms: float) -> Facts:
    """A lamp without a stated minimum behind a converter with two feeds, the second through some ohms."""
    made = SmallDesign()
    made.parts["battery"] |= BATTERY
    made.add("converter", "converter", output_voltage="12 V", rating="4 A", efficiency="80 %")
    made.run("bus", [made.protector("first")], "converter.input")
    made.run("bus", [made.protector("second", "fuse")], "converter.input")
    made.wires[f"W{len(made.wires)}"]["resistance"] = f"{ohms} ohm"
    made.wire("converter.ground", "ground")
    made.load("lamp", start="converter.output", type="lamp", nominal="12 V", current="0.8 A")
    made.function("attitude", "lamp", loss="hazardous")
    return made.facts()


@pytest.mark.parametrize(("ohms", "lost"), [(WEAK, True), (STRONG, False)])
def test_a_load_without_a_minimum_is_lost_with_the_converter_that_feeds_it(ohms: float, lost: bool) -> None:
    """Its rules, effects and volts say one thing."""
    facts = with_a_second_feed(ohms)
    (effect,) = fail_of(facts, "first", "open").effects
    volts = facts.points.operating_point("cruise", None, (effect.failure,)).across["parts/lamp"]
    assert (volts == 0.0) == ("parts/lamp" in effect.loads) == ("attitude" in dict(effect.functions)) == lost
    assert not effect.low
    points = [one for one in facts.failures.single_points["parts/first"] if effect.failure in one.failures]
    assert bool(points) == lost
    assert all("lamp has no volts" in loss_words(one) for one in points)


@pytest.mark.parametrize(("ohms", "drops"), [(400.0, True), (4.0, False)])
def test_a_contactor_whose_coil_is_left_with_too_few_volts_drops_out(ohms: float, drops: bool) -> None:
    """By hand: the coil of 70 ohm (0.2 A at 14 V) in series with 400 ohm has 1.9 V of 12.6, with 4 ohm 11.9 V; it drops out at 3 V."""
    made = SmallDesign()
    made.parts["battery"] |= BATTERY
    made.add(
        "contactor",
        "relay",
        coil=["plus", "minus"],
        contacts={"one": {"kind": "make", "joins": ["line", "load"]}},
        **{"coil-current": "0.2 A", "pickup-voltage": "9 V", "dropout-voltage": "3 V"},
    )
    made.wire("bus", "contactor.line")
    made.add("second-bus", "bus")
    made.wire("contactor.load", "second-bus")
    made.load("radio", start="second-bus", current="1 A", type="electronic", minimum="9 V")
    made.run("bus", [made.protector("first")], "contactor.plus")
    made.run("bus", [made.protector("second", "fuse")], "contactor.plus")
    made.wires[f"W{len(made.wires)}"]["resistance"] = f"{ohms} ohm"
    made.wire("contactor.minus", "ground")
    made.function("communication", "radio", loss="hazardous")
    facts = made.facts()
    (effect,) = fail_of(facts, "first", "open").effects
    assert effect.dropped_out == (("parts/contactor",) if drops else ())
    assert ("parts/radio" in effect.loads) == ("communication" in dict(effect.functions)) == drops
    (solved,) = solved_of(facts, "cruise", ["first=open"]).phases
    assert solved.point is not None
    assert (solved.point.across.get("parts/radio", 0.0) < 0.5) == drops
    points = [
        one for one in facts.failures.single_points.get("parts/first", ()) if effect.failure in one.failures
    ]
    assert bool(points) == drops


@pytest.mark.parametrize(("ohms", "drops"), [(100, True), (1, False)])
def test_a_contactor_whose_coil_lead_is_degraded_drops_out_if_it_has_too_few_volts(
    ohms: int, drops: bool
) -> None:
    """By hand: the coil of 28 ohm (0.5 A at 14 V) behind 100 ohm has 2.8 V of 12.6, behind 1 ohm 12.2 V; it drops out at 6 V."""
    facts = on_one_lead(0.05).facts(switches={"heat": "off"})
    (wire,) = (name for name, one in facts.design.wires.items() if one.to == "contactor.plus")
    (solved,) = solved_of(facts, "cruise", [f"{wire}=degraded:{ohms} ohm"]).phases
    assert solved.point is not None
    assert (solved.point.across.get("parts/radio", 0.0) < 0.5) == drops


def test_a_unit_that_one_failure_leaves_dead_and_another_low_runs_on_its_own_battery_after_both() -> None:
    made = SmallDesign()
    made.parts["battery"] |= BATTERY
    made.add(
        "unit",
        "instrument",
        supplies=["one", "two"],
        current="2 A",
        minimum="10 V",
        internal_battery="30 min",
    )
    made.run("bus", [made.protector("first")], "unit.one")
    made.run("bus", [made.protector("second", "fuse")], "unit.two")
    made.wires[f"W{len(made.wires)}"]["resistance"] = "3 ohm"
    made.wire("unit.return", "ground")
    facts, back = made.facts(), f"W{len(made.wires)}"
    (low,), (dead, *_) = fail_of(facts, "first", "open").effects, fail_of(facts, back, "open").effects
    assert low.low == ("parts/unit",) and dead.loads == ("parts/unit",)
    rows = {e.failure: e for e in effects_of(facts).effects}
    for effect in (low, dead):
        assert rows[effect.failure].on_own_battery == (("parts/unit", 1800.0),)
