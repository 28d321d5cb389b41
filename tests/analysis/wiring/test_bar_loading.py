"""What comes into a bar: the sum of the currents that its wires bring, however small; what is not known stays so."""

from __future__ import annotations

from math import isnan, nan
from types import SimpleNamespace

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.wiring.bar_loading import _amperes
from reviewer.reading import read_text


@pytest.mark.parametrize(
    ("amps", "wanted"),
    [((0.3, 0.4, 0.5), 1.2), ((5.0, -2.0, 0.5), 5.5), ((0.0, -1.0, -3.0), 0.0), ((-1.0, 2.5, 0.0), 2.5)],
)
def test_currents_into_a_bar_add_up(amps: tuple[float, ...], wanted: float) -> None:
    assert into(amps) == pytest.approx(wanted)


def test_a_current_that_is_not_known_leaves_the_sum_open() -> None:
    assert isnan(into((1.0, nan, 2.0)))


def into(amps: tuple[float, ...]) -> float:
    """Of three wires, the second drawn away from the bar."""
    design = SimpleNamespace(parts={"bar": None}, wire_ends={"bar": (("W0", 1), ("W1", -1), ("W2", 1))})
    signs = (1, -1, 1)
    point = SimpleNamespace(
        amps={f"wires/W{i}": sign * a for i, (sign, a) in enumerate(zip(signs, amps, strict=True))}
    )
    return _amperes(design, SimpleNamespace(sources=()), "bar", point)  # type: ignore[arg-type]


@pytest.mark.parametrize(("rating", "taken"), [("5 A", 10.0), ("15 A", 10.0)])
def test_batteries_in_series_beside_a_socket_at_its_limit_count_once(rating: str, taken: float) -> None:
    content = f"""
format: 1
aircraft: {{name: Two in series, nominal: 28 V, airframe: metal, stage: concept}}
parts:
  lower: {{kind: battery, nominal: 14 V, chemistry: lead-acid, capacity: 24 Ah}}
  upper: {{kind: battery, nominal: 14 V, chemistry: lead-acid, capacity: 24 Ah}}
  socket: {{kind: external-power, rating: {rating}, voltage: 26.5 V}}
  bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  heater: {{kind: load, type: motor, current: 10 A}}
circuits:
  string: lower.positive > upper.negative
  low: ground > lower.negative
  high: upper.positive > bus
  outside: socket.positive > bus
  outside-return: socket.negative > ground
  heat: bus > heater > ground
operation:
  normal: heating
  states: {{heating: {{use: ground, engine: stopped, external-power: connected}}}}
"""
    facts = Facts(read_text(content, "series.design.yaml"))
    load = facts.wires.bar_load("socket")
    assert load is not None and load.amperes == pytest.approx(taken, abs=1.2)
