"""Effects of crew actions against what the file declares."""

from __future__ import annotations

from typing import Any

from reviewer.analysis.crew.action_effects import ActionEffect, StillFed
from tests.analysis.small_designs import SmallDesign


def effect(**action: Any) -> ActionEffect:
    action = {key.replace("_", "-"): value for key, value in action.items()}
    made = SmallDesign()
    made.second_battery()
    made.add("select", "switch", positions={"main": [["a", "out"]], "second": [["b", "out"]]})
    made.wire("bus", "select.a")
    made.wire("second-bus", "select.b")
    made.load("lamp", start="select.out")
    made.more["operation"] = {"actions": {"change": action}}
    return made.facts(switches={"select": "main"}).crew.action_effect("change")


def test_what_the_second_source_feeds_is_restored() -> None:
    assert effect(move={"select": "second"}, after_failure_of=["battery"], restores=["lamp"]) == ActionEffect(
        "change", True, True, (), ()
    )


def test_what_stays_dead_is_named() -> None:
    assert effect(move={"select": "second"}, after_failure_of=["second"], restores=["lamp"]).dead == ("lamp",)


def test_what_stays_fed_is_named_with_its_source_and_path() -> None:
    (fed,) = effect(move={"select": "second"}, disconnects=["second-bus"]).alive
    assert isinstance(fed, StillFed) and (fed.name, fed.source) == ("second-bus", "parts/second")
    assert fed.path[0] == "parts/second" and fed.path[-1] == "parts/second-bus"


def test_a_source_is_disconnected_where_it_powers_nothing() -> None:
    assert effect(move={"select": "second"}, disconnects=["battery"]).alive == ()
    assert effect(move={"select": "main"}, disconnects=["battery"]).alive[0].name == "lamp"
