"""A resistance that has risen is found by what is read between the figures of a sound system and of an open one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from reviewer.analysis.conduction.failure_modes import DEGRADED, OPEN, Failure
from reviewer.analysis.facts import Facts
from reviewer.questions.diagnosis import Diagnosis, TroubleShooting
from reviewer.questions.symptoms import Reported
from reviewer.reading import read_design
from reviewer.reports.diagnosis.table import diagnosis_csv, diagnosis_json
from reviewer.reports.diagnosis.text import diagnosis_text

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def facts() -> Facts:
    return Facts(read_design(ROOT / "examples" / "tourer.design.yaml"))


@pytest.fixture(scope="module")
def shooting(facts: Facts) -> TroubleShooting:
    return TroubleShooting(facts)


def read_under(facts: Facts, shooting: TroubleShooting, failure: Failure) -> Diagnosis:
    """The diagnosis of what the voltmeters and ammeters of the tourer read under a failure."""
    point = facts.points.operating_point("cruise", None, (failure,))
    readings = [
        (name, f"{point.readings[name].value:.2f}")
        for name in ("bus-volts", "main-volts", "reserve-volts", "bus-amps", "alternator-amps")
    ]
    return shooting.diagnosis(Reported(readings=readings), ahead=False)


@pytest.mark.parametrize(
    ("name", "ohms"),
    [
        ("N5", 0.05),
        pytest.param("bus-limiter", 0.1, marks=pytest.mark.long),
        pytest.param("alternator-shunt", 0.05, marks=pytest.mark.long),
    ],
)
def test_a_joint_of_high_resistance_is_among_those_that_explain_its_readings(
    name: str, ohms: float, facts: Facts, shooting: TroubleShooting
) -> None:
    element = f"wires/{name}" if name in facts.design.wires else f"parts/{name}"
    found = read_under(facts, shooting, Failure(element, DEGRADED, ohms=ohms))
    assert not found.groups or found.groups[0].against  # no open wire and no short reads so
    own = [one for one in found.raised if name in one.names]
    assert own and all(one.least <= ohms <= one.most for one in own), [one.names for one in found.raised]
    assert len(found.raised) <= 8


def test_what_is_open_or_sound_is_no_raised_resistance(facts: Facts, shooting: TroubleShooting) -> None:
    found = read_under(facts, shooting, Failure("wires/N5", OPEN))
    assert found.groups and not found.groups[0].against and found.raised == ()
    sound = shooting.diagnosis(
        Reported(readings=[("bus-volts", "14.2"), ("main-volts", "14.3")]), ahead=False
    )
    assert sound.groups == () and sound.raised == ()


def test_it_is_said_with_its_ohms_and_places(facts: Facts, shooting: TroubleShooting) -> None:
    found = read_under(facts, shooting, Failure("wires/N5", DEGRADED, ohms=0.05))
    first = next(one for one in found.raised if "N5" in one.names)
    said = diagnosis_text("tourer", facts.design, found)
    assert "A RAISED RESISTANCE THAT EXPLAINS THEM" in said and "between main-contactor.load" in said
    assert any(
        row.startswith("resistance,") and "N5" in row
        for row in diagnosis_csv(facts.design, found).splitlines()
    )
    entries = json.loads(diagnosis_json("tourer", facts.design, found))["raised_resistances"]
    assert first.names in [tuple(entry["names"]) for entry in entries]
