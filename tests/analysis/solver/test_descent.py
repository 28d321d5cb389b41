"""Descent alone, against Newton's method."""

from __future__ import annotations

from random import Random

import pytest

from reviewer.analysis.solver import newton
from tests.analysis.solver.test_newton import aircraft, drawn, scenarios, solved


@pytest.mark.parametrize(
    "name",
    [pytest.param("tourer", marks=pytest.mark.long), "bench", "realistic 1", "awkward 25", "awkward 31"],
)
def test_downhill_alone_finds_what_bounded_steps_find(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two ways to one place: neither is proved by the other's code but for the curves of the devices."""
    facts, chance = aircraft(name), Random(f"downhill {name}")
    chosen = list(scenarios(facts, chance, 2))
    figures = drawn(facts, chance, 4)
    here = [solved(facts, s, figures, 4) for s in chosen]
    monkeypatch.setattr(newton, "ROUNDS", 0)
    for scenario, one in zip(chosen, here, strict=True):
        other = solved(facts, scenario, figures, 4)
        if one is not None and other is not None:
            assert not one.unsolved and not other.unsolved
            for terminal in facts.network.names:
                assert other.volts(terminal) == pytest.approx(one.volts(terminal), abs=1e-5, nan_ok=True), (
                    scenario.state,
                    terminal,
                )
