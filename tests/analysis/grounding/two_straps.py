"""A bench with two straps between engine and block, two leads between panel and block."""

from __future__ import annotations

#: the resistance of a ring terminal on its stud, tables/typical_values.toml; each end of a wire on
#: a block or structure has one
RING = 0.0002

TEXT = """
format: 1
aircraft: {name: Bench, nominal: 14 V, airframe: composite, stage: detailed}
parts:
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah}
  alternator: {kind: alternator, rating: 40 A, set-point: 14.4 V}
  engine: {kind: airframe, material: metal}
  block: {kind: ground-block}
  panel: {kind: ground-block}
  main-bus: {kind: bus}
  heater: {kind: load, type: heater, current: 10 A}
wires:
  P1: {from: main-battery.positive, to: main-bus.battery, resistance: 0.002 ohm}
  P2: {from: alternator.output, to: main-bus.alternator, resistance: 0.002 ohm}
  P3: {from: main-bus.field, to: alternator.field, resistance: 0.05 ohm}
  P4: {from: main-bus.heater, to: heater.supply, resistance: 0.01 ohm}
  N1: {from: main-battery.negative, to: block.battery, resistance: 0.001 ohm}
  N2: {from: engine.strap-1, to: block.strap-1, resistance: 0.002 ohm}
  N3: {from: engine.strap-2, to: block.strap-2, resistance: 0.006 ohm}
  N4: {from: alternator.ground, to: engine.alternator, resistance: 0.0005 ohm}
  N5: {from: heater.return, to: panel.heater, resistance: 0.005 ohm}
  N6: {from: panel.feed-1, to: block.panel-1, resistance: 0.003 ohm}
  N7: {from: panel.feed-2, to: block.panel-2, resistance: 0.150 ohm}
operation:
  normal: cruise
  states: {cruise: {use: flight, engine: running}}
"""
