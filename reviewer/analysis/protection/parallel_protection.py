"""Breakers, fuses and current limiters in parallel: each leaves live what the other opens, and the wires
behind them have both ratings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Link, Network, bare
from reviewer.network.search import conductors, reachable


@record
class ParallelProtection:
    """What joins the same two conductors as a breaker, fuse or limiter (a name): the ``others`` (names),
    and the ``amperes`` for which all are rated together; None where one states no rating."""

    others: tuple[str, ...]
    amperes: float | None


def parallel_protection(design: Design, network: Network) -> Mapping[str, ParallelProtection]:
    """Each breaker, fuse or limiter in parallel with others, by name.

    Wires, buses, blocks, splices, connectors and shunts join them; a contact, a diode, a resistor and the
    inside of a unit do not. Not those that normal flight has pulled, a breaker-switch, which is a switch
    too, nor the channels inside a unit, which its maker may put in parallel.
    """
    groups: dict[frozenset[int], list[str]] = {}
    for name, ends in _ends(design, network):
        groups.setdefault(ends, []).append(name)
    found = {}
    for names in (own for own in groups.values() if len(own) > 1):
        ratings = [design.part(name, p.Protector).rating for name in names]
        known = [rating for rating in ratings if rating is not None]
        amperes = sum(known) if len(known) == len(ratings) else None
        for name in names:
            found[name] = ParallelProtection(tuple(n for n in names if n != name), amperes)
    return found


def _ends(design: Design, network: Network) -> Iterator[tuple[str, frozenset[int]]]:
    """Each device, with the two conductors that it joins, as the least of their nodes."""
    states = design.operation.states if design.operation else {}
    pulled = set(states[design.operation.normal].pulled or ()) if design.operation else set()

    def passes(link: Link, leaving: bool) -> bool:
        inside = isinstance(design.parts.get(bare(link.element)), p.Consumer)
        return conductors(link, leaving) and not (link.positions or link.resistive or inside)

    for name in design.of_kind((p.Breaker, p.Fuse, p.Limiter)):
        part = design.part(name, p.Protector)
        if name in pulled or getattr(part, "inside", None):
            continue
        posts = [network.index[post] for post in part.posts(name) if post in network.index]
        ends = frozenset(min(reachable(network, [node], passes)) for node in posts)
        if len(ends) == 2:
            yield name, ends
