"""What a meter may read under each of some cases, of points solved for all of them at once."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
import yaml

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.facts import Facts
from reviewer.questions.diagnosis import diagnosis_of
from reviewer.questions.meter_ranges import SolvedCases, fits
from reviewer.questions.state_signs import Look, Sign, StateSigns
from reviewer.questions.symptoms import Reported
from reviewer.reading import read_text
from tests.edits import edited

SMALL = Path(__file__).parents[1] / "aircraft" / "small-generator.design.yaml"


@pytest.fixture(scope="module")
def lithium() -> Facts:
    """An aircraft whose battery, when flat, takes all that its generator gives."""
    data = yaml.safe_load(SMALL.read_text(encoding="utf-8"))
    cells = {"chemistry": "lithium-iron-phosphate", "open-circuit-voltage": "13.4 V"}
    battery = {k: v for k, v in data["parts"]["battery"].items() if k != "construction"}
    return Facts(read_text(json.dumps(edited(data, {"parts/battery": {**battery, **cells}})), "x.json"))


def test_a_battery_that_discharges_without_its_generator_reads_as_no_charge_does(lithium: Facts) -> None:
    """What a flat battery may take in a sound system is no error of the ammeter after the loss; a charge
    of that size is usual."""
    signs = StateSigns(lithium, lithium.states.answer("cruise"), [(Failure("parts/generator", OPEN),)])
    lost, sound = signs.seen(signs.monitor("battery-amps"))
    assert lost is not None and sound is not None
    assert lost[0] > sound[1] and not fits((lost[0] + lost[1]) / 2, sound)
    taken = diagnosis_of(lithium, None, Reported([("battery-amps", f"{sound[0] + 1:.1f} A")]))
    given = diagnosis_of(lithium, None, Reported([("battery-amps", f"{sum(lost) / 2:.1f} A")]))
    assert taken.normal == taken.symptoms and given.normal == ()
    causes = [cause for group in given.groups if not group.against for cause in group.causes]
    assert "parts/generator" in {failures_of(case)[0].element for cause in causes for case in cause.cases}


def test_each_case_has_the_least_and_most_of_its_own_points() -> None:
    """Two points of three cases, one after the other; the second point of the last case is not found."""
    read = np.array([12.0, 13.0, 11.0, 12.2, 12.9, np.nan])
    points: Any = SimpleNamespace(
        volts=lambda terminal: read,
        amps=lambda source: -read,
        across=lambda load: read,
        powered={"parts/radio": 0b010},
        built=SimpleNamespace(loads={"parts/radio": 0}, coils={}),
        unsolved=(SimpleNamespace(point=5),),
    )
    solved = SolvedCases(points, 3)
    assert solved.volts("bus") == [(12.0, 12.2), (12.9, 13.0), None]
    assert solved.given("parts/battery") == [(-12.2, -12.0), (-13.0, -12.9), None]
    assert solved.across("parts/radio") == [(0.0, 0.0), (12.9, 13.0), None]
    assert solved.across("parts/not-drawn") == [(0.0, 0.0)] * 3


def test_what_a_meter_may_read_beside_an_overloaded_alternator_is_solved_for_that_failure() -> None:
    """A starter whose contacts weld takes more than the alternator gives: what that gave, and the charge of
    a flat battery, are no error of the meter then."""
    base = (SMALL.parents[1] / "rules" / "bases" / "wired.yaml").read_text(encoding="utf-8")
    monitors = {"watch/monitors/main-volts": {"shows": "voltage", "senses": "main-battery.positive"}}
    facts = Facts(read_text(json.dumps(edited(yaml.safe_load(base), monitors)), "wired"))
    answer = facts.states.answer("cruise")
    contacts = [f for f in answer.stuck_contacts if f.element == "parts/starter-contactor"]
    (welded,) = [f for f in contacts if "welded" in f.mode.value]
    solved = conduct(facts.network, answer.state, [(welded,)], answer.healthy)
    assert facts.points.under_failures.overloaded(answer, ((welded,),), solved)[0]
    seen = StateSigns(facts, answer, [(welded,)]).seen(Sign(Look.MONITOR, "main-volts"))[0]
    limits = facts.points.spread("cruise", (welded,)).monitor("main-volts")
    assert seen is not None and limits is not None
    assert seen == pytest.approx((limits.low, limits.high))
