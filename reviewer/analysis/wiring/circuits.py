"""Circuits: what a wire or a pin feeds, which wires carry signals, pulsed current, or the
current of alternator and starter.

A circuit goes from a user through wires, connectors, splices, protective devices, switches, relays
and diodes to the next bar, ground, structure or source.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from reviewer.analysis.conduction.states import critical_functions, function_mask, loads_of, units_of
from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.biconnected import BlockTree
from reviewer.network.graph import Gate, Link, Network, bare
from reviewer.tables.practice import practice

#: a common run above this, metres (3 ft), couples: common practice (no published source)
LONG_RUN_M = practice("metres", "coupling-run").high
_PASSED = (p.Connector, p.Splice, p.Protector, p.Switch, p.Relay, p.Diode, p.FixedResistor)
_OF_A_SIGNAL = (p.Connector, p.Splice, p.Protector)
_OF_HEAVY_CURRENT = (
    p.Bus,
    p.Stud,
    p.Connector,
    p.Splice,
    p.Shunt,
    p.Electromagnet,
    p.Limiter,
    p.GroundBlock,
    p.Airframe,
)


@record
class Circuit:
    """The elements of a circuit and its nodes, its ends among them."""

    elements: frozenset[str]
    nodes: frozenset[int]


def circuit(
    design: Design, network: Network, starts: Iterable[int], passed: tuple[type, ...] = _PASSED
) -> Circuit:
    """The circuit on some nodes. A stud that joins two wires is passed, one that joins more is a
    bar."""
    seen, elements = set(starts), set()
    todo = list(seen)
    while todo:
        for i, other, _ in network.around[todo.pop()]:
            element = network.links[i].element
            if not (
                element.startswith("wires/") or _passes(design, network, element, passed)
            ) or network.links[i].gate in (Gate.SHIELD, Gate.COIL_DIODE):
                continue
            elements.add(element)
            if other not in seen:
                seen.add(other)
                if _passes(design, network, _owner(network, other), passed):
                    todo.append(other)
    return Circuit(frozenset(elements), frozenset(seen))


def _owner(network: Network, node: int) -> str:
    return "parts/" + network.names[node].partition(".")[0]


def _passes(design: Design, network: Network, element: str, passed: tuple[type, ...]) -> bool:
    part = design.parts.get(bare(element))
    return isinstance(part, passed) or (isinstance(part, p.Stud) and len(network.nodes_of[element]) <= 3)


def users(design: Design, network: Network, starts: Iterable[int]) -> tuple[str, ...]:
    """Names of the loads, instruments, sensors and coils on the circuit of some nodes, in
    canonical order."""
    nodes = circuit(design, network, starts).nodes
    owners = {_owner(network, n) for n in nodes}
    coils = {c.element for c in network.coils if nodes & {*c.plus, *c.minus}}
    kinds = (p.Consumer, p.Sensor)
    return tuple(
        n
        for n in design.parts
        if (f"parts/{n}" in owners and isinstance(design.parts[n], kinds)) or f"parts/{n}" in coils
    )


def critical_loads(design: Design) -> frozenset[str]:
    """Names of the loads and instruments on which a function rests whose loss is hazardous or
    catastrophic, and which is lost with all of them: no mechanical channel does without them."""
    found: set[str] = set()
    for function in critical_functions(design):
        loads = loads_of(design, function)
        without = {f"parts/{n}": int(n not in loads) for n in design.parts}
        if not function_mask(design, without, 1, function):
            found.update(loads)
    return frozenset(found)


def emergency_switches(design: Design, network: Network) -> tuple[str, ...]:
    """Names of the switches in circuits of critical loads, and of those that a declared action
    moves, in canonical order."""
    actions = design.operation.actions.values() if design.operation else ()
    moved = {name for action in actions for name in action.move}
    units = {unit for function in critical_functions(design) for unit in units_of(design, function)}
    terminals = [f"{unit}.{t}" for unit in units for t in _circuit_ends(design.parts[unit])]
    passed = circuit(design, network, [network.node(t) for t in terminals]).elements
    return tuple(n for n in design.hand_switches if n in moved or f"parts/{n}" in passed)


def _circuit_ends(part: p.Part) -> tuple[str, ...]:
    """The terminals by which the circuit of a load or magneto reaches the switches in it."""
    return (*part.supplies, *part.returns) if isinstance(part, p.Consumer) else ("p-lead",)


def pin_users(design: Design, network: Network, connector: str) -> dict[str, tuple[str, ...]]:
    """For each pin of a connector, the users of its circuit."""
    sides = ("plug", "socket")
    return {
        pin: users(design, network, [network.node(f"{connector}.{pin}-{side}") for side in sides])
        for pin in design.parts[connector].pins
    }


def is_pulsed(part: p.Part) -> bool:
    """Whether a load's current comes in pulses: one that says so, and a motor that does not say
    otherwise."""
    return isinstance(part, p.Consumer) and (
        part.noise == "pulsed" or (part.noise is None and getattr(part, "type", None) == "motor")
    )


def pulsed_wires(design: Design, network: Network) -> dict[str, str]:
    """Wires of circuits on which a load of pulsed current hangs -> the load."""
    found: dict[str, str] = {}
    for name, part in design.parts.items():
        if is_pulsed(part):
            terminals = [network.node(f"{name}.{t}") for t in part.terminals()]
            found |= {e: name for e in _wires(circuit(design, network, terminals)) if e not in found}
    return found


def signal_wires(design: Design, network: Network) -> dict[str, tuple[str, ...]]:
    """Wires that carry what a sensor or jack gives, or the sound between instruments -> the sensors
    and instruments at their ends."""
    starts: list[tuple[str, list[str]]] = [
        (n, list(design.parts[n].terminals())) for n in design.of_kind(p.Sensor)
    ]
    inputs: dict[int, str] = {}
    for name in design.of_kind(p.Instrument):
        part = design.parts[name]
        for entry in part.inputs.values():
            ends = {entry.return_} & set(part.ends_of_measuring()) - set(part.returns)
            terminals = [entry.signal, *(t for t in ends if t)]
            inputs |= {network.node(f"{name}.{t}"): name for t in terminals}
            starts += [(name, terminals)] if len(terminals) == 2 else []
    found: dict[str, dict[str, None]] = {}
    for name, terminals in starts:
        line = circuit(design, network, [network.node(f"{name}.{t}") for t in terminals], _OF_A_SIGNAL)
        for wire in _wires(line):
            found.setdefault(wire, {}).update(
                dict.fromkeys((name, *(inputs[n] for n in sorted(line.nodes) if n in inputs)))
            )
    return {wire: tuple(ends) for wire, ends in found.items()}


def heavy_wires(design: Design, network: Network) -> dict[str, str]:
    """Wires that lie on any way between a main battery and the alternators, starters and sockets
    for external power, on both sides -> what they serve."""
    sources = [s for s in network.sources if s.kind not in ("charger", "converter")]
    plus = {s.positive: bare(s.element) for s in sources} | _starters(design, network, "supplies")
    minus = {s.negative: bare(s.element) for s in sources} | _starters(design, network, "returns")
    found: dict[str, str] = {}
    for ends in (plus, minus):
        batteries = {
            n: design.parts[name] for n, name in ends.items() if isinstance(design.parts[name], p.Battery)
        }
        main = {n for n, part in batteries.items() if part.purpose == "main"}
        for node, name in ends.items():
            if node not in batteries:
                found |= {e: name for e in _between(design, network, {node, *main}) if e not in found}
    return found


def _starters(design: Design, network: Network, side: str) -> dict[int, str]:
    starters = design.starters
    return {network.node(f"{n}.{t}"): n for n in starters for t in getattr(design.parts[n], side)}


def _between(design: Design, network: Network, ends: Collection[int]) -> set[str]:
    """Wires that lie on a path between some nodes through terminals, bars, shunts, limiters and
    contacts of relays."""

    def passes(link: Link) -> bool:
        part = design.parts.get(bare(link.element)) if link.element.startswith("parts/") else None
        own = isinstance(part, p.Consumer) and part.mounted_on is not None
        return (
            not link.oneway
            and link.gate is not Gate.SHIELD
            and (part is None or own or isinstance(part, _OF_HEAVY_CURRENT))
        )

    around = tuple(
        tuple(step for step in steps if passes(network.links[step[0]])) for steps in network.around
    )
    links = BlockTree(replace(network, around=around)).between(ends)
    return {network.links[i].element for i in links if network.links[i].element.startswith("wires/")}


def _wires(found: Circuit) -> list[str]:
    return sorted((e for e in found.elements if e.startswith("wires/")), key=name_order)


@record
class Mixed:
    """A bundle in which signals run beside pulsed or heavy current: wires, the sensors and
    instruments of the signals, what the current serves, and the common run in metres, None where a
    length is missing."""

    bundle: str
    signals: tuple[str, ...]
    ends: tuple[str, ...]
    noisy: tuple[str, ...]
    served: tuple[str, ...]
    run: float | None


def mixed_bundles(design: Design, network: Network, heavy: Mapping[str, str]) -> dict[str, Mixed]:
    """Bundles that hold wires of both kinds, however short, by name. The common run is no longer
    than the longest wire of either kind.

    A unit's own sensors may run with its own supply.
    """
    signals = signal_wires(design, network)
    noisy = {e: name for e, name in {**pulsed_wires(design, network), **heavy}.items() if e not in signals}
    found = {}
    for bundle, wires in network.bundles.items():
        quiet, loud = [w for w in wires if w in signals], [w for w in wires if w in noisy]
        loud = [w for w in loud if any(noisy[w] not in signals[q] for q in quiet)]
        quiet = [q for q in quiet if any(noisy[w] not in signals[q] for w in loud)]
        if loud:
            runs = [_longest(design, some) for some in (quiet, loud)]
            ends = tuple(dict.fromkeys(name for q in quiet for name in signals[q]))
            served = tuple(dict.fromkeys(noisy[w] for w in loud))
            run = None if None in runs else min(r for r in runs if r is not None)
            found[bundle] = Mixed(bundle, tuple(quiet), ends, tuple(loud), served, run)
    return found


def _longest(design: Design, wires: Iterable[str]) -> float | None:
    lengths = [design.wires[bare(w)].length for w in wires]
    return None if None in lengths else max(n for n in lengths if n is not None)


@record
class Opening:
    """A grommet or fitting of a bulkhead: the heavy wires in it (wire, what it serves) and those of
    critical loads (wire, load)."""

    heavy: tuple[tuple[str, str], ...]
    critical: tuple[tuple[str, str], ...]


def openings(design: Design, network: Network, heavy: Mapping[str, str]) -> dict[str, Opening]:
    """The openings that wires pass, by name."""
    critical = critical_wires(design, network)
    passing: dict[str, list[str]] = {}
    for name, wire in design.wires.items():
        for opening in wire.through:
            passing.setdefault(opening, []).append(f"wires/{name}")
    return {
        opening: Opening(
            tuple((w, heavy[w]) for w in wires if w in heavy),
            tuple((w, critical[w]) for w in wires if w in critical),
        )
        for opening, wires in passing.items()
    }


def critical_wires(design: Design, network: Network) -> dict[str, str]:
    """Wires of the circuits of critical loads, on both sides of them -> the load."""
    found: dict[str, str] = {}
    critical = critical_loads(design)
    for load in (name for name in design.parts if name in critical):
        part = design.parts[load]
        terminals = [network.node(f"{load}.{t}") for t in (*part.supplies, *part.returns)]
        found |= {e: load for e in _wires(circuit(design, network, terminals)) if e not in found}
    return found
