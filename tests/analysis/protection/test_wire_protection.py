"""How wires are protected on the small aircraft: ends, stubs, exempt cables, ratings of Table 11-3."""

from __future__ import annotations

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.wire_protection import EndFeed, carries_limit, unlimited_sources
from reviewer.tables.lookup import ProtectorRow
from tests.analysis.small_aircraft import small
from tests.analysis.small_designs import SmallDesign


def test_a_wire_is_fed_from_the_bus_through_its_breaker_and_from_nowhere_else() -> None:
    (feed,) = small().protection.wire_feeds["wires/H2"]
    assert (feed.end, feed.sources, feed.protectors) == ("heater-breaker.load", (), ("parts/heater-breaker",))


def test_a_wire_from_the_bus_to_its_breaker_is_unprotected_for_its_own_length() -> None:
    (feed,) = small().protection.wire_feeds["wires/H1"]
    assert "parts/main-battery" in feed.sources and feed.run_m == pytest.approx(0.1)


def test_the_cable_from_a_battery_to_a_contactor_is_exempt() -> None:
    assert small().protection.exempt_wires == {"wires/P1"}


@pytest.mark.parametrize(
    ("length", "stub"),
    [
        ("0.15 m", True),
        ("6 in", True),
        ("0.5 ft", True),
        ("152.4 mm", True),
        ("0.153 m", False),
        ("6.1 in", False),
    ],
)
def test_a_stub_is_six_inches_at_a_breaker_whatever_unit_the_file_uses(length: str, stub: bool) -> None:
    facts = small(("to: heater-breaker.line, length: 0.1 m", f"to: heater-breaker.line, length: {length}"))
    assert facts.protection.is_stub("H1") is stub
    assert not facts.protection.is_stub("P2")


def test_table_11_3_says_the_largest_breaker_of_a_gauge() -> None:
    """AC 43.13-1B Table 11-3: 16 AWG copper, 15 A breaker, 10 A fuse."""
    protection = small().protection
    assert protection.largest_rating("heater-breaker", "H2") == ("breaker", ProtectorRow("16 AWG", 15.0))
    assert protection.largest_rating("charge-fuse", "H2") == ("fuse", ProtectorRow("16 AWG", 10.0))
    with pytest.raises(NotAssessable, match="gauge"):
        protection.largest_rating("charge-fuse", "C1")


@pytest.mark.parametrize(("gauge", "carries"), [("8 AWG", True), ("12 AWG", False)])
def test_the_lead_of_an_alternator_of_40_amperes(gauge: str, carries: bool) -> None:
    """AC 43.13-1B Table 11-3: a breaker of 50 A for 8 AWG copper, of 30 A for 12 AWG."""
    facts = small(
        (
            "to: main-bus.alternator, resistance: 0.002 ohm",
            f"to: main-bus.alternator, gauge: {gauge}, length: 1 m",
        )
    )
    assert carries_limit(facts.design.wires["P7"], facts.design.parts["alternator"]) is carries
    assert not carries_limit(facts.design.wires["P1"], facts.design.parts["alternator"])


def test_a_source_of_unknown_limit_hides_no_battery() -> None:
    """A wire at both: the battery alone decides; without the battery the rating of the alternator is asked for."""
    made = SmallDesign()
    made.alternator()
    design = made.facts().design

    def sources(*names: str) -> list[str]:
        feed = EndFeed("wires/W1", "bus.w1", "cruise", tuple(f"parts/{n}" for n in names), (), 1.0)
        return unlimited_sources(design, feed)

    assert sources("battery", "alternator") == ["battery"]
    with pytest.raises(NotAssessable) as caught:
        sources("alternator")
    assert "`rating` of the alternator" in caught.value.needs
