"""Sensor offsets: drops against sums done by hand, and against the solver of operating points."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.grounding import sensor_offset
from reviewer.reading import read_text
from tests.analysis.grounding.two_straps import RING, TEXT
from tests.analysis.small_aircraft import small


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_text(TEXT, "bench.yaml"))


def test_an_ampere_through_two_straps_drops_what_two_resistances_side_by_side_drop(facts: Facts) -> None:
    network = facts.network
    drops = sensor_offset.drops(
        network,
        facts.grounds.return_ohms,
        network.node("main-battery.negative"),
        network.node("alternator.ground"),
    )
    first, second = 0.002 + 2 * RING, 0.006 + 2 * RING
    block = -(0.001 + RING)
    engine = block - first * second / (first + second)
    assert drops[network.node("block")] == pytest.approx(block, rel=1e-6)
    assert drops[network.node("engine")] == pytest.approx(engine, rel=1e-6)
    assert drops[network.node("alternator.ground")] == pytest.approx(engine - RING - 0.0005, rel=1e-6)
    assert drops[network.node("panel")] == pytest.approx(block, rel=1e-6)  # nothing flows there


def test_drops_are_what_the_solver_finds_for_the_same_current(facts: Facts) -> None:
    """Between two operating points the offset goes with what the alternator gives."""
    more = Facts(
        read_text(TEXT.replace("capacity: 17 Ah", "capacity: 17 Ah, state-of-charge: 50 %"), "bench.yaml")
    )
    one, two = facts.points.point(facts.points.flown[0]), more.points.point(more.points.flown[0])
    network = facts.network
    drops = sensor_offset.drops(
        network,
        facts.grounds.return_ohms,
        network.node("main-battery.negative"),
        network.node("alternator.ground"),
    )
    grown = two.given["parts/alternator"] - one.given["parts/alternator"]
    assert grown > 1.0
    solved = (two.volts["engine"] - two.volts["block"]) - (one.volts["engine"] - one.volts["block"])
    assert solved == pytest.approx(
        grown * (drops[network.node("engine")] - drops[network.node("block")]), rel=0.01
    )


def test_a_sender_on_the_engine_and_its_instrument_on_the_block_are_a_pair() -> None:
    """The difference of the two grounds, with the alternator raised to its limit of 40 A."""
    aircraft = small()
    (pair,) = aircraft.grounds.sensor_pairs
    assert (pair.own, pair.reference, pair.two_wire) == ("sender.return", "radio.return", False)
    found, point = aircraft.grounds.offset(pair), aircraft.points.point(aircraft.points.flown[0])
    assert found is not None and found.missing == {}
    now = point.volts["radio.return"] - point.volts["sender.return"]
    # what the alternator gives more flows to the battery by engine, strap and block
    more = (40.0 - point.given["parts/alternator"]) * (0.002 + 2 * RING)
    assert found.volts == pytest.approx(now + more, rel=0.02)


def test_a_ground_that_the_current_of_the_alternator_does_not_pass_stays_where_it_is() -> None:
    """Where no ground is on the way from battery to alternator, more current moves none of them."""
    aircraft = small()
    (pair,) = aircraft.grounds.sensor_pairs
    point, side = aircraft.points.point(aircraft.points.flown[0]), aircraft.grounds.return_ohms
    found = sensor_offset.offset(aircraft.design, aircraft.network, side, pair, point, {"alternator": {}})
    assert found is not None
    assert found.volts == pytest.approx(abs(point.volts[pair.own] - point.volts[pair.reference]))
