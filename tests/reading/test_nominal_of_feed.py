"""Loads of 14 V behind a converter in an aircraft of 28 V: the volts that their figures are stated at."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.questions.solve import solved_of
from reviewer.reading import read_text

DRAWING = """
format: 1
aircraft: {name: Two classes of volts, nominal: 28 V, airframe: composite, stage: detailed}
parts:
  battery: {kind: battery, capacity: 24 Ah, chemistry: lead-acid}
  reserve: {kind: battery, purpose: reserve, nominal: 14 V, capacity: 7 Ah, chemistry: lead-acid}
  converter: {kind: converter, output-voltage: 14 V, rating: 20 A}
  choice: {kind: switch, positions: {a: [[one, common]], b: [[two, common]]}, normal: a}
  bus: {kind: bus}
  bus-14: {kind: bus}
  ground: {kind: ground-block}
circuits:
  b1: "battery.positive > 4 AWG 1 m > bus"
  b2: "battery.negative > 4 AWG 1 m > ground"
  c1: "bus + breaker 15 A > 14 AWG 1 m > converter.input"
  c2: "converter.output > 14 AWG 1 m > bus-14"
  c3: "converter.ground > 14 AWG 1 m > ground"
  r1: "reserve.positive > 18 AWG 1 m > fuse 10 A > 18 AWG 1 m > choice.two"
  r2: "reserve.negative > 18 AWG 1 m > ground"
  o1: "bus-14 + breaker 5 A > 18 AWG 1 m > choice.one"
  o2: "choice.common > 18 AWG 1 m > attitude (2 A) > 18 AWG 1 m > ground"
  radio: "bus-14 + breaker 5 A > 18 AWG 1 m > radio (2 A) > 18 AWG 1 m > ground"
  light: "bus + breaker 5 A > 18 AWG 1 m > light (2 A) > 18 AWG 1 m > ground"
"""


def _nominal(drawing: str) -> dict[str, float]:
    design = read_text(drawing, "drawing")
    return {name: design.nominal_volts(name) for name in ("attitude", "radio", "light")}


def _amps(design: Design, load: str) -> float:
    facts = Facts(design)
    (flown,) = solved_of(facts, facts.states.operation.normal).phases
    assert flown.point is not None
    (amps,) = (p.amperes for p in flown.paths if p.element == f"wires/{load}-1")
    assert amps is not None
    return amps


def test_a_load_that_converters_alone_feed_has_the_volts_of_their_class() -> None:
    """A reserve of the same class, over a switch, makes no difference; nor does the ground that all
    share."""
    assert _nominal(DRAWING) == {"attitude": 14.0, "radio": 14.0, "light": 28.0}


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("kind: battery, purpose: reserve, nominal: 14 V", "kind: battery, purpose: reserve"),  # of 28 V
        ('r1: "reserve.positive', 'r1: "bus'),  # the aircraft's own bus at the other contact
    ],
)
def test_a_load_that_a_source_of_the_usual_volts_can_feed_has_these(before: str, after: str) -> None:
    assert before in DRAWING
    assert _nominal(DRAWING.replace(before, after)) == {"attitude": 28.0, "radio": 14.0, "light": 28.0}


def test_a_load_that_states_its_volts_keeps_them() -> None:
    stated = _nominal(DRAWING.replace("radio (2 A)", "radio (2 A, nominal 28 V)"))
    assert stated == {"attitude": 14.0, "radio": 28.0, "light": 28.0}


def test_a_converter_to_the_volts_of_the_aircraft_changes_nothing() -> None:
    assert set(_nominal(DRAWING.replace("output-voltage: 14 V", "output-voltage: 27.5 V")).values()) == {28.0}


def test_the_current_is_that_at_these_volts() -> None:
    """2 A at 14 V, not the power of 2 A at 28 V."""
    assert _amps(read_text(DRAWING, "drawing"), "radio") == pytest.approx(2.0, rel=0.03)
