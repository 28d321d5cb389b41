"""The ratings that contacts need: AC 43.13-1B Table 11-4 for 14 V, and the margin for relays."""

from __future__ import annotations

import pytest

from reviewer.analysis.switching.contact_loading import ContactUse, Through
from reviewer.analysis.switching.contact_rating import largest, load_type, need
from tests.analysis.small_aircraft import small


def use(element: str, *through: Through) -> ContactUse:
    return ContactUse(f"parts/{element}", "a", "b", sum(t.amperes * t.share for t in through), through)


def test_the_kinds_of_load_to_a_contact() -> None:
    design = small().design
    found = [
        load_type(design, f"parts/{n}")
        for n in ("heater", "pump", "radio", "master", "alternator", "reserve")
    ]
    assert found == ["heater", "motor", "electronic", "inductive", "inductive", "resistive"]


def test_a_coil_that_is_switched_counts_twice() -> None:
    """Table 11-4 prints 2 for a 12 V inductive load (relay-solenoid)."""
    found = need(small().design, use("master-switch", Through("parts/master", 1.0, 0.7, True)), ())
    assert found.amperes == pytest.approx(1.4) and found.missing == ()


def test_what_is_only_carried_counts_once() -> None:
    found = need(small().design, use("master", Through("parts/pump", 1.0, 3.0, False)), ())
    assert found.amperes == pytest.approx(3.0)


def test_a_load_of_unknown_type_cannot_be_rated_where_the_contact_switches_it() -> None:
    facts = small(("kind: load, type: heater, current: 10 A", "kind: load, current: 10 A"))
    one = Through("parts/heater", 1.0, 10.0, True)
    assert need(facts.design, use("radio-switch", one), ()).missing == ("`type` of heater",)


def test_the_largest_current_is_that_of_the_peak() -> None:
    one = Through("parts/pump", 0.5, 3.0, True)
    assert largest(small().design, use("radio-switch", one)) == pytest.approx(3.0)
