"""What breakers and fuses carry on the small aircraft, continuously and at a peak."""

from __future__ import annotations

from types import SimpleNamespace

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.protection_loading import (
    _by_others,
    continuous_rating_share,
    loads_on,
    peak_share,
)
from tests.analysis.small_aircraft import small


def test_a_breaker_carries_its_load_and_may_carry_a_share_of_its_rating() -> None:
    worst = small().protection.worst_continuous("heater-breaker", 15.0)
    assert worst is not None and worst.amps == pytest.approx(9.8, abs=0.1)
    assert (
        worst.most == pytest.approx(15.0 * continuous_rating_share())
        and continuous_rating_share() < 1 < peak_share()
    )


def test_at_its_peak_a_motor_adds_its_peak_in_place_of_its_current() -> None:
    worst = small().protection.worst_peak("pump-breaker", 5.0)
    assert worst is not None and (worst.load, worst.most) == ("pump", 5.0 * peak_share())
    assert worst.amps == pytest.approx(6.0, abs=1e-3)


def test_a_motor_without_a_peak_cannot_be_assessed() -> None:
    facts = small(("current: 3 A, peak: 6 A", "current: 3 A"))
    with pytest.raises(NotAssessable, match="`peak` of pump"):
        facts.protection.worst_peak("pump-breaker", 5.0)


def test_a_load_without_a_current_leaves_its_breaker_unknown_and_no_other() -> None:
    facts = small(("kind: load, type: heater, current: 10 A", "kind: load, type: heater"))
    with pytest.raises(NotAssessable, match="`current` of heater"):
        facts.protection.worst_continuous("heater-breaker", 15.0)
    assert facts.protection.worst_continuous("pump-breaker", 5.0) is not None


def test_a_breaker_was_chosen_for_the_loads_before_the_next_bus() -> None:
    facts = small()
    assert loads_on(facts.design, facts.network) == {"heater-breaker": ("heater",), "pump-breaker": ("pump",)}


LAMP = (
    (
        "  main-bus: {kind",
        "  joint: {kind: splice}\n  lamp-fuse: {kind: fuse, rating: 1 A}\n  lamp: {kind: load, type: lamp, current: 0.5 A}\n  main-bus: {kind",
    ),
    ("to: pump.supply, length: 2 m", "to: joint.in, length: 2 m"),
    (
        "  C1: {",
        "  M3: {from: joint.pump, to: pump.supply}\n  M4: {from: joint.lamp, to: lamp-fuse.line}\n"
        "  M5: {from: lamp-fuse.load, to: lamp.supply}\n  M6: {from: lamp.return, to: block.lamp}\n  C1: {",
    ),
)


def test_a_fuse_beside_a_motor_on_one_splice_does_not_feed_it() -> None:
    facts = small(*LAMP)
    found = loads_on(facts.design, facts.network)
    assert found["lamp-fuse"] == ("lamp",) and set(found["pump-breaker"]) == {"pump", "lamp"}
    assert facts.protection.worst_peak("lamp-fuse", 1.0) is None


def test_a_fuse_on_the_splice_that_leads_on_to_a_source_feeds_the_motor_too() -> None:
    changes = (
        *LAMP[:2],
        (
            LAMP[2][0],
            LAMP[2][1].replace("lamp-fuse.load, to: lamp.supply", "lamp-fuse.load, to: reserve.positive"),
        ),
    )
    facts = small(*changes)
    assert "pump" in loads_on(facts.design, facts.network)["lamp-fuse"]


def test_a_diode_towards_the_source_keeps_it_from_feeding_the_motor() -> None:
    changes = (
        LAMP[0],
        LAMP[1],
        (
            LAMP[2][0],
            LAMP[2][1]
            .replace("lamp-fuse.load, to: lamp.supply", "lamp-fuse.load, to: lamp-diode.anode")
            .replace("from: lamp.return, to: block.lamp", "from: lamp-diode.cathode, to: reserve.positive"),
        ),
        ("  heater: {kind", "  lamp-diode: {kind: diode}\n  heater: {kind"),
    )
    facts = small(*changes)
    assert "lamp-fuse" not in loads_on(facts.design, facts.network)


def test_a_way_from_a_source_counts_only_without_the_links_of_the_circuit() -> None:
    """Source 0, then link 7 to node 1, link 8 to node 2; node 3 is not reached."""
    network = SimpleNamespace(from_sources={0: None, 1: (0, 7), 2: (1, 8)})
    assert [_by_others(network, node, {8}) for node in (0, 1, 2, 3)] == [True, True, False, False]  # type: ignore[arg-type]
    assert [_by_others(network, 2, inside) for inside in ({7}, {9}, set())] == [False, True, True]  # type: ignore[arg-type]
