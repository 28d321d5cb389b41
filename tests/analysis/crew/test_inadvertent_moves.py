"""Inadvertent operation of one switch."""

from __future__ import annotations

from tests.analysis.small_designs import SmallDesign


def test_a_switch_that_stops_the_only_channel_loses_the_function() -> None:
    made = SmallDesign()
    made.load("ignition", made.switch("switch"))
    made.function("fire", "ignition")
    (move,) = made.facts().crew.inadvertent_operations
    assert (move.switch, move.position, move.functions, move.channels) == (
        "parts/switch",
        "off",
        ("fire",),
        ("ignition",),
    )


def test_with_a_second_channel_only_the_channel_stops() -> None:
    made = SmallDesign()
    made.load("left", made.switch("switch"))
    made.load("right")
    made.function("fire", "left", "right")
    (move,) = made.facts().crew.inadvertent_operations
    assert move.functions == () and move.channels == ("left",)


def test_a_switch_of_no_importance_is_left_out() -> None:
    made = SmallDesign()
    made.load("lamp", made.switch("switch"))
    assert made.facts().crew.inadvertent_operations == ()


def test_a_move_into_an_excluded_combination_is_left_out() -> None:
    made = SmallDesign()
    made.load("ignition", made.switch("switch"))
    made.function("fire", "ignition")
    made.more["operation"] = {"excluded": [{"switches": {"switch": "off"}, "because": "Wired shut."}]}
    assert made.facts().crew.inadvertent_operations == ()


def _barred(*positions: tuple[str, str]) -> SmallDesign:
    """A lamp's switch and an ignition's, with the combinations of their positions that are excluded."""
    made = SmallDesign()
    made.load("lamp", made.switch("lamp-switch"))
    made.load("ignition", made.switch("switch"))
    made.function("fire", "ignition")
    excluded = [
        {"switches": {"lamp-switch": lamp, "switch": other}, "because": "A bar."} for lamp, other in positions
    ]
    made.more["operation"] = {"excluded": excluded}
    return made


def test_a_bar_takes_the_other_switch_along() -> None:
    moves = _barred(("off", "on")).facts().crew.inadvertent_operations
    assert [(m.switch, m.position, m.along) for m in moves] == [
        ("parts/lamp-switch", "off", (("switch", "off"),)),
        ("parts/switch", "off", ()),
    ]


def test_what_cannot_move_along_holds_the_switch() -> None:
    moves = _barred(("off", "on"), ("off", "off")).facts().crew.inadvertent_operations
    assert [(m.switch, m.position, m.along) for m in moves] == [("parts/switch", "off", ())]


def test_a_starter_that_begins_to_run_is_named() -> None:
    made = SmallDesign()
    made.load("cranker", made.switch("button"), type="starter")
    (move,) = made.facts(switches={"button": "off"}).crew.inadvertent_operations
    assert (move.position, move.starters) == ("on", ("cranker",))


def with_a_contactor(feeds: str) -> SmallDesign:
    """A contactor, held in by a switch to ground, between the ignition's bus and a bus with a heater, or a second source."""
    made = SmallDesign()
    made.add("far-bus", "bus")
    made.add(
        "contactor",
        "contactor",
        coil=["line", "coil-minus"],
        contacts={"main": {"kind": "make", "joins": ["line", "out"]}},
    )
    made.wire("bus", "contactor.line")
    made.run("contactor.coil-minus", [made.switch("master")], "ground")
    made.wire("contactor.out", "far-bus")
    made.load("heater", start="far-bus")
    made.load("ignition")
    made.second_battery()
    if feeds == "a source of the ignition":
        made.add("diode", "diode", duty="isolation")
        made.run("second-bus", [("diode.anode", "diode.cathode")], "far-bus")
    made.function("fire", "ignition")
    return made


def test_a_contactor_of_which_nothing_critical_hangs_is_no_matter() -> None:
    facts = with_a_contactor("the heater").facts()
    assert facts.states.answer("cruise").healthy.powered["parts/heater"]
    assert facts.crew.inadvertent_operations == ()


def test_a_contactor_that_takes_one_of_two_sources_from_the_ignition_matters() -> None:
    facts = with_a_contactor("a source of the ignition").facts()
    (move,) = facts.crew.inadvertent_operations
    assert (move.functions, move.channels, move.contactors) == ((), (), ("contactor",))
