"""Cases of failure as lanes of one circuit: the figures that take a device out of the lanes in which
it is not there, and what current can reach in each."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import join, served
from reviewer.analysis.operating_point.circuit_build import Built
from reviewer.analysis.operating_point.devices import JOINT_OHMS, NOTHING, taken_out
from reviewer.analysis.solver.circuit import SOURCES, ConstantPowerBranch, DiodeBranch
from reviewer.analysis.solver.linear import LEAK_SIEMENS
from reviewer.network.graph import Network
from reviewer.tables.wire_tables import temperature_factor

#: share of the leak across every device that an open contact makes up for: what is left pulls a
#: sense lead that hangs loose by a hundredth of what it would
SEALED = 0.99


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
            held = join(served(user, conduction.fed[e], conduction.returned[e]) for e in steady)
            found |= conduction.powered[user.element] & ~held
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


def reached(built: Built) -> Mapping[int, int]:
    """The lanes in which current from a live source can come to each node, through loads too."""
    every = (1 << built.width) - 1
    onward: dict[int, list[tuple[int, int]]] = {n: [] for n in range(built.circuit.count)}
    found = dict.fromkeys(onward, 0)
    for i, r in enumerate(built.circuit.resistors):
        onward[r.a].append((r.b, built.inputs.get(i, every)))
        if i not in built.inputs:
            onward[r.b].append((r.a, every))
    todo = []
    for i, d in enumerate(built.circuit.devices):
        lanes = built.present.get(i, every)
        if isinstance(d, SOURCES):
            for node in (d.plus, d.minus):
                found[node] |= lanes
                todo.append(node)
        onward[d.plus].append((d.minus, lanes))
        if not isinstance(d, DiodeBranch):
            onward[d.minus].append((d.plus, lanes))
    while todo:
        node = todo.pop()
        for other, lanes in onward[node]:
            if (mask := found[node] & lanes) & ~found[other]:
                found[other] |= mask
                todo.append(other)
    return found
