"""A motor that its own circuit feeds in reverse is on: what else reaches it is no sneak path."""

from __future__ import annotations

from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text

CHANGEOVER = "{kind: changeover, common: common, de-energised: rest, energised: work}"
DESIGN = f"""
format: 1
aircraft: {{name: Bench, nominal: 14 V, airframe: composite, stage: detailed}}
parts:
  battery: {{kind: battery, chemistry: lead-acid, capacity: 17 Ah}}
  machine: {{kind: alternator, rating: 40 A, set-point: 14.4 V, excitation: permanent-magnet}}
  bus: {{kind: bus}}
  battery-bus: {{kind: bus}}
  ground: {{kind: ground-block}}
  panel: {{kind: ground-block}}
  contactor: {{kind: contactor, coil: [plus, minus], contacts: {{main: {{kind: make, joins: [line, load]}}}}}}
  lamp: {{kind: load, type: lamp, current: 1 A}}
  up: {{kind: relay, coil: [plus, minus], contacts: {{motor: {CHANGEOVER}}}}}
  down: {{kind: relay, coil: [plus, minus], contacts: {{motor: {CHANGEOVER}}}}}
  switch: {{kind: switch, positions: {{rest: [], up: [[line, up]], down: [[line, down]]}}}}
  motor: {{kind: load, type: motor, current: 4 A}}
wires:
  P1: {{from: battery.positive, to: battery-bus.1}}
  P2: {{from: battery-bus.2, to: contactor.line}}
  P3: {{from: contactor.load, to: bus.1}}
  P4: {{from: machine.output, to: bus.2}}
  P5: {{from: bus.3, to: up.work}}
  P6: {{from: bus.4, to: down.work}}
  P7: {{from: bus.5, to: switch.line}}
  P8: {{from: switch.up, to: up.plus}}
  P9: {{from: switch.down, to: down.plus}}
  P10: {{from: bus.6, to: lamp.supply}}
  C1: {{from: battery-bus.3, to: contactor.plus}}
  C2: {{from: contactor.minus, to: panel.1}}
  C3: {{from: lamp.return, to: panel.2}}
  M1: {{from: up.common, to: motor.supply}}
  M2: {{from: down.common, to: motor.return}}
  N1: {{from: battery.negative, to: ground.1}}
  N2: {{from: machine.ground, to: ground.2}}
  N3: {{from: up.rest, to: ground.3}}
  N4: {{from: down.rest, to: ground.4}}
  N5: {{from: up.minus, to: ground.5}}
  N6: {{from: down.minus, to: ground.6}}
  N7: {{from: panel.3, to: ground.7}}
operation:
  normal: rest
  states:
    rest: {{engine: running, switches: {{switch: rest}}}}
    up: {{engine: running, switches: {{switch: up}}}}
    down: {{engine: running, switches: {{switch: down}}}}
"""


def facts(**motor: Any) -> Facts:
    keys = "".join(f", {key}: {str(value).lower()}" for key, value in motor.items())
    return Facts(read_text(DESIGN.replace("current: 4 A}", f"current: 4 A{keys}}}"), "bench"))


@pytest.mark.parametrize("motor", [{}, {"reversible": True}])
def test_a_motor_that_runs_in_reverse_is_not_turned_by_coils_and_lamps_in_series(motor: Any) -> None:
    """With the panel ground open the contactor's coil and the lamp lie in series from the battery to
    the bus that the alternator feeds."""
    found = facts(**motor).paths.sneaks
    assert "parts/motor" not in {sneak.victim for sneak in found}


def test_a_motor_at_rest_that_a_lamp_feeds_is_turned_by_a_sneak_path() -> None:
    rewired = DESIGN.replace("N3: {from: up.rest, to: ground.3}", "N3: {from: up.rest, to: lamp.return}")
    rewired = rewired.replace(
        "C3: {from: lamp.return, to: panel.2}", "C3: {from: lamp.return, to: panel.2, gauge: 22 AWG}"
    )
    found = Facts(read_text(rewired, "bench")).paths.sneaks
    assert "parts/motor" in {sneak.victim for sneak in found}


def test_a_reversible_motor_draws_the_same_current_either_way_round() -> None:
    points = facts(reversible=True).points
    up, down = points.operating_point("up"), points.operating_point("down")
    assert up.taken["parts/motor"] == pytest.approx(down.taken["parts/motor"]) == pytest.approx(4.0)
    assert up.across["parts/motor"] == pytest.approx(down.across["parts/motor"], abs=0.01)
    assert (up.reversed, down.reversed) == (frozenset(), {"parts/motor"})
    assert down.volts["motor.return"] > down.volts["motor.supply"]
