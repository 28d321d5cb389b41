"""What inlets take and what regulators sense, found in the rounds of Newton's method, is what is found by solving again and again."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.operating_point.points import Figures, Points, solve_points
from reviewer.analysis.operating_point.remote_sensing import _Regulators
from reviewer.analysis.operating_point.solved_state import scenario_of
from reviewer.analysis.solver import nonlinear
from reviewer.analysis.solver.circuit import InletBranch, RegulatedBranch
from reviewer.analysis.solver.coupling import Couplings, InletWatts
from reviewer.analysis.solver.device_curves import Curve
from reviewer.analysis.solver.followers import Inlets
from tests.analysis.operating_point.dressed import dress
from tests.analysis.small_designs import SmallDesign
from tests.oracle.generator import realistic

POINTS = 12
#: with separate regulators, with chargers and converters, with both; 100 parts and more are eliminated
SEEDS = (1, 2, 11, 12, 25, 28, 31)


def all_volts(points: Points) -> np.ndarray:
    return np.array([points.volts_of(node) for node in range(len(points.network.names))])


def running(points: Points) -> np.ndarray:
    """Which inlets run, (inlets, points)."""
    _, solved = points.parts[0]
    inlets = [d for d in solved.circuit.devices if isinstance(d, InletBranch)]
    limits = [np.broadcast_to(solved.figures[d.gives]["limit"], (POINTS,)) for d in inlets]
    return np.array(limits).reshape(len(inlets), POINTS) > 0


def both_ways(monkeypatch: pytest.MonkeyPatch) -> Iterator[tuple[Points, Points, int]]:
    """Points of each aircraft as they are found, and as rounds alone find them; how many of the
    first needed rounds too."""
    in_rounds: list[int] = []
    usual = nonlinear._in_rounds
    monkeypatch.setattr(
        nonlinear, "_in_rounds", lambda task, *rest: in_rounds.append(task.points) or usual(task, *rest)
    )
    for seed in SEEDS:
        facts = Facts(realistic(60 + seed, seed, dress(seed)))
        assert facts.design.operation
        state = facts.states.declared[facts.design.operation.normal]
        healthy = facts.states.answer(facts.design.operation.normal).healthy
        chance = np.random.default_rng(seed)
        loads = {
            c.element: facts.design.parts[c.element.partition("/")[2]].current
            * chance.uniform(0.2, 0.8, POINTS)
            for c in facts.network.consumers
        }
        scenario = scenario_of(facts.design, facts.network, state, healthy, None)

        task = facts.design, facts.network, scenario, Figures(loads), POINTS
        in_rounds.clear()
        at_once = solve_points(*task)
        late = sum(in_rounds)
        with monkeypatch.context() as patch:
            patch.setattr(Inlets, "couplings", lambda *_: ())
            patch.setattr(_Regulators, "couplings", lambda *_: ())
            yield at_once, solve_points(*task), late


def test_what_is_found_at_once_is_what_rounds_find(monkeypatch: pytest.MonkeyPatch) -> None:
    compared, senses, inlets = 0, 0, 0
    for at_once, by_rounds, late in both_ways(monkeypatch):
        assert not late and not at_once.unsolved and not by_rounds.unsolved
        # rounds alone may stop a converter by what was tried on the way, and one of two that have too few
        same = (running(at_once) == running(by_rounds)).all(axis=0)
        found, expected = all_volts(at_once)[:, same], all_volts(by_rounds)[:, same]
        assert found == pytest.approx(expected, abs=1e-5, nan_ok=True)
        compared += int(same.sum())
        _, solved = at_once.parts[0]
        inlets += int((running(at_once)).sum())
        moved = [
            i
            for i, d in enumerate(solved.circuit.devices)
            if isinstance(d, RegulatedBranch)
            and np.ptp(np.broadcast_to(solved.figures[i]["volts"], (POINTS,)))
        ]
        senses += len(moved)
    assert compared >= 0.8 * POINTS * len(SEEDS) and senses >= 2 and inlets >= 2 * POINTS


@pytest.mark.parametrize(("amps", "runs"), [(0.3, True), (18.0, False)])
def test_a_converter_runs_where_what_it_takes_leaves_it_enough_volts(amps: float, runs: bool) -> None:
    """At half of its rating it would have too few: what it takes counts, not what it might."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.4 ohm",
    }
    made.add("converter", "converter", output_voltage="5 V", rating="40 A", efficiency="80 %", isolated=False)
    made.wire("bus", "converter.input")
    made.wire("converter.ground", "ground")
    made.load("unit", start="converter.output", type="heater", nominal="5 V", current=f"{amps} A")
    point = made.facts().points.operating_point("cruise", None, ())
    assert point.given["parts/converter"] == pytest.approx(amps if runs else 0.0, abs=1e-3)


@pytest.mark.parametrize(
    ("watts", "amps", "volts", "stops"),
    [
        (0.029, 0.0, 9.8, True),  # within a thousandth of the 30 W that matter
        (0.031, 0.0, 9.8, False),
        (0.0, 0.0011, 9.8, False),  # the devices are not found yet
        (0.0, 0.0, 9.95, False),  # too near to its least volts, 10 V, to be sure
    ],
)
def test_an_inlet_stops_where_all_is_nearly_found_and_it_has_too_few_volts(
    watts: float, amps: float, volts: float, stops: bool
) -> None:
    inlet = InletWatts(row=1, source=0, efficiency=0.9, least=10.0, off=np.array([False]), near=1e-6)
    zero = np.zeros((2, 1))
    shape = Curve(np.array([[28.0], [volts]]), zero, zero, zero)
    miss = np.array([[0.0], [amps]])
    assert Couplings((inlet,)).decided(shape, miss, np.array([[watts]])).tolist() == [stops]
