"""Resistors that lie across a source: a bleeder, a pull-up, a resistor beside a coil.

Logic knows no ohms: what conducts there joins its ends. A resistor in line may be taken so. One
from a positive to a negative may not: it would make live what is grounded. It only draws current.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from reviewer.network.graph import Gate, Link, Source, Step

_RELAYED = {Gate.ENERGISED, Gate.DE_ENERGISED}


def bridging(links: Sequence[Link], sources: Iterable[Source]) -> frozenset[int]:
    """The resistive links that lie across a source.

    The positive of a source reaches one end by some other way, in some position of the switches and
    relays, and the other end reaches the negative of a source by a way without resistors.
    """
    resistive = frozenset(i for i, link in enumerate(links) if link.resistive)
    if not resistive:
        return resistive
    around: dict[int, list[Step]] = {}
    for i, link in enumerate(links):
        around.setdefault(link.a, []).append((i, link.b, True))
        around.setdefault(link.b, []).append((i, link.a, False))
    sources = tuple(sources)
    down = _joined(links, around, [s.negative for s in sources], resistive, back=True)
    found = set()
    for i in resistive:
        a, b = links[i].a, links[i].b
        up = _joined(links, around, [s.positive for s in sources], {i}, back=False)
        if (a in up and b in down) or (b in up and a in down):
            found.add(i)
    return frozenset(found)


def _joined(
    links: Sequence[Link],
    around: dict[int, list[Step]],
    starts: Iterable[int],
    without: Collection[int],
    back: bool,
) -> set[int]:
    """The nodes that current from some nodes can reach, or those from which it can (``back``), in
    some position of the contacts that it passes one after the other; no step goes back."""
    todo: list[tuple[int, int]] = [(node, -1) for node in starts]
    seen = set(todo)
    while todo:
        node, came = todo.pop()
        for i, other, leaving in around.get(node, ()):
            if i == came or i in without or (links[i].oneway and leaving == back):
                continue
            if (other, i) not in seen and (came < 0 or not _exclude(links[came], links[i])):
                seen.add((other, i))
                todo.append((other, i))
    return {node for node, _ in seen}


def _exclude(one: Link, other: Link) -> bool:
    """Whether two contacts never conduct at the same time: those of one change-over."""
    if one.element != other.element:
        return False
    if {one.gate, other.gate} == _RELAYED:
        return True
    return one.gate is Gate.SWITCH and not one.positions & other.positions
