"""The network of a design as a graph of networkx, for whoever wants an algorithm of that library."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from reviewer.model.design import Design
from reviewer.network.graph import Gate, Network, bare

if TYPE_CHECKING:
    import networkx as nx

_GATES = {Gate.PROTECTOR: "circuit protection"}


def as_networkx(
    design: Design,
    network: Network,
    closed: Mapping[str, Sequence[bool]],
    unsettled: Sequence[str] = (),
) -> nx.MultiDiGraph:
    """A frozen graph with a node for each terminal and an edge for each direction of each link.

    A node is ``part.terminal``, or the name of a part that is one bar. Its attributes: ``part``, the
    ``kind`` of the part, and its ``role`` in the circuit: ``source positive``, ``source negative``,
    ``supply`` and ``return`` of a load or instrument, ``coil``, or "".

    An edge leads the way current can go: a diode has one, all else two, with keys of their own. Its
    attributes: the number of its ``link`` in ``network.links``; the ``element`` that it belongs to
    (``parts/main-bus``, ``wires/W12``); the ``kind`` of that, ``wire`` or a kind of part; the ``gate``,
    which is what decides whether it conducts; the ``positions`` of a switch in which it does;
    ``one_way``; and the ``states`` in which it conducts with nothing failed.

    ``closed`` has for each state whether each link conducts in it; the graph's own attributes are these
    ``states`` and those of them in which relays chatter, ``unsettled_states``. What draws current joins
    nothing and is no edge: loads, coils, and resistors across a source.
    """
    import networkx as nx

    graph = nx.MultiDiGraph(states=tuple(closed), unsettled_states=tuple(unsettled))
    roles = _roles(network)
    for node, name in enumerate(network.names):
        part = name.partition(".")[0]
        graph.add_node(name, part=part, kind=design.parts[part].kind, role=roles.get(node, ""))
    for i, link in enumerate(network.links):
        if i in network.bridges:
            continue
        wire = link.element.startswith("wires/")
        about: dict[str, Any] = {
            "link": i,
            "element": link.element,
            "kind": "wire" if wire else design.parts[bare(link.element)].kind,
            "gate": _GATES.get(link.gate, link.gate.value),
            "positions": tuple(sorted(link.positions)),
            "one_way": link.oneway,
            "states": tuple(state for state, links in closed.items() if links[i]),
        }
        a, b = network.names[link.a], network.names[link.b]
        graph.add_edge(a, b, key=2 * i, **about)
        if not link.oneway:
            graph.add_edge(b, a, key=2 * i + 1, **about)
    return nx.freeze(graph)


def _roles(network: Network) -> dict[int, str]:
    """Node -> what it is to the source, load or coil that it belongs to."""
    roles: dict[int, str] = {}
    for coil in network.coils:
        roles |= dict.fromkeys((*coil.plus, *coil.minus), "coil")
    for consumer in network.consumers:
        roles |= dict.fromkeys(consumer.plus, "supply") | dict.fromkeys(consumer.minus, "return")
    for source in network.sources:
        roles |= {source.positive: "source positive", source.minus: "source negative"}
    return roles
