"""The negative leads of batteries, as far as the block, structure or stud where returns meet.

A connector, shunt or splice in series is a joint in the lead, and so is a stud of two wires: what
comes behind it is the same lead.
"""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network
from reviewer.network.search import conductors

#: what may stand in a lead, where no more than two conductors meet
_JOINTS = (p.Connector, p.Shunt, p.Splice, p.Stud)


@record
class NegativeLead:
    """The ``links`` from the negative of ``battery`` in series, and the node where they end."""

    battery: str
    links: tuple[int, ...]
    end: int


def negative_leads(design: Design, network: Network) -> Iterator[NegativeLead]:
    """Every lead on the negative terminal of every battery."""
    for battery in design.of_kind(p.Battery):
        post = network.node(f"{battery}.negative")
        for i, node, leaving in network.around[post]:
            if conductors(network.links[i], leaving):
                yield _followed(design, network, battery, i, node)


def _followed(design: Design, network: Network, battery: str, first: int, node: int) -> NegativeLead:
    links = [first]
    while _owner_is_joint(design, network, node):
        onward = [
            (i, other)
            for i, other, leaving in network.around[node]
            if i not in links and conductors(network.links[i], leaving)
        ]
        if len(onward) != 1:
            break
        links.append(onward[0][0])
        node = onward[0][1]
    return NegativeLead(battery, tuple(links), node)


def _owner_is_joint(design: Design, network: Network, node: int) -> bool:
    return isinstance(design.parts[network.names[node].partition(".")[0]], _JOINTS)


def lead_wires(design: Design, network: Network) -> frozenset[str]:
    """The wires of all negative leads of batteries."""
    return frozenset(
        network.links[i].element
        for lead in negative_leads(design, network)
        for i in lead.links
        if network.links[i].element.startswith("wires/")
    )
