"""Returns: whether a consumer has one, and loops that signal returns and shields close."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network
from reviewer.network.search import conductors, conductors_and_protectors, reachable, shortest


def return_path(network: Network, nodes: tuple[int, ...], source: str = "") -> tuple[str, ...] | None:
    """The elements by which one of some nodes reaches the negative of a source (an element), of the
    nearest one if none is named, with every contact and protector closed; None where there is no such
    path."""
    goals = {s.negative for s in network.sources if source in ("", s.element)}
    paths = (_shortest_path(network, n, goals, None, contacts=True) for n in nodes)
    return next((path for path in paths if path is not None), None)


def signal_returns(design: Design, network: Network, sensor: str) -> tuple[tuple[str, ...], set[int]]:
    """The instruments that take the signal of a sensor or jack, and the signal returns for it.

    Such a return is the end of the measuring current, whether or not the instrument isolates it:
    the current is the instrument's own.
    """
    signal = reachable(network, [network.node(f"{sensor}.signal")], conductors)
    readers, returns = [], set()
    for name in design.of_kind(p.Instrument):
        for entry in design.parts[name].inputs.values():
            if network.node(f"{name}.{entry.signal}") in signal:
                readers.append(name)
                returns |= {network.node(f"{name}.{entry.return_}")} if entry.return_ else set()
    return tuple(dict.fromkeys(readers)), returns


@record
class CrossedSensor:
    """A sensor whose signal leads to the terminal ``signal_at`` of one input and whose return to
    ``return_at`` of another, of which ``own_signal`` is the signal; ``other`` is the sensor that is
    there, "" for none."""

    signal_at: str
    return_at: str
    own_signal: str
    other: str


def crossed_sensor(design: Design, network: Network, sensor: str) -> CrossedSensor | None:
    """What the leads of a sensor, by name, are at where they lead to two inputs; None where they do not."""
    ends = {
        end: reachable(network, [network.node(f"{sensor}.{end}")], conductors) for end in ("signal", "return")
    }
    inputs = [(n, e) for n in design.of_kind(p.Instrument) for e in design.parts[n].inputs.values()]
    at_signal = [(n, e) for n, e in inputs if network.node(f"{n}.{e.signal}") in ends["signal"]]
    at_return = [
        (n, e) for n, e in inputs if e.return_ and network.node(f"{n}.{e.return_}") in ends["return"]
    ]
    if not at_signal or not at_return or any(one in at_return for one in at_signal):
        return None
    (reader, read), (other, entry) = at_signal[0], at_return[0]
    signal = f"{other}.{entry.signal}"
    crossed = (
        n
        for n in design.of_kind(p.Sensor)
        if n != sensor
        and network.node(signal) in reachable(network, [network.node(f"{n}.signal")], conductors)
    )
    return CrossedSensor(f"{reader}.{read.signal}", f"{other}.{entry.return_}", signal, next(crossed, ""))


@record
class Loop:
    """A conductor (``element``) whose two ends are joined by the elements of ``path`` as well."""

    element: str
    ends: tuple[str, str]
    path: tuple[str, ...]


def signal_return_wires(design: Design) -> tuple[str, ...]:
    """Wires from or to the return of a sensor or jack, or a signal return of an instrument."""
    terminals = {f"{n}.return" for n in design.of_kind(p.Sensor)}
    for name in design.of_kind(p.Instrument):
        terminals |= {f"{name}.{t}" for t in design.parts[name].ends_of_measuring()}
    return tuple(n for n, w in design.wires.items() if w.from_ in terminals or w.to in terminals)


def signal_return_loop(
    design: Design, network: Network, wire: str, unknown_joined: bool = False
) -> Loop | None:
    """The loop that a signal-return wire closes through other conductors, or None.

    With ``unknown_joined`` an instrument whose signal returns are not declared joins them to its
    power return.
    """
    spec = design.wires[wire]
    start, goal = network.node(spec.from_), network.node(spec.to)
    extra = unknown_joints(design, network) if unknown_joined else {}
    path = _shortest_path(network, start, {goal}, f"wires/{wire}", extra=extra)
    return None if path is None else Loop(f"wires/{wire}", (spec.from_, spec.to), path)


def shield_loop(design: Design, network: Network, wire: str, unknown_joined: bool = False) -> Loop | None:
    """For a shield of which each end has a ground of its own: how these are joined elsewhere.

    None where one end is grounded through the other, or not at all: such a shield is the return of
    a sensor, or belongs to the ground at its other end, as on the lead of a magneto. Shields are no
    ground. The path is () where nothing joins the grounds. ``unknown_joined`` as in
    :func:`signal_return_loop`.
    """
    one, other = design.wires[wire].shield or ("", "")
    if one.partition(".")[0] == other.partition(".")[0]:
        return None
    ends = network.node(one), network.node(other)
    extra = unknown_joints(design, network) if unknown_joined else {}
    grounds = {s.negative for s in network.sources}
    grounds |= {network.index[n] for n in design.of_kind((p.GroundBlock, p.Airframe)) if n in network.index}
    for end, barred in (ends, ends[::-1]):
        if _shortest_path(network, end, grounds, None, extra=extra, barred=barred) is None:
            return None
    path = _shortest_path(network, ends[0], {ends[1]}, f"wires/{wire}", extra=extra)
    return Loop(f"wires/{wire}", (one, other), path or ())


def unknown_joints(design: Design, network: Network) -> dict[int, list[tuple[str, int]]]:
    """Joints inside instruments that do not declare them: node -> (element, other node). What is at the
    positive of a source, as the lead from a shunt, is joined to no power return: that would short it."""
    joints: dict[int, list[tuple[str, int]]] = {}
    live = reachable(network, {s.positive for s in network.sources}, conductors_and_protectors)
    for name in design.of_kind(p.Instrument):
        part = design.parts[name]
        if part.signal_returns is None:
            home = network.node(f"{name}.{part.returns[0]}")
            for terminal in part.ends_of_measuring():
                node = network.node(f"{name}.{terminal}")
                if node in live:
                    continue
                joints.setdefault(node, []).append((f"parts/{name}", home))
                joints.setdefault(home, []).append((f"parts/{name}", node))
    return joints


def _shortest_path(
    network: Network,
    start: int,
    goals: set[int],
    without: str | None,
    contacts: bool = False,
    extra: dict[int, list[tuple[str, int]]] | None = None,
    barred: int | None = None,
) -> tuple[str, ...] | None:
    """Elements of the shortest path to a goal that does not enter ``barred``, or None.

    It takes plain conductors only, and with ``contacts`` protectors, switches and relays too;
    shields are none.
    """

    def onward(node: int) -> Iterator[tuple[int, str]]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            passed = leaving or not link.oneway if contacts else conductors(link, leaving)
            if passed and link.gate is not Gate.SHIELD and link.element != without and other != barred:
                yield other, link.element
        for element, other in (extra or {}).get(node, ()):
            if other != barred:
                yield other, element

    nearest = shortest(start, goals, onward)
    return None if nearest is None else tuple(e for e, _ in groupby(nearest[1]))
