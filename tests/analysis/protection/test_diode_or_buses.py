"""The radio bus, which two branches feed by diodes: each must carry the radio alone."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.protection.diode_or_buses import has_diode_or_buses, upstream_protectors
from reviewer.model import parts as p
from reviewer.reading import read_text
from reviewer.session import review_facts
from tests.analysis.small_aircraft import small
from tests.rule_cases import RULES


def test_each_branch_carries_its_own_current_and_that_of_the_other() -> None:
    facts = small()
    radio = facts.points.point(facts.points.flown[0]).taken["parts/radio"]
    found = facts.protection.sole_branches
    diodes = {"main-diode", "reserve-diode"}
    assert set(found) == {"main-feed", "reserve-feed", *diodes}
    assert [found[n][0].amps for n in diodes] == pytest.approx([radio, radio], rel=0.01)
    for protector, other in (("main-feed", "reserve-diode"), ("reserve-feed", "main-diode")):
        (alone,) = found[protector]
        assert alone.others == (other,) and "radio-bus" in alone.feeds
        assert alone.amps == pytest.approx(radio, rel=0.01)
    # the branch with the higher voltage carries all of it
    assert found["main-feed"][0].now > 100 * found["reserve-feed"][0].now


#: two batteries that share one bus by diodes, and two loads on it
SHARED = """
format: 1
aircraft: {name: Shared, nominal: 14 V, airframe: metal, stage: detailed}
parts:
  one: {kind: battery, chemistry: lead-acid, capacity: 10 Ah}
  two: {kind: battery, chemistry: lead-acid, capacity: 10 Ah}
  diode-one: {kind: diode, duty: steering, rating: 7 A}
  diode-two: {kind: diode, duty: steering, rating: 20 A}
  bus: {kind: bus}
  ground: {kind: ground-block}
circuits:
  A: "one.positive > 12 AWG 0.1 m > fuse 20 A > 12 AWG 0.5 m > diode-one.anode"
  A2: "diode-one.cathode > 12 AWG 0.5 m > bus"
  B: "two.positive > 12 AWG 0.1 m > fuse 20 A > 12 AWG 0.5 m > diode-two.anode"
  B2: "diode-two.cathode > 12 AWG 0.5 m > bus"
  C: "one.negative > 12 AWG 0.5 m > ground"
  C2: "two.negative > 12 AWG 0.5 m > ground"
  D: "bus + breaker 10 A COMPUTER > 16 AWG 1 m > computer (6 A) > 16 AWG 1 m > ground"
  E: "bus + breaker 10 A PUMP > 16 AWG 1 m > pump (5 A) > 16 AWG 1 m > ground"
operation: {normal: cruise, states: {cruise: {}}}
"""


def test_a_diode_is_rated_for_the_bus_that_it_may_have_to_feed_alone() -> None:
    """It carries half of 11 A until the other battery fails."""
    facts = Facts(read_text(SHARED, "x"))
    duty = facts.protection.duty_of_diode("diode-one")
    assert duty.amps == pytest.approx(11, rel=0.01) and duty.when == "when it alone feeds bus"
    review = review_facts(facts, Path("x"), [RULES["isolation-diodes-are-rated-for-their-duty"]])
    assert [f.subject for f in review.findings] == ["parts/diode-one"]


@pytest.mark.parametrize(("position", "alone"), [("on", {"main-feed", "reserve-feed"}), ("off", set[str]())])
def test_a_branch_that_is_switched_off_is_none(position: str, alone: set[str]) -> None:
    facts = small(
        ("radio-bus: {kind: bus}", "radio-bus: {kind: bus}\n  extra: {kind: switch, resistance: 0.01 ohm, positions: {off: [], on: [[line, load]]}}"),
        ("to: reserve-diode.anode, resistance: 0.010 ohm}", "to: extra.line, resistance: 0.010 ohm}\n  R9: {from: extra.load, to: reserve-diode.anode, resistance: 0.01 ohm}"),
        ("cruise: {use: flight, engine: running, switches: {", f"cruise: {{use: flight, engine: running, switches: {{extra: {position}, "),
        ("smoke: {use: abnormal, engine: running, switches: {", "smoke: {use: abnormal, engine: running, switches: {extra: on, "),
        ("parked: {use: ground, engine: stopped, switches: {", "parked: {use: ground, engine: stopped, switches: {extra: off, "),
    )  # fmt: skip
    protectors = set(facts.design.of_kind(p.Protector))
    assert protectors & set(facts.protection.sole_branches) == alone


def test_one_diode_makes_no_such_bus() -> None:
    assert has_diode_or_buses(small().design, small().paths)
    one = {n: part for n, part in small().design.parts.items() if n not in ("reserve-diode", "main-diode")}
    assert not has_diode_or_buses(replace(small().design, parts=one), small().paths)


def test_what_opens_upstream_leaves_the_node_dead() -> None:
    facts = small()
    answer, node = facts.states.answer("cruise"), facts.network.node("heater.supply")
    assert upstream_protectors(facts.network, answer, node) == ("heater-breaker",)
