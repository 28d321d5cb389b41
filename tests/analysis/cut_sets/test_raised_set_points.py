"""A regulator that is a part of its own holds the volts between its sense lead and its ground: what raises one of them raises the bus,
up to the overvoltage trip, and no alternator gives more volts than it has at full field."""

from __future__ import annotations

from dataclasses import replace

import pytest

from reviewer.analysis.conduction.failure_modes import DEGRADED, OPEN, Failure
from reviewer.analysis.cut_sets.degradation import Degradation
from reviewer.analysis.cut_sets.degraded_effects import degraded_effect
from reviewer.analysis.facts import Facts
from reviewer.questions.fail import fail_of
from reviewer.reading import read_text
from reviewer.reports.degraded_text import degraded_lines

#: the heater takes 2 A at 14 V and returns by 0.033 ohm of its own, or by the 0.02 ohm of the regulator's ground lead
DRAWN = """
format: 1
aircraft: {name: Bench, nominal: 14 V, airframe: composite, stage: detailed, ambient: 20 C}
parts:
  battery: {kind: battery, chemistry: lead-acid, capacity: 25 Ah, internal-resistance: 0.01 ohm}
  ground: {kind: ground-block}
  bus: {kind: bus}
  alternator: {kind: alternator, rating: 60 A, field-current: 3 A, overvoltage-trip: 16.2 V, trip-acts-on: field}
  regulator: {kind: regulator, regulates: alternator, set-point: 14.2 V, without-sense: full-field, without-ground: no-output}
  heater: {kind: load, type: heater, current: 2 A, minimum: 11.5 V, maximum: 18 V}
wires:
  B1: {from: battery.positive, to: bus.battery, resistance: 0.005 ohm}
  B2: {from: battery.negative, to: ground.battery, resistance: 0.001 ohm}
  A1: {from: alternator.output, to: bus.alternator, resistance: 0.01 ohm}
  A2: {from: alternator.ground, to: ground.alternator, resistance: 0.001 ohm}
  F1: {from: bus.field, to: regulator.supply, resistance: 0.05 ohm}
  F2: {from: regulator.field, to: alternator.field, resistance: 0.05 ohm}
  S1: {from: bus.sense, to: regulator.sense, resistance: 0.05 ohm}
  S2: {from: regulator.ground, to: ground.regulator, resistance: 0.02 ohm}
  R1: {from: bus.heater, to: heater.supply, resistance: 0.05 ohm}
  R2: {from: heater.return, to: ground.heater, resistance: 0.033 ohm}
functions: {heat: {any: 1, of: [heater], loss: major}}
operation: {normal: cruise, states: {cruise: {engine: running, switches: {}}}}
"""
SHARED = DRAWN.replace(
    "to: ground.heater, resistance: 0.033 ohm", "to: regulator.ground, resistance: 0.00001 ohm"
)


def of(text: str, wire: str, ohms: float = 1.0) -> Degradation:
    facts = Facts(read_text(text, "bench.yaml"))
    return Degradation(
        facts.points, facts.states.answer("cruise"), Failure(f"wires/{wire}", DEGRADED, ohms=ohms)
    )


def output(degradation: Degradation, ohms: float) -> float:
    point = degradation.points.operating_point("cruise", case=(replace(degradation.failure, ohms=ohms),))
    return float(point.volts["alternator.output"] - point.volts["alternator.ground"])


@pytest.mark.long
def test_a_load_on_the_ground_of_the_regulator_raises_the_bus_by_what_it_drops_there() -> None:
    shared, own = of(SHARED, "S2"), of(DRAWN, "S2")
    for ohms in (0.2, 0.6):
        point = shared.points.operating_point("cruise", case=(replace(shared.failure, ohms=ohms),))
        amps = point.amps["wires/R1"]  # at its own volts, which the rise leaves alone
        ring = 2e-4  # of the block
        assert point.volts["bus"] == pytest.approx(14.2 + amps * (ohms + 0.02 + ring), abs=0.002)
        assert point.across["parts/heater"] == pytest.approx(14.2 - amps * 0.05, abs=0.003)
        assert output(own, ohms) == pytest.approx(output(own, 0.0), abs=1e-3)
    assert own.highs() == () and own.losses() == ()


@pytest.mark.long
def test_where_that_reaches_the_trip_the_alternator_may_be_lost_and_what_then_has_too_little() -> None:
    shared = of(SHARED, "S2")
    (trip,) = shared.highs()
    assert (trip.name, trip.limit, trip.trip) == ("alternator", 16.2, True)
    assert output(shared, trip.ohms * 1.004) > 16.2 > output(shared, trip.ohms / 1.004)
    (loss,) = shared.losses()
    assert (loss.function, loss.tripped, loss.ohms) == ("heat", ("alternator",), trip.ohms)
    lost = (replace(shared.failure, ohms=trip.ohms), Failure("parts/alternator", OPEN))
    assert shared.points.operating_point("cruise", case=lost).across["parts/heater"] < 11.5
    assert degraded_effect(of(SHARED, "S2", 2.0)).reach[0][0] == "alternator"
    # with nothing that trips, the heater keeps its volts
    free = of(SHARED.replace("overvoltage-trip: 16.2 V, trip-acts-on: field", "overvoltage-trip: none"), "S2")
    assert free.highs() == () and (not free.losses() or free.losses()[0].ohms > 10 * loss.ohms)
    facts = Facts(read_text(SHARED, "bench.yaml"))
    lines = degraded_lines(facts.design, fail_of(facts, "S2", "degraded", "cruise"), 200)
    assert any("alternator reaches its overvoltage trip of 16.2 V from" in line for line in lines)
    assert any("alternator has tripped by overvoltage" in line for line in lines)


@pytest.mark.long
def test_an_alternator_has_no_more_than_its_volts_at_full_field() -> None:
    """79 V at 14 V, a typical value; behind 20 ohm that is 3.3 A, and the battery gives the rest."""
    degradation = of(DRAWN, "A1", 20.0)
    point = degradation.points.operating_point("cruise", case=(degradation.failure,))
    assert output(degradation, 20.0) == pytest.approx(79, abs=0.01)
    amps = point.given["parts/alternator"]
    assert amps == pytest.approx(
        (79 - point.volts["bus"] + point.volts["alternator.ground"]) / 20.01, rel=1e-3
    )
    assert point.given["parts/battery"] > 1 and point.volts["bus"] < 12.9
    assert any("nothing regulates" in a.what for a in point.assumed)
    (trip,) = degradation.highs()
    assert output(degradation, trip.ohms * 1.004) > 16.2 > output(degradation, trip.ohms / 1.004)
    # below that the bus is held, as far as the resistance lets it
    assert output(degradation, 1.0) == pytest.approx(
        14.2 + 1.01 * degradation.points.operating_point("cruise").given["parts/alternator"], rel=0.01
    )
