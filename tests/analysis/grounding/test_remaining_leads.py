"""What is left to one of two leads when the other opens: currents that can be added up by hand."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.analysis.grounding.ground_shift import NEAR
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.reading import read_text
from tests.analysis.grounding.two_straps import TEXT

WIRE = "gauge: 22 AWG, length: 1 m, zone: panel"


def bench(*edits: tuple[str, str]) -> Facts:
    """The panel's two leads of 22 AWG, 1 m each; a heater of 10 A returns by both."""
    text = TEXT
    for old, new in (
        ("stage: detailed}", "stage: detailed, zones: {panel: {max-ambient: 40 C}}, wire: {insulation: 150 C}}"),
        ("{from: panel.feed-1, to: block.panel-1, resistance: 0.003 ohm}", f"{{from: panel.feed-1, to: block.panel-1, {WIRE}}}"),
        ("{from: panel.feed-2, to: block.panel-2, resistance: 0.150 ohm}", f"{{from: panel.feed-2, to: block.panel-2, {WIRE}}}"),
        *edits,
    ):  # fmt: skip
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "bench.yaml"))


def test_the_lead_that_is_left_carries_all_that_both_carried() -> None:
    facts = bench(("current: 10 A", "current: 15 A"))
    point = facts.points.point(facts.points.flown[0])
    both = abs(point.amps["wires/N6"]) + abs(point.amps["wires/N7"])
    assert both == pytest.approx(point.taken["parts/heater"])
    over = facts.grounds.overload("N6")
    assert over is not None and over.wire == "N7" and over.allowed is not None
    # a heater is a resistance: the longer way back takes a little of its current
    assert over.amps == pytest.approx(both, rel=0.03) and over.amps > over.allowed.ampacity.amperes


def test_leads_that_carry_all_alone_and_leads_that_are_alone_are_no_overload() -> None:
    assert bench(("current: 10 A", "current: 5 A")).grounds.overload("N6") is None
    assert bench(("current: 10 A", "current: 15 A")).grounds.overload("N1") is None


def test_a_lead_without_a_gauge_is_asked_for_elsewhere() -> None:
    facts = Facts(read_text(TEXT, "bench.yaml"))
    assert facts.design.wires["N7"].gauge is None and facts.grounds.overload("N6") is None


def test_a_lead_that_is_overloaded_with_both_whole_is_told_elsewhere() -> None:
    facts = bench(("current: 10 A", "current: 45 A"))
    point = facts.points.point(facts.points.flown[0])
    limit = facts.wires.wire_loads.allowed("N7", 0.0).ampacity.amperes
    assert abs(point.amps["wires/N7"]) > limit
    assert facts.grounds.overload("N6") is None


def test_what_the_lead_may_carry_is_asked_where_it_matters() -> None:
    def asked(amps: int) -> str:
        facts = bench(("current: 10 A", f"current: {amps} A"), (", wire: {insulation: 150 C}", ""))
        over = facts.grounds.overload("N6")
        return over.missing if over else ""

    assert "insulation" in asked(10) and asked(2) == ""
    with pytest.raises(NotAssessable):
        bench((", wire: {insulation: 150 C}", "")).wires.wire_loads.allowed("N7", 0.0)


def test_a_lead_that_then_carries_less_than_its_breaker_is_asked_nothing() -> None:
    """Table 11-3 of AC 43.13-1B allows a breaker of 5 A for 22 AWG, whatever the insulation."""
    facts = bench(("current: 10 A", "current: 4.8 A"), (", wire: {insulation: 150 C}", ""))
    flown = facts.points.flown[0]
    point = facts.points.point(flown)
    estimated = abs(point.amps["wires/N6"]) + abs(point.amps["wires/N7"])
    alone = facts.points.operating_point(flown.state, flown.phase, (Failure("wires/N6", OPEN),))
    assert estimated > NEAR * 5 and NEAR * 5 < abs(alone.amps["wires/N7"]) < 5
    assert facts.grounds.overload("N6") is None


@pytest.mark.parametrize("amps", [8, 12, 15, 18])
def test_what_is_not_solved_is_within_what_the_lead_may_carry(amps: int) -> None:
    """Whatever the estimate spares, the solved point of each opening decides alike."""
    facts = bench(("current: 10 A", f"current: {amps} A"))
    flown = facts.points.flown[0]
    limit = facts.wires.wire_loads.allowed("N7", 0.0).ampacity.amperes
    alone = facts.points.operating_point(flown.state, flown.phase, (Failure("wires/N6", OPEN),))
    over = facts.grounds.overload("N6")
    assert (over is not None) is (abs(alone.amps["wires/N7"]) > limit)
