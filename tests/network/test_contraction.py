"""The contracted graph: chains are lines, dead ends are cut off, and every node has its place."""

from __future__ import annotations

from reviewer.network.contraction import nodes_to_keep
from reviewer.network.network_build import build_network
from reviewer.network.search import reachable
from tests.analysis.small_aircraft import small


def test_every_node_that_is_joined_to_a_load_or_source_has_one_place() -> None:
    network = build_network(small().design)
    contracted, wanted = network.contracted, nodes_to_keep(network)
    places = [contracted.kept, set(contracted.inside), set(contracted.pendant)]
    joined = reachable(network, wanted, lambda link, leaving: True)
    assert joined <= set().union(*places) and wanted <= contracted.kept
    assert sum(map(len, places)) == len(set().union(*places)) and len(joined) > 60


def test_the_feed_of_a_load_is_one_chain() -> None:
    network = build_network(small().design)
    (c,) = {
        network.contracted.chain_of[network.links_of[e][0]]
        for e in ("wires/H1", "parts/heater-breaker", "wires/H2")
    }
    chain = network.contracted.chains[c]
    ends = {network.names[chain.a], network.names[chain.b]}
    assert ends == {"main-bus", "heater.supply"}
    assert {network.names[n] for n in chain.inner} >= {
        "heater-breaker.line",
        "heater-breaker.load",
        "main-bus.heater",
    }


def test_a_sender_hangs_on_its_instrument() -> None:
    network = build_network(small().design)
    assert network.node("sender.signal") in network.contracted.pendant
