"""Batteries in series: the negative of one stands on the positive of another.

Only batteries whose own nominal is below the aircraft's are taken for parts of a string. What is
above another in it passes the current of those below, and lives only while they do: its current
comes back where that of the lowest one does.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Gate, Link, PoweredDevice, Source

#: what joins two batteries of a string
_JOINTS = (Gate.ALWAYS, Gate.PROTECTOR)


def strings(design: Design, index: Mapping[str, int], links: Sequence[Link]) -> Mapping[str, str]:
    """Each battery that stands on another -> that one."""
    some = [
        n
        for n in design.of_kind(p.Battery)
        if (own := design.part(n, p.Battery).nominal) is not None and own < design.aircraft.volts
    ]
    if len(some) < 2:
        return MappingProxyType({})
    around: dict[int, list[int]] = {}
    for link in links:
        if link.gate in _JOINTS and not link.oneway:
            around.setdefault(link.a, []).append(link.b)
            around.setdefault(link.b, []).append(link.a)
    found = {}
    for upper in some:
        start = index[f"{upper}.negative"]
        joined, todo = {start}, [start]
        while todo:
            fresh = [n for n in around.get(todo.pop(), ()) if n not in joined]
            joined.update(fresh)
            todo += fresh
        below = [n for n in some if n != upper and index[f"{n}.positive"] in joined]
        if len(below) == 1 and index[f"{below[0]}.negative"] not in joined:
            found[upper] = below[0]
    return MappingProxyType(found)


def passing(index: Mapping[str, int], found: Mapping[str, str]) -> list[Link]:
    """The links of the batteries that pass the current of those below them."""
    return [Link(index[f"{n}.negative"], index[f"{n}.positive"], f"parts/{n}", oneway=True) for n in found]


def in_string(source: Source, index: Mapping[str, int], found: Mapping[str, str]) -> Source:
    """A battery as a source of its string."""
    name = source.element.partition("/")[2]
    above = {lower: upper for upper, lower in found.items()}
    top, lowest, passed = name, name, {name}
    while top in above and above[top] not in passed:
        top = above[top]
        passed.add(top)
    while lowest in found and found[lowest] not in passed - {lowest}:
        lowest = found[lowest]
        passed.add(lowest)
    if top == lowest:
        return source
    back = index[f"{lowest}.negative"]
    supply = None
    if name in found:
        supply = PoweredDevice(source.element, (index[f"{name}.negative"],), (back,))
    return replace(
        source,
        negative=back,
        supply=supply,
        own_negative=source.negative,
        string_top=index[f"{top}.positive"],
        string=tuple(f"parts/{n}" for n in sorted(passed)),
    )
