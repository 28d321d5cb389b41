"""A circuit written out for circuit simulators, in the input language that they share, and what they answer.

Written from the resistors and devices alone: nothing folded, nothing joined but ideal joints, which become resistors of a microohm. A load and a
battery are current sources given by the lesser and the greater of straight lines; a regulated source is a voltage source with a limit.
"""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    ConstantPowerBranch,
    Device,
    DiodeBranch,
    InletBranch,
    LoadBranch,
    NodalCircuit,
    RegulatedBranch,
    StartingBranch,
)

HEAD = ".options temp=27 tnom=27 gmin=1e-12 reltol=1e-6 abstol=1e-9 vntol=1e-7 itl1=500"
#: what a regulated source gives way by, and the insulation across every device: see reviewer.analysis.electrical
DROOP, LEAK = 1e-4, 1e-8
#: ohms by which a regulated source leaves its limits in a netlist, instead of not at all
STEEP = 1e5
#: ohms of an ideal joint in a netlist
JOINT = 1e-6
#: every regulated device holds its volts at its own terminals
NOWHERE_ELSE: Mapping[int, tuple[int, int]] = {}


def netlist(
    circuit: NodalCircuit,
    live: Iterable[int],
    reference: int,
    temperature: float,
    named: bool = False,
    senses: Mapping[int, tuple[int, int]] = NOWHERE_ELSE,
    by_current: bool = False,
    watts: Mapping[int, float] = {},
    steep: float = STEEP,
    joint: float = JOINT,
) -> list[str]:
    """Lines of the circuit of the nodes ``live`` (one island), ``reference`` being node 0. ``named`` writes what a load takes as a source of
    its own that can be altered: node ``k<i>`` of device i carries its amperes or watts in volts. ``senses`` gives the two nodes between which
    a regulated device holds its volts, where those are not its own: written by its volts, or ``by_current``, for simulators find some circuits in the one
    form and some in the other. An inlet takes what its source gives, or ``watts`` where that is given or the source stands apart."""
    live = set(live)

    def at(node: int) -> str:
        return "0" if node == reference else f"n{node}"

    lines = [HEAD]
    for i, r in enumerate(circuit.resistors):
        if r.a in live and r.b in live and r.a != r.b:
            ohms = (r.ohms or joint) * ((234.5 + temperature) / 254.5 if r.copper else 1.0)
            lines.append(f"R{i} {at(r.a)} {at(r.b)} {ohms!r}")
    for i, d in enumerate(circuit.devices):
        if d.plus in live and d.minus in live and d.plus != d.minus:
            if isinstance(d, InletBranch):
                given = circuit.devices[d.gives]
                assert isinstance(given, RegulatedBranch)
                there = given.plus in live and given.minus in live and i not in watts and given.limit > 0
                amps = f"i(VS{d.gives})*v({at(given.plus)},{at(given.minus)})/{d.efficiency!r}"
                if at(given.minus) == "0":
                    amps = amps.replace(",0)", ")")
                takes = f"max(0,{amps})" if there else repr(watts.get(i, d.watts))
                v = f"v({at(d.plus)},{at(d.minus)})"
                shape = f"min({v}/{d.least**2!r},max(1/max({v},{d.least!r}),{v}/{d.most**2!r}))"
                lines += [f"RL{i} {at(d.plus)} {at(d.minus)} {1 / LEAK!r}"]
                lines += [f"B{i} {at(d.plus)} {at(d.minus)} I={takes}*{shape}"]
                continue
            lines += [
                f"RL{i} {at(d.plus)} {at(d.minus)} {1 / LEAK!r}",
                *_device(
                    d,
                    i,
                    at(d.plus),
                    at(d.minus),
                    named,
                    [at(n) for n in senses.get(i, ())],
                    by_current,
                    steep,
                ),
            ]
    return lines


def _device(
    d: Device,
    i: int,
    plus: str,
    minus: str,
    named: bool,
    held: Sequence[str],
    by_current: bool,
    steep: float,
) -> list[str]:
    v = f"v({plus},{minus})"
    if isinstance(d, DiodeBranch):
        return [
            f"D{i} {plus} {minus} M{i}",
            f".model M{i} D(IS={d.saturation!r} N={d.scale / 0.025864926!r})",
        ]
    if isinstance(d, BatteryBranch):
        rest, more = (
            (f"v(k{i})", [f"VK{i} k{i} 0 {d.open_circuit!r}"]) if named else (repr(d.open_circuit), [])
        )
        return [*more, f"B{i} {plus} {minus} I=min(({v}-{rest})/{d.ohms!r},({v}-{rest})/{d.charge_ohms!r})"]
    if isinstance(d, RegulatedBranch) and d.limit == 0:
        return []
    if isinstance(d, RegulatedBranch):
        # by its current, measured by VS: simulators go to and fro between the pieces of the same line drawn by its voltage
        amps, limit = f"i(VS{i})", min(d.limit, 1e6)
        limits = f"-{steep!r}*max(0,{amps}-{limit!r})+{steep!r}*max(0,0-{amps})"
        if held and by_current:
            missing = f"({d.volts!r}-v({held[0]},{held[1]}))/{DROOP!r}"
            return [f"B{i} {minus} {plus} I=min({limit!r},max(0,{missing}))"]
        if held:
            limits += f"+{v}-v({held[0]},{held[1]})"
        return [f"VS{i} s{i} {plus} 0", f"B{i} s{i} {minus} V={d.volts!r}-{DROOP!r}*{amps}{limits}"]
    if isinstance(d, LoadBranch):
        amps, more = (f"v(k{i})", [f"VK{i} k{i} 0 {d.amps!r}"]) if named else (repr(d.amps), [])
        # the same current with the leads exchanged
        held = f"{d.constant_fraction!r}*max(-1,min(1,{v}/{d.least!r}))"
        runs = f"{amps}*({held}+{(1 - d.constant_fraction) / d.volts!r}*{v})"
        if isinstance(d, StartingBranch):
            stalls = f"{d.siemens!r}*{v}"
            return [*more, f"B{i} {plus} {minus} I=max(0,max({stalls},{runs}))+min(0,min({stalls},{runs}))"]
        return [*more, f"B{i} {plus} {minus} I={runs}"]
    assert isinstance(d, ConstantPowerBranch)
    watts, more = (f"v(k{i})", [f"VK{i} k{i} 0 {d.watts!r}"]) if named else (repr(d.watts), [])
    shape = f"min({v}/{d.least**2!r},max(1/max({v},{d.least!r}),{v}/{d.most**2!r}))"
    return [*more, f"B{i} {plus} {minus} I={watts}*{shape}"]


def by_neospice(lines: Sequence[str], nodes: Sequence[int]) -> dict[int, float]:
    """Volts of nodes as neospice finds them; raises RuntimeError where it finds no operating point."""
    import neospice

    result: Any = neospice.dc("\n".join(["circuit", *lines, ".op", ".end", ""]))
    return {n: result.voltage(f"n{n}") for n in nodes}


def by_ngspice(lines: Sequence[str], nodes: Sequence[int]) -> dict[int, float]:
    """Volts of nodes as ngspice finds them, run once in batch mode; raises RuntimeError where it finds no operating point."""
    body = "\n".join(
        ["circuit", *lines, ".control", "op", *(f"print v(n{n})" for n in nodes), ".endc", ".end", ""]
    )
    done = subprocess.run(
        ["ngspice", "-b", "/dev/stdin"], input=body, capture_output=True, text=True, timeout=120
    )
    found = {int(n): float(v) for n, v in re.findall(r"^v\(n(\d+)\) = (\S+)$", done.stdout, re.MULTILINE)}
    if len(found) < len(set(nodes)) or re.search("singular|failed|aborted", done.stdout + done.stderr):
        raise RuntimeError(done.stdout[-500:] + done.stderr[-500:])
    return found
