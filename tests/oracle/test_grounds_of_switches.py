"""Switches that measure against a ground lead of their own, in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.questions.fail import fail_of
from reviewer.questions.trace import stand_words
from reviewer.reports.effects.words import local_effect
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.test_meaning_of_parts import works
from tests.oracle.test_outputs import after


def measuring(end: str = "ground", follows: str = "bus") -> SmallDesign:
    """``lamp`` behind a voltage switch that closes while a bus is live; its own ground lead, W3, goes to ``end``."""
    made = SmallDesign()
    made.add("sensor", "switch", positions={"low": [], "live": [["line", "load"]]}, operated_by="voltage",
             at_rest="low", ground="earth", **({"follows": follows} if follows else {}))  # fmt: skip
    made.wire("sensor.earth", end)
    made.load("lamp", ("sensor.line", "sensor.load"))
    return made


@pytest.mark.parametrize(
    ("end", "follows", "lit"),
    [("ground", "bus", True), ("bus", "bus", False), ("ground", "engine", True), ("bus", "engine", False)],
)
def test_a_switch_rests_without_the_ground_against_which_it_measures(
    end: str, follows: str, lit: bool
) -> None:
    assert works(measuring(end, follows)) == ({"lamp", "sensor"} if lit else set())


def test_a_switch_that_loses_its_ground_lead_goes_to_its_rest() -> None:
    assert after(measuring(), Failure("wires/W3", Mode.OPEN)) == set()
    facts = measuring().facts()
    assert "sensor moves to low" in local_effect(fail_of(facts, "W3", "open").effects[0])
    assert stand_words(cruise(measuring("bus").facts()), "parts/sensor") == "at low, without its ground"


@pytest.mark.parametrize("end", ["ground", "bus"])
def test_the_ground_of_a_switch_that_follows_nothing_is_only_drawn(end: str) -> None:
    made = measuring(end, "")
    made.states["cruise"] = {"engine": "running", "switches": {"sensor": "live"}}
    assert works(made) == {"lamp"}
