"""Alternators that must be stopped and that must not run alone."""

from __future__ import annotations

import pytest

from reviewer.analysis.sources.alternators import charges, powers, steadied
from tests.analysis.operating_point.bench import bench
from tests.analysis.small_designs import SmallDesign

ALTERNATOR = "parts/alternator"


def test_the_alternator_charges_both_batteries_in_cruise_and_none_with_the_engine_stopped() -> None:
    facts = bench()
    found = {
        state: {c.battery for c in charges(facts.network, facts.states.answer(state), ALTERNATOR)}
        for state in ("cruise", "stopped")
    }
    assert found == {"cruise": {"parts/main-battery", "parts/reserve-battery"}, "stopped": set()}


def test_it_powers_a_bus_in_parallel_with_a_battery() -> None:
    facts = bench()
    solved = facts.states.answer("cruise").healthy
    assert powers(facts.design, facts.network, solved, ALTERNATOR)
    assert steadied(facts.network, solved, ALTERNATOR, ())
    assert not powers(facts.design, facts.network, facts.states.answer("stopped").healthy, ALTERNATOR)


def test_the_field_switch_and_the_field_breaker_in_reach_disconnect_it() -> None:
    moves = bench().sources.disconnection(ALTERNATOR).ways
    assert (("alternator-switch", "down"),) in moves
    assert (("left-switch", "down"),) not in moves


def test_with_the_master_off_alone_it_runs_without_a_battery() -> None:
    found = bench().sources.runs_without_battery(ALTERNATOR)
    assert found is not None and ("master", "down") in found.moved


def test_its_ground_hangs_on_each_lead_of_a_single_path() -> None:
    cuts = bench().sources.ground_cuts(ALTERNATOR)
    assert cuts is not None and {"wires/W9", "wires/W10"} <= set(cuts)


@pytest.mark.parametrize(
    ("plus", "minus", "charged"),
    [
        ("bus", "ground", {"parts/lower", "parts/upper"}),
        ("lower.positive", "ground", {"parts/lower"}),
        ("bus", "lower.positive", {"parts/upper"}),
    ],
)
def test_a_charger_at_a_tap_charges_what_it_lies_across(plus: str, minus: str, charged: set[str]) -> None:
    """Two batteries in series, and a charger across both, the lower or the upper one."""
    made = SmallDesign()
    del made.parts["battery"]
    made.wires.clear()
    for name in ("lower", "upper"):
        made.add(name, "battery", nominal="6 V")
    made.add("sun", "charger", **{"from": "solar"})
    for one, other in (
        ("lower.negative", "ground"),
        ("lower.positive", "upper.negative"),
        ("upper.positive", "bus"),
        ("sun.positive", plus),
        ("sun.negative", minus),
    ):
        made.wire(one, other)
    made.load("radio")
    facts = made.facts(chargers=["sun"])
    found = {c.battery for c in charges(facts.network, facts.states.answer("cruise"), "parts/sun")}
    assert found == charged


@pytest.mark.parametrize(
    ("between", "lanes"),
    [
        ((), 1),
        (("diode.cathode", "diode.anode"), 0),  # the battery gives, but takes nothing
        (("diode.anode", "diode.cathode"), 0),  # it takes, but gives nothing
    ],
)
def test_a_battery_steadies_an_alternator_that_it_takes_from_and_gives_to(
    between: tuple[str, ...], lanes: int
) -> None:
    """A battery at the bus of the alternator, with nothing or a diode between them, and the ground switched."""
    made = SmallDesign()
    made.wires.clear()
    made.add("diode", "diode")
    made.run("bus", [between] if between else [], "battery.positive")  # type: ignore[list-item]
    made.run("battery.negative", [made.switch("isolator")], "ground")
    made.alternator()
    made.load("radio")
    for at in ("on", "off"):
        made.states.clear()
        facts = made.facts(switches={"isolator": at})
        bus = [facts.network.index["bus"]]
        solved = facts.states.answer("cruise").healthy
        assert steadied(facts.network, solved, ALTERNATOR, bus) == (lanes if at == "on" else 0)
