"""Operating points a second against ngspice, as a ratio of times measured in one run, and how the time grows with the parts.

    python -m tests.benchmarks.solver_speed

The same circuit, the same points. ngspice is one process that stays alive: for each point the currents of all loads, the rest voltages of the batteries and
nothing else are altered, the operating point is found and four node voltages are printed; it is timed on the first points and scaled, which is said. The
reviewer's time is for all points, with the current balance of every node. Where both have the voltages, they are compared.
"""

from __future__ import annotations

import argparse
import re
import shutil
import subprocess
import sys
import time
from random import Random

import numpy as np

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures, Points, Scenario, solve_points
from reviewer.analysis.solver.circuit import BatteryBranch, ConstantPowerBranch, LoadBranch
from tests.analysis.operating_point.dressed import dress
from tests.analysis.solver.netlist import netlist
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
    begin = time.perf_counter()
    found = solve_points(facts.design, facts.network, scenario, figures, points)
    return found, time.perf_counter() - begin


def by_ngspice(found: Points, points: int) -> tuple[float, float]:
    """Seconds of one ngspice process for the first ``points`` points, reading of the circuit left out, and the largest difference in volts."""
    (_, solution), circuit = found.parts[0], found.built.circuit
    live = [n for n in range(circuit.count) if solution.islands.merged[n] >= 0]
    reference = next(n for n in live if solution.islands.merged[n] == solution.islands.references[0])
    asked = [n for n in live if n != reference][:: max(1, len(live) // 4)][:4]
    lines = netlist(circuit, live, reference, solution.temperature, named=True)
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
        begin, worst = time.perf_counter(), 0.0
        for point in range(points):
            commands = []
            for i in solution.islands.devices:
                kind, figures = type(circuit.devices[i]), solution.figures[i]
                name = {LoadBranch: "amps", ConstantPowerBranch: "watts", BatteryBranch: "open_circuit"}.get(
                    kind
                )
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
        seconds = time.perf_counter() - begin
        process.stdin.write("quit\n")
        process.stdin.flush()
    return seconds, worst


def main() -> None:
    """Print the table."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--points", type=int, default=10_000)
    arguments.add_argument("--sample", type=int, default=300)
    chosen = arguments.parse_args()
    seed = Random("solver speed").randrange(1000)
    facts = Facts(realistic(120, seed, dress(seed)))
    figures = drawn(facts, chosen.points, seed, (20.0,))
    # ngspice is given one circuit: set points and engine speed stay those of the file
    same = Figures(figures.loads, figures.state_of_charge, {}, {}, 1.0, 20.0)
    solved(facts, same, 10)
    found, seconds = solved(facts, same, chosen.points)
    print(
        f"{len(facts.design.parts)} parts, {len(facts.network.links)} links, {len(found.built.circuit.devices)} devices; {chosen.points} points"
    )
    print(
        f"reviewer: {seconds:.2f} s, worst current balance {np.nanmax(found.balance):.1e} A, {len(found.unsolved)} not found, {found.rounds} rounds"
    )
    if shutil.which("ngspice"):
        theirs, worst = by_ngspice(found, chosen.sample)
        scaled = theirs / chosen.sample * chosen.points
        print(
            f"ngspice: {scaled:.1f} s (timed on {chosen.sample} points and scaled), largest difference {worst * 1000:.3f} mV"
        )
        print(f"ratio: {scaled / seconds:.1f}")
    else:
        print("ngspice is not installed: no ratio")
    found, seconds = solved(facts, drawn(facts, chosen.points, seed, TEMPERATURES), chosen.points)
    print(
        f"with set points, engine speed and {len(TEMPERATURES)} temperatures: {seconds:.2f} s, {len(found.unsolved)} not found"
    )
    before = None
    for parts in (120, 250, 500, 1000, 2000):
        facts = Facts(realistic(parts, seed, dress(seed)))
        facts.states.answer(facts.design.operation.normal if facts.design.operation else "")
        found, one = solved(facts, Figures(temperature=20.0), 1)
        found, many = solved(facts, drawn(facts, GROWTH_POINTS, seed, (20.0,), LARGEST_A), GROWTH_POINTS)
        growth = (
            "" if before is None else f", growth {np.log(many / before[1]) / np.log(parts / before[0]):.2f}"
        )
        print(
            f"{parts} parts: one point {one * 1000:.0f} ms, {GROWTH_POINTS} points {many:.2f} s{growth}, {len(found.unsolved)} not found"
        )
        before = (parts, many)


if __name__ == "__main__":
    sys.exit(main())
