"""Isolation: single-throw switches, live paths."""

from __future__ import annotations

from tests.analysis.small_designs import SmallDesign


def tie(positions: dict[str, list[list[str]]]) -> SmallDesign:
    made = SmallDesign()
    made.second_battery()
    made.add("switch", "switch", positions=positions)
    made.wire("bus", "switch.a")
    made.wire("second-bus", "switch.c")
    made.load("lamp", start="switch.b")
    made.wire("switch.d", "switch.b")
    return made


def test_two_poles_of_one_throw_parallel_two_sources() -> None:
    found = tie({"off": [], "on": [["a", "b"], ["c", "d"]]}).facts().paths.single_throw_tie("switch")
    assert found is not None and set(found.sources) == {"parts/battery", "parts/second"}


def test_a_double_throw_does_not() -> None:
    assert (
        tie({"one": [["a", "b"]], "two": [["c", "b"]], "three": [["c", "d"]]})
        .facts()
        .paths.single_throw_tie("switch")
        is None
    )


def test_a_dead_terminal_has_no_live_path() -> None:
    made = SmallDesign()
    made.load("lamp", made.switch("switch"))
    facts = made.facts(switches={"switch": "off"})
    assert facts.paths.live_path("cruise", "lamp.supply") is None
    assert facts.paths.live_path("cruise", "switch.line") == (
        "parts/battery",
        ("parts/battery", "wires/W1", "parts/bus", "wires/W3"),
    )


def test_a_sense_point_is_at_the_terminal_through_conductors_or_a_fuse_of_its_own() -> None:
    made = SmallDesign()
    made.add("display", "instrument", inputs={"volts": {"signal": "in"}})
    made.run("battery.positive", [made.protector("fuse", "fuse")], "display.in")
    made.load("lamp", made.protector("breaker"))
    paths = made.facts().paths
    assert paths.senses_at_terminal("display.in", "battery") and not paths.senses_at_terminal(
        "lamp.supply", "battery"
    )
