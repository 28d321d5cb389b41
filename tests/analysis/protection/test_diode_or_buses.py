"""The radio bus, which two branches feed by diodes: each must carry the radio alone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from reviewer.analysis.protection.diode_or_buses import has_diode_or_buses, upstream_protectors
from tests.analysis.small_aircraft import small


def test_each_branch_carries_its_own_current_and_that_of_the_other() -> None:
    facts = small()
    radio = facts.points.point(facts.points.flown[0]).taken["parts/radio"]
    found = facts.protection.sole_branches
    assert set(found) == {"main-feed", "reserve-feed"}
    for protector, other in (("main-feed", "reserve-diode"), ("reserve-feed", "main-diode")):
        (alone,) = found[protector]
        assert alone.others == (other,) and "radio-bus" in alone.feeds
        assert alone.amps == pytest.approx(radio, rel=0.01)
    # the branch with the higher voltage carries all of it
    assert found["main-feed"][0].now > 100 * found["reserve-feed"][0].now


@pytest.mark.parametrize(("position", "alone"), [("on", {"main-feed", "reserve-feed"}), ("off", set[str]())])
def test_a_branch_that_is_switched_off_is_none(position: str, alone: set[str]) -> None:
    facts = small(
        ("radio-bus: {kind: bus}", "radio-bus: {kind: bus}\n  extra: {kind: switch, resistance: 0.01 ohm, positions: {off: [], on: [[line, load]]}}"),
        ("to: reserve-diode.anode, resistance: 0.010 ohm}", "to: extra.line, resistance: 0.010 ohm}\n  R9: {from: extra.load, to: reserve-diode.anode, resistance: 0.01 ohm}"),
        ("cruise: {use: flight, engine: running, switches: {", f"cruise: {{use: flight, engine: running, switches: {{extra: {position}, "),
        ("smoke: {use: abnormal, engine: running, switches: {", "smoke: {use: abnormal, engine: running, switches: {extra: on, "),
        ("parked: {use: ground, engine: stopped, switches: {", "parked: {use: ground, engine: stopped, switches: {extra: off, "),
    )  # fmt: skip
    assert set(facts.protection.sole_branches) == alone


def test_one_diode_makes_no_such_bus() -> None:
    assert has_diode_or_buses(small().design, small().paths)
    one = {n: p for n, p in small().design.parts.items() if n not in ("reserve-diode", "main-diode")}
    assert not has_diode_or_buses(replace(small().design, parts=one), small().paths)


def test_what_opens_upstream_leaves_the_node_dead() -> None:
    facts = small()
    answer, node = facts.states.answer("cruise"), facts.network.node("heater.supply")
    assert upstream_protectors(facts.network, answer, node) == ("heater-breaker",)
