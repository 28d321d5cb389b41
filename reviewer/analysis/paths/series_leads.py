"""Leads with joints in series, and the negative leads of batteries.

A connector, shunt or splice in series is a joint in a lead, and so is a stud of two wires: what
comes behind it is the same lead. A sense lead that leaves it there takes none of its current.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network
from reviewer.network.search import conductors

#: what may stand in a lead, where no more than two conductors meet
_JOINTS = (p.Connector, p.Shunt, p.Splice, p.Stud)


@record
class SeriesLead:
    """The ``links`` of a lead in series, and the node where it ends."""

    links: tuple[int, ...]
    end: int


def lead_from(design: Design, network: Network, first: int, node: int) -> SeriesLead:
    """The lead that begins with a link and goes on at one of its nodes, as far as joints go."""
    links = [first]
    while isinstance(design.parts[network.names[node].partition(".")[0]], _JOINTS):
        onward = [
            (i, other)
            for i, other, leaving in network.around[node]
            if i not in links
            and conductors(network.links[i], leaving)
            and not _senses(design, network, i, other)
        ]
        if len(onward) != 1:
            break
        links.append(onward[0][0])
        node = onward[0][1]
    return SeriesLead(tuple(links), node)


def _senses(design: Design, network: Network, first: int, node: int) -> bool:
    """Whether a link begins a sense lead: wires and circuit protection in series, up to an input of
    an instrument."""
    passed = {first}
    while True:
        name, _, terminal = network.names[node].partition(".")
        part = design.parts[name]
        if isinstance(part, p.Instrument):
            return terminal not in (*part.supplies, *part.returns)
        onward = [
            (i, other)
            for i, other, leaving in network.around[node]
            if i not in passed
            and (conductors(network.links[i], leaving) or network.links[i].gate is Gate.PROTECTOR)
        ]
        if len(onward) != 1:
            return False
        passed.add(onward[0][0])
        node = onward[0][1]


def negative_leads(
    design: Design, network: Network, batteries: Collection[str] | None = None
) -> Iterator[SeriesLead]:
    """Every lead on the negative terminal of every battery, or of some.

    It ends at the block, structure or stud where returns meet.
    """
    for battery in design.of_kind(p.Battery):
        if batteries is not None and battery not in batteries:
            continue
        for i, node, leaving in network.around[network.node(f"{battery}.negative")]:
            if conductors(network.links[i], leaving):
                yield lead_from(design, network, i, node)


def lead_wires(design: Design, network: Network) -> frozenset[str]:
    """The wires of all negative leads of batteries."""
    return frozenset(
        network.links[i].element
        for lead in negative_leads(design, network)
        for i in lead.links
        if network.links[i].element.startswith("wires/")
    )
