"""A circuit solved at many operating points, with the proof: the current balance of every node."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from reviewer.analysis.electrical.circuit import Battery, Circuit, Device, Diode, Load, PowerLoad, Regulated
from reviewer.analysis.electrical.laws import current, figures_of
from reviewer.analysis.electrical.newton import ports_of, solve_ports
from reviewer.analysis.electrical.reduce import LEAK_SIEMENS, Islands, Linear, islands, linear_part, ohms_at

#: amperes by which the currents of a node may fail to add up, and as a share of the largest of them
BALANCE_A, BALANCE_SHARE = 1e-6, 1e-9
#: points up to which it pays to work out all nodes, and many resistors, at once
FEW = 16
_ORDER = (Diode, Regulated, Battery, Load, PowerLoad)


@dataclass(frozen=True)
class Lost:
    """An operating point that was not found: the point, the node where the currents balance worst and by how much, and the device that misses the
    network's voltage most (its index in the circuit)."""

    point: int
    node: int
    amps: float
    device: int


@dataclass(frozen=True)
class Solved:
    """Operating points of a circuit. All voltages count from the reference of their island.

    ``sources`` are the sources ``a`` of the devices of ``islands.devices``, (devices, points); ``linear`` turns them into voltages. ``balance`` is the worst
    imbalance of the currents of any node, (points,), amperes. Voltages and currents of a point that is in ``lost`` are NaN.
    """

    circuit: Circuit
    islands: Islands
    linear: Linear
    figures: tuple[dict[str, Any], ...]
    temperature: float
    sources: Any
    balance: Any
    rounds: int
    lost: tuple[Lost, ...]

    @cached_property
    def place(self) -> Mapping[int, int]:
        """Index of a device in the circuit -> its row in ``sources``."""
        return {device: row for row, device in enumerate(self.islands.devices)}

    def volts(self, node: int) -> Any:
        """Volts of a node, (points,); NaN where no live source reaches it."""
        import numpy as np

        joined = self.islands.merged[node]
        if joined < 0:
            return np.full(self.sources.shape[1], np.nan)
        return self.levels[joined] if self.sources.shape[1] <= FEW else self.linear.nodes[joined] @ self.sources

    @cached_property
    def levels(self) -> Any:
        """Volts of every joined node, (nodes, points): for a few points it is cheaper to have all at once."""
        return self.linear.nodes @ self.sources

    def device_amps(self, device: int) -> Any:
        """Amperes through a device from plus to minus, (points,); 0 in a dead island."""
        import numpy as np

        d = self.circuit.devices[device]
        if device not in self.place:
            return np.zeros(self.sources.shape[1])
        across = self.linear.across[self.place[device]] @ self.sources
        return current(type(d), across, self.figures[device])

    def resistor_amps(self, index: int) -> Any:
        """Amperes through a resistor from a to b, (points,); NaN where ideal joints in a ring leave it open how they share."""
        import numpy as np

        r = self.circuit.resistors[index]
        if self.islands.merged[r.a] < 0:
            return np.zeros(self.sources.shape[1])
        if r.ohms > 0:
            return (self.volts(r.a) - self.volts(r.b)) / ohms_at(r, self.temperature)
        return _through_joint(self, index)


def solve(circuit: Circuit, figures: Mapping[int, Mapping[str, Any]] | None = None, points: int = 1, temperature: float = 20.0) -> Solved:
    """Solve a circuit.

    Parameters: ``figures`` by index of device, those that differ from the device's own, one number or (points,) each; ``points`` how many
    operating points; ``temperature`` of the copper conductors, degrees Celsius. A point that is not found is in ``lost`` and its values are NaN.
    """
    import numpy as np

    found = islands(circuit)
    given = figures or {}
    every = tuple({n: given.get(i, {}).get(n, getattr(d, n)) for n in figures_of(type(d))} for i, d in enumerate(circuit.devices))
    order = tuple(sorted(found.devices, key=lambda i: _ORDER.index(type(circuit.devices[i]))))
    found = Islands(found.merged, found.count, found.references, order)
    rho = [_rho(circuit.devices[i], every[i]) for i in order]
    linear = linear_part(circuit, found, rho, temperature)
    if not order:
        return Solved(circuit, found, linear, every, temperature, np.zeros((0, points)), np.zeros(points), 0, ())
    ports = ports_of([circuit.devices[i] for i in order], [every[i] for i in order], rho)
    x, reached, rounds = solve_ports(ports, linear.across, points)
    shape = ports.curves(x)
    sources = shape.volts - ports.rho * shape.amps
    solved = Solved(circuit, found, linear, every, temperature, sources, np.zeros(points), rounds, ())
    balance, allowed, worst = _balance(solved)
    bad = np.flatnonzero(~reached | ~(balance <= allowed))
    lost = tuple(_lost(solved, int(p), balance[p], int(worst[p]), np.abs(shape.volts[:, p] - linear.across @ sources[:, p])) for p in bad)
    sources[:, bad] = np.nan
    for array in (sources, balance, linear.across, linear.nodes):
        array.setflags(write=False)
    return Solved(circuit, found, linear, every, temperature, sources, balance, rounds, lost)


def _rho(device: Device, figures: Mapping[str, Any]) -> float:
    """The resistance a device is drawn with: any would do; near what it works into, Newton's method needs few rounds."""
    import numpy as np

    def typical(name: str) -> float:
        return float(np.median(figures[name]))

    if isinstance(device, Battery):
        return typical("ohms")
    if isinstance(device, Load):
        return typical("volts") / max(typical("amps"), 0.01)
    if isinstance(device, PowerLoad):
        return (1.5 * typical("least")) ** 2 / max(typical("watts"), 0.1)
    return 0.05


def _lost(solved: Solved, point: int, amps: float, joined: int, missing: Any) -> Lost:
    return Lost(point, solved.islands.merged.index(joined), float(amps), solved.islands.devices[int(missing.argmax())])


def _balance(solved: Solved) -> tuple[Any, Any, Any]:
    """Kirchhoff's current law at every joined node of the whole circuit, nothing folded: the worst imbalance of each point, what is allowed at
    that node, and the node. References are left out: what is missing there is missing elsewhere too."""
    import numpy as np

    merged, points = solved.islands.merged, solved.sources.shape[1]
    worst, allowed, where = np.full(points, -1.0), np.full(points, BALANCE_A), np.zeros(points, int)
    size = max(1, 8_000_000 // max(1, solved.islands.count))
    for first in range(0, points, size):
        some = slice(first, first + size)
        volts = solved.linear.nodes @ solved.sources[:, some]
        total, most = np.zeros_like(volts), np.zeros_like(volts)

        def add(a: Any, b: Any, amps: Any, total: Any = total, most: Any = most) -> None:
            total[a] += amps
            total[b] -= amps
            amps = np.abs(amps)
            most[a] = np.maximum(most[a], amps)
            most[b] = np.maximum(most[b], amps)

        for a, b, amps in _through_resistors(solved, volts):
            add(a, b, amps)
        for i in solved.islands.devices:
            d = solved.circuit.devices[i]
            a, b = merged[d.plus], merged[d.minus]
            f = {n: v if np.ndim(v) == 0 or len(v) == 1 else v[some] for n, v in solved.figures[i].items()}
            add(a, b, current(type(d), volts[a] - volts[b], f) + LEAK_SIEMENS * (volts[a] - volts[b]))
        total[list(solved.islands.references)] = 0.0
        over = np.abs(total) - BALANCE_SHARE * most
        node = over.argmax(axis=0)
        column = np.arange(volts.shape[1])
        worst[some], where[some] = np.abs(total[node, column]), node
        allowed[some] = BALANCE_A + BALANCE_SHARE * most[node, column]
    return worst, allowed, where


def _through_resistors(solved: Solved, volts: Any) -> Iterator[tuple[Any, Any, Any]]:
    """(from, to, amperes) of the resistors between joined nodes: one after the other, or for a few points in rounds in which no node comes twice."""
    import numpy as np

    merged = solved.islands.merged
    some = [
        (merged[r.a], merged[r.b], ohms_at(r, solved.temperature))
        for r in solved.circuit.resistors
        if merged[r.a] >= 0 and merged[r.a] != merged[r.b]
    ]
    if volts.shape[1] > FEW:
        yield from ((a, b, (volts[a] - volts[b]) / ohms) for a, b, ohms in some)
        return
    rounds: list[tuple[set[int], list[tuple[int, int, float]]]] = []
    for one in some:
        free = next((r for r in rounds if not r[0] & {one[0], one[1]}), None)
        if free is None:
            rounds.append(free := (set(), []))
        free[0].update(one[:2])
        free[1].append(one)
    for _, together in rounds:
        a, b = np.array([one[0] for one in together]), np.array([one[1] for one in together])
        yield a, b, (volts[a] - volts[b]) / np.array([one[2] for one in together])[:, None]


def _through_joint(solved: Solved, index: int) -> Any:
    """The current of an ideal joint, from what flows into the nodes beyond it; NaN where they hang together without it too."""
    import numpy as np

    circuit, r = solved.circuit, solved.circuit.resistors[index]
    beyond, todo = {r.b}, [r.b]
    joints: dict[int, list[tuple[int, int]]] = {}
    for i, other in enumerate(circuit.resistors):
        if other.ohms == 0 and i != index:
            joints.setdefault(other.a, []).append((i, other.b))
            joints.setdefault(other.b, []).append((i, other.a))
    while todo:
        for _, node in joints.get(todo.pop(), ()):
            if node not in beyond:
                beyond.add(node)
                todo.append(node)
    if r.a in beyond:
        return np.full(solved.sources.shape[1], np.nan)
    return _leaving(solved, beyond)


def _leaving(solved: Solved, nodes: set[int]) -> Any:
    """Amperes that leave some nodes by resistors that are no joints and by devices."""
    import numpy as np

    amps: Any = np.zeros(solved.sources.shape[1])
    circuit: Circuit = solved.circuit
    ways: Sequence[tuple[int, int, Any]] = [
        *((r.a, r.b, (solved.resistor_amps, i)) for i, r in enumerate(circuit.resistors) if r.ohms > 0),
        *((d.plus, d.minus, (solved.device_amps, i)) for i, d in enumerate(circuit.devices)),
    ]
    for a, b, (ask, i) in ways:
        if (a in nodes) != (b in nodes):
            amps = amps + (ask(i) if a in nodes else -ask(i))
    return amps
