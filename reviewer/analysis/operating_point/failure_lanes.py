"""Cases of failure as lanes of one circuit: the figures that take a device out of the lanes in which
it is not there, and what current can reach in each."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from typing import Any

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import served
from reviewer.analysis.operating_point.circuit_build import Built
from reviewer.analysis.operating_point.devices import JOINT_OHMS, NOTHING, taken_out
from reviewer.analysis.solver.circuit import SOURCES, ConstantPowerBranch, DiodeBranch
from reviewer.analysis.solver.linear import LEAK_SIEMENS
from reviewer.network.graph import Network
from reviewer.tables.wire_tables import temperature_factor

#: share of the leak across every device that an open contact makes up for: what is left pulls a
#: sense lead that hangs loose by a tenth of what it would. More of it leaves nothing to hold a bus
SEALED = 0.9


def by_lane(built: Built, changed: dict[int, dict[str, Any]], points: int, temperature: float) -> None:
    """Take each device out of the lanes in which it is not there. Figures of so many points have
    one number for all, or one for each of the points of a lane."""
    import numpy as np

    times = points // built.width
    for own in changed.values():
        own.update({n: v if np.ndim(v) == 0 else np.repeat(v, built.width) for n, v in own.items()})
    for index, amps in built.amps.items():
        device = built.circuit.devices[index]
        watts = isinstance(device, ConstantPowerBranch)
        most = max(amps)
        share = np.tile(np.asarray(amps) / most, times)
        name = "watts" if watts else "amps"
        own, drawn = changed.setdefault(index, {}), share * getattr(device, name)
        if name in own:  # a figure is that of a load that is on
            drawn = np.where(lanes_array(built.idle[index], built.width, points), drawn, own[name])
        own[name] = drawn
    for index, resistor in built.contacts.values():
        if resistor.copper:
            ohms = resistor.ohms * temperature_factor(temperature)
            changed.setdefault(index, {})["volts"] = ohms or JOINT_OHMS
    contacts = {index: resistor.ohms or JOINT_OHMS for index, resistor in built.contacts.values()}
    for index, lanes in built.present.items():
        device, there = built.circuit.devices[index], lanes_array(lanes, built.width, points)
        own = changed.setdefault(index, {})
        off = NOTHING
        if index in contacts:
            off = {"amps": -SEALED * LEAK_SIEMENS * own.get("volts", contacts[index])}
        for name in taken_out(device):
            own[name] = np.where(there, own.get(name, getattr(device, name)), off[name])


def on_alternators_alone(network: Network, conduction: Conduction, built: Built) -> int:
    """The lanes in which a load of constant power has no other source than alternators: the less
    volts these hold the more it takes, and there may be two operating points."""
    found = 0
    users = [c for c in network.consumers if c.element in built.loads]
    steady = [s.element for s in network.sources if s.kind != "alternator"]
    for user in users:
        if isinstance(built.circuit.devices[built.loads[user.element]], ConstantPowerBranch):
            left = conduction.powered[user.element]
            for e in steady:
                left = left and left & ~served(user, conduction.fed[e], conduction.returned[e])
            found |= left
    return found


def regulating(built: Built, senses: Collection[int], points: int) -> dict[int, Any]:
    """The points at which each of some sources, by index of device, is live."""
    every = (1 << built.width) - 1
    return {i: lanes_array(built.present.get(i, every), built.width, points) for i in senses}


def lanes_array(lanes: int, width: int, points: int) -> Any:
    """A mask of lanes as an array (points,) of True and False, point i of lane i modulo the
    width."""
    import numpy as np

    octets = np.frombuffer(lanes.to_bytes((width + 7) // 8, "little"), np.uint8)
    return np.tile(np.unpackbits(octets, count=width, bitorder="little").astype(bool), points // width)


def held(built: Built) -> Sequence[int]:
    """The lanes in which more than the leaks across devices holds each node: current comes to it from
    the positive of a live source, or what conducts both ways joins it to a negative.

    What resistors join is held together: of each piece of them one node stands for all.

    Behind a diode a node that stands at its ground through loads holds nothing, and an open contact
    does not either: no meter shows what the leaks leave there.
    """
    circuit, devices = built.circuit, built.circuit.devices
    piece = circuit.joined_by(i for i in circuit.all_beside_trunk if i not in built.inputs)
    joints = {index for index, _ in built.contacts.values()}
    inputs = {i: circuit.resistors[i] for i in built.inputs}
    there = _there(built)
    metal: list[Edge] = [(piece[r.a], piece[r.b], built.inputs[i]) for i, r in inputs.items()]
    loads: list[Edge] = []
    ahead: list[Edge] = []
    for d, lanes, joint in ((d, there[i], i in joints) for i, d in enumerate(devices)):
        plus, minus = piece[d.plus], piece[d.minus]
        if isinstance(d, DiodeBranch):
            ahead.append((plus, minus, lanes))
        elif not isinstance(d, SOURCES):
            (metal if joint else loads).extend([(plus, minus, lanes), (minus, plus, lanes)])
    live = [(d, there[i]) for i, d in enumerate(devices) if isinstance(d, SOURCES)]
    returns = [(piece[d.minus], lanes) for d, lanes in live if d.minus in circuit.anchors]
    feeds = [(piece[d.plus], lanes) for d, lanes in live]
    ground = _lanes_reached(metal, returns)
    below = _lanes_reached([*metal, *loads], returns)
    # a resistor from a bus to ground, as a potentiometer's track, joins them and makes no ground of the bus
    fed = _lanes_reached(metal, feeds)
    above = _lanes_reached(
        [*metal, *loads, *ahead], feeds, lambda node: ground.get(node, 0) & ~fed.get(node, 0)
    )
    return [above.get(own, 0) | below.get(own, 0) for own in piece]


def _there(built: Built) -> Sequence[int]:
    """The lanes in which each device is there."""
    every = (1 << built.width) - 1
    return [built.present.get(i, every) for i in range(len(built.circuit.devices))]


def counted_from(built: Built) -> Sequence[tuple[int, Mapping[int, int]]]:
    """The nodes that volts count from, each with the lanes in which another node counts from it: where
    a failure parts the circuit each part counts from its own, the first that is there."""
    circuit, piece, there = built.circuit, built.circuit.pieces, _there(built)
    edges: list[Edge] = []
    sources = []
    for d, lanes in zip(circuit.devices, there, strict=True):
        plus, minus = piece[d.plus], piece[d.minus]
        edges += [(plus, minus, lanes), (minus, plus, lanes)]
        if isinstance(d, SOURCES) and d.minus in circuit.anchors:
            sources.append((d.minus, lanes))
    found, before = [], dict[int, int]()
    for anchor, lanes in sources:
        island = _lanes_reached(edges, [(piece[anchor], lanes)])
        new = {own: mask & ~before.get(own, 0) for own, mask in island.items()}
        found.append((anchor, {n: new[own] for n, own in enumerate(piece) if new.get(own)}))
        for own, mask in island.items():
            before[own] = before.get(own, 0) | mask
    return found


#: from a node to a node, and the lanes in which that way is there
Edge = tuple[int, int, int]


def _lanes_reached(
    edges: Sequence[Edge],
    starts: Sequence[tuple[int, int]],
    ends: Callable[[int], int] = lambda _: 0,
) -> dict[int, int]:
    """The lanes in which each node is reached from some nodes; at one that ``ends`` a way it is, and
    goes no further."""
    onward: dict[int, list[tuple[int, int]]] = {}
    for a, b, lanes in edges:
        onward.setdefault(a, []).append((b, lanes))
    found: dict[int, int] = {}
    todo = []
    for node, lanes in starts:
        found[node] = found.get(node, 0) | lanes
        todo.append(node)
    while todo:
        node = todo.pop()
        here = found[node] & ~ends(node)
        for other, lanes in onward.get(node, ()) if here else ():
            known = found.get(other, 0)
            if (mask := here & lanes) & ~known:
                found[other] = known | mask
                todo.append(other)
    return found
