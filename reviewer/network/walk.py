"""Plain walks through a network: which nodes can be come to from one, by the links that a question lets through."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from reviewer.network.graph import Gate, Link, Network

#: whether a link, left by its a end or entered there, may be passed
Passes = Callable[[Link, bool], bool]


def come_to(network: Network, starts: Iterable[int], passes: Passes) -> set[int]:
    """All nodes that are come to from some nodes by links that may be passed, the starts included."""
    seen = set(starts)
    todo = list(seen)
    while todo:
        for i, other, leaving in network.around[todo.pop()]:
            if other not in seen and passes(network.links[i], leaving):
                seen.add(other)
                todo.append(other)
    return seen


def conductors(link: Link, leaving: bool) -> bool:
    """Lets plain conductors through: no contact, protector, diode or shield."""
    return link.gate is Gate.ALWAYS and not link.oneway


def conductors_and_protectors(link: Link, leaving: bool) -> bool:
    """Lets plain conductors and protectors through."""
    return link.gate in (Gate.ALWAYS, Gate.PROTECTOR) and not link.oneway


def anything_along(link: Link, leaving: bool) -> bool:
    """Lets everything through that could conduct in any state, diodes in their direction."""
    return leaving or not link.oneway


def anything_against(link: Link, leaving: bool) -> bool:
    """As :func:`anything_along`, against the current."""
    return not (link.oneway and leaving)
