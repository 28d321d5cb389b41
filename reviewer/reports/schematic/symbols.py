"""The symbols of a design: one for each part, pole, contact, coil and pin, not yet placed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity
from reviewer.network.graph import Gate, Link, Network
from reviewer.network.kinds import UnknownKind
from reviewer.reports.schematic import shapes
from reviewer.reports.schematic.sheet import BARS, REFERENCES, DrawnSymbol

#: kinds that are drawn as sources, from left to right
SOURCES = ("battery", "external-power", "alternator")


def symbols_of(design: Design, network: Network) -> list[DrawnSymbol]:
    """Every symbol in the order of the file; the bars have all of their terminals."""
    found: list[DrawnSymbol] = []
    links: dict[str, list[int]] = {}
    for i, link in enumerate(network.links):
        links.setdefault(link.element, []).append(i)
    for name, part in design.parts.items():
        if isinstance(part, MechanicalChannel):
            continue  # it has no circuit
        element = f"parts/{name}"
        for kind, title, note, nodes, extra in _shapes(name, part, network):
            mine = tuple(
                i
                for i in links.get(element, ())
                if network.links[i].a in nodes and network.links[i].b in nodes
            )
            found.append(DrawnSymbol(len(found), kind, element, title, note, nodes, links=mine, **extra))
    return found


def _shapes(name: str, part: Any, network: Network) -> Iterator[tuple[str, str, str, tuple[int, ...], dict]]:
    at = lambda terminal: network.index[f"{name}.{terminal}"]  # noqa: E731
    note = rating_words(part)
    if part.kind in BARS:
        yield part.kind, name, note, network.nodes_of[f"parts/{name}"], {}
    elif isinstance(part, p.Protector):
        posts = tuple(map(network.node, part.posts(name)))
        switch = {"gate": "switch", "positions": (("closed",),)} if isinstance(part, p.BreakerSwitch) else {}
        yield kind_word(part), name, note, posts, switch
    elif isinstance(part, p.Switch):
        own = [link for link in network.links if link.element == f"parts/{name}"]
        if part.follows:
            yield from _followed_poles(name, part.operated_by, note, own)
        else:
            yield from _poles(name, "switch" if part.by_hand else part.operated_by, note, own)
    elif isinstance(part, p.Electromagnet):
        several = len(part.contacts) > 1
        for contact_name, contact in part.contacts.items():
            title = f"{name} {contact_name}" if several else name
            if isinstance(contact, p.ChangeoverContact):
                yield (
                    "changeover",
                    title,
                    note,
                    tuple(map(at, (contact.common, contact.de_energised, contact.energised))),
                    {"gate": "changeover"},
                )
            else:
                yield contact.kind, title, note, tuple(map(at, contact.joins)), {"gate": contact.kind}
        yield (
            "coil",
            name,
            f"coil {quantity(part.coil_current, 'A')}" if part.coil_current else "coil",
            tuple(map(at, part.coil)),
            {},
        )
    elif isinstance(part, p.Connector):
        used = [
            pin
            for pin in part.pins
            if any(network.wired(f"{name}.{pin}-{side}") for side in ("plug", "socket"))
        ]
        for pin in used or part.pins[:1]:
            yield "pin", f"{name} {pin}", "", (at(f"{pin}-plug"), at(f"{pin}-socket")), {}
    elif isinstance(part, p.Consumer):
        kind = getattr(part, "type", None) or kind_word(part)
        yield kind, name, note, tuple(map(at, part.supplies + part.returns)), {}
    elif part.kind in (*SOURCES, *shapes.FIXED, "regulator"):
        yield part.kind, name, note, tuple(map(at, part.terminals())), {}
    else:
        raise UnknownKind(part, "the drawing")


def _poles(
    name: str, kind: str, note: str, links: Sequence[Link]
) -> Iterator[tuple[str, str, str, tuple[int, ...], dict]]:
    """A symbol for each pole: the terminals that some position joins.

    The terminal that is joined most often comes first.
    """
    poles: list[set[int]] = []
    for link in links:
        touched = [pole for pole in poles if link.a in pole or link.b in pole]
        poles = [pole for pole in poles if pole not in touched] + [set().union({link.a, link.b}, *touched)]
    for number, pole in enumerate(sorted(poles, key=min), 1):
        mine = [link for link in links if link.a in pole]
        often = sorted(pole, key=lambda n: (-sum(n in (link.a, link.b) for link in mine), n))
        title = f"{name} {number}/{len(poles)}" if len(poles) > 1 else name
        closed = tuple(tuple(sorted(link.positions)) for link in mine)
        yield kind, title, note, tuple(often), {"gate": "switch", "positions": closed}


def _followed_poles(
    name: str, kind: str, note: str, links: Sequence[Link]
) -> Iterator[tuple[str, str, str, tuple[int, ...], dict]]:
    """A symbol for each contact of a switch that follows something, as those of a relay; two that
    share a terminal, one of them closed at rest, are a change-over contact."""
    left = [link for link in links if link.gate is not Gate.ALWAYS]
    symbols: list[tuple[tuple[int, ...], str]] = []
    while left:
        one = left.pop(0)
        other = next((o for o in left if o.gate is not one.gate and {one.a, one.b} & {o.a, o.b}), None)
        if other is None:
            gate = "break" if one.gate is Gate.DE_ENERGISED else "make"
            symbols.append(((one.a, one.b), gate))
            continue
        left.remove(other)
        common = min({one.a, one.b} & {other.a, other.b})
        rest, moved = (one, other) if one.gate is Gate.DE_ENERGISED else (other, one)
        throws = (end for link in (rest, moved) for end in (link.a, link.b) if end != common)
        symbols.append(((common, *throws), "changeover"))
    if not symbols:
        yield from _poles(name, kind, note, links)
    for number, (nodes, gate) in enumerate(symbols, 1):
        title = f"{name} {number}/{len(symbols)}" if len(symbols) > 1 else name
        yield kind, title, note, nodes, {"gate": gate}


def kind_word(part: Any) -> str:
    """The kind of a part as the file says it."""
    return str(part.kind)


def rating_words(part: p.Part) -> str:
    """The one symbol that a schematic shows beside a part: its rating, capacity or current."""
    if isinstance(part, p.Battery):
        return quantity(part.capacity, "Ah") if part.capacity else ""
    current = getattr(part, "current", None)
    if isinstance(current, float):
        return quantity(current, "A")
    rating = getattr(part, "rating", None)
    return quantity(rating, "A") if isinstance(rating, float) else ""


def ends(
    symbol: DrawnSymbol, consumers: dict[str, tuple[tuple[int, ...], tuple[int, ...]]], entered: int
) -> tuple[Sequence[int], Sequence[int]]:
    """The terminals at the top and at the bottom of a symbol that is met by ``entered``."""
    nodes = symbol.nodes
    if symbol.kind in ("battery", "external-power"):
        return (), nodes
    if symbol.kind == "alternator":
        return nodes[2:], nodes[:2]
    if symbol.kind == "regulator":
        supply, field, *sense, ground = nodes
        return (supply, *sense), (field, ground)
    if symbol.element in consumers and symbol.kind not in REFERENCES:
        return consumers[symbol.element]
    if len(nodes) > 2 and entered != nodes[0]:
        return nodes[1:], nodes[:1]
    if entered in nodes:
        return (entered,), tuple(n for n in nodes if n != entered)
    return nodes[:1], nodes[1:]
