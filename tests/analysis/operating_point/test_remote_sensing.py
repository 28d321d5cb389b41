"""Where a regulator senses, and what a regulator that fails full on does."""

from __future__ import annotations

import numpy as np
import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.points import Figures, solve_points
from tests.analysis.operating_point.bench import bench
from tests.analysis.sources.test_regulator_leads import apart

SENSES_FIELD = ("set-point: 14.4 V", "set-point: 14.4 V, field-current: 3 A, regulator-senses: field")
#: W11, W12 and W13 are 2.1 m of 20 AWG: AC 43.13-1B Table 11-9, 9.88 ohm for 1000 ft at 20 C
WIRES_OHM = 9.88e-3 / 0.3048 * 2.1


def volts(point, terminal: str) -> float:
    return point.volts[terminal] - point.volts["alternator.ground"]


def test_a_regulator_that_senses_the_feed_of_its_field_holds_that_feed_and_raises_the_bus_by_what_the_feed_drops() -> (
    None
):
    own, field = (
        bench().points.operating_point("cruise"),
        bench(SENSES_FIELD).points.operating_point("cruise"),
    )
    assert volts(own, "alternator.output") == pytest.approx(14.4, abs=0.01)
    assert volts(field, "alternator.field") == pytest.approx(14.4, abs=0.01)
    rise = volts(field, "main-bus") - volts(field, "alternator.field")
    amps = field.amps["wires/W12"]
    assert amps == pytest.approx(3 * 14.4 / 14, rel=1e-3)  # a resistance that takes 3 A at 14 V
    breaker_and_switch = 0.15 / 5 + 0.010
    assert rise == pytest.approx(amps * (WIRES_OHM + breaker_and_switch), rel=0.02)
    assert volts(field, "main-bus") > volts(own, "main-bus") + 0.8 * rise


def test_a_worn_joint_in_the_feed_of_the_field_raises_the_bus() -> None:
    """Common practice, no source: half an ohm in an old switch is a volt and more of over-charge."""
    worn = ("alternator-switch: {kind: switch,", "alternator-switch: {kind: switch, resistance: 0.5 ohm,")
    new, old = (
        bench(SENSES_FIELD).points.operating_point("cruise"),
        bench(SENSES_FIELD, worn).points.operating_point("cruise"),
    )
    assert volts(old, "main-bus") - volts(new, "main-bus") == pytest.approx(0.49 * 3 * 14.4 / 14, rel=0.02)


def test_a_lost_sense_lead_fails_low() -> None:
    point = bench(SENSES_FIELD).points.operating_point("cruise", case=(Failure("wires/W12", OPEN),))
    assert point.given["parts/alternator"] == 0
    assert volts(point, "main-bus") < 12.8


def test_many_points_with_a_sense_lead_are_those_that_are_solved_one_by_one() -> None:
    facts = bench(SENSES_FIELD)
    charges = np.array([0.2, 0.6, 1.0])
    many = facts.points.operating_points(
        "cruise", Figures(state_of_charge={"parts/main-battery": charges}), 3
    )
    for i, charge in enumerate(charges):
        one = facts.points.operating_points(
            "cruise", Figures(state_of_charge={"parts/main-battery": float(charge)}), 1
        )
        assert many.volts("main-bus")[i] == pytest.approx(one.volts("main-bus")[0], abs=1e-6)
        assert many.volts("alternator.field")[i] - many.volts("alternator.ground")[i] == pytest.approx(
            14.4, abs=0.01
        )


def test_a_runaway_goes_up_to_the_voltage_that_stops_it_or_to_what_loads_and_batteries_take_at_its_current_limit() -> (
    None
):
    facts = bench(SENSES_FIELD)
    trip = facts.points.operating_points("cruise", Figures(failed_full_on={"parts/alternator": 16.2}), 1)
    assert trip.volts("alternator.output")[0] - trip.volts("alternator.ground")[0] == pytest.approx(
        16.2, abs=0.01
    )
    free = facts.points.operating_points("cruise", Figures(failed_full_on={"parts/alternator": 80.0}), 1)
    out = free.volts("alternator.output")[0] - free.volts("alternator.ground")[0]
    assert free.amps("parts/alternator")[0] == pytest.approx(60, abs=0.01) or out == pytest.approx(
        80, abs=0.01
    )
    assert out > 20
    sources = sum(free.amps(f"parts/{n}")[0] for n in ("alternator", "main-battery", "reserve-battery"))
    used = sum(free.amps(f"parts/{n}")[0] for n in ("left-ignition", "right-ignition", "audio-panel"))
    assert sources - used == pytest.approx(
        (3 + 0.9) * out / 14, rel=0.05
    )  # the field and the coil of the contactor, resistances


def test_two_alternators_that_each_sense_their_own_field_both_hold_it() -> None:
    second = (
        ("  reserve-ground: {", "  second: {kind: alternator, rating: 40 A, set-point: 14.4 V, field-current: 2 A, regulator-senses: field}\n  reserve-ground: {"),
        ("  W11: {", "  S1: {from: second.output, to: main-bus.second, gauge: 8 AWG, length: 0.3 m}\n"
         "  S2: {from: second.ground, to: engine.second, gauge: 8 AWG, length: 0.2 m}\n"
         "  S3: {from: main-bus.second-field, to: second.field, gauge: 22 AWG, length: 1 m}\n  W11: {"),
        ("    current: 0.5 A", "    current: 3 A"),
    )  # fmt: skip
    point = bench(SENSES_FIELD, *second).points.operating_point("cruise")
    held = {
        name: point.volts[f"{name}.field"] - point.volts[f"{name}.ground"]
        for name in ("alternator", "second")
    }
    given = {name: point.given[f"parts/{name}"] for name in held}
    for name, volts_held in held.items():
        assert volts_held == pytest.approx(14.4, abs=0.01) or (
            given[name] == pytest.approx(0, abs=1e-3) and volts_held > 14.4
        ), (held, given)
    assert any(volts_held == pytest.approx(14.4, abs=0.01) for volts_held in held.values())
    assert point.balance < 1e-6


def test_a_sense_lead_of_its_own_holds_the_bus_and_the_output_has_what_the_output_lead_drops_more() -> None:
    facts = apart()
    point = facts.points.operating_point("cruise")
    assert point.volts["keeper.sense"] - point.volts["keeper.ground"] == pytest.approx(14.4, abs=0.01)
    assert point.volts["keeper.sense"] == pytest.approx(
        point.volts["main-bus"], abs=1e-6
    )  # it carries nothing
    rise = volts(point, "alternator.output") - 14.4
    amps = point.given["parts/alternator"]
    assert amps > 5 and rise > 0.02
    low = point.volts["keeper.ground"] - point.volts["alternator.ground"]
    assert rise == pytest.approx(point.volts["alternator.output"] - point.volts["main-bus"] + low, abs=0.01)


def test_a_worn_field_switch_does_nothing_to_a_regulator_with_a_sense_lead_and_raises_one_that_senses_its_supply() -> (
    None
):
    worn = ("alternator-switch: {kind: switch,", "alternator-switch: {kind: switch, resistance: 0.5 ohm,")
    sense = "without-sense: no-output, without-ground: no-output"
    for says, rises in ((sense, 0.0), (f"senses: supply, {sense}", 0.49 * 3 * 14.4 / 14)):
        edits = (
            ()
            if rises == 0.0
            else (
                (
                    "  R3: {from: keeper-fuse.load, to: keeper.sense,",
                    "  R3: {from: keeper-fuse.load, to: main-bus.again,",
                ),
            )
        )
        new = apart(says, "16.2 V", *edits).points.operating_point("cruise")
        old = apart(says, "16.2 V", *edits, worn).points.operating_point("cruise")
        assert volts(old, "main-bus") - volts(new, "main-bus") == pytest.approx(rises, rel=0.05, abs=2e-3)


@pytest.mark.parametrize("where", ["field", "sense", "output"])
def test_a_trip_acts_at_the_point_that_is_sensed_and_the_output_overshoots_by_the_drop(where: str) -> None:
    made = {
        "field": lambda: bench(SENSES_FIELD),
        "sense": apart,
        "output": bench,
    }[where]
    facts = made()
    ends = facts.sources.ceiling("parts/alternator")
    assert ends.volts == 16.2 and ends.sensed
    points = facts.points.operating_points("cruise", Figures(tripping={"parts/alternator": 16.2}), 1)
    plus, minus = {
        "field": ("alternator.field", "alternator.ground"),
        "sense": ("keeper.sense", "keeper.ground"),
        "output": ("alternator.output", "alternator.ground"),
    }[where]
    assert points.volts(plus)[0] - points.volts(minus)[0] == pytest.approx(16.2, abs=0.01)
    full = {f"parts/{n}": 1.0 for n in ("main-battery", "reserve-battery")}
    solved = facts.points.operating_points(
        "cruise", Figures(tripping={"parts/alternator": 16.2}, state_of_charge=full), 1
    )
    over = solved.volts("alternator.output")[0] - solved.volts("alternator.ground")[0]
    over -= solved.volts(plus)[0] - solved.volts(minus)[0]
    assert facts.sources.overshoot("parts/alternator", ends) == pytest.approx(over, abs=1e-5)
    assert over > 0.02 if where != "output" else over == 0.0


@pytest.mark.parametrize("opened", ["wires/W7", "wires/W8", "parts/alternator-limiter"])
def test_an_open_output_lead_leaves_the_sensed_feed_to_the_battery_and_the_output_free(opened: str) -> None:
    """What the regulator senses is the battery's voltage whatever it does: it drives the field full on,
    until the trip stops it where there is one."""
    case = (Failure(opened, OPEN),)
    tripping, free = bench(SENSES_FIELD), bench(SENSES_FIELD, ("16.2 V", "none"))
    stopped = tripping.points.operating_point("cruise", case=case)
    assert "alternator.output" not in stopped.volts and stopped.given["parts/alternator"] == 0
    assert volts(stopped, "main-bus") < 12.8
    point = free.points.operating_point("cruise", case=case)
    assert volts(point, "alternator.output") == pytest.approx(79.0, rel=1e-6)
    assert point.given["parts/alternator"] == pytest.approx(0, abs=1e-6)
    assert volts(point, "main-bus") < 12.8
    for facts, most in ((tripping, None), (free, 79.0)):
        answer = facts.states.answer("cruise")
        cases = (case, (Failure("wires/W1", OPEN),))
        solved = conduct(facts.network, answer.state, cases, answer.healthy)
        scenario = Scenario(answer.state, solved, cases=cases)
        lanes = solve_points(facts.design, facts.network, scenario, None, 1)
        assert not lanes.unsolved
        if most is None:
            assert not solved.alive["parts/alternator"] & 1
        else:
            assert lanes.across("parts/alternator")[0] == pytest.approx(most, rel=1e-6)
        assert lanes.across("parts/alternator")[1] < 15
    own = bench().points.operating_point("cruise", case=case)
    assert volts(own, "alternator.output") == pytest.approx(14.4, abs=0.01)
    assert own.volts["main-bus"] == pytest.approx(stopped.volts["main-bus"], abs=0.05)
