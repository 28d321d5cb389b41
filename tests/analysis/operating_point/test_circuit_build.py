"""The circuit of a scenario holds what conducts and lives in it."""

from __future__ import annotations

from reviewer.analysis.operating_point.circuit_build import build
from reviewer.analysis.operating_point.solved_state import scenario_of
from tests.analysis.operating_point.bench import bench


def test_a_source_that_is_not_alive_in_a_state_is_not_in_its_circuit() -> None:
    facts = bench()
    built = {}
    for state in ("cruise", "smoke-drill"):
        answer = facts.states.answer(state)
        built[state] = build(
            facts.design,
            facts.network,
            scenario_of(facts.design, facts.network, answer.state, answer.healthy),
        )
    assert set(built["cruise"].sources) == {"parts/main-battery", "parts/reserve-battery", "parts/alternator"}
    assert set(built["cruise"].loads) == {"parts/left-ignition", "parts/right-ignition", "parts/audio-panel"}
    assert set(built["cruise"].coils) == {"parts/main-contactor"} and set(built["cruise"].fields) == {
        "parts/alternator"
    }
    assert set(built["smoke-drill"].sources) == {"parts/main-battery", "parts/reserve-battery"}
    assert {"parts/left-ignition", "parts/right-ignition"} <= set(built["smoke-drill"].loads)
