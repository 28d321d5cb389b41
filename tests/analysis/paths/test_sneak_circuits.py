"""Sneak circuits."""

from __future__ import annotations

import pytest

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
    made = shared_return()
    made.load("radio", made.switch("radio-switch"))  # whose switch has no part in it
    switches = {"left-switch": "on", "right-switch": "off", "radio-switch": "on"}
    sneaks = made.facts(switches=switches).paths.sneaks
    (sneak,) = (s for s in sneaks if s.victim == "parts/right")
    assert sneak.source == "parts/battery" and "parts/tail" in sneak.through
    assert sneak.lost == "" and sneak.moved is None


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


def past_a_lost_return(coil_amps: float, heater_amps: float) -> SmallDesign:
    """A heater that is on and a coil that is off share a return; the coil's switch feeds a heater too."""
    made = SmallDesign()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "20 Ah"}
    made.add("splice", "splice")
    made.wire("splice", "ground")  # W3
    made.load("hot", end="splice", type="heater", current=f"{heater_amps} A")
    made.add(
        "relay",
        "relay",
        coil=["plus", "minus"],
        coil_current=f"{coil_amps} A",
        contacts={"main": {"kind": "make", "joins": ["line", "load"]}},
    )
    made.run("bus", [made.switch("switch")], "relay.plus")
    made.wire("relay.minus", "splice")
    made.load("cold", start="switch.load", type="heater", current=f"{heater_amps} A")
    return made


@pytest.mark.parametrize(("coil_amps", "heater_amps", "pulls"), [(0.06, 1.5, True), (1.5, 1.5, False)])
def test_the_voltage_past_a_lost_return_is_shared_by_resistance(
    coil_amps: float, heater_amps: float, pulls: bool
) -> None:
    """Two heaters and a coil in series: of the volts of the battery the coil has its share of the ohms."""
    facts = past_a_lost_return(coil_amps, heater_amps).facts(switches={"switch": "off"})
    sneaks = {s.victim: s for s in facts.paths.sneaks}
    assert ("parts/relay" in sneaks) is pulls
    if pulls:
        effect = sneaks["parts/relay"].effect
        ohms, other = 14 / coil_amps, 2 * 14 / heater_amps
        whole = facts.points.operating_point("cruise").volts["battery.positive"]
        assert effect.does == "picks up"
        assert effect.volts == pytest.approx(whole * ohms / (ohms + other), rel=0.02)
        assert sneaks["parts/relay"].lost == "wires/W3"
        assert sneaks["parts/relay"].through == ("parts/hot", "parts/cold")
    # the heater behind the switch has its share too, and shows from a tenth of the nominal voltage on
    assert ("parts/cold" in sneaks) is not pulls


def test_what_is_on_is_not_off_when_its_return_is_lost() -> None:
    """The second battery reaches the load by the lamp, past the lost return to the first; the load was on."""
    made = SmallDesign()
    made.second_battery()
    made.load("radio", type="electronic")
    made.load("lamp", start="second-bus", end="bus", type="lamp")
    assert not [s for s in made.facts().paths.sneaks if s.victim == "parts/radio"]
