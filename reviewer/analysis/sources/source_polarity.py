"""Batteries and alternators that are wired the wrong way round to what they feed."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from types import MappingProxyType

from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network, Source
from reviewer.network.search import Passes, conductors, reachable_by

_CONTACTS = frozenset({Gate.ALWAYS, Gate.PROTECTOR, Gate.SWITCH, Gate.ENERGISED, Gate.DE_ENERGISED})
_TURNED = ("battery", "alternator")


@record
class ReversedSource:
    """A source that is wired the wrong way round, and its wires that belong to the other terminal:
    those to a supply, or that only sense, at ``minus``, and those to a return at ``plus``."""

    element: str
    #: wires (elements) that belong to its positive, and to its negative
    to_plus: tuple[str, ...]
    to_minus: tuple[str, ...]


def reversed_sources(network: Network) -> Mapping[str, ReversedSource]:
    """The batteries and alternators whose positive is joined to the returns and whose negative leads to
    the supplies of more of what they meet than the other way round.

    Counted are the terminals of loads that must not be fed either way round, and of the other
    alternators; to a return by conductors alone, to a supply through contacts and protection too. A
    load that is itself reversed, or a lead that stayed on the other post, is a minority.
    """
    found = (_reversed(network, s) for s in network.sources if s.kind in _TURNED)
    return MappingProxyType({one.element: one for one in found if one})


def _reversed(network: Network, source: Source) -> ReversedSource | None:
    posts = source.positive, source.minus
    others = [s for s in network.sources if s.kind == "alternator" and s is not source]
    units = [(u.plus, u.minus) for u in network.consumer.values() if not u.either_way]
    supplies = {n for plus, _ in units for n in plus} | {s.positive for s in others}
    returns = {n for _, minus in units for n in minus} | {s.negative for s in others}
    bars = [_joined(network, node, conductors) for node in posts]
    if not bars[0] & returns:  # so it is in nearly every design
        return None
    ahead, behind = (
        _joined(network, node, _contacts, other) for node, other in zip(posts, reversed(bars), strict=True)
    )
    right = len(ahead & supplies) + len(bars[1] & returns)
    wrong = len(behind & supplies) + len(bars[0] & returns)
    if not behind & supplies or wrong <= right:
        return None
    leads = [
        [
            (network.links[i].element, bool(_joined(network, other, conductors, posts) & returns))
            for i, other, _ in network.around[node]
            if network.links[i].element.startswith("wires/")
        ]
        for node in posts
    ]
    to_minus = tuple(wire for wire, returning in leads[0] if returning)
    to_plus = tuple(wire for wire, returning in leads[1] if not returning)
    return ReversedSource(source.element, to_plus, to_minus)


def _joined(network: Network, start: int, passes: Passes, without: Collection[int] = ()) -> set[int]:
    """The nodes that are joined to one by what may be passed."""

    def onward(node: int) -> list[int]:
        return [
            other
            for i, other, leaving in network.around[node]
            if other not in without and passes(network.links[i], leaving)
        ]

    return reachable_by([start], onward)


def _contacts(link: Link, leaving: bool) -> bool:
    """Lets conductors, protective devices and contacts in any position through."""
    return link.gate in _CONTACTS and not link.oneway and not link.resistive
