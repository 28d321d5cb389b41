"""What bounds the volts that a failure surely leaves: each figure against what it stands for."""

from __future__ import annotations

from math import expm1, inf
from types import SimpleNamespace
from typing import Any

import pytest

from reviewer.analysis.cut_sets.largest_currents import generated_amps, inlet_amps, load_amps
from reviewer.analysis.cut_sets.sure_volts import SurePaths
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import diode_device
from reviewer.reading import read_text
from reviewer.tables.typical import typical

TEXT = """
format: 1
aircraft: {name: Bench, nominal: 28 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery}
  alternator: {kind: alternator, rating: 60 A, current-limit: 70 A}
  spare: {kind: alternator}
  converter: {kind: converter, rating: 5 A, output-voltage: 14 V, efficiency: 80 %}
  diode: {kind: diode, duty: isolation}
  radio: {kind: load, type: electronic, current: 2 A, minimum: 16 V}
  heater: {kind: load, type: heater, current: 10 A}
  lamp: {kind: load, type: lamp, current: 1 A, nominal: 14 V}
  starter: {kind: load, type: starter, current: 150 A}
wires: {}
operation: {normal: cruise, states: {cruise: {engine: running}}}
"""


DESIGN = read_text(TEXT, "bench.yaml")


def of(name: str) -> Any:
    return SimpleNamespace(element=f"parts/{name}")


def test_a_source_counts_with_the_most_that_it_gives_and_with_any_current_where_that_is_not_known() -> None:
    most = {n: generated_amps(DESIGN, of(n)) for n in ("alternator", "spare", "converter", "battery")}
    assert most == {"alternator": 70.0, "spare": inf, "converter": 5.0, "battery": 0.0}


def test_a_converter_takes_all_its_watts_at_the_least_volts() -> None:
    least = 28.0 * typical("shares", "minimum-of-nominal").value
    taken = inlet_amps(DESIGN, of("converter"))
    assert taken * least * 0.80 == pytest.approx(5.0 * 14.0)


def test_a_load_counts_at_the_volts_at_which_it_takes_most() -> None:
    """What holds its power at its minimum, a resistance at the volts of the system; a starter does not turn."""
    assert load_amps(DESIGN, "parts/radio") * 16.0 == pytest.approx(2.0 * 28.0)
    assert load_amps(DESIGN, "parts/heater") == pytest.approx(10.0)
    assert load_amps(DESIGN, "parts/lamp") * 14.0 == pytest.approx(1.0 * 28.0)
    assert load_amps(DESIGN, "parts/starter") == 0.0


@pytest.mark.parametrize("amps", [0.01, 1.0, 30.0])
def test_a_diode_drops_the_volts_at_which_it_carries_the_current(amps: float) -> None:
    own: Any = SimpleNamespace(design=DESIGN, figures={})
    curve: Any = diode_device(own.design, "parts/diode", 0, 1, Assumptions())
    volts = SurePaths._drop(own, "parts/diode", amps)
    assert 0.2 < volts < 1.5 and curve.saturation * expm1(volts / curve.scale) == pytest.approx(amps)
