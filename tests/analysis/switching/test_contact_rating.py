"""The ratings that contacts need: AC 43.13-1B Table 11-4 for 14 V, and the margin for relays."""

from __future__ import annotations

import pytest

from reviewer.analysis.switching.contact_loading import ContactUse, Through
from reviewer.analysis.switching.contact_rating import demands, largest, load_type, need
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


def test_a_load_without_power_counts_with_what_leaks_into_it_and_not_with_its_peak() -> None:
    """A diode on the way to a reserve leaks microamperes into a bus that is off."""
    design = small().design
    leaking = use("radio-switch", Through("parts/pump", 1.0, 2e-5, True))
    assert need(design, leaking, ()).amperes == pytest.approx(6)
    assert need(design, leaking, (), {"parts/pump"}).amperes < 1e-4


@pytest.mark.parametrize(("solved", "wanted"), [(0.66, 0.7), (0.72, 0.7), (0.35, 0.35)])
def test_the_largest_current_is_that_at_nominal_volts_but_for_what_is_in_series(
    solved: float, wanted: float
) -> None:
    """A coil of 0.7 A on a low bus, on a charging one, and behind another coil that takes half of the volts."""
    one = Through("parts/master", 1.0, solved, True)
    assert largest(small().design, use("master-switch", one)) == pytest.approx(wanted)


@pytest.mark.parametrize(("given", "typical"), [("coil-current: 0.7 A, ", False), ("", True)])
def test_a_current_that_the_file_does_not_give_is_told_as_typical(given: str, typical: bool) -> None:
    facts = small(("coil-current: 0.7 A, ", given))
    told = [
        w
        for _, _, n in facts.switches.contact_uses
        for w in n.loads
        if n.use.element == "parts/master-switch"
    ]
    assert told and all(("(typical)" in words) is typical for words in told)


SWITCH = "radio-switch: {kind: switch, positions"
PUMP = Through("parts/pump", 1.0, 3.0, True)


def rated(ratings: str, short_time: bool = False) -> dict[str, tuple[float | None, float]]:
    """What the pump (3 A, at most 6 A) asks of a switch with some ratings: key -> (limit, required)."""
    design = small((SWITCH, f"radio-switch: {{kind: switch, {ratings}, positions")).design
    asked = demands(design, "", "", short_time, need(design, use("radio-switch", PUMP), ()))
    return {d.key: (d.limit, pytest.approx(d.required)) for d in asked}


def test_a_make_rating_takes_the_inrush_and_the_rating_keeps_the_opening_of_the_motor() -> None:
    """Table 11-4 prints 2 for a 12 V motor and 1 for a resistance; the pump peaks at 6 A."""
    assert rated("rating: 10 A") == {"rating": (10.0, 6.0)}
    assert rated("rating: 10 A, make-rating: 20 A") == {"rating": (10.0, 6.0), "make-rating": (20.0, 6.0)}


def test_make_and_inductive_ratings_leave_a_motor_to_be_carried() -> None:
    assert rated("rating: 10 A, make-rating: 20 A, inductive-rating: 4 A") == {
        "rating": (10.0, 3.0),
        "make-rating": (20.0, 6.0),
        "inductive-rating": (4.0, 3.0),
    }


def test_a_short_time_rating_stands_in_while_the_engine_cranks() -> None:
    assert rated("rating: 10 A, short-time-rating: 40 A", short_time=True) == {
        "short-time-rating": (40.0, 6.0)
    }
    assert rated("rating: 10 A, short-time-rating: 40 A") == {"rating": (10.0, 6.0)}
    assert rated("make-rating: 9 A", short_time=True) == {"rating": (None, 6.0), "make-rating": (9.0, 6.0)}
