"""Sneak circuits."""

from __future__ import annotations

from tests.analysis.small_designs import SmallDesign


def shared_return(kind: str = "lamp") -> SmallDesign:
    """Two lamps, each with a switch, whose returns meet in a splice before ground."""
    made = SmallDesign()
    made.add("splice", "splice")
    made.wire("splice", "ground")
    for name in ("left", "right"):
        made.load(name, made.switch(f"{name}-switch"), end="splice", type=kind)
    made.load("tail", start="left-switch.load", end="right-switch.load", type=kind)
    return made


def test_a_load_between_two_circuits_feeds_the_one_that_is_off() -> None:
    sneaks = shared_return().facts(switches={"left-switch": "on", "right-switch": "off"}).paths.sneaks
    (sneak,) = (s for s in sneaks if s.victim == "parts/right")
    assert sneak.source == "parts/battery" and "parts/tail" in sneak.through and sneak.lost == ""


def test_with_both_circuits_on_no_one_is_a_victim_until_a_switch_moves() -> None:
    sneaks = shared_return().facts().paths.sneaks
    assert sneaks and all(sneak.moved is not None or sneak.lost for sneak in sneaks)


def test_a_lost_return_lets_current_on_into_what_is_off() -> None:
    made = SmallDesign()
    made.add("splice", "splice")
    made.wire("splice", "ground")  # W3
    made.load("lit", end="splice", type="lamp")
    made.load("dark", made.switch("switch"), end="splice", type="lamp")
    made.load("helper", start="switch.load", type="lamp")
    sneaks = {s.victim: s for s in made.facts(switches={"switch": "off"}).paths.sneaks}
    assert sneaks["parts/helper"].lost == "wires/W3" and sneaks["parts/helper"].through == (
        "parts/lit",
        "parts/dark",
    )


def test_separate_circuits_have_none() -> None:
    made = SmallDesign()
    for name in ("left", "right"):
        made.load(name, made.switch(f"{name}-switch"), type="lamp")
    assert made.facts(switches={"left-switch": "on", "right-switch": "off"}).paths.sneaks == ()


def test_a_load_that_another_source_powers_is_no_victim() -> None:
    made = SmallDesign()
    made.second_battery()
    made.load("left", made.switch("left-switch"), type="lamp")
    made.load("right", made.switch("right-switch"), start="second-bus", type="lamp")
    made.load("tail", start="left-switch.load", end="right-switch.load", type="lamp")
    both = made.facts().paths.sneaks
    assert not [s for s in both if s.victim == "parts/right" and s.moved is None and not s.lost]
