"""An operating point is found in every scenario: examples and invented aircraft with switches, phases, starting motors, failures and loads by chance."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest

from reviewer.analysis.conduction.failure_modes import single_failures, stuck_contacts
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.points import Figures, Points, solve_points
from reviewer.analysis.operating_point.solved_state import scenario_of
from reviewer.analysis.solver import newton
from reviewer.analysis.solver.current_balance import BALANCE_A, BALANCE_SHARE
from reviewer.model import parts as p
from reviewer.reading import read_design
from tests.analysis.operating_point.bench import bench
from tests.analysis.operating_point.dressed import dress
from tests.oracle.generator import awkward, random_states, realistic

ROOT = Path(__file__).parents[3]
LIGHT, STRONG = 0.1, 20.0


def aircraft(name: str) -> Facts:
    """An example, the bench, or an invented aircraft: ``realistic 3``, ``awkward 7``."""
    if name == "bench":
        return bench()
    kind, _, seed = name.partition(" ")
    if not seed:
        return Facts(read_design(ROOT / "examples" / f"{name}.design.yaml"))
    number = int(seed)
    return Facts(
        realistic(80 + number, number, dress(number))
        if kind == "realistic"
        else awkward(number, dress=dress(number))
    )


def scenarios(facts: Facts, chance: Random, count: int) -> Iterator[Scenario]:
    """Declared states and states by chance, with what is flown there, with motors starting, under single failures."""
    design, network = facts.design, facts.network
    assert design.operation
    motors = [name for name in design.of_kind(p.Load)]
    states = [*facts.states.declared.values(), *random_states(design, chance, count)]
    for state in chance.sample(states, min(count, len(states))):
        healthy = conduct(network, state)
        failures = single_failures(design, network, frozenset(range(len(network.names)))) + stuck_contacts(
            design, dict(state.switches)
        )
        for phase in (None, *design.operation.phases):
            yield scenario_of(design, network, state, healthy, phase)
        yield scenario_of(
            design, network, state, healthy, None, (), chance.sample(motors, chance.randint(0, len(motors)))
        )
        for failure in chance.sample(failures, min(4, len(failures))):
            yield scenario_of(design, network, state, healthy, None, (failure,))


def drawn(facts: Facts, chance: Random, points: int) -> Figures:
    """Loads from next to nothing to far more than any source gives, batteries from nearly flat to full, engines from idle to flight."""
    numbers = np.random.default_rng(chance.randrange(10**9))
    loads = {
        c.element: np.geomspace(LIGHT, STRONG, points) * numbers.uniform(0, 2, points)
        for c in facts.network.consumers
    }
    charge = {
        s.element: numbers.uniform(0.05, 0.99, points) for s in facts.network.sources if s.kind == "battery"
    }
    return Figures(loads, charge, {}, {}, numbers.choice([0.0, 0.5, 1.0], points))


def solved(facts: Facts, scenario: Scenario, figures: Figures, points: int) -> Points | None:
    try:
        return solve_points(facts.design, facts.network, scenario, figures, points)
    except NotAssessable:
        return None


@pytest.mark.parametrize(
    "name",
    [
        "tourer",
        pytest.param("faulted-tourer", marks=pytest.mark.long),
        "bench",
        *(pytest.param(f"realistic {n}", marks=pytest.mark.long) for n in (1, 4, 6)),
        *(f"awkward {n}" for n in range(25, 40)),
    ],
)
def test_every_point_is_found_and_its_currents_balance(name: str) -> None:
    facts, chance, found = aircraft(name), Random(f"found {name}"), 0
    for scenario in scenarios(facts, chance, 4):
        for figures, points in ((Figures(speed=chance.choice([0.0, 1.0])), 1), (drawn(facts, chance, 5), 5)):
            answer = solved(facts, scenario, figures, points)
            if answer is not None:
                assert not answer.unsolved, (
                    scenario.state,
                    scenario.case,
                    scenario.starting,
                    str(answer.unsolved[0]),
                )
                assert answer.balance.max() <= BALANCE_A + BALANCE_SHARE * 1e4
                found += points
    assert found >= 30 or name.startswith("awkward")


def test_an_alternator_near_its_limit_beside_a_battery_is_found() -> None:
    """Loads of about what the alternator gives at idle: bounded steps are thrown to and fro between its limit and the battery's bend."""
    facts = bench(("rating: 60 A, set-point", "rating: 40 A, idle-output: 10 A, set-point"))
    loads = {"parts/left-ignition": np.linspace(0, 20, 400)}
    points = facts.points.operating_points("cruise", Figures(loads=loads, speed=0.0), 400)
    assert not points.unsolved and points.balance.max() <= BALANCE_A
    amps = points.amps("parts/alternator")
    assert amps.min() < 9.9 and amps.max() == pytest.approx(10.0) and np.all(np.diff(amps) > -1e-9)


def test_a_point_that_cannot_be_found_is_given_up_soon(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(newton, "CLOSE", -1.0)
    facts = aircraft("tourer")
    scenario = scenario_of(
        facts.design, facts.network, facts.states.declared["cruise"], facts.states.answer("cruise").healthy
    )
    rounds: list[int] = []
    usual = newton._newton

    def counted(*given: Any) -> Any:
        found = usual(*given)
        rounds.append(found[2])
        return found

    monkeypatch.setattr(newton, "_newton", counted)
    points = solved(facts, scenario, Figures(), 1)
    assert 25 <= sum(rounds) <= 220, rounds  # 25 at first, 8 after each of 24 descents
    assert points is not None and points.unsolved and np.isnan(points.volts("main-bus")[0])


def test_each_device_has_the_bound_of_a_newton_step_for_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """A load behind a diode that blocks asks for thousands of volts. Held to its step, the other devices do not arrive; then
    what descent finds is the same point, and without descent the design is refused in plain words."""
    facts = Facts(read_design(ROOT / "tests" / "aircraft" / "28v-essential.design.yaml"))
    state = facts.states.declared["stall"]
    scenario = scenario_of(facts.design, facts.network, state, facts.states.answer("stall").healthy, None)

    def point() -> Points:
        return solve_points(facts.design, facts.network, scenario, Figures(), 1)

    descents: list[int] = []
    downhill, usual = newton.descend, newton._bounded
    monkeypatch.setattr(newton, "descend", lambda *given: descents.append(1) or downhill(*given))
    own = point()
    assert not own.unsolved and own.rounds <= newton.ROUNDS - 5 and not descents
    monkeypatch.setattr(
        newton, "_bounded", lambda change, rounds, cold: usual(change, rounds, np.ones_like(cold))
    )
    together = point()
    assert not together.unsolved and descents
    assert together.all_volts() == pytest.approx(own.all_volts(), abs=1e-5)
    monkeypatch.setattr(newton, "DESCENTS", 0)
    (lost,) = point().unsolved
    assert lost.terminal in facts.network.names and lost.element.partition("/")[2] in facts.design.parts
    assert str(lost).startswith(f"no operating point was found: the currents at {lost.terminal} miss by ")
