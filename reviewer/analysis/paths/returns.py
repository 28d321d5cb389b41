"""Returns: whether a consumer has one, and which signal returns and shields close a loop with other ground conductors."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network
from reviewer.network.search import come_to, conductors, shortest


def return_way(
    design: Design, network: Network, nodes: tuple[int, ...], unknown_joined: bool = False
) -> tuple[str, ...] | None:
    """The elements by which one of some nodes can reach the negative of a source with every contact closed and every protector in, or None.

    ``unknown_joined`` takes instruments that do not say so to join their signal returns to their power return.
    """
    return _way_to(design, network, nodes, {s.negative for s in network.sources}, unknown_joined)


def sensor_return_way(
    design: Design, network: Network, sensor: str, unknown_joined: bool = False
) -> tuple[str, ...] | None:
    """:func:`return_way` for the return of a sensor or jack. The signal return of an instrument that takes its signal is a return too, whether or
    not the instrument isolates it: the measuring current is the instrument's own."""
    goals = {s.negative for s in network.sources}
    reached = come_to(network, [network.node(f"{sensor}.signal")], conductors)
    for name in design.of_kind(p.Instrument):
        for entry in design.parts[name].inputs.values():
            if entry.return_ and network.node(f"{name}.{entry.signal}") in reached:
                goals.add(network.node(f"{name}.{entry.return_}"))
    return _way_to(design, network, (network.node(f"{sensor}.return"),), goals, unknown_joined)


def _way_to(
    design: Design, network: Network, nodes: tuple[int, ...], goals: set[int], unknown_joined: bool
) -> tuple[str, ...] | None:
    extra = _unknown_joints(design, network) if unknown_joined else {}
    ways = (_walk(network, n, goals, None, contacts=True, extra=extra) for n in nodes)
    return next((way for way in ways if way is not None), None)


@record
class Loop:
    """A conductor (``element``) whose two ends are also joined by the elements of ``way``."""

    element: str
    ends: tuple[str, str]
    way: tuple[str, ...]


def signal_return_wires(design: Design) -> tuple[str, ...]:
    """Wires with an end at the return of a sensor or jack, or at the signal return of an instrument."""
    terminals = {f"{n}.return" for n in design.of_kind(p.Sensor)}
    for name in design.of_kind(p.Instrument):
        inputs = design.parts[name].inputs.values()
        terminals |= {f"{name}.{i.return_}" for i in inputs if i.return_}
    return tuple(n for n, w in design.wires.items() if w.from_ in terminals or w.to in terminals)


def signal_return_loop(
    design: Design, network: Network, wire: str, unknown_joined: bool = False
) -> Loop | None:
    """The loop that a signal-return wire closes through other conductors, or None.

    ``unknown_joined`` takes instruments that do not say so to join their signal returns to their power return.
    """
    spec = design.wires[wire]
    start, goal = network.node(spec.from_), network.node(spec.to)
    extra = _unknown_joints(design, network) if unknown_joined else {}
    way = _walk(network, start, {goal}, f"wires/{wire}", extra=extra)
    return None if way is None else Loop(f"wires/{wire}", (spec.from_, spec.to), way)


def shield_loop(design: Design, network: Network, wire: str) -> Loop | None:
    """For a shield grounded at two terminals of different parts: the way by which these are joined anyway, () where none is known."""
    one, other = design.wires[wire].shield or ("", "")
    if one.partition(".")[0] == other.partition(".")[0]:
        return None
    way = _walk(network, network.node(one), {network.node(other)}, f"wires/{wire}")
    return Loop(f"wires/{wire}", (one, other), way or ())


def _unknown_joints(design: Design, network: Network) -> dict[int, list[tuple[str, int]]]:
    joints: dict[int, list[tuple[str, int]]] = {}
    for name in design.of_kind(p.Instrument):
        part = design.parts[name]
        if part.signal_returns is None:
            home = network.node(f"{name}.{part.returns[0]}")
            for entry in part.inputs.values():
                if entry.return_:
                    node = network.node(f"{name}.{entry.return_}")
                    joints.setdefault(node, []).append((f"parts/{name}", home))
                    joints.setdefault(home, []).append((f"parts/{name}", node))
    return joints


def _walk(
    network: Network,
    start: int,
    goals: set[int],
    without: str | None,
    contacts: bool = False,
    extra: dict[int, list[tuple[str, int]]] | None = None,
) -> tuple[str, ...] | None:
    """Elements of the shortest way to a goal. Plain conductors only, unless ``contacts`` lets protectors, switches and relays in."""

    def onward(node: int) -> Iterator[tuple[int, str]]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            plain = link.gate in (Gate.ALWAYS, Gate.SHIELD) and not link.oneway
            if link.element != without and (plain or (contacts and (not link.oneway or leaving))):
                yield other, link.element
        for element, other in (extra or {}).get(node, ()):
            yield other, element

    found = shortest(start, goals, onward)
    return None if found is None else tuple(e for e, _ in groupby(found[1]))
