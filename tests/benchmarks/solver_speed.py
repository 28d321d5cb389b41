"""Operating points a second against ngspice, as a ratio of times measured in one run, and how the time grows with the parts.

    python -m tests.benchmarks.solver_speed

The same circuit, the same points; processor time on both sides. ngspice is one process that stays alive: for each point the currents of all loads
and nothing else are altered, the operating point is found and four node voltages are printed; it is timed on the first points
and scaled, which is said, and what a process takes that reads the circuit and solves nothing more is left out. The reviewer's time is for all points, the
circuit's making and the current balance of every node included. Where both have the voltages, they are compared. ``seeds`` says how many aircraft growth is
measured on.
"""

from __future__ import annotations

import argparse
import re
import resource
import shutil
import subprocess
import sys
import time
from dataclasses import replace
from random import Random

import numpy as np

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures, Points, Scenario, solve_points
from reviewer.analysis.solver.circuit import (
    ConstantPowerBranch,
    InletBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
)
from tests.analysis.operating_point.dressed import dress
from tests.analysis.solver.netlist import netlist
from tests.analysis.solver.test_nonlinear_against_simulators import elsewhere
from tests.oracle.generator import realistic

TEMPERATURES = (-20.0, 0.0, 20.0, 45.0)
#: all loads together, where growth with the parts is measured
LARGEST_A = 50.0
GROWTH_POINTS = 200


def drawn(
    facts: Facts, points: int, seed: int, temperatures: tuple[float, ...], most: float = float("inf")
) -> Figures:
    """Loads from nothing to one and a half times their current, charge, set points, engine speed and temperature, by chance.

    Where all loads would take more than ``most`` amperes together, each takes less in proportion: a large aircraft's generator is larger too.
    """
    chance = np.random.default_rng(seed)
    loads, charge, set_point = {}, {}, {}
    amps = {
        c.element: facts.design.parts[c.element.partition("/")[2]].current for c in facts.network.consumers
    }
    share = min(1.0, most / sum(amps.values()))
    for element, given in amps.items():
        loads[element] = share * given * chance.uniform(0.0, 1.5, points)
    for source in facts.network.sources:
        if source.kind == "battery":
            charge[source.element] = chance.uniform(0.1, 0.99, points)
        elif source.kind == "alternator":
            set_point[source.element] = chance.uniform(13.8, 14.6, points)
    return Figures(
        loads,
        charge,
        {},
        set_point,
        chance.uniform(0.0, 1.0, points),
        chance.choice(np.array(temperatures), points),
    )


def solved(facts: Facts, figures: Figures, points: int) -> tuple[Points, float]:
    """All points, and the seconds they took, the circuit's making included."""
    answer = facts.states.answer(facts.design.operation.normal) if facts.design.operation else None
    assert answer is not None
    scenario = Scenario(answer.state, answer.healthy)
    begin = time.process_time()
    found = solve_points(facts.design, facts.network, scenario, figures, points)
    return found, time.process_time() - begin


def quickest(facts: Facts, figures: Figures, points: int, times: int = 5) -> tuple[Points, float]:
    """The same, the least seconds of several runs."""
    runs = [solved(facts, figures, points) for _ in range(times)]
    return runs[0][0], min(seconds for _, seconds in runs)


def by_ngspice(facts: Facts, found: Points, points: int) -> tuple[float, float]:
    """Processor seconds of one ngspice process for the first ``points`` points, its start included, and the largest difference in volts."""
    (_, solution), circuit = found.parts[0], _as_solved(found)
    live = [n for n in range(circuit.count) if solution.islands.merged[n] >= 0]
    reference = next(n for n in live if solution.islands.merged[n] == solution.islands.references[0])
    asked = [n for n in live if n != reference][:: max(1, len(live) // 4)][:4]
    senses = elsewhere(facts.design, facts.network, found)
    stopped = {
        i: 0.0
        for i, device in enumerate(circuit.devices)
        if isinstance(device, InletBranch) and circuit.devices[device.gives].limit == 0.0
    }
    lines = netlist(circuit, live, reference, solution.temperature, named=True, senses=senses, watts=stopped)
    before = _children()
    with subprocess.Popen(
        ["ngspice", "-p"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdin and process.stdout

        def until(mark: str) -> list[str]:
            assert process.stdout
            said = []
            for line in process.stdout:
                if mark in line:
                    break
                said.append(line)
            return said

        body = "\n".join(["circuit", *lines, ".op", ".end", ""])
        path = f"/tmp/solver_speed_{process.pid}.cir"
        with open(path, "w", encoding="ascii") as file:
            file.write(body)
        process.stdin.write(f"source {path}\nop\necho ready\n")
        process.stdin.flush()
        until("ready")
        worst = 0.0
        for point in _most_alike(found)[:points]:
            commands = []
            for i in solution.islands.devices:
                kind, figures = type(circuit.devices[i]), solution.figures[i]
                name = {LoadBranch: "amps", ConstantPowerBranch: "watts"}.get(kind)
                if name:
                    commands.append(
                        f"alter VK{i} = {np.broadcast_to(figures[name], (found.count,))[point]:.17g}"
                    )
            process.stdin.write(
                "\n".join(
                    [*commands, "op", *(f"print v(n{n})" for n in asked), "destroy", f"echo done{point}", ""]
                )
            )
            process.stdin.flush()
            said = dict(re.findall(r"v\(n(\d+)\) = (\S+)", "".join(until(f"done{point}"))))
            for n in asked:
                worst = max(worst, abs(float(said.get(str(n), "nan")) - solution.volts(n)[point]))
        process.stdin.write("quit\n")
        process.stdin.flush()
    return _children() - before, worst


def _as_solved(found: Points) -> NodalCircuit:
    """The circuit with what each charger and converter can give at the volts that feed it: ngspice is given one limit for all points."""
    solution, devices = found.parts[0][1], list(found.built.circuit.devices)
    first = _most_alike(found)[0]
    for i, device in enumerate(devices):
        if isinstance(device, RegulatedBranch) and i in solution.place:
            limit = np.broadcast_to(solution.figures[i]["limit"], (found.count,))[first]
            devices[i] = replace(device, limit=float(limit))
    return replace(found.built.circuit, devices=tuple(devices))


def _most_alike(found: Points) -> list[int]:
    """The points in which the same chargers and converters have too few volts as in the most."""
    solution = found.parts[0][1]
    limits = [
        np.broadcast_to(solution.figures[i]["limit"], (found.count,))
        for i, device in enumerate(found.built.circuit.devices)
        if isinstance(device, RegulatedBranch) and i in solution.place
    ]
    _, place, many = np.unique(np.stack(limits, axis=1), axis=0, return_inverse=True, return_counts=True)
    return np.flatnonzero(place.ravel() == many.argmax()).tolist()


def _children() -> float:
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def main() -> None:
    """Print the table."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--points", type=int, default=10_000)
    arguments.add_argument("--sample", type=int, default=300)
    arguments.add_argument("--seeds", type=int, default=3)
    chosen = arguments.parse_args()
    seed = Random("solver speed").randrange(1000)
    for parts, wanted in ((120, 25), (1000, 30)):
        against_ngspice(parts, seed, chosen.points, chosen.sample, wanted)
    growth(seed, chosen.seeds)


def against_ngspice(parts: int, seed: int, points: int, sample: int, wanted: float) -> None:
    """Print the ratio for an aircraft of about that many parts."""
    facts = Facts(realistic(parts, seed, dress(seed)))
    # ngspice is given one circuit: charges, set points and engine speed stay those of the file
    same, few = (
        Figures(drawn(facts, count, seed, (20.0,), LARGEST_A).loads, {}, {}, {}, 1.0, 20.0)
        for count in (points, 10)
    )
    solved(facts, few, 10)
    found, seconds = solved(facts, same, points)
    print(
        f"{len(facts.design.parts)} parts, {len(facts.network.links)} links, {len(found.built.circuit.devices)} devices; {points} points"
    )
    print(
        f"reviewer: {seconds:.2f} s, worst current balance {np.nanmax(found.balance):.1e} A, {len(found.unsolved)} not found, {found.rounds} rounds"
    )
    found, other = solved(facts, drawn(facts, points, seed, TEMPERATURES, LARGEST_A), points)
    print(
        f"with set points, engine speed and {len(TEMPERATURES)} temperatures: {other:.2f} s, {len(found.unsolved)} not found"
    )
    found, _ = solved(facts, same, points)
    if not shutil.which("ngspice"):
        print("ngspice is not installed: no ratio")
        return
    idle, _ = by_ngspice(facts, found, 0)
    theirs, worst = by_ngspice(facts, found, sample)
    scaled = (theirs - idle) / sample * points
    print(
        f"ngspice: {scaled:.1f} s (timed on {sample} points and scaled), largest difference {worst * 1000:.3f} mV"
    )
    print(
        f"    ratio {scaled / seconds:.1f}; wanted {wanted}: {'reached' if scaled / seconds >= wanted else 'NOT REACHED'}"
    )


def growth(first: int, seeds: int) -> None:
    """Print how the time of one point and of a batch grows with the parts."""
    sizes = (120, 250, 500, 1000, 2000)
    times: dict[int, list[float]] = {parts: [] for parts in sizes}
    for parts in sizes:
        for seed in range(first, first + seeds):
            facts = Facts(realistic(parts, seed, dress(seed)))
            facts.states.answer(facts.design.operation.normal if facts.design.operation else "")
            found, one = quickest(facts, Figures(temperature=20.0), 1)
            figures = drawn(facts, GROWTH_POINTS, seed, (20.0,), LARGEST_A)
            found, many = quickest(facts, figures, GROWTH_POINTS)
            times[parts].append(many)
            print(
                f"{parts} parts, seed {seed}: one point {one * 1000:.0f} ms, {GROWTH_POINTS} points {many:.2f} s, {len(found.unsolved)} not found"
            )
    small, large = sizes[0], sizes[-1]
    exponent = np.log(np.median(times[large]) / np.median(times[small])) / np.log(large / small)
    print(
        f"time of a batch grows with parts to the power {exponent:.2f} from {small} to {large} parts; wanted 1.3 or less"
    )


if __name__ == "__main__":
    sys.exit(main())
