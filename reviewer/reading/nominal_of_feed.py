"""The nominal volts of loads that converters to another class of volts alone feed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.design import Design

if TYPE_CHECKING:
    from reviewer.network.graph import Link, Network

_RETURNS = (p.GroundBlock, p.Airframe)


def with_nominal_of_feed(design: Design) -> Design:
    """The design with the class of volts of their feed, as ``nominal``, at the loads and instruments
    without one that only sources of another class than the aircraft's can feed, a converter among
    them, in whatever position switches and relays are."""
    usual = design.aircraft.class_of(None)
    converters = [n for n in design.of_kind(p.Converter) if _class_of(design, n) != usual]
    if not converters:
        return design
    from reviewer.network.network_build import build_network

    network = build_network(design)
    reached = {s.element: _reached(design, network, s.positive) for s in network.sources}
    by_converters = frozenset().union(*(reached[f"parts/{n}"] for n in converters))
    of_usual = [s.element for s in network.sources if _class_of(design, s.element.partition("/")[2]) == usual]
    usually = frozenset().union(*(reached[element] for element in of_usual))
    volts = 14.0 if usual == "28 V" else 28.0
    stated: dict[str, p.Part] = {}
    for user in network.consumers:
        name, plus = user.element.partition("/")[2], frozenset(user.plus)
        part = design.parts.get(name)
        if isinstance(part, p.Consumer) and part.nominal is None and plus & by_converters - usually:
            stated |= {} if plus & usually else {name: part.model_copy(update={"nominal": volts})}
    parts: Mapping[str, p.Part] = {n: stated.get(n, part) for n, part in design.parts.items()}
    return replace(design, parts=MappingProxyType(parts))


def _class_of(design: Design, name: str) -> str:
    """The class of volts of a source: that of what it holds, else of its own nominal or the aircraft's."""
    part = design.parts[name]
    held = part.output_voltage if isinstance(part, p.Converter) else getattr(part, "set_point", None)
    return design.class_of(name) if held is None else design.aircraft.class_of(held)


def _reached(design: Design, network: Network, start: int) -> frozenset[int]:
    """The nodes that the positive of a source can feed, whatever stands in which position: not by
    the ground, nor by a shield, an output or the diode of a coil."""
    from reviewer.network.graph import Gate

    apart = (Gate.OUTPUT, Gate.SHIELD, Gate.COIL_DIODE)
    returns = {s.negative for s in network.sources} | {s.minus for s in network.sources}
    grounds = design.of_kind(_RETURNS)
    returns |= {i for name, i in network.index.items() if name.partition(".")[0] in grounds}
    todo: list[tuple[int, int]] = [(start, -1)]
    done = set(todo)
    for node, by in todo:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            closed = other in returns or link.gate in apart or link.mounting or (link.oneway and not leaving)
            turned = by >= 0 and (i == by or _never_both(network.links[by], link))
            if not closed and not turned and (other, i) not in done:
                done.add((other, i))
                todo.append((other, i))
    return frozenset(node for node, _ in done)


def _never_both(one: Link, other: Link) -> bool:
    """Whether two contacts of a switch or relay never conduct at once, as those of a change-over."""
    if one.element != other.element:
        return False
    return one.gate is not other.gate or (bool(one.positions) and not one.positions & other.positions)
