"""Where no operating point is found the answer is a gap that is named, and logic does not stand in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from importlib.resources import files
from typing import Any

import pytest
from click.testing import CliRunner

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NoOperatingPoint
from reviewer.analysis.operating_point import (
    charge_sweep,
    degraded_points,
    phase_points,
    points,
    solved_state,
    tolerances,
)
from reviewer.analysis.operating_point.points import Unsolved
from reviewer.cli.main import commands
from reviewer.questions import bench_failures
from reviewer.questions.fail import fail_of
from reviewer.questions.latent_failures import latent_failures
from reviewer.reading import read_text
from reviewer.reports.effects.words import indication
from tests.rule_cases import ROOT

TOURER = ROOT / "examples" / "tourer.design.yaml"
#: where points are solved from
PLACES = (points, phase_points, solved_state, tolerances, charge_sweep, degraded_points, bench_failures)


def tourer() -> Facts:
    return Facts(read_text(TOURER.read_text(encoding="utf-8"), str(TOURER)))


def lose(monkeypatch: pytest.MonkeyPatch, unsolved: Callable[[Any], bool]) -> None:
    """No point of the scenarios for which ``unsolved`` holds is found any more."""
    real = points.solve_points

    def solve(design: Any, network: Any, scenario: Any, *more: Any, **named: Any) -> Any:
        found = real(design, network, scenario, *more, **named)
        if not unsolved(scenario):
            return found
        lost = tuple(Unsolved(i, "main-bus.a", 1.0, "parts/main-bus") for i in range(found.count))
        return replace(found, unsolved=lost)

    for module in PLACES:
        monkeypatch.setattr(module, "solve_points", solve)


def in_state(name: str) -> Callable[[Any], bool]:
    return lambda scenario: scenario.state.name == name


def with_failures(scenario: Any) -> bool:
    return bool(scenario.case or any(scenario.cases))


@pytest.mark.parametrize("unsolved", [in_state("cruise"), with_failures])
def test_what_shows_a_failure_is_said_not_to_be_solved(
    unsolved: Callable[[Any], bool], monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = fail_of(tourer(), "alternator", "open", "cruise").effects[0]
    assert sound.signs.monitors and not sound.signs.unsolved
    lose(monkeypatch, unsolved)
    found = tourer()
    effect = fail_of(found, "alternator", "open", "cruise").effects[0]
    assert "main-volts" in effect.signs.unsolved and "main-volts" not in effect.signs.monitors
    assert "not solved: " in indication(found.design, effect)
    with pytest.raises(NoOperatingPoint, match=r"an operating point of .* with alternator failed"):
        found.detection.require_read(["parts/alternator"])


@pytest.mark.parametrize(
    "command",
    [
        ["fail", "alternator"],
        pytest.param(["review", "--all"], marks=pytest.mark.long),
        pytest.param(["effects"], marks=pytest.mark.long),
    ],
)
def test_no_command_ends_in_an_error(command: list[str], monkeypatch: pytest.MonkeyPatch) -> None:
    lose(monkeypatch, in_state("cruise"))
    done = CliRunner().invoke(commands, [command[0], str(TOURER), *command[1:]])
    assert done.exit_code in (0, 1)  # 3 would be a rule error
    if command[0] == "review":
        assert "no operating point" in done.output
    else:
        assert "not solved: " in done.output


@pytest.mark.long
def test_loads_whose_volts_are_not_solved_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    lose(monkeypatch, with_failures)
    found = tourer()
    assert not any("no operating point" in one for one in found.states.untried)
    _ = [found.states.answer(name).functions for name in found.states.declared]
    assert any("no operating point was found; not assessed" in one for one in found.states.untried)


@pytest.mark.long
def test_the_table_of_latent_failures_says_what_was_not_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    """What a monitor may show is no latent failure as the others are, and what no monitor is near is one."""

    def facts() -> Facts:
        return Facts(read_text((files("reviewer") / "starter.design.yaml").read_text(encoding="utf-8"), "s"))

    said = {e.name: e.failures for e in latent_failures(facts()) or ()}
    assert said and not any("not solved" in words for failures in said.values() for words in failures)
    lose(monkeypatch, with_failures)
    now = {e.name: e.failures for e in latent_failures(facts()) or ()}
    assert "alternator" not in said and any(
        "not solved: a monitor may show it" in w for w in now["alternator"]
    )


def test_two_voltmeters_that_were_not_compared_are_a_gap(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the state is solved and a case is not, that case is noted."""
    found = tourer()
    answer, case = found.states.answer("cruise"), Failure("parts/alternator", OPEN)
    solved = conduct(found.network, answer.state, (case, ()), answer.healthy)
    pair = [n for n, m in found.detection.meters.items() if m.shows == "voltage"][:2]
    found.detection.limits.between(answer, (case,), solved, found.detection.meters, pair)
    assert not found.detection.limits.lost
    lose(monkeypatch, with_failures)
    found = tourer()
    answer = found.states.answer("cruise")
    found.detection.limits.between(answer, (case,), solved, found.detection.meters, pair)
    assert found.detection.limits.lost == {case: "cruise"}


def test_an_alarm_after_a_loss_that_is_not_solved_is_a_gap(monkeypatch: pytest.MonkeyPatch) -> None:
    assert tourer().detection.alarm_after("parts/alternator") is not None
    lose(monkeypatch, in_state("cruise"))
    for ask in (lambda f: f.detection.alarm_after, lambda f: f.detection.volts_without):
        with pytest.raises(NoOperatingPoint):
            ask(tourer())("parts/alternator")


def test_a_test_card_says_that_its_figures_were_not_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    check = next(iter(tourer().design.watch.checks.values()))
    assert not any(
        "no operating point" in one for one in tourer().detection.limits.printed(check.state, check.watch)[1]
    )
    lose(monkeypatch, in_state(check.state))
    read, unknown = tourer().detection.limits.printed(check.state, check.watch)
    assert read == () and "no operating point" in unknown[0]
