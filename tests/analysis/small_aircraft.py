"""A small aircraft on which each fact of an engine can be seen by eye, and changed by one edit."""

from __future__ import annotations

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text

TEXT = """
format: 1
aircraft: {name: Small, nominal: 14 V, airframe: metal, stage: detailed, ambient: 20 C}
parts:
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 17 Ah, internal-resistance: 0.010 ohm}
  reserve: {
    kind: battery, purpose: reserve, chemistry: lead-acid, capacity: 5 Ah,
    internal-resistance: 0.020 ohm
  }
  alternator: {kind: alternator, rating: 40 A, set-point: 14.4 V, field-current: 3 A}
  master: {
    kind: contactor, coil: [coil, ground], contacts: {main: {kind: make, joins: [line, load]}},
    coil-current: 0.7 A, resistance: 0.0003 ohm
  }
  master-fuse: {kind: fuse, rating: 2 A, construction: blade}
  master-switch: {kind: switch, positions: {off: [], on: [[line, load]]}, resistance: 0.010 ohm}
  field-breaker: {kind: breaker, rating: 5 A, resistance: 0.010 ohm}
  main-bus: {kind: bus, rating: 80 A}
  heater-breaker: {kind: breaker, rating: 15 A, resistance: 0.005 ohm, accessible: in-flight}
  heater: {kind: load, type: heater, current: 10 A}
  pump-breaker: {kind: breaker, rating: 5 A, resistance: 0.010 ohm}
  pump: {kind: load, type: motor, current: 3 A, peak: 6 A}
  charge-diode: {
    kind: diode, rating: 25 A, drop: 0.5 V, drop-current: 10 A, technology: schottky, protects: reserve
  }
  charge-fuse: {kind: fuse, rating: 10 A, construction: blade, resistance: 0.007 ohm}
  main-diode: {kind: diode, rating: 25 A, drop: 0.5 V, drop-current: 10 A, technology: schottky}
  reserve-diode: {kind: diode, rating: 25 A, drop: 0.5 V, drop-current: 10 A, technology: schottky}
  main-feed: {kind: breaker, rating: 7.5 A, resistance: 0.010 ohm}
  reserve-feed: {kind: fuse, rating: 7.5 A, construction: blade, resistance: 0.010 ohm}
  radio-bus: {kind: bus}
  radio-switch: {kind: switch, positions: {off: [], on: [[line, load]]}, resistance: 0.010 ohm}
  radio: {
    kind: instrument, current: 2 A,
    inputs: {level: {signal: level-in, return: level-return, reads: voltage}}, signal-returns: joined
  }
  sender: {kind: sensor, span: 5 V, mounted-on: engine.sender}
  engine: {kind: airframe}
  block: {kind: ground-block}
wires:
  P1: {from: main-battery.positive, to: master.line, resistance: 0.001 ohm}
  P2: {from: master.load, to: main-bus.battery, resistance: 0.001 ohm}
  P3: {from: main-battery.positive, to: master-fuse.line, resistance: 0.010 ohm}
  P4: {from: master-fuse.load, to: master.coil, resistance: 0.010 ohm}
  P5: {from: master.ground, to: master-switch.line, resistance: 0.010 ohm}
  P6: {from: master-switch.load, to: block.master, resistance: 0.010 ohm}
  P7: {from: alternator.output, to: main-bus.alternator, resistance: 0.002 ohm}
  P8: {from: main-bus.field, to: field-breaker.line, resistance: 0.010 ohm}
  P9: {from: field-breaker.load, to: alternator.field, resistance: 0.050 ohm}
  H1: {from: main-bus.heater, to: heater-breaker.line, length: 0.1 m, gauge: 16 AWG, resistance: 0.002 ohm}
  H2: {
    from: heater-breaker.load, to: heater.supply, length: 3 m, gauge: 16 AWG, insulation: 150 C,
    resistance: 0.040 ohm
  }
  M1: {from: main-bus.pump, to: pump-breaker.line, length: 0.1 m, gauge: 20 AWG, resistance: 0.003 ohm}
  M2: {from: pump-breaker.load, to: pump.supply, length: 2 m, gauge: 20 AWG, resistance: 0.060 ohm}
  C1: {from: main-bus.charge, to: charge-diode.anode, resistance: 0.010 ohm}
  C2: {from: charge-diode.cathode, to: charge-fuse.line, resistance: 0.010 ohm}
  C3: {from: charge-fuse.load, to: reserve.positive, resistance: 0.010 ohm}
  R1: {from: main-bus.radio, to: main-feed.line, resistance: 0.010 ohm}
  R2: {from: main-feed.load, to: main-diode.anode, resistance: 0.010 ohm}
  R3: {from: main-diode.cathode, to: radio-bus.main, resistance: 0.010 ohm}
  R4: {from: reserve.positive, to: reserve-feed.line, resistance: 0.010 ohm}
  R5: {from: reserve-feed.load, to: reserve-diode.anode, resistance: 0.010 ohm}
  R6: {from: reserve-diode.cathode, to: radio-bus.reserve, resistance: 0.010 ohm}
  R7: {from: radio-bus.radio, to: radio-switch.line, resistance: 0.010 ohm}
  R8: {from: radio-switch.load, to: radio.supply, resistance: 0.010 ohm}
  S1: {from: sender.signal, to: radio.level-in, resistance: 0.010 ohm}
  N1: {from: main-battery.negative, to: block.battery, resistance: 0.001 ohm}
  N2: {from: reserve.negative, to: block.reserve, resistance: 0.002 ohm}
  N3: {from: engine.strap, to: block.strap, resistance: 0.002 ohm}
  N4: {from: alternator.ground, to: engine.alternator, resistance: 0.0005 ohm}
  N5: {from: heater.return, to: block.heater, resistance: 0.010 ohm}
  N6: {from: pump.return, to: block.pump, resistance: 0.010 ohm}
  N7: {from: radio.return, to: block.radio, resistance: 0.010 ohm}
functions:
  voice: {any: 1, of: [radio], loss: hazardous}
operation:
  normal: cruise
  states:
    cruise: {use: flight, engine: running, switches: {master-switch: on, radio-switch: on}}
    smoke: {use: abnormal, engine: running, switches: {master-switch: off, radio-switch: on}}
    parked: {use: ground, engine: stopped, switches: {master-switch: off, radio-switch: off}}
"""


def small(*changes: tuple[str, str]) -> Facts:
    """The facts of the small aircraft, each change (old text, new text) made once."""
    text = TEXT
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return Facts(read_text(text, "small.yaml"))
