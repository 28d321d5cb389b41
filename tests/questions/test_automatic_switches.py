"""Switches that no hand moves, in what a person asks of a design: a standby pump behind a pressure switch."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.questions.fail import fail_of
from reviewer.questions.handover import HandoverAnswers
from reviewer.questions.trace import trace_of
from reviewer.reports.effects.words import local_effect
from reviewer.reports.handoff.schedules.parts_list import parts_list
from reviewer.reports.handoff.schedules.working_tables import placards, switch_states
from reviewer.reports.schematic.symbols import symbols_of
from tests.analysis.small_designs import SmallDesign


def standby() -> SmallDesign:
    """``pump-a`` at the bus, ``pump-b`` behind ``low-pressure``, which also dims a lamp while pump-a works."""
    made = SmallDesign()
    made.load("pump-a", made.protector("fuse-a", "fuse"), type="motor", current="3 A")
    positions = {"normal": [["line", "lamp"]], "low": [["line", "load"]]}
    made.add(
        "low-pressure", "switch", positions=positions, operated_by="pressure", follows="pump-a",
        at_rest="low", rating="5 A",
    )  # fmt: skip
    made.load("pump-b", ("low-pressure.line", "low-pressure.load"), type="motor", current="3 A")
    made.load("lamp", start="low-pressure.lamp", type="lamp", current="0.1 A")
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.function("fuel", "pump-a", "pump-b")
    made.states["parked"] = {"engine": "stopped", "use": "ground", "pulled": ["fuse-a"], "switches": {}}
    made.states = {"cruise": {"engine": "running", "switches": {}}, **made.states}
    return made


@pytest.fixture(scope="module")
def facts() -> Facts:
    return standby().facts()


@pytest.mark.parametrize("failed", ["fuse-a", "pump-a"])
def test_the_standby_comes_on_when_the_first_pump_is_lost_or_fails_itself(facts: Facts, failed: str) -> None:
    (effect,) = [e for e in fail_of(facts, failed, "open").effects if e.failure.mode == "open"]
    assert effect.moved == (("parts/low-pressure", "low"),) and effect.functions == ()
    assert "low-pressure moves to low" in local_effect(effect)
    assert effect.newly_powered == ("parts/pump-b",)


def test_it_may_stick_at_either_position_and_open(facts: Facts) -> None:
    modes = {e.failure.position for e in fail_of(facts, "low-pressure", "stays").effects}
    assert modes == {"low", "normal"}
    (stuck,) = [e for e in fail_of(facts, "low-pressure", "stays").effects if e.failure.position == "low"]
    assert stuck.newly_powered == ("parts/pump-b",) and stuck.loads == ("parts/lamp",)
    assert fail_of(facts, "low-pressure", "open").effects[0].loads == ("parts/lamp",)


def test_a_trace_says_where_it_stands(facts: Facts) -> None:
    (cruise, parked) = trace_of(facts, "pump-b").states
    assert dict(cruise.terminals[0].held_open) == {"parts/low-pressure": "at normal"}
    assert parked.works and dict(parked.terminals[0].fed[0].paths[0].switches) == {
        "parts/low-pressure": "low"
    }


def test_its_position_is_in_the_table_of_states_and_it_is_on_no_placard(facts: Facts) -> None:
    answers = HandoverAnswers(facts)
    rows = {row[0]: row[1:] for row in switch_states(facts.design, answers.powered).rows}
    assert rows["low-pressure"] == ("switch", "normal", "low")
    assert [dict(state.switches) for state in answers.states] == [
        {"low-pressure": "normal"},
        {"low-pressure": "low"},
    ]
    assert not any("low-pressure" in row for row in placards(facts.design).rows)
    (row,) = [row for row in parts_list(facts.design).rows if row[0] == "switch"]
    assert "operated by pressure, at rest low, positions normal / low" in " ".join(map(str, row))


def test_its_contacts_carry_what_they_feed(facts: Facts) -> None:
    for state, closed, amps in (("cruise", "lamp", 0.1), ("parked", "load", 3.0)):
        contacts = facts.points.operating_point(state).contacts
        own = {pair: abs(carried) for pair, carried in contacts.items() if "low-pressure.line" in pair}
        flows = {frozenset(pair): carried for pair, carried in own.items() if carried > 1e-3}
        closed_pair = frozenset({f"low-pressure.{closed}", "low-pressure.line"})
        assert flows == {closed_pair: pytest.approx(amps, rel=0.2)}


def test_it_is_drawn_as_a_changeover_contact_with_what_moves_it(facts: Facts) -> None:
    (symbol,) = [s for s in symbols_of(facts.design, facts.network) if s.element == "parts/low-pressure"]
    assert (symbol.kind, symbol.gate) == ("pressure", "changeover")
    names = [facts.network.names[n] for n in symbol.nodes]
    assert names == ["low-pressure.line", "low-pressure.load", "low-pressure.lamp"]


def test_what_follows_a_bus_moves_when_the_bus_has_power() -> None:
    """A standby lamp is lit by a switch at rest and out while the main bus works."""
    made = SmallDesign()
    made.add("avionics", "bus")
    made.run("bus", [made.protector("feed")], "avionics")
    made.load("radio", start="avionics")
    made.add(
        "sense", "switch", positions={"dead": [["line", "load"]], "live": []}, operated_by="voltage", follows="avionics",
        at_rest="dead",
    )  # fmt: skip
    made.load("standby-lamp", ("sense.line", "sense.load"))
    facts = made.facts(switches={})
    answer = facts.states.answer("cruise")
    assert answer.positions["sense"] == "live" and not answer.healthy.powered["parts/standby-lamp"]
    (effect,) = [e for e in fail_of(facts, "feed", "open").effects if e.failure.mode == "open"]
    assert effect.newly_powered == ("parts/standby-lamp",)
