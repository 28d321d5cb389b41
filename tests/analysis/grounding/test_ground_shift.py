"""Grounds: drops and rises against sums done by hand, and against the solver of operating points."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.grounding import ground_shift, sensor_offset
from reviewer.reading import read_text

#: the resistance of a ring terminal on its stud, tables/typical_values.toml; each end of a wire on a block or structure has one
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
  dispatch: cruise
  states: {cruise: {use: flight, engine: running}}
"""


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_text(TEXT, "bench.yaml"))


def test_an_ampere_through_two_straps_drops_what_two_resistances_side_by_side_drop(facts: Facts) -> None:
    network = facts.network
    drops = sensor_offset.drops(network, facts.grounds.return_ohms, network.node("main-battery.negative"), network.node("alternator.ground"))
    first, second = 0.002 + 2 * RING, 0.006 + 2 * RING
    block = -(0.001 + RING)
    engine = block - first * second / (first + second)
    assert drops[network.node("block")] == pytest.approx(block, rel=1e-6)
    assert drops[network.node("engine")] == pytest.approx(engine, rel=1e-6)
    assert drops[network.node("alternator.ground")] == pytest.approx(engine - RING - 0.0005, rel=1e-6)
    assert drops[network.node("panel")] == pytest.approx(block, rel=1e-6)  # nothing flows there


def test_drops_are_what_the_solver_finds_for_the_same_current(facts: Facts) -> None:
    """Between two operating points the offset between engine and block goes with what the alternator gives."""
    more = Facts(read_text(TEXT.replace("capacity: 17 Ah", "capacity: 17 Ah, state-of-charge: 50 %"), "bench.yaml"))
    one, two = facts.points.point(facts.points.flown[0]), more.points.point(more.points.flown[0])
    network = facts.network
    drops = sensor_offset.drops(network, facts.grounds.return_ohms, network.node("main-battery.negative"), network.node("alternator.ground"))
    grown = two.given["parts/alternator"] - one.given["parts/alternator"]
    assert grown > 1.0
    solved = (two.volts["engine"] - two.volts["block"]) - (one.volts["engine"] - one.volts["block"])
    assert solved == pytest.approx(grown * (drops[network.node("engine")] - drops[network.node("block")]), rel=0.01)


def test_what_a_return_rises_by_when_a_lead_opens_is_the_current_times_what_is_left(facts: Facts) -> None:
    """The estimate and the failure solved in full, by Ohm's law: the heater is a resistance of 1.4 ohm behind about 14.3 V."""
    rise = facts.grounds.rise("N6")
    point = facts.points.operating_point("cruise", None, (ground_shift.Failure("wires/N6", "open"),))
    amps = point.taken["parts/heater"]
    left = 0.005 + RING + 0.150 + 2 * RING
    assert rise.user == "heater"
    assert rise.volts > rise.most
    # the nearest negative is that of the battery: what charges it drops a little in N1
    assert rise.volts == pytest.approx(amps * left, rel=0.02)


def test_a_lead_beside_a_good_one_is_passed_without_solving_the_failure(facts: Facts) -> None:
    rise = ground_shift.rise(facts.network, facts.grounds.return_ohms, "wires/N7", facts.points.point(facts.points.flown[0]), lambda case: pytest.fail("solved"))
    assert rise.volts < 0.2
