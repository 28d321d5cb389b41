"""A 28 V aircraft drawn by hand, in each of its states and under some failures, against ngspice: no node differs by more than two millivolts.

It has what generated networks seldom have together: meters with sense leads, shunts and fuses of their own, a lithium reserve battery that is
charged through a diode, a starter, a regulator that senses at the bus by a lead of its own, and a converter.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator, Mapping
from typing import NamedTuple

import pytest

from reviewer.analysis.conduction.failure_modes import DEGRADED, DIODE_SHORT, LEAKING, OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.operating_point.points import Points, Scenario, solve_points
from reviewer.model.design import Design
from reviewer.model.resolved_states import resolved
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from reviewer.reading import read_text
from tests.analysis.solver.netlist import by_ngspice
from tests.analysis.solver.test_nonlinear_against_simulators import VOLTS, _islands, elsewhere, lithium_of

DRAWING = """
format: 1
aircraft: {name: Four-seater of 28 volts, nominal: 28 V, airframe: composite, stage: detailed}
parts:
  main-battery: {kind: battery, chemistry: lead-acid, capacity: 24 Ah, open-circuit-voltage: 25.4 V, internal-resistance: 12 mohm}
  reserve-battery: {kind: battery, purpose: reserve, chemistry: lithium-iron-phosphate, capacity: 7 Ah, open-circuit-voltage: 26.6 V,
      internal-resistance: 18 mohm, max-charge-current: 10 A}
  alternator: {kind: alternator, rating: 70 A, regulator: external, field-current: 3.2 A, mounted-on: engine.bracket}
  regulator: {kind: regulator, regulates: alternator, set-point: 28.4 V, senses: sense, without-sense: no-output}
  alt-shunt: {kind: shunt, rating: 100 A}
  bat-shunt: {kind: shunt, rating: 100 A}
  main-contactor: {kind: contactor, coil: [plus, minus], contacts: {main: {kind: make, joins: [line, load]}}, coil-current: 0.7 A}
  starter-contactor: {kind: contactor, coil: [plus, minus], contacts: {main: {kind: make, joins: [line, load]}}, coil-current: 3 A}
  main-ground: {kind: ground-block}
  panel-ground: {kind: ground-block}
  engine: {kind: stud}
  main-bus: {kind: bus}
  essential-bus: {kind: bus}
  tie-diode: {kind: diode, drop: 0.55 V, drop-current: 10 A, rating: 40 A}
  charge-diode: {kind: diode, drop: 0.7 V, drop-current: 10 A, rating: 35 A}
  converter: {kind: converter, output-voltage: 13.8 V, rating: 8 A, efficiency: 86 %}
  engine-monitor: {kind: instrument, current: 0.35 A, minimum: 10 V, supplies: [supply],
      inputs: {bus: {signal: bus-volts}, reserve: {signal: reserve-volts}, alt: {signal: alt-high, return: alt-low}, bat: {signal: bat-high, return: bat-low}}}
  handheld-charger: {kind: load, type: electronic, current: 2 A, minimum: 11 V}
circuits:
  battery-minus: main-ground > 4 AWG 0.5 m > main-battery.negative
  battery-plus: main-battery.positive > 4 AWG 0.4 m > main-contactor.line
  master: main-contactor.plus > 20 AWG 0.1 m > main-contactor.line
  master-return: main-contactor.minus > 20 AWG 2 m > switch master 10 A (normal up, positions down/up) > 20 AWG 1 m > main-ground
  starter: main-contactor.load > 4 AWG 0.4 m > starter-contactor.line/load > 4 AWG 1.3 m > starter (140 A, starter, peak 380 A, 10 to 32 V, mounted-on engine.starter)
  strap: engine > 4 AWG 0.6 m > main-ground
  start: essential-bus + breaker 5 A START > 20 AWG 0.5 m > switch start-button 10 A (momentary start, positions released/start, normal released) > 20 AWG 2 m > starter-contactor.plus
  start-return: starter-contactor.minus > 20 AWG 0.3 m > main-ground
  generator: main-contactor.load > 8 AWG 0.2 m > alt-shunt.load/line > 8 AWG 0.1 m > limiter 80 A ALT > 8 AWG 1.6 m > alternator.output
  generator-return: alternator.ground > 6 AWG 0.3 m > engine
  feed: main-contactor.load > 8 AWG 0.1 m > bat-shunt.line/load > 8 AWG 0.1 m > limiter 80 A BUS > 8 AWG 1.4 m > main-bus
  regulator-supply: main-bus + breaker 5 A FIELD > 20 AWG 0.4 m > switch field-switch 10 A (normal up, positions down/up) > 20 AWG 1.2 m > regulator.supply
  regulator-sense: main-bus + fuse sense-fuse 1 A > 22 AWG 1.2 m > regulator.sense
  regulator-field: regulator.field > 20 AWG 1.1 m > alternator.field
  regulator-ground: regulator.ground > 20 AWG 0.4 m > main-ground
  tie: main-bus + breaker 20 A TIE > 12 AWG 0.5 m > tie-diode.anode/cathode > 12 AWG 0.4 m > essential-bus
  charge: main-bus + breaker 15 A CHARGE > 14 AWG 0.8 m > charge-diode.anode/cathode > 14 AWG 1.5 m > reserve-battery.positive
  reserve: reserve-battery.positive > 12 AWG 0.2 m > fuse reserve-fuse 20 A > 12 AWG 1.6 m > switch reserve-switch 25 A (normal down, positions down/up) > 12 AWG 0.4 m > essential-bus
  reserve-minus: reserve-battery.negative > 10 AWG 1.4 m > main-ground
  grounds: panel-ground > 8 AWG 1.1 m > main-ground
  alt-high: alt-shunt.line > 22 AWG 0.1 m > fuse alt-high-fuse 1 A > 22 AWG 2 m > engine-monitor.alt-high
  alt-low: alt-shunt.load > 22 AWG 0.1 m > fuse alt-low-fuse 1 A > 22 AWG 2 m > engine-monitor.alt-low
  bat-high: bat-shunt.line > 22 AWG 0.1 m > fuse bat-high-fuse 1 A > 22 AWG 2 m > engine-monitor.bat-high
  bat-low: bat-shunt.load > 22 AWG 0.1 m > fuse bat-low-fuse 1 A > 22 AWG 2 m > engine-monitor.bat-low
  bus-sense: main-bus + fuse bus-sense-fuse 1 A > 22 AWG 0.5 m > engine-monitor.bus-volts
  reserve-sense: reserve-battery.positive > 22 AWG 0.1 m > fuse reserve-sense-fuse 1 A > 22 AWG 2 m > engine-monitor.reserve-volts
  monitor: essential-bus + breaker 2 A EMS > 22 AWG 0.5 m > engine-monitor > 22 AWG 1 m > panel-ground
  ignition-a: main-bus + breaker 5 A IGN A > 18 AWG 2 m > ignition-a (1.1 A, electronic, 10 to 32 V) > 18 AWG 0.8 m > main-ground
  ignition-b: essential-bus + breaker 5 A IGN B > 18 AWG 2 m > ignition-b (1.1 A, electronic, 10 to 32 V) > 18 AWG 0.8 m > main-ground
  pump: essential-bus + breaker 10 A PUMP > 16 AWG 2.2 m > pump (4 A, motor, peak 9 A, 18 to 32 V) > 16 AWG 2 m > main-ground
  radio: essential-bus + breaker 5 A COM > 20 AWG 1 m > radio (0.8 A, electronic, 18 to 32 V) > 20 AWG 1 m > panel-ground
  landing-light: main-bus + breaker 10 A LDG > 18 AWG 0.4 m > switch landing-switch 10 A (normal down, positions down/up) > 18 AWG 5 m > landing-light (3.6 A, lamp, 18 to 32 V) > 18 AWG 5 m > panel-ground
  heater: main-bus + breaker 15 A PITOT > 14 AWG 4 m > pitot-heater (7 A, heater, 18 to 32 V) > 14 AWG 4 m > panel-ground
  converter-in: main-bus + breaker 7.5 A CONV > 18 AWG 0.6 m > converter.input
  converter-ground: converter.ground > 18 AWG 0.5 m > panel-ground
  converter-out: converter.output > 20 AWG 0.5 m > handheld-charger > 20 AWG 0.5 m > panel-ground
functions:
  ignition: {any: 1, of: [ignition-a, ignition-b], loss: catastrophic}
operation:
  normal: cruise
  states:
    cruise: {engine: running, switches: {master: up, field-switch: up, reserve-switch: down, landing-switch: down, start-button: released}}
    night: {like: cruise, switches: {landing-switch: up}}
    cranking: {like: cruise, use: ground, engine: cranking, switches: {field-switch: down, start-button: start}}
    before-start: {like: cruise, use: ground, engine: stopped, switches: {field-switch: down}}
    smoke: {like: cruise, use: abnormal, switches: {master: down, field-switch: down, reserve-switch: up}}
    parked: {like: cruise, use: ground, engine: stopped, switches: {master: down, field-switch: down}}
"""
#: state, failures, charge of the reserve battery
CASES: Mapping[str, tuple[str, tuple[Failure, ...], float]] = {
    **{name: (name, (), 1.0) for name in ("cruise", "night", "cranking", "before-start", "smoke", "parked")},
    "a flat reserve": ("cruise", (), 0.1),
    "both batteries low": ("night", (), 0.4),
    "the alternator lost": ("night", (Failure("parts/alternator", OPEN),), 1.0),
    "the sense lead of the regulator open": ("cruise", (Failure("parts/sense-fuse", OPEN),), 1.0),
    "the battery off line": ("cruise", (Failure("parts/main-battery", OPEN),), 0.6),
    "the tie diode shorted": ("smoke", (Failure("parts/tie-diode", DIODE_SHORT),), 1.0),
    "an ammeter lead open": ("night", (Failure("parts/bat-low-fuse", OPEN),), 1.0),
    "a worn strap while cranking": ("cranking", (Failure("wires/strap-1", DEGRADED, ohms=0.02),), 1.0),
    "a worn ground of the panel": ("night", (Failure("wires/grounds-1", DEGRADED, ohms=0.3),), 1.0),
    "a leaking charge diode": ("smoke", (Failure("parts/charge-diode", LEAKING, ohms=30.0),), 0.5),
}


class Drawn(NamedTuple):
    design: Design
    network: Network
    points: Points

    def islands(self) -> Iterator[tuple[float, int]]:
        """For each island, what the worst node differs by from ngspice, and how many nodes it has."""
        senses = elsewhere(self.design, self.network, self.points)
        for island in _islands(0, self.points, senses, lithium_of(self.design, self.points)):
            yield island.worst(by_ngspice), len(island.nodes)


def drawn(state: str, case: tuple[Failure, ...] = (), charge: float = 1.0) -> Drawn:
    design = read_text(DRAWING, "x")
    assert design.operation
    network, own = build_network(design), resolved(design.operation)[state]
    healthy = conduct(network, own)
    found = conduct(network, own, (case,), healthy) if case else healthy
    assert not found.unsettled
    starting = ("starter",) if own.engine == "cranking" else ()
    charges = {"parts/reserve-battery": charge, "parts/main-battery": 1.0 if charge == 1.0 else 0.7}
    points = solve_points(design, network, Scenario(own, found, case, (), starting, charges=charges))
    assert not points.unsolved
    return Drawn(design, network, points)


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed; .ci/run installs it")
@pytest.mark.parametrize("name", CASES)
def test_a_drawing_of_28_volts_is_solved_as_ngspice_solves_it(name: str) -> None:
    found = list(drawn(*CASES[name]).islands())
    assert max(worst for worst, _ in found) <= VOLTS, found
    assert sum(nodes for _, nodes in found) >= 100


def test_in_the_cases_something_happens() -> None:
    flat, low = drawn(*CASES["a flat reserve"]).points, drawn(*CASES["both batteries low"]).points
    assert (
        flat.amps("parts/alternator")[0] == pytest.approx(70.0)
        and flat.amps("parts/reserve-battery")[0] < -40
    )
    output, bus = (low.volts(terminal)[0] for terminal in ("alternator.output", "main-bus"))
    assert output - bus > 0.5 and bus == pytest.approx(
        28.4, abs=0.02
    )  # held at the bus, by the lead that senses there
    assert drawn(*CASES["cranking"]).points.amps("parts/main-battery")[0] > 300.0
    lost = drawn(*CASES["the sense lead of the regulator open"]).points
    assert abs(lost.amps("parts/alternator")[0]) < 0.01 and lost.amps("parts/main-battery")[0] > 15.0
    backfed = drawn(*CASES["the tie diode shorted"]).points
    assert drawn(*CASES["smoke"]).points.volts("main-bus")[0] < 0.05 and backfed.volts("main-bus")[0] > 20.0
