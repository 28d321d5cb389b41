"""What wires carry and may carry: worked by hand. Printed values are those of AC 43.13-1B Table 11-9."""

from __future__ import annotations

import math

import pytest

from reviewer.analysis.not_assessable import NotAssessable
from tests.analysis.wiring.wired import wired

W73 = "W73: {from: wing-plug.heat-plug, to: pitot-heater.supply, gauge: 12 AWG, length: 0.9 m, bundle: wing}"


def root(class_c: float, air_c: float) -> float:
    """The ambient law of NFPA 70 310.15(B) from the 70 C of the table."""
    return math.sqrt((class_c - air_c) / (class_c - 70))


def test_a_single_wire_in_the_cabin() -> None:
    """20 AWG of the 150 C class: 7 A printed for 33 wires; a bundle of 19 at 20 % has the factor 0.625, one wire 1; 50 C in the cabin."""
    load, allowed = wired().wires.wire_loads.worst("W11")
    assert allowed.ampacity.amperes == pytest.approx(7 / 0.625 * root(150, 50))
    assert (allowed.around.wires, allowed.ambient.zone, allowed.ambient.known) == (1, "cabin", True)
    assert load.bundle_used == 0  # it is in none
    assert abs(load.amperes) == pytest.approx(
        3 * 14.4 / 14, rel=0.03
    )  # the field of a running alternator, 3 A at 14 V, typical


def test_a_bundle_shares_its_heat() -> None:
    """Seven wires in the wing, 60 C: four of 12 AWG (19 A printed) and three of 16 AWG (11 A). The heater alone carries, out and back."""
    facts = wired()
    load, allowed = facts.wires.wire_loads.worst("W73")
    capacity = (4 * 19 + 3 * 11) / 0.625 * root(150, 60)
    heater = [f"W{n}" for n in (72, 73, 74, 75)]
    assert load.flown.state == "cruise"
    assert load.bundle_used == pytest.approx(len(heater) * abs(load.amperes) / capacity, rel=1e-6)
    assert load.bundle_used < 0.2
    assert allowed.ampacity.amperes == pytest.approx(
        19 * 0.82 / 0.625 * root(150, 60)
    )  # seven wires at 20 %: 0.82


def test_a_wire_of_unknown_gauge_adds_its_current_to_a_bundle_and_no_capacity() -> None:
    facts = wired(("to: wing-plug.heat-return-plug, gauge: 12 AWG,", "to: wing-plug.heat-return-plug,"))
    load, _ = facts.wires.wire_loads.worst("W73")
    capacity = (3 * 19 + 3 * 11) / 0.625 * root(150, 60)
    assert load.bundle_used == pytest.approx(4 * abs(load.amperes) / capacity, rel=1e-6)


def test_a_bundle_that_is_used_more_carries_less() -> None:
    """24 A of heat in the same bundle: more than 40 % of it is used, so that the column of 60 % is read: 0.625."""
    facts = wired(("current: 7 A, peak: 9 A", "current: 24 A"))
    load, allowed = facts.wires.wire_loads.worst("W73")
    assert 0.4 < load.bundle_used < 0.6
    assert allowed.ampacity.amperes == pytest.approx(19 * 0.625 / 0.625 * root(150, 60))
    assert abs(load.amperes) > allowed.ampacity.amperes


@pytest.mark.parametrize(("altitude", "printed"), [("18000 m", True), ("60001 ft", False)])
def test_table_11_9_is_printed_for_60000_ft_at_most(altitude: str, printed: bool) -> None:
    facts = wired(("stage: detailed", f"stage: detailed, max-altitude: {altitude}"))
    if printed:
        assert facts.wires.wire_loads.worst("W11")[1].ampacity.amperes == pytest.approx(
            7 / 0.625 * root(150, 50)
        )
    else:
        with pytest.raises(NotAssessable, match=r"printed for 60000 ft at most, not for 60001 ft"):
            facts.wires.wire_loads.worst("W11")


def test_more_than_19_wires_that_are_used_are_outside_what_is_printed() -> None:
    crowd = "".join(
        f"\n  X{n}: {{from: main-bus.x{n}, to: main-bus.y{n}, gauge: 24 AWG, length: 1 m, bundle: wing}}"
        for n in range(20)
    )
    facts = wired((W73, W73 + crowd), ("current: 7 A, peak: 9 A", "current: 24 A"))
    with pytest.raises(NotAssessable, match=r"what W73 may carry: Bundle factors.* 1 to 19 wires"):
        facts.wires.wire_loads.worst("W73")


def test_cranking_is_not_on_and_on() -> None:
    facts = wired()
    assert facts.wires.wire_loads.largest("W61") < 0.1
    assert "W61" not in facts.wires.wire_loads.carrying()
    assert abs(facts.points.point(facts.wires.while_cranking[0]).amps["wires/W61"]) == pytest.approx(
        160, rel=0.01
    )
