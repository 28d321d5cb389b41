"""What conductors alone join to the negative of a source, where current comes by loads or a short only."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network


@record
class NegativeMetal:
    """The ``nodes`` that wires, bars and joints join to the negative of a source, whatever stands or has
    failed, and those of them, ``border``, at which anything else ends."""

    nodes: frozenset[int]
    border: tuple[int, ...]


def negative_metal(network: Network) -> Mapping[str, NegativeMetal]:
    """By source (an element); without those whose positive is joined to their negative so too."""
    found = network.searched.get("negative metal")
    if found is None:
        by_node: dict[int, NegativeMetal] = {}
        for source in network.sources:
            if source.negative not in by_node:
                by_node[source.negative] = _joined_to(network, source.negative)
        own = {s.element: by_node[s.negative] for s in network.sources}
        found = MappingProxyType(
            {s.element: own[s.element] for s in network.sources if s.positive not in own[s.element].nodes}
        )
        network.searched["negative metal"] = found
    return found


def _joined_to(network: Network, start: int) -> NegativeMetal:
    nodes, border, todo = {start}, [], [start]
    for node in todo:
        for i, other, _ in network.around[node]:
            if not _joins(network.links[i]):
                border.append(node)
            elif other not in nodes:
                nodes.add(other)
                todo.append(other)
    return NegativeMetal(frozenset(nodes), tuple(dict.fromkeys(border)))


def _joins(link: Link) -> bool:
    lasting = link.gate in (Gate.ALWAYS, Gate.SHIELD)
    return lasting and not link.oneway and not link.resistive and not link.unit
