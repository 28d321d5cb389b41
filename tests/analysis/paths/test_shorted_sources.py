"""Sources that the switches short."""

from __future__ import annotations

import pytest

from reviewer.analysis.paths.shorted_sources import combined_shorts
from tests.analysis.small_designs import SmallDesign, cruise


def test_a_switch_across_a_battery_shorts_it_in_one_position() -> None:
    made = SmallDesign()
    made.run("bus", [made.switch("switch")], "ground")
    (short,) = made.facts(switches={"switch": "off"}).paths.combined_shorts
    assert short.source == "parts/battery" and short.combination.moved == (("switch", "on"),)
    assert "parts/switch" in short.path


@pytest.mark.parametrize(("most", "told"), [(1, 1), (2, 0)])
def test_a_switch_that_is_not_varied_is_told(monkeypatch: pytest.MonkeyPatch, most: int, told: int) -> None:
    """One switch has two positions: with room for one combination it stays where it is."""
    monkeypatch.setattr("reviewer.analysis.conduction.switch_combinations.MOST", most)
    made = SmallDesign()
    made.run("bus", [made.switch("switch")], "ground")
    facts = made.facts(switches={"switch": "off"})
    state = cruise(facts).state
    shorts, untried = combined_shorts(facts.design, facts.network, facts.states.cones, state, ())
    assert len(shorts) == 1 - told and len(set(untried)) == told
    assert all("switch" in words and "short of battery" in words for words in untried)


def test_a_declared_state_that_shorts_it_is_not_repeated() -> None:
    made = SmallDesign()
    made.run("bus", [made.switch("switch")], "ground")
    paths = made.facts().paths
    assert [s.state for s in paths.shorted_sources()] == ["cruise"] and paths.combined_shorts == ()


def test_in_transit_a_switch_that_makes_first_shorts_what_it_selects_between() -> None:
    for transfer, shorts in (("make-before-break", 1), ("break-before-make", 0)):
        made = SmallDesign()
        made.add(
            "switch", "switch", transfer=transfer, positions={"up": [["a", "out"]], "down": [["b", "out"]]}
        )
        made.wire("bus", "switch.a")
        made.wire("ground", "switch.b")
        made.load("lamp", start="switch.out")
        found = made.facts(switches={"switch": "up"}).paths.combined_shorts
        assert len(found) == shorts
        assert all(short.combination.transit == "switch moves from up to down" for short in found)


def test_with_a_load_between_nothing_is_shorted() -> None:
    made = SmallDesign()
    made.load("lamp", made.switch("switch"))
    assert made.facts().paths.combined_shorts == ()
