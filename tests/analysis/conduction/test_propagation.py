"""Propagation over the contracted graph, and fault zones."""

from __future__ import annotations

from random import Random

from reviewer.analysis.conduction.propagation import Propagator, chain_masks, turned, zone_of
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from tests.analysis.small_designs import SmallDesign
from tests.oracle.generator import realistic


def conducting(network: Network) -> tuple[list[int], list[int]]:
    """Every link conducts in one lane, diodes in their direction."""
    return [1] * len(network.links), [0 if link.oneway else 1 for link in network.links]


def diode_between_two_loads() -> Network:
    made = SmallDesign()
    made.load("lamp")
    made.add("diode", "diode")
    made.add("far-bus", "bus")
    made.wire("bus", "diode.anode")
    made.wire("diode.cathode", "far-bus")
    made.load("far-lamp", start="far-bus")
    return made.facts().network


def test_current_passes_a_diode_in_its_direction_only() -> None:
    network = diode_between_two_loads()
    propagator = Propagator(network.contracted, *conducting(network), None)
    lamp, far = network.node("lamp.supply"), network.node("far-lamp.supply")
    assert propagator.from_node(network.node("battery.positive"), 1)[far] == 1
    assert propagator.from_node(far, 1)[lamp] == 0


def test_an_open_link_stops_one_lane_and_not_another() -> None:
    network = diode_between_two_loads()
    along, against = ([mask * 0b11 for mask in masks] for masks in conducting(network))
    for i in network.links_of["parts/diode"]:
        along[i] = 0b10
    reach = Propagator(network.contracted, along, against, None).from_node(
        network.node("battery.positive"), 0b11
    )
    assert reach[network.node("far-lamp.supply")] == 0b10 and reach[network.node("lamp.supply")] == 0b11


def test_a_blocked_node_is_not_entered() -> None:
    network = diode_between_two_loads()
    blocked = [0] * len(network.names)
    blocked[network.node("bus")] = 1
    reach = Propagator(network.contracted, *conducting(network), blocked).from_node(
        network.node("battery.positive"), 1
    )
    assert reach[network.node("lamp.supply")] == 0


def test_an_update_keeps_the_lanes_that_did_not_change() -> None:
    network = diode_between_two_loads()
    along, against = ([mask * 0b11 for mask in masks] for masks in conducting(network))
    start = network.node("battery.positive")
    before = Propagator(network.contracted, along, against, None).from_node(start, 0b11)
    changed = list(along)
    for i in network.links_of["parts/diode"]:
        changed[i] = 0b01
    after = Propagator(network.contracted, changed, against, None)
    assert list(after.update(start, 0b11, 0b10, before)) == list(after.from_node(start, 0b11))


def test_a_fault_zone_ends_at_the_protectors_around_it() -> None:
    made = SmallDesign()
    made.load("lamp", made.protector("breaker"))
    network = made.facts().network
    lamp = network.node("lamp.supply")
    usual = conducting(network)
    zone = zone_of(network, {lamp: 1}, *usual, network.protectors, 0, usual)
    assert network.node("breaker.load") in zone and network.node("breaker.line") not in zone
    assert network.node("bus") in zone_of(network, {lamp: 1}, *usual, frozenset(), 0, usual)


def test_usual_and_unusual_lanes_have_the_same_zone() -> None:
    network = diode_between_two_loads()
    short, usual = {network.node("far-lamp.supply"): 1}, conducting(network)
    together = zone_of(network, short, *usual, network.protectors, 0, usual)
    assert together == zone_of(network, short, *usual, network.protectors, 1, usual)
    assert network.node("bus") in together  # current flows through the diode into the short


def test_chains_are_those_of_their_links_turned_round_and_moved() -> None:
    for seed in range(3):
        network, chance = build_network(realistic(100, seed)), Random(seed)
        along = [chance.getrandbits(40) for _ in network.links]
        against = [chance.getrandbits(40) for _ in network.links]
        chains = chain_masks(network.contracted, along, against)
        assert turned(chains) == chain_masks(network.contracted, against, along)
        moved = chance.sample(range(len(along)), 30)
        for i in moved:
            along[i] = chance.getrandbits(40)
        assert chain_masks(network.contracted, along, against, chains, moved) == chain_masks(
            network.contracted, along, against
        )
        for c, chain in enumerate(network.contracted.chains):
            plain = (1 << 40) - 1
            for i, leaving in chain.steps:
                plain &= (along if leaving else against)[i]
            assert plain == chain_masks(network.contracted, along, against)[2 * c]
