"""The network of the small aircraft: stars of bars, gates of contacts, shields, bundles."""

from __future__ import annotations

import pytest

from reviewer.network.graph import Gate
from reviewer.network.network_build import build_network
from tests.analysis.small_aircraft import small


def test_a_bus_is_a_star_round_a_node_of_its_own() -> None:
    network = build_network(small().design)
    bus = network.node("main-bus")
    rays = [network.links[i] for i in network.links_of["parts/main-bus"]]
    assert rays and all(bus in (link.a, link.b) and link.gate is Gate.ALWAYS for link in rays)
    assert len(rays) == len(network.nodes_of["parts/main-bus"]) - 1


@pytest.mark.parametrize(("airframe", "links"), [("metal", 3), ("composite", 0)])
def test_structure_conducts_where_it_is_metal(airframe: str, links: int) -> None:
    network = build_network(small(("airframe: metal", f"airframe: {airframe}")).design)
    assert len(network.links_of.get("parts/engine", ())) == links


def test_sources_loads_and_coils_have_their_terminals() -> None:
    network = build_network(small().design)
    alternator = next(s for s in network.sources if s.kind == "alternator")
    assert alternator.field == network.node("alternator.field")
    # the load of a function first
    assert [c.element for c in network.consumers] == ["parts/radio", "parts/heater", "parts/pump"]
    radio = network.users["parts/radio"]
    assert (radio.plus, radio.minus) == ((network.node("radio.supply"),), (network.node("radio.return"),))
    assert not radio.either_way  # a load has a polarity, a coil has none
    (coil,) = network.coils
    assert coil.either_way and coil.plus == (network.node("master.coil"),)
    assert coil.minus == (network.node("master.ground"),)


def test_a_diode_across_a_coil_leads_from_its_minus_to_its_plus() -> None:
    figures = "coil-current: 0.7 A, resistance: 0.0003 ohm"
    for suppression, there in (("diode", True), ("internal", False)):
        network = build_network(small((figures, f"{figures}, suppression: {suppression}")).design)
        found = [link for link in network.links if link.gate is Gate.COIL_DIODE]
        ends = [(network.names[link.a], network.names[link.b], link.oneway) for link in found]
        assert ends == ([("master.ground", "master.coil", True)] if there else [])


def test_a_shield_that_is_grounded_at_both_ends_is_a_link_of_its_own() -> None:
    shielded = (
        "S1: {from: sender.signal, to: radio.level-in,",
        "S1: {from: sender.signal, to: radio.level-in, shield: [engine.s1, block.s1], bundle: panel,",
    )
    network = build_network(small(shielded).design)
    assert [network.links[i].gate for i in network.links_of["wires/S1"]] == [Gate.ALWAYS, Gate.SHIELD]
    assert network.lone["wires/S1"] == network.links_of["wires/S1"][0]
    assert dict(network.bundles) == {"panel": ("wires/S1",)}
