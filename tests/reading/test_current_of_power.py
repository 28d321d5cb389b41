"""Loads of which the file gives the power alone: amperes are watts over volts."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.model.parts import Consumer
from reviewer.model.quantities import Written
from reviewer.questions.solve import solved_of
from reviewer.reading import read_text

DRAWING = """
format: 1
aircraft: {{name: Watts, nominal: {nominal} V, airframe: composite, stage: detailed}}
parts:
  battery: {{kind: battery, capacity: 24 Ah, chemistry: lead-acid}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
circuits:
  b1: "battery.positive > 4 AWG 1 m > bus"
  b2: "battery.negative > 4 AWG 1 m > ground"
  one: "bus + breaker 10 A > 16 AWG 1 m > lamp ({figures}) > 16 AWG 1 m > ground"
operation: {{normal: on, states: {{on: {{engine: stopped, switches: {{}}}}}}}}
"""


def _design(figures: str, nominal: int = 14) -> Design:
    return read_text(DRAWING.format(figures=figures, nominal=nominal), "drawing")


def _current(figures: str, nominal: int = 14) -> float | None:
    return _design(figures, nominal).part("lamp", Consumer).running_current


@pytest.mark.parametrize(("nominal", "amps"), [(14, 5.0), (28, 2.5)])
def test_watts_over_the_volts_of_the_aircraft(nominal: int, amps: float) -> None:
    assert _current("70 W, heater", nominal) == pytest.approx(amps)


def test_the_volts_at_which_they_are_stated_and_a_current_of_its_own_go_before() -> None:
    assert _current("70 W, heater, nominal 10 V") == pytest.approx(7)
    assert _current("70 W, 4 A, heater") == 4


def test_a_starter_states_what_its_shaft_gives() -> None:
    assert _current("1400 W, starter") is None


def test_what_is_drawn_is_solved_from_it() -> None:
    solved = [
        solved_of(Facts(_design(f"{figures}, heater")), "on").phases[0].paths for figures in ("70 W", "5 A")
    ]
    watts, amperes = ({path.element: path.amperes for path in paths} for paths in solved)
    assert watts == amperes and watts["wires/one-1"]


def test_an_estimate_stays_one() -> None:
    about, between = (
        _design(f"{figures}, heater").part("lamp", Consumer).current for figures in ("~70 W", "56 to 84 W")
    )
    assert isinstance(about, Written) and about.estimate and about.text == "~5 A"
    assert isinstance(between, Written) and between.text == "4 to 6 A" and between.ends == (4, 6)
