"""How full normal flight leaves batteries, and that every answer in the air begins from it."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.answers import Flown
from reviewer.model.quantity_words import percent
from reviewer.questions.solve import solved_of
from reviewer.reading import read_text
from reviewer.reports.solve.text import solve_text
from tests.analysis.small_designs import SmallDesign
from tests.edits import edited
from tests.rule_cases import BASES, parsed, text


def least(*phases: str) -> float:
    """The least charge in flight of a battery of 10 Ah that gives 1 A from first to last, an hour a phase."""
    made = SmallDesign()
    made.alternator()
    made.parts["alternator"] |= {"rating": "40 A", "set-point": "14.4 V"}
    made.second_battery(chemistry="lead-acid", capacity="10 Ah")
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.load("lamp", start="second-bus", type="motor", current="1 A", minimum="8 V")
    made.states = {
        "waiting": {"engine": "stopped", "use": "ground"},
        "drill": {"engine": "running", "use": "abnormal"},
        "taxi": {"engine": "running", "use": "ground"},
        "soaring": {"engine": "stopped", "use": "flight"},
    }
    flown = {f"p{i}": {"state": name, "duration": "1 h"} for i, name in enumerate(phases)}
    made.more |= {"operation": {"phases": flown}, "aircraft": {"min-temperature": "20 C"}}
    return made.facts().points.flight_charges.least["parts/second"]


def test_an_hour_of_one_ampere_takes_its_share_of_the_time_that_the_battery_lasts() -> None:
    """Peukert's law, aged to 0.8: 20 h x (10 / (20 x 1))^1.2 x 0.8 = 7 h; with the exponent at the worse end of its range less."""
    once, twice = least("cruise"), least("cruise", "cruise")
    assert once - twice == pytest.approx(1 / 7, rel=0.06)
    assert 0.8 < once < 1 - 1 / 7.5 and least("taxi", "cruise") == pytest.approx(twice, abs=1e-3)


def test_soaring_with_the_engine_stopped_takes_what_its_loads_draw() -> None:
    assert least("soaring") <= least("cruise") + 1e-3 < 1 - 1 / 7.5


@pytest.mark.parametrize("state", ["waiting", "drill"])
def test_what_is_no_normal_flight_takes_nothing(state: str) -> None:
    assert least(state, "cruise") == least("cruise")


# -- one moment: every answer about a state in the air begins from it ----------------------------------------------------------------------


def behind_a_diode(chemistry: str = "lithium-iron-phosphate") -> Facts:
    """A reserve that is charged through a diode, 0.8 V below the bus: lithium is not full at that."""
    data = parsed(BASES / "watched.yaml")
    edits = {
        "aircraft/min-temperature": "-10 C",
        "parts/engine-monitor/minimum": "8 V",
        "parts/reserve-battery/chemistry": chemistry,
    }
    if chemistry == "lead-acid":  # as it is
        del edits["parts/reserve-battery/chemistry"]
    return Facts(read_text(text(edited(data, edits)), "watched"))


def test_solve_endurance_and_failures_begin_from_the_charge_that_flight_leaves() -> None:
    facts = behind_a_diode()
    reserve, cruise = "parts/reserve-battery", facts.states.answer("cruise")
    left = facts.points.charges_in(cruise.state)
    assert set(left) == {reserve} and 0.9 < left[reserve] < 0.99
    assert facts.endurance.endurance_of("reserve-battery").begins == left[reserve]
    lost = (Failure("parts/charge-diode", OPEN),)
    alone = facts.points.operating_point("cruise", None, lost)
    solved = conduct(facts.network, cruise.state, (lost,), cruise.healthy)
    (many,) = facts.points.under_failures.of(cruise, (lost,), solved)
    assert many["reserve-volts"].value == pytest.approx(alone.readings["reserve-volts"].value, abs=1e-6)
    full = facts.points.charged_point(Flown("cruise", None), {reserve: 1.0}).given[reserve]
    assert facts.points.operating_point("cruise").given[reserve] < full
    shown = solve_text("x", facts.as_written, solved_of(facts, "cruise"))
    assert "as normal flight leaves them: main-battery 100 %" in shown
    assert f"reserve-battery {percent(left[reserve])} charged" in " ".join(shown.split())


def test_what_lead_acid_has_behind_a_diode_fills_it() -> None:
    facts = behind_a_diode("lead-acid")
    assert not facts.points.charges_in(facts.states.answer("cruise").state)


def test_on_the_ground_a_battery_is_as_full_as_the_file_says() -> None:
    facts = behind_a_diode()
    ground = facts.states.answer("run-up-left").state
    assert ground.use == "ground" and not facts.points.charges_in(ground)
    (least, most) = next(
        (u.low, u.high)
        for u in facts.points.spread("run-up-left").unknowns
        if u.what.endswith("reserve-battery")
    )
    assert (least, most) == (80, 100)
    shown = " ".join(solve_text("x", facts.as_written, solved_of(facts, "run-up-left")).split())
    assert (
        "Batteries as the file says, else full: main-battery 100 % charged and reserve-battery 100 % charged."
        in shown
    )


def test_where_flight_is_not_known_solve_says_what_it_needs() -> None:
    """An alternator with too little for the loads: how long they are on is not said."""
    made = SmallDesign()
    made.alternator()
    made.parts["alternator"] |= {"rating": "5 A", "set-point": "14.4 V"}
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.load("lamp", type="motor", current="9 A", minimum="8 V")
    made.more |= {"aircraft": {"min-temperature": "20 C"}}
    answer = solved_of(made.facts(), "cruise")
    assert answer.after_flight and "`duration`" in answer.unknown_charge
    made.parts["alternator"] |= {"rating": "40 A"}
    assert not solved_of(made.facts(), "cruise").unknown_charge
