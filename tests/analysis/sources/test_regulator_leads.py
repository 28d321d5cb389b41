"""What the loss of a lead of a regulator does that is a part of its own: by its type, in logic, in words and in volts."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.questions.effects import Effect
from reviewer.questions.fail import fail_of
from reviewer.reports.effects.words import local_effect
from tests.analysis.operating_point.bench import bench

ALTERNATOR = "set-point: 14.4 V, overvoltage-trip: 16.2 V}"
FIELD = "to: alternator.field, gauge: 20 AWG, length: 1.6 m}"


def apart(
    says: str = "without-sense: full-field, without-ground: full-field",
    trip: str = "16.2 V",
    *edits: tuple[str, str],
) -> Facts:
    """The bench with a regulator that stands apart: R1 its field, R2 and R3 its sense lead, R4 its ground."""
    return bench(
        (
            ALTERNATOR,
            f"overvoltage-trip: {trip}, field-current: 3 A}}\n"
            f"  keeper: {{kind: regulator, regulates: alternator, set-point: 14.4 V, {says}}}\n"
            "  keeper-fuse: {kind: fuse, rating: 2 A, label: SENSE}",
        ),
        (
            FIELD,
            "to: keeper.supply, gauge: 20 AWG, length: 1.6 m}\n"
            "  R1: {from: keeper.field, to: alternator.field, gauge: 20 AWG, length: 0.5 m}\n"
            "  R2: {from: main-bus.sense, to: keeper-fuse.line, gauge: 22 AWG, length: 0.1 m}\n"
            "  R3: {from: keeper-fuse.load, to: keeper.sense, gauge: 22 AWG, length: 1.6 m}\n"
            "  R4: {from: keeper.ground, to: engine.keeper, gauge: 18 AWG, length: 0.3 m}",
        ),
        *edits,
    )


def effect(facts: Facts, element: str, mode: str = "open") -> Effect:
    (found,) = fail_of(facts, element, mode, "cruise").effects
    return found


LEADS = ["R2", "keeper-fuse", "R3", "R4"]


@pytest.mark.parametrize("lead", LEADS)
def test_full_field_ends_in_the_trip_and_takes_the_alternator(lead: str) -> None:
    found = effect(apart(), lead)
    assert found.sources == ("parts/alternator",) and not found.nothing
    assert local_effect(found).startswith(
        "keeper drives alternator to full field, overvoltage until it trips at 16.2 V; alternator is lost"
    )


@pytest.mark.parametrize("lead", LEADS)
def test_without_a_trip_full_field_goes_on_and_is_no_failure_without_effect(lead: str) -> None:
    facts = apart(trip="none")
    found = effect(facts, lead)
    assert found.sources == () and not found.nothing
    assert local_effect(found) == "keeper drives alternator to full field, overvoltage that nothing stops"
    failed = facts.points.operating_point(
        "cruise", case=(Failure(f"{'wires' if lead[0] == 'R' else 'parts'}/{lead}", OPEN),)
    )
    assert failed.given["parts/alternator"] > 0
    assert failed.volts["alternator.output"] - failed.volts["alternator.ground"] > 20
    assert any("nothing regulates" in a.what for a in failed.assumed)


@pytest.mark.parametrize("lead", LEADS)
def test_a_regulator_that_turns_the_field_off_only_loses_the_alternator(lead: str) -> None:
    found = effect(apart("without-sense: no-output, without-ground: no-output", "none"), lead)
    assert found.sources == ("parts/alternator",) and found.full_field == ()
    assert "overvoltage" not in local_effect(found)


def test_what_is_not_stated_is_said_to_be_open() -> None:
    facts = apart("without-ground: no-output")
    assert local_effect(effect(facts, "R3")).startswith(
        "overvoltage of alternator or its loss: `without-sense` of keeper not stated"
    )
    assert effect(facts, "R4").full_field == ()
    with pytest.raises(NotAssessable, match="`without-sense` of keeper"):
        facts.sources.uncontrolled_leads("parts/keeper")


def test_a_sense_lead_shorted_to_ground_is_a_lost_one() -> None:
    found = effect(apart(trip="none"), "R3", "shorted-to-ground")
    assert found.protection == ("parts/keeper-fuse",)
    assert [one.alternator for one in found.full_field] == ["alternator"]


@pytest.mark.parametrize("element", ["W12", "R1", "keeper", "field-breaker", "alternator-switch"])
def test_without_its_field_there_is_no_overvoltage(element: str) -> None:
    found = effect(apart(trip="none"), element)
    assert found.sources == ("parts/alternator",) and found.full_field == ()


def test_a_regulator_of_the_alternators_own_has_no_leads() -> None:
    for element in ("W11", "W12", "W13"):
        assert effect(bench(), element).full_field == ()


def test_an_alternator_that_is_off_is_not_driven_to_full_field() -> None:
    facts = apart(trip="none")
    (found,) = fail_of(facts, "R3", "open", "alternator-off").effects
    assert found.nothing


def test_the_elements_of_an_uncontrolled_lead_are_those_whose_failure_takes_it() -> None:
    sense, ground = apart(trip="none").sources.uncontrolled_leads("parts/keeper")
    assert (sense.key, set(sense.elements)) == (
        "without-sense",
        {"parts/keeper-fuse", "wires/R2", "wires/R3"},
    )
    assert (ground.key, set(ground.elements)) == ("without-ground", {"wires/R4"})
    assert apart().sources.uncontrolled_leads("parts/keeper") == ()


def test_the_field_draws_on_through_the_regulator_when_the_drive_is_lost() -> None:
    """A broken belt leaves the field on: the regulator sees low volts and gives all of it."""
    facts = apart()
    point = facts.points.operating_point("cruise", None, (Failure("parts/alternator", OPEN),))
    volts = point.volts["alternator.field"] - point.volts["alternator.ground"]
    assert point.amps["wires/R1"] == pytest.approx(3 * volts / 14, rel=1e-3)
    assert point.amps["wires/W12"] == pytest.approx(point.amps["wires/R1"], rel=1e-6)


def test_a_short_at_the_field_terminal_opens_the_field_breaker() -> None:
    facts = apart()
    (found,) = (
        e
        for e in fail_of(facts, "keeper", "shorted-to-ground", "cruise").effects
        if "keeper.field" in e.words
    )
    assert found.protection == ("parts/field-breaker",) and found.sources == ("parts/alternator",)
    assert found.failure.mode == SHORT


@pytest.mark.parametrize("case", ["", ", mounted-on: engine.case"])
def test_the_field_switch_carries_the_field_through_a_regulator_wired_or_bolted_down(case: str) -> None:
    facts = apart("without-sense: no-output, without-ground: no-output" + case)
    (need,) = (
        need
        for where, _, need in facts.switches.contact_uses
        if need.use.element == "parts/alternator-switch" and where == "cruise"
    )
    assert [one.element for one in need.use.through] == ["parts/alternator"]
    assert need.use.through[0].share == pytest.approx(1.0)
    assert need.use.amperes == pytest.approx(3 * 14.4 / 14, rel=0.06)


def test_a_regulator_fails_full_on_and_its_trip_or_nothing_ends_it() -> None:
    tripped = effect(apart(), "keeper", "failed-full-on")
    assert local_effect(tripped) == (
        "keeper drives alternator to full field, overvoltage until it trips at 16.2 V; "
        "alternator is lost; no longer charged: main-battery, reserve-battery"
    )
    facts = apart(trip="none")
    free = effect(facts, "keeper", "failed-full-on")
    assert local_effect(free) == "keeper drives alternator to full field, overvoltage that nothing stops"
    point = facts.points.operating_point("cruise", case=(free.failure,))
    assert point.volts["alternator.output"] - point.volts["alternator.ground"] > 20
    says = "without-sense: no-output, without-ground: no-output, overvoltage-trip: 15.5 V"
    inside = effect(apart(says, "none"), "keeper", "failed-full-on")
    assert inside.sources == ("parts/alternator",) and inside.full_field[0].trip == 15.5
    (off,) = fail_of(facts, "keeper", "failed-full-on", "alternator-off").effects
    assert off.nothing


OFF = "without-sense: no-output, without-ground: no-output"
ON_BATTERY = ("R2: {from: main-bus.sense,", "R2: {from: main-battery.positive,")


@pytest.mark.parametrize("element", ["main-contactor", "W4", "W8"])
def test_a_sense_lead_that_only_the_battery_feeds_drives_the_field_full_on_whatever_its_loss_does(
    element: str,
) -> None:
    """The battery holds what is sensed at 12.7 V or so, below the set point of 14.4 V."""
    tripped = effect(apart(OFF, "16.2 V", ON_BATTERY), element)
    assert tripped.sources == ("parts/alternator",)
    assert local_effect(tripped).startswith(
        "keeper drives alternator to full field, overvoltage until it trips at 16.2 V; alternator is lost"
    )
    if element != "W8":  # behind W8 the field is fed from the battery's bus
        free = effect(apart(OFF, "none", ON_BATTERY), element)
        assert free.sources == ()
        assert local_effect(free).startswith(
            "keeper drives alternator to full field, overvoltage that nothing stops"
        )


@pytest.mark.parametrize("element", ["main-contactor", "W4"])
def test_a_sense_lead_on_the_bus_of_the_alternator_goes_on_holding_it_without_the_battery(
    element: str,
) -> None:
    for trip in ("none", "16.2 V"):
        facts = apart(OFF, trip)
        found = effect(facts, element)
        assert found.full_field == () and found.sources == ()
    point = facts.points.operating_point("cruise", case=(found.failure,))
    assert point.volts["main-bus"] - point.volts["alternator.ground"] == pytest.approx(14.4, abs=0.05)


def test_a_trip_inside_the_regulator_senses_the_battery_too_and_stops_nothing() -> None:
    facts = apart(OFF + ", overvoltage-trip: 16 V", "none", ON_BATTERY)
    found = effect(facts, "main-contactor")
    assert found.sources == () and found.full_field[0].trip == "none"
    point = facts.points.operating_point("cruise", case=(found.failure,))
    assert point.volts["main-bus"] - point.volts["alternator.ground"] > 20
    (sense,) = facts.sources.uncontrolled_leads("parts/keeper")
    assert (sense.key, sense.state) == ("senses", "cruise")
    assert {"parts/main-contactor", "wires/W3", "wires/W5", "parts/master"} <= set(sense.elements)
    assert not {"wires/W8", "parts/alternator-limiter", "wires/R2", "parts/main-bus"} & set(sense.elements)


def test_a_state_whose_switches_part_the_sense_lead_from_the_alternator_is_named() -> None:
    apart_in = (
        "    parked: {",
        "    no-battery: {like: cruise, use: abnormal, switches: {master: down}}\n    parked: {",
    )
    field = ("W11: {from: main-bus.field,", "W11: {from: main-battery.positive,")
    failed, switched = apart(OFF, "none", ON_BATTERY, field, apart_in).sources.uncontrolled_leads(
        "parts/keeper"
    )
    assert (failed.state, switched.state, switched.elements) == ("cruise", "no-battery", ())
    assert apart(OFF, "none", field, apart_in).sources.uncontrolled_leads("parts/keeper") == ()
    assert apart(OFF, "16.2 V", ON_BATTERY, field, apart_in).sources.uncontrolled_leads("parts/keeper") == ()


def test_a_trip_inside_a_regulator_that_loses_a_lead_is_named_and_not_counted_on() -> None:
    says = "without-sense: full-field, without-ground: full-field, overvoltage-trip: 15.5 V"
    inside = "the trip inside keeper, 15.5 V, loses the same lead"
    none = local_effect(effect(apart(says, "none"), "R3"))
    assert none.endswith(f"overvoltage that nothing stops: {inside}")
    open_ = local_effect(effect(apart(says, "none", ("overvoltage-trip: none, ", "")), "R3"))
    assert f"({inside}; whether alternator has another `overvoltage-trip` is not stated)" in open_
    # one apart from the regulator ends it
    assert "until it trips at 16.2 V" in local_effect(effect(apart(says), "R3"))
