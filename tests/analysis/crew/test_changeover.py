"""Switches that change over between sources."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from tests.analysis.small_designs import SmallDesign


def selected(transfer: str = "break-before-make", channels: int = 1) -> Facts:
    """Each channel on a switch of its own that selects one of two batteries."""
    made = SmallDesign()
    made.second_battery()
    at = {}
    for n in range(channels):
        name = f"select-{n}"
        made.add(
            name, "switch", transfer=transfer, positions={"main": [["a", "out"]], "second": [["b", "out"]]}
        )
        made.wire("bus", f"{name}.a")
        made.wire("second-bus", f"{name}.b")
        made.load(f"ignition-{n}", start=f"{name}.out")
        at[name] = "second" if n else "main"
    made.function("fire", *(f"ignition-{n}" for n in range(channels)))
    return made.facts(switches=at)


def test_a_double_throw_switch_changes_its_load_over() -> None:
    (change,) = selected().crew.changeovers
    assert (change.switch, change.function, change.channels) == ("parts/select-0", "fire", ("ignition-0",))
    assert dict(change.sources) == {"main": (("parts/battery",),), "second": (("parts/second",),)}
    assert change.dead == ()


@pytest.mark.parametrize("follows", [{"follows": "engine"}, {}])
def test_a_switch_that_no_hand_moves_is_no_change_over_of_the_crew(follows: dict[str, str]) -> None:
    made = SmallDesign()
    made.second_battery()
    positions = {"low": [["a", "out"]], "high": [["b", "out"]]}
    made.add(
        "pressure", "switch", positions=positions, operated_by="pressure", follows="engine", at_rest="low"
    )
    made.wire("second-bus", "pressure.a")
    made.wire("bus", "pressure.b")
    made.load("ignition", start="pressure.out")
    made.function("fire", "ignition")
    facts = made.facts(switches={})
    assert facts.states.answer("cruise").alive["fire"] and facts.crew.changeovers == ()


def test_the_function_is_lost_in_the_gap_of_a_switch_that_breaks_first() -> None:
    assert selected().crew.changeovers[0].gaps == (("main", "second"),)
    assert selected("make-before-break").crew.changeovers[0].gaps == ()


def test_a_position_that_only_external_power_feeds_is_dead_in_flight() -> None:
    made = SmallDesign()
    made.second_battery()
    made.add("socket", "external-power")
    made.wire("socket.negative", "ground")
    positions = {name: [[name, "out"]] for name in ("main", "second", "outside")}
    made.add("select", "switch", positions=positions)
    for start, throw in (("bus", "main"), ("second-bus", "second"), ("socket.positive", "outside")):
        made.wire(start, f"select.{throw}")
    made.load("ignition", start="select.out")
    made.function("fire", "ignition")
    (change,) = made.facts(switches={"select": "main"}).crew.changeovers
    assert change.dead == ("outside",)


def test_a_switch_that_only_opens_changes_nothing_over() -> None:
    made = SmallDesign()
    made.load("ignition", made.switch("switch"))
    made.function("fire", "ignition")
    assert made.facts().crew.changeovers == ()


def test_two_channels_can_be_set_to_one_battery() -> None:
    found = selected(channels=2).crew.all_on_one_source("fire")
    assert found is not None and len(found.moved) == 1


def test_one_channel_depends_on_one_battery_already() -> None:
    assert selected().crew.all_on_one_source("fire") is None


@pytest.mark.parametrize(
    ("joined_by", "better"), [("nothing", []), ("diodes", ["both"]), ("diodes and no position", [])]
)
def test_a_position_that_joins_two_batteries_is_not_better(joined_by: str, better: list[str]) -> None:
    """Joining both keeps the right channel when the first battery fails; without diodes one drains the other."""
    made = SmallDesign()
    made.second_battery()
    made.add(
        "select",
        "switch",
        positions={"one": [["a", "out"]], "both": [["a", "out"], ["b", "out"]], "two": [["b", "out"]]},
    )
    for bus, throw in (("bus", "a"), ("second-bus", "b")):
        chain = [made.protector(f"{bus}-breaker")]
        if joined_by != "nothing":
            made.add(f"{bus}-diode", "diode", duty="isolation")
            chain.append((f"{bus}-diode.anode", f"{bus}-diode.cathode"))
        made.run(bus, chain, f"select.{throw}")
    made.load("left", start="bus")
    made.load("right", start="select.out")
    made.function("fire", "left", "right")
    if joined_by == "diodes and no position":
        made.more["operation"] = {"excluded": [{"switches": {"select": "both"}, "because": "A stop."}]}
    found = made.facts(switches={"select": "one"}).crew.better_positions
    assert [b.position for b in found if b.position == "both"] == better
