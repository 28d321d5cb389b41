"""The plain evaluator by eye: circuits so small that a person sees the answer, one for each rule of its definition."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import pytest

from reviewer.model.resolved_states import SneakCurrent, resolved
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import (
    DROPPED,
    FULL_ON,
    HELD,
    OPEN,
    SEVERED,
    SHORT,
    STAYS,
    THROUGH,
    Answer,
    Fault,
    solve,
)
from tests.oracle.workbench import Workbench


def bench(airframe: str = "composite") -> Workbench:
    """A battery with a bar on its positive and a ground block on its negative."""
    made = Workbench(Random(0), airframe)
    made.add("battery", "battery")
    made.add("bar", "bus")
    made.add("ground", "ground-block")
    made.wire("battery.positive", "bar")
    made.wire("battery.negative", "ground")
    return made


def lamp(
    made: Workbench, name: str, chain: list[tuple[str, str]], start: str = "bar", end: str = "ground"
) -> None:
    made.add(name, "load")
    made.run(start, chain, f"{name}.supply")
    made.wire(f"{name}.return", end)


def answer(made: Workbench, *case: Fault, **state: Any) -> Answer:
    made.states["on"] = {
        "engine": "running",
        "switches": made.turned(),
        **{k.replace("_", "-"): v for k, v in state.items()},
    }
    design = made.design("bench")
    assert design.operation is not None
    circuit, setting = circuit_of(design), resolved(design.operation)["on"]
    healthy = solve(circuit, setting)
    return solve(circuit, setting, case, healthy) if case else healthy


def lit(found: Answer) -> set[str]:
    assert not found.unsettled
    return {element.removeprefix("parts/") for element, yes in found.powered.items() if yes}


def test_a_lamp_shines_until_its_wire_its_breaker_or_itself_is_open() -> None:
    made = bench()
    lamp(made, "lamp", [made.protector("breaker")])
    lamp(made, "other", [])
    assert lit(answer(made)) == {"lamp", "other"}
    for element in ("wires/W3", "wires/W4", "wires/W5", "parts/breaker", "parts/lamp"):
        assert lit(answer(made, Fault(element, OPEN))) == {"other"}
    for element in ("parts/battery", "parts/bar", "parts/ground", "wires/W1"):
        assert lit(answer(made, Fault(element, OPEN))) == set()
    assert lit(answer(made, pulled=["breaker"])) == {"other"}


def test_a_short_takes_its_line_and_the_breaker_saves_the_rest() -> None:
    made = bench()
    lamp(made, "lamp", [made.protector("breaker")])
    lamp(made, "other", [made.protector("second")])
    short = answer(made, Fault("parts/lamp", SHORT, ("lamp.supply",)))
    assert lit(short) == {"other"} and short.dead == {"lamp.supply", "breaker.load"}
    late = answer(made, Fault("parts/lamp", SHORT, ("lamp.supply",), passes=frozenset({"parts/breaker"})))
    assert (
        lit(late) == set()
        and not late.alive["parts/battery"]
        and "second.line" in late.dead
        and "second.load" not in late.dead
    )


def test_a_short_on_a_return_that_is_switched_runs_the_load() -> None:
    made = bench()
    made.add("pump", "load")
    made.add("switch", "switch", positions={"off": [], "on": [["line", "load"]]})
    made.wire("bar.9", "pump.supply")
    made.wire("pump.return", "switch.line")
    made.wire("switch.load", "ground.9")
    off = {"switch": "off"}
    assert lit(answer(made, switches=off)) == set()
    assert lit(answer(made, Fault("parts/switch", SHORT, ("switch.line",)), switches=off)) == {"pump"}
    assert lit(answer(made, Fault("parts/ground", SHORT, ("ground",)), switches=off)) == set()


def test_a_welded_contact_that_leads_to_ground_takes_its_line_like_a_short() -> None:
    made = bench()
    lamp(made, "lamp", [made.protector("breaker")])
    lamp(made, "other", [])
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts={"one": {"kind": "make", "joins": ["a", "b"]}}
    )
    made.wire("lamp.supply", "relay.a")
    made.wire("relay.b", "ground")
    assert lit(answer(made)) == {"lamp", "other"}
    assert lit(answer(made, Fault("parts/relay", HELD, ("relay.a",)))) == {"other"}
    assert lit(answer(made, Fault("parts/relay", HELD))) == {"lamp", "other"}


def test_a_part_both_open_and_shorted_counts_as_shorted() -> None:
    made = bench()
    lamp(made, "lamp", [])
    both = answer(made, Fault("parts/bar", OPEN), Fault("parts/bar", SHORT, ("bar",)))
    assert (
        both.dead >= {"bar", "bar.1", "battery.positive", "lamp.supply"} and not both.alive["parts/battery"]
    )


def test_feed_from_one_source_and_return_to_another_is_no_power() -> None:
    made = bench()
    made.add("second", "battery")
    made.add("apart", "ground-block")
    made.wire("second.negative", "apart")
    lamp(made, "lamp", [], end="apart")
    assert lit(answer(made)) == set()
    made.wire("second.positive", "bar")
    assert lit(answer(made)) == {"lamp"}


def test_a_diode_conducts_one_way_and_when_shorted_both_ways() -> None:
    made = bench()
    made.add("diode", "diode")
    lamp(made, "lamp", [("diode.cathode", "diode.anode")])
    assert lit(answer(made)) == set()
    assert lit(answer(made, Fault("parts/diode", THROUGH))) == {"lamp"}


def relay(made: Workbench, contacts: dict[str, Any]) -> None:
    made.add("relay", "relay", coil=["plus", "minus"], contacts=contacts)
    made.run("bar", [made.switch("switch")], "relay.plus")
    made.wire("relay.minus", "ground")


def test_contacts_follow_the_coil_or_stick() -> None:
    made = bench()
    relay(
        made,
        {"both": {"kind": "changeover", "common": "common", "de-energised": "rest", "energised": "drawn"}},
    )
    made.wire("bar", "relay.common")
    lamp(made, "resting", [], start="relay.rest")
    lamp(made, "drawn", [], start="relay.drawn")
    assert lit(answer(made)) == {"drawn"}
    stays = answer(made, Fault("parts/switch", STAYS, position="off"))
    assert lit(stays) == {"resting"} and not stays.energised["parts/relay"]
    stuck = answer(made, Fault("parts/relay", DROPPED))
    assert lit(stuck) == {"resting"} and stuck.energised["parts/relay"]
    assert lit(answer(made, Fault("parts/switch", OPEN), Fault("parts/relay", HELD))) == {"drawn"}
    assert lit(answer(made, Fault("parts/relay", OPEN))) == set()


def test_a_relay_that_holds_itself_stays_in_when_what_started_it_fails() -> None:
    made = bench()
    relay(made, {"hold": {"kind": "make", "joins": ["line", "plus"]}})
    made.wire("bar", "relay.line")
    lamp(made, "lamp", [], start="relay.plus")
    assert lit(answer(made, Fault("parts/switch", OPEN))) == {"lamp"}
    assert lit(answer(made, switches={"switch": "off"})) == set()


def test_a_relay_fed_through_its_own_break_contact_never_settles() -> None:
    made = bench()
    made.add(
        "relay",
        "relay",
        coil=["plus", "minus"],
        contacts={"own": {"kind": "break", "joins": ["line", "plus"]}},
    )
    made.wire("bar", "relay.line")
    made.wire("relay.minus", "ground")
    assert answer(made).unsettled
    assert not answer(made, Fault("wires/W3", OPEN)).unsettled


def test_what_was_dead_once_stays_dead_when_a_relay_lets_go() -> None:
    """The short draws the battery down through the relay's own contact; the contact opens then, and the bar does not come back."""
    made = bench()
    relay(made, {"main": {"kind": "make", "joins": ["line", "load"]}})
    made.wire("bar", "relay.line")
    lamp(made, "lamp", [], start="relay.load")
    lamp(made, "other", [])
    short = answer(made, Fault("parts/lamp", SHORT, ("lamp.supply",)))
    assert lit(short) == set() and not short.energised["parts/relay"] and "bar" in short.dead


def test_an_alternator_holds_its_own_field_and_dies_without_it_or_the_engine() -> None:
    made = bench()
    made.add("alternator", "alternator")
    made.wire("alternator.output", "bar")
    made.wire("alternator.ground", "ground")
    made.wire("bar", "alternator.field")
    lamp(made, "lamp", [])
    assert answer(made).alive == {"parts/battery": True, "parts/alternator": True}
    assert lit(answer(made, Fault("parts/battery", OPEN))) == {"lamp"}
    assert not answer(made, Fault("wires/W5", OPEN)).alive["parts/alternator"]
    assert not answer(made, engine="cranking").alive["parts/alternator"]


def test_ground_power_lives_when_connected() -> None:
    made = Workbench(Random(0), "composite")
    made.add("socket", "external-power")
    lamp(made, "lamp", [], start="socket.positive", end="socket.negative")
    assert lit(answer(made)) == set() and lit(answer(made, external_power="connected")) == {"lamp"}


def test_a_charger_lives_in_the_states_that_list_it() -> None:
    made = Workbench(Random(0), "composite")
    made.add("sun", "charger", **{"from": "solar"})
    lamp(made, "lamp", [], start="sun.positive", end="sun.negative")
    assert lit(answer(made)) == set() and lit(answer(made, chargers=["sun"])) == {"lamp"}


def test_a_charger_that_a_bus_feeds_lives_by_its_input_and_not_by_itself() -> None:
    made = bench()
    made.add("charger", "charger", **{"from": "another-bus"})
    made.add("other", "bus")
    made.wire("bar", "charger.input")
    made.wire("charger.input-return", "ground")
    made.wire("charger.positive", "other")
    made.wire("charger.negative", "ground")
    lamp(made, "lamp", [], start="other")
    assert lit(answer(made)) == {"lamp"}
    assert lit(answer(made, Fault("parts/battery", OPEN))) == set()
    assert lit(answer(made, Fault("parts/charger", OPEN))) == set()
    assert lit(answer(made, Fault("wires/W4", OPEN))) == set()
    made.wire("other", "bar")  # its output now feeds its input
    assert lit(answer(made)) == {"lamp"}
    assert lit(answer(made, Fault("parts/battery", OPEN))) == set()


@pytest.mark.parametrize("isolated", [False, True])
def test_a_converter_lives_by_its_input_and_its_return(isolated: bool) -> None:
    made = bench()
    made.add("converter", "converter", isolated=isolated)
    made.wire("bar", "converter.input")
    made.wire("converter.input-return" if isolated else "converter.ground", "ground")
    end = "converter.output-return" if isolated else "ground"
    lamp(made, "lamp", [], start="converter.output", end=end)
    assert lit(answer(made)) == {"lamp"}
    for element in ("parts/battery", "parts/converter", "wires/W3", "wires/W4"):
        assert lit(answer(made, Fault(element, OPEN))) == set()
    short = answer(made, Fault("parts/lamp", SHORT, ("lamp.supply",)))
    assert lit(short) == set() and "bar" not in short.dead  # it limits itself


def test_two_batteries_in_series_are_lost_with_either() -> None:
    made = Workbench(Random(0), "composite")
    for name in ("low", "high"):
        made.add(name, "battery", nominal="7 V")
    made.wire("low.positive", "high.negative")
    lamp(made, "lamp", [], start="high.positive", end="low.negative")
    lamp(made, "tap", [], start="low.positive", end="low.negative")
    assert lit(answer(made)) == {"lamp", "tap"}
    assert lit(answer(made, Fault("parts/high", OPEN))) == {"tap"}
    assert lit(answer(made, Fault("parts/low", OPEN))) == set()
    assert lit(answer(made, Fault("wires/W1", OPEN))) == {"tap"}


def test_a_severed_bundle_opens_all_of_its_wires() -> None:
    made = bench()
    lamp(made, "lamp", [])
    lamp(made, "other", [])
    made.wires["W3"]["bundle"] = made.wires["W6"]["bundle"] = "loom"
    assert lit(answer(made, Fault("bundles/loom", SEVERED))) == set()
    made.wires["W6"].pop("bundle")
    assert lit(answer(made, Fault("bundles/loom", SEVERED))) == {"other"}


def test_a_bolt_of_the_airframe_lets_go_of_all_wires_on_it() -> None:
    made = bench("metal")
    made.add("structure", "airframe")
    made.wire("ground", "structure.battery")
    lamp(made, "lamp", [], end="structure.bolt")
    lamp(made, "other", [], end="structure.bolt")
    assert lit(answer(made)) == {"lamp", "other"}
    assert lit(answer(made, Fault("bolts/structure.bolt", OPEN))) == set()
    lamp(made, "third", [], end="structure.another")
    assert lit(answer(made, Fault("bolts/structure.bolt", OPEN))) == {"third"}


def test_the_airframe_is_a_return_where_it_is_of_metal() -> None:
    for airframe, found in (("metal", {"lamp"}), ("composite", set())):
        made = bench(airframe)
        made.add("structure", "airframe")
        made.wire("ground", "structure")
        lamp(made, "lamp", [], end="structure")
        assert lit(answer(made)) == found


def test_an_alternator_that_is_bolted_down_gets_its_current_back_without_a_wire() -> None:
    made = bench()
    made.add("panel", "stud")
    made.wire("panel", "ground")
    alternators: dict[str, dict[str, str]] = {"bolted": {"mounted_on": "panel.case"}, "loose": {}}
    for name, more in alternators.items():
        made.add(f"{name}-alternator", "alternator", excitation="permanent-magnet", **more)
        made.add(name, "load")
        made.wire(f"{name}-alternator.output", f"{name}.supply")
        made.wire(f"{name}.return", "ground")
    assert lit(answer(made)) == {"bolted"}


def test_shields_mountings_and_joined_signal_returns_conduct() -> None:
    made = bench()
    made.add("panel", "stud")
    made.wire("panel", "ground")
    made.add("bolted", "load", mounted_on="panel.case")
    made.wire("bar", "bolted.supply")
    sense = {"sense": {"signal": "in", "return": "in-return"}}
    made.add("gauge", "instrument", inputs=sense, signal_returns="joined")
    made.wire("bar", "gauge.supply")
    made.add("sensor", "sensor", mounted_on="panel.sensor")
    made.wire("sensor.signal", "gauge.in", shield=["gauge.in-return", "panel.shield"])
    assert lit(answer(made)) == {"bolted", "gauge"}
    assert lit(answer(made, Fault("wires/W6", OPEN))) == {"bolted"}
    made.parts["gauge"]["signal-returns"] = "isolated"
    assert lit(answer(made)) == {"bolted"}


def test_a_sneak_current_pulls_its_relay_in_while_every_load_on_its_way_passes_it() -> None:
    """bar - coil - lamp - ground, and a switch that is off across the lamp; the relay feeds another lamp."""
    made = bench()
    contacts = {"one": {"kind": "make", "joins": ["a", "b"]}}
    made.add("relay", "relay", coil=["plus", "minus"], contacts=contacts)
    made.wire("bar", "relay.plus")
    made.run("relay.minus", [made.switch("switch")], "ground")
    lamp(made, "beside", [], "relay.minus")
    lamp(made, "lamp", [("relay.a", "relay.b")])
    made.states["on"] = {"engine": "running", "switches": made.turned("off")}
    design = made.design("bench")
    assert design.operation is not None
    circuit, bare = circuit_of(design), resolved(design.operation)["on"]
    hops = (("parts/relay", "relay.plus", "relay.minus"), ("parts/beside", "beside.supply", "beside.return"))
    state = replace(bare, sneaks=(SneakCurrent("parts/relay", hops),))
    healthy = solve(circuit, state)
    assert lit(solve(circuit, bare)) == set() and lit(healthy) == {"lamp"}
    for element in ("parts/relay", "parts/beside", "parts/battery"):
        assert lit(solve(circuit, state, (Fault(element, OPEN),), healthy)) == set()
    # the switch closed: the coil's own circuit; the other way round: the current meets the ground at once
    assert lit(solve(circuit, replace(state, switches={"switch": "on"}))) == {"lamp"}
    against = tuple((element, b, a) for element, a, b in reversed(hops))
    assert lit(solve(circuit, replace(bare, sneaks=(SneakCurrent("parts/relay", against),)))) == set()


def regulated(trip: str = "none", **says: Any) -> Workbench:
    """An alternator whose regulator stands apart: W3 and W4 the output and ground, W5 its supply, W6 its field, W7 its ground, W8 its sense."""
    made = bench()
    made.add("alternator", "alternator", overvoltage_trip=trip)
    made.wire("alternator.output", "bar")
    made.wire("alternator.ground", "ground")
    made.add("keeper", "regulator", regulates="alternator", **says)
    made.wire("bar", "keeper.supply")
    made.wire("keeper.field", "alternator.field")
    made.wire("keeper.ground", "ground")
    if says.get("senses") != "supply":
        made.wire("bar", "keeper.sense")
    return made


def test_a_regulator_that_stands_apart_passes_the_field() -> None:
    made = regulated(without_sense="no-output", without_ground="no-output")
    assert answer(made).alive["parts/alternator"]
    for element in ("parts/keeper", "wires/W5", "wires/W6", "wires/W7", "wires/W8"):
        assert not answer(made, Fault(element, OPEN)).alive["parts/alternator"], element
    assert not answer(made, Fault("parts/keeper", SHORT, ("keeper.field",))).alive["parts/alternator"]


def test_without_a_lead_a_regulator_gives_full_field_or_none_as_it_says() -> None:
    """Full field goes on until a trip of the alternator's own stops it; what is not said is taken as lost."""
    for trip, does, lives in (
        ("none", "full-field", True),
        ("16 V", "full-field", False),
        ("none", "no-output", False),
        ("none", None, False),
    ):
        for lead, key, other in (
            ("wires/W8", "without_sense", "without_ground"),
            ("wires/W7", "without_ground", "without_sense"),
        ):
            made = regulated(trip, **{other: "no-output"}, **({key: does} if does else {}))
            assert answer(made).alive["parts/alternator"]
            assert answer(made, Fault(lead, OPEN)).alive["parts/alternator"] is lives, (trip, does, lead)


def test_a_regulator_that_senses_its_supply_has_no_sense_lead() -> None:
    made = regulated(senses="supply", without_ground="full-field")
    assert answer(made, Fault("wires/W7", OPEN)).alive["parts/alternator"]
    assert not answer(made, Fault("wires/W5", OPEN)).alive["parts/alternator"]


def test_a_regulator_that_another_source_alone_serves_gives_full_field_until_a_trip_of_the_alternators_own() -> (
    None
):
    """The sense wire on the battery, the alternator and its bus behind a tie that opens, the field fed from the battery."""
    for trip, opened, lives in (("16 V", "wires/W9", False), ("none", "wires/W9", True), ("16 V", "", True)):
        made = bench()
        made.add("alternator", "alternator", overvoltage_trip=trip)
        made.add("bus", "bus")
        made.add(
            "keeper",
            "regulator",
            regulates="alternator",
            without_sense="no-output",
            without_ground="no-output",
        )
        for one, other in (
            ("alternator.output", "bus"),
            ("alternator.ground", "ground"),
            ("bar", "keeper.supply"),
            ("keeper.field", "alternator.field"),
            ("keeper.ground", "ground"),
            ("bar", "keeper.sense"),
            ("bus", "bar"),
        ):
            made.wire(one, other)
        found = answer(made, *([Fault(opened, OPEN)] if opened else []))
        assert found.alive["parts/alternator"] is lives and found.alive["parts/battery"], (trip, opened)


def test_a_regulator_that_fails_full_on_loses_its_alternator_where_a_trip_stops_it() -> None:
    for trip, own, lives in (("none", None, True), ("16 V", None, False), ("none", "15.5 V", False)):
        made = regulated(trip, without_sense="no-output", without_ground="no-output")
        if own:
            made.parts["keeper"]["overvoltage-trip"] = own
        assert answer(made).alive["parts/alternator"]
        assert answer(made, Fault("parts/keeper", FULL_ON)).alive["parts/alternator"] is lives


def test_a_reversible_motor_runs_either_way_and_stops_with_both_or_no_relay_energised() -> None:
    made = bench()
    made.add("motor", "load", type="motor", reversible=True)
    made.add("plain", "load", type="motor")
    contact = {"kind": "changeover", "common": "common", "de-energised": "rest", "energised": "drawn"}
    for relay, end in (("up", "supply"), ("down", "return")):
        made.add(relay, "relay", coil=["plus", "minus"], contacts={"c": contact})
        made.wire("bar", f"{relay}.drawn")
        made.wire(f"{relay}.rest", "ground")
        for motor in ("motor", "plain"):
            made.wire(f"{relay}.common", f"{motor}.{end}")
        made.run("bar", [made.switch(f"{relay}-switch")], f"{relay}.plus")
        made.wire(f"{relay}.minus", "ground")

    def set_to(up: str, down: str) -> set[str]:
        return lit(answer(made, switches={"up-switch": up, "down-switch": down}))

    assert set_to("on", "off") == {"motor", "plain"}
    assert set_to("off", "on") == {"motor"}
    assert set_to("on", "on") == set_to("off", "off") == set()
    assert lit(
        answer(made, Fault("parts/down", HELD), switches={"up-switch": "off", "down-switch": "off"})
    ) == {"motor"}
