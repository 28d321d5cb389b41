"""Operating points of invented aircraft against circuit simulators, which are given the circuit and nothing of how it is solved here.

neospice solves more than two hundred and fifty networks, ngspice some of them again in a process of its own; no node may differ by more than two millivolts.
Networks are tangles of 8 to 25 parts, and aircraft of 80 to 140 parts, all with figures drawn by chance (tests.analysis.operating_point.dressed):
lead-acid and lithium batteries, and voltmeters with sense leads and input resistances of their own.
"""

from __future__ import annotations

import math
import shutil
from collections.abc import Callable, Iterator, Mapping, Set
from dataclasses import replace
from functools import cache
from random import Random
from typing import Any, NamedTuple

import numpy as np
import pytest

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.operating_point.points import Points, Scenario, solve_points
from reviewer.analysis.solver.circuit import (
    ConstantPowerBranch,
    DiodeBranch,
    InletBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
    Resistor,
    StartingBranch,
)
from reviewer.analysis.solver.circuit_solution import CircuitSolution
from reviewer.analysis.solver.linear import EliminatedLinear
from reviewer.model.design import Design
from reviewer.model.parts import Battery
from reviewer.model.resolved_states import resolved
from reviewer.network.graph import Network
from reviewer.network.network_build import build_network
from tests.analysis.operating_point.dressed import dress, sensed
from tests.analysis.solver.netlist import JOINT, NOWHERE_ELSE, STEEP, by_neospice, by_ngspice, netlist
from tests.oracle.generator import awkward, realistic

SEEDS = 640
VOLTS = 2e-3
NGSPICE = pytest.mark.skipif(
    shutil.which("ngspice") is None, reason="ngspice is not installed; .ci/run installs it"
)


class Island(NamedTuple):
    """Nodes of a solved circuit that hang together, and the one that is nought there."""

    seed: int
    solved: CircuitSolution
    nodes: tuple[int, ...]
    reference: int
    sensing: tuple[int, ...] = ()
    lithium: tuple[int, ...] = ()
    senses: Mapping[int, tuple[int, int]] = NOWHERE_ELSE

    def worst(self, simulate: Callable[..., dict[int, float]], circuit: NodalCircuit | None = None) -> float:
        """The largest difference of any node between the simulator and the solution."""
        asked = [n for n in self.nodes if n != self.reference]
        drawn, at = circuit or self.solved.circuit, (self.nodes, self.reference, self.solved.temperature)
        worst, failed = math.inf, None
        taken = {
            i: float(self.solved.figures[i]["watts"][0])
            for i, d in enumerate(drawn.devices)
            if isinstance(d, InletBranch) and i in self.solved.place
        }
        for i in taken:  # below its least volts it gives nothing
            gives = drawn.devices[i].gives
            limit = float(np.min(self.solved.figures[gives]["limit"]))
            devices = list(drawn.devices)
            devices[gives] = replace(devices[gives], limit=limit)
            drawn = replace(drawn, devices=tuple(devices))
        # simulators that do not find what an inlet takes are told, as of one whose source is in another island
        apart = {
            i: w for i, w in taken.items() if drawn.devices[drawn.devices[i].gives].plus not in self.nodes
        }
        # at its limit, into loads of constant power, an alternator may have two operating points: each form finds one of them
        forms = [(by, apart, STEEP) for by in ((False, True) if self.senses else (False,))]
        forms += [(False, taken, STEEP)] if len(taken) > len(apart) else []
        # what a source beyond its limits still passes pulls at an input that senses a node without a load
        forms += [(by, watts, 100 * STEEP) for by, watts, _ in forms]
        tried = [(drawn, *form, JOINT) for form in forms]
        # so may a converter: where the solution has a load below its least volts, it is the resistance that it is there
        low = self.with_low_loads_as_resistances(drawn)
        tried += [(low, *form, JOINT) for form in forms] if low is not drawn else []
        # a battery that is short-circuited through ideal joints loses millivolts in each as it is drawn
        tried += [(of, *form, JOINT / 10) for of, *form, _ in tried]
        for of, by_current, watts, steep, joint in tried:
            written = netlist(
                of,
                *at,
                senses=self.senses,
                by_current=by_current,
                watts=watts,
                steep=steep,
                joint=joint,
            )
            try:
                found = simulate(written, asked)
            except RuntimeError as error:
                failed = error
                continue
            worst = min(worst, max(abs(found[n] - self.solved.volts(n)[0]) for n in asked))
            if worst <= VOLTS:
                break
        if failed is not None and worst == math.inf:
            raise failed
        return worst

    def with_low_loads_as_resistances(self, circuit: NodalCircuit) -> NodalCircuit:
        """The circuit with each load of constant power that is solved below its least volts as a resistance of the
        same law; the circuit itself where there is none."""
        devices = list(circuit.devices)
        for i, d in enumerate(circuit.devices):
            if not isinstance(d, ConstantPowerBranch) or d.plus not in self.nodes:
                continue
            if abs(self.solved.volts(d.plus)[0] - self.solved.volts(d.minus)[0]) < d.least:
                amps = d.watts / d.least
                devices[i] = LoadBranch(d.element, d.plus, d.minus, amps, d.least, d.least, 0.0)
        return circuit if devices == list(circuit.devices) else replace(circuit, devices=tuple(devices))


@cache
def islands(seed: int, parts: int | None = None) -> tuple[Island, ...]:
    """The islands of the normal state of a design, of an aircraft of so many ``parts`` where that is given."""
    if parts or seed % 5 == 0:
        design = realistic(parts or 80 + seed % 60, seed, sensed(seed))
    else:
        design = awkward(seed, dress=sensed(seed))
    assert design.operation
    network, state = build_network(design), resolved(design.operation)[design.operation.normal]
    healthy = conduct(network, state)
    if healthy.unsettled:
        return ()
    points = solve_points(design, network, Scenario(state, healthy))
    assert not points.unsolved
    return tuple(_islands(seed, points, elsewhere(design, network, points), lithium_of(design, points)))


def lithium_of(design: Design, points: Points) -> frozenset[int]:
    """Devices of the lithium batteries."""
    chemistry = {f"parts/{n}": design.parts[n].chemistry for n in design.of_kind(Battery)}
    sources = points.built.sources.items()
    return frozenset(i for e, i in sources if chemistry.get(e) == "lithium-iron-phosphate")


def elsewhere(design: Design, network: Network, points: Points) -> dict[int, tuple[int, int]]:
    """Device of each alternator that is held elsewhere than at its output -> the two nodes where it is."""
    ends = {}
    for name, part in design.parts.items():
        if part.kind == "alternator" and part.regulator_senses == "field":
            ends[f"parts/{name}"] = (f"{name}.field", f"{name}.ground")
        elif part.kind == "regulator":
            ends[f"parts/{part.regulates}"] = (f"{name}.{part.senses}", f"{name}.ground")
    sources = points.built.sources
    return {
        sources[e]: (network.node(plus), network.node(minus))
        for e, (plus, minus) in ends.items()
        if e in sources
    }


def started(seed: int) -> tuple[Island, ...]:
    """The islands of an aircraft whose starter stands, or of one in flight whose regulator senses elsewhere than at its output: of every seed one."""
    chance, apart, cranks = Random(f"started {seed}"), seed % 2 == 1, seed % 4 < 2

    def figures(data: dict[str, Any]) -> None:
        dress(seed)(data)
        for part in data["parts"].values():
            if part["kind"] == "alternator":
                part |= {"field-current": f"{chance.uniform(1, 4):.2f} A"}
                part |= {} if apart else {"regulator-senses": "field"}
            elif part["kind"] == "regulator" and seed % 8 == 7:
                part["senses"] = "supply"
                ends = {name: {wire["from"], wire["to"]} for name, wire in data["wires"].items()}
                data["wires"] = {
                    name: wire for name, wire in data["wires"].items() if "regulator.sense" not in ends[name]
                }
            elif part["kind"] == "load" and "mounted-on" in part:
                turns = chance.uniform(60, 200)
                peak = turns * chance.uniform(1.0, 1.6)
                part |= {"type": "starter", "current": f"{turns:.1f} A", "peak": f"{peak:.1f} A"}

    design = realistic(80 + seed % 40, seed, figures)
    assert design.operation
    states = resolved(design.operation)
    state = next(s for s in states.values() if s.engine == ("cranking" if cranks else "running"))
    network = build_network(design)
    starting = [n for n, part in design.parts.items() if getattr(part, "type", None) == "starter"]
    points = solve_points(
        design, network, Scenario(state, conduct(network, state), starting=starting if cranks else ())
    )
    assert not points.unsolved
    return tuple(_islands(seed, points, elsewhere(design, network, points), lithium_of(design, points)))


def _islands(
    seed: int, points: Points, senses: Mapping[int, tuple[int, int]], lithium: Set[int]
) -> Iterator[Island]:
    """The islands, each with the inputs (resistors) that sense something in it, its lithium batteries (devices), and
    the alternators that are held elsewhere than at their output."""
    solved, inputs = points.parts[0][1], points.built.inputs
    merged, circuit = solved.islands.merged, solved.circuit
    ways: dict[int, list[int]] = {n: [] for n in range(circuit.count) if merged[n] >= 0}
    pairs = [(r.a, r.b) for r in circuit.resistors] + [(d.plus, d.minus) for d in circuit.devices]
    for a, b in pairs:
        if a in ways and b in ways:
            ways[a].append(b)
            ways[b].append(a)
    seen: set[int] = set()
    for start in ways:
        if start not in seen:
            nodes, todo = {start}, [start]
            while todo:
                for other in ways[todo.pop()]:
                    if other not in nodes:
                        nodes.add(other)
                        todo.append(other)
            seen |= nodes
            reference = next(n for n in nodes if merged[n] in solved.islands.references)
            sensing = tuple(i for i in inputs if circuit.resistors[i].a in nodes)
            own = tuple(i for i in lithium if circuit.devices[i].plus in nodes)
            yield Island(seed, solved, tuple(nodes), reference, sensing, own, senses)


@pytest.mark.parametrize(
    "part",
    [
        pytest.param(5, marks=pytest.mark.within_long, id="fifth"),
        pytest.param(2, marks=pytest.mark.long, id="half"),
    ],
)
def test_hundreds_of_networks_are_solved_as_neospice_solves_them(part: int) -> None:
    """Of 640 seeds a fifth in the short run, half in the long one."""
    compared, large, limited, conducting, reverse, sensing, lithium, inlets = 0, 0, 0, 0, 0, 0, 0, 0
    for seed in range(SEEDS // part):
        for island in islands(seed):
            worst = island.worst(by_neospice)
            assert worst <= VOLTS, f"seed {seed}: {worst:.6f} V"
            compared += 1
            large += len(island.nodes) > 200
            sensing += len(island.sensing)
            lithium += len(island.lithium)
            for i, device in enumerate(island.solved.circuit.devices):
                amps = island.solved.device_amps(i)[0] if device.plus in island.nodes else 0.0
                inlets += isinstance(device, InletBranch) and amps > 0.05
                if isinstance(device, RegulatedBranch):
                    limited += -amps >= device.limit * (1 - 1e-9)
                elif isinstance(device, DiodeBranch):
                    conducting += amps > 1e-3
                    reverse += amps < 1e-6
    assert compared >= 500 // part, compared
    # the comparison is of networks in which something happens
    happened = {"large": large, "limited": limited, "conducting": conducting, "reverse": reverse}
    happened |= {"sensing": sensing, "lithium": lithium, "inlets": inlets}
    floors = {
        "large": 100,
        "limited": 20,
        "conducting": 300,
        "reverse": 300,
        "sensing": 500,
        "lithium": 150,
        "inlets": 45,
    }
    assert all(happened[what] >= floor // part for what, floor in floors.items()), happened


@NGSPICE
def test_some_of_them_are_solved_as_ngspice_solves_them() -> None:
    compared = 0
    for seed in range(0, 60):
        for island in islands(seed):
            worst = island.worst(by_ngspice)
            assert worst <= VOLTS, f"seed {seed}: {worst:.6f} V"
            compared += 1
    assert compared >= 50


@pytest.mark.parametrize("seed", [2, 11, 30])
def test_aircraft_of_many_devices_are_solved_as_neospice_solves_them(seed: int) -> None:
    """Large enough that the nodes are eliminated one after another and no matrix of the devices is made."""
    compared = 0
    for island in islands(seed, parts=600):
        assert isinstance(island.solved.linear, EliminatedLinear)
        assert island.worst(by_neospice) <= VOLTS
        compared += len(island.nodes)
    assert compared >= 1000


@pytest.mark.parametrize("simulate", [by_neospice, pytest.param(by_ngspice, marks=NGSPICE)])
def test_starters_that_stand_and_remote_sensing_are_solved_as_simulators_solve_them(
    simulate: Callable[..., dict[int, float]],
) -> None:
    standing = turning = raised = 0
    for seed in range(40 if simulate is by_neospice else 16):
        for island in started(seed):
            worst = island.worst(simulate)
            assert worst <= VOLTS, f"seed {seed}: {worst:.6f} V"
            solved = island.solved
            for i, device in enumerate(solved.circuit.devices):
                if isinstance(device, StartingBranch) and solved.device_amps(i)[0] > 1:
                    volts = solved.volts(device.plus)[0] - solved.volts(device.minus)[0]
                    stands = device.siemens * volts >= solved.device_amps(i)[0] - 1e-6
                    standing, turning = standing + stands, turning + (not stands)
                elif i in island.senses and device.plus in island.nodes:
                    field = island.senses[i][0]
                    raised += solved.volts(device.plus)[0] - solved.volts(field)[0] > 0.02
    least = 2 if simulate is by_ngspice else 4
    assert min(standing, turning, raised) >= least, (standing, turning, raised)


def test_a_wrong_resistor_is_noticed() -> None:
    noticed = 0
    for seed in range(1, 30):
        for island in islands(seed):
            circuit = island.solved.circuit
            amps = [
                abs(island.solved.resistor_amps(i)[0])
                if r.a in island.nodes
                and r.ohms > 0
                and i not in island.sensing  # an input takes microamperes
                else 0.0
                for i, r in enumerate(circuit.resistors)
            ]
            most = max(range(len(amps)), key=lambda i: amps[i] * circuit.resistors[i].ohms)
            r = circuit.resistors[most]
            if amps[most] * r.ohms > 0.1:
                wrong = Resistor(r.a, r.b, r.ohms * 1.2, r.copper)
                resistors = (*circuit.resistors[:most], wrong, *circuit.resistors[most + 1 :])
                noticed += (
                    island.worst(by_neospice, NodalCircuit(circuit.count, resistors, circuit.devices)) > VOLTS
                )
    assert noticed >= 15
