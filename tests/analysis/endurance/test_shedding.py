"""The segments after a loss, through the shed plan."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.endurance.shedding import after_loss
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from tests.analysis.operating_point.bench import bench

ROOT = Path(__file__).parents[3]
TOURER = (ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8")
LOST = (Failure("parts/alternator", OPEN),)


def test_until_the_first_action_is_done_all_is_on_and_the_last_segment_has_no_length() -> None:
    facts = Facts(read_text(TOURER, "design.yaml"))
    segments = after_loss(facts.points, LOST, facts.states.answers()[0].state)
    assert [s.name for s in segments] == ["before the first action", *facts.states.operation.load_shedding]
    assert (
        segments[0].seconds == 305 and segments[-1].seconds is None
    )  # 300 s to notice, 5 s for the first action
    on = [sum(s.now.powered.values()) for s in segments]
    assert on == sorted(on, reverse=True) and on[-1] < on[0]


def test_each_action_names_what_it_takes_power_from() -> None:
    plan = Facts(read_text(TOURER, "design.yaml")).endurance.shed_plan
    assert plan and all(shed.loads and not shed.forbidden for shed in plan)


def test_without_a_plan_there_is_one_segment() -> None:
    facts = bench()
    (only,) = after_loss(facts.points, LOST, facts.states.answers()[0].state)
    assert (only.name, only.seconds) == ("to the end", None) and only.now.powered["parts/left-ignition"]
    assert only.now.alive["parts/alternator"] == pytest.approx(0)
