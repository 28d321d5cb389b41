"""Protective devices inside units, in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.reading import Unreadable
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.test_meaning_of_parts import works
from tests.oracle.test_outputs import after


def module(without: str = "open", on: bool = True, **breaker: str) -> SmallDesign:
    """A module behind a switch has the breakers of two channels inside; a lamp has a fuse of its own."""
    made = SmallDesign()
    made.load("module", made.switch("master"))
    for name in ("left", "right"):
        kind = {"reset": "electronic", "without_supply": without} | breaker
        made.add(f"{name}-breaker", "breaker", inside="module", plugged_on="bus", **kind)
        made.load(name, start=f"{name}-breaker.load")
    made.load("lamp", made.protector("fuse", "fuse"))
    made.function("fire", "left", "right")
    made.states["cruise"] = {"engine": "running", "switches": {"master": "on" if on else "off"}}
    return made


@pytest.mark.parametrize(
    ("without", "on", "lit"),
    [
        ("open", True, {"module", "left", "right", "lamp"}),
        ("open", False, {"lamp"}),
        ("closed", True, {"module", "left", "right", "lamp"}),
        ("closed", False, {"left", "right", "lamp"}),
    ],
)
def test_without_the_supply_of_its_unit_it_stands_as_declared(without: str, on: bool, lit: set[str]) -> None:
    assert works(module(without, on)) == lit


@pytest.mark.parametrize("without", ["open", "closed"])
def test_a_unit_that_has_failed_opens_all_that_is_inside_it(without: str) -> None:
    assert after(module(without), Failure("parts/module", Mode.OPEN)) == {"lamp"}


@pytest.mark.parametrize(("without", "left"), [("open", {"lamp"}), ("closed", {"left", "right", "lamp"})])
def test_a_module_that_loses_its_feed_takes_the_breakers_that_open_then(without: str, left: set[str]) -> None:
    assert after(module(without), Failure("parts/master", Mode.OPEN)) == left
    assert after(module(without), fails(module(without).facts(), "parts/module", Mode.SHORT)) == set()


def test_two_channels_in_one_module_fall_with_it() -> None:
    answer = cruise(module("closed").facts())
    assert Failure("parts/module", Mode.OPEN) in answer.losing("fire")
    assert Failure("parts/left-breaker", Mode.OPEN) not in answer.losing("fire")


def test_a_module_that_is_fed_by_its_own_breaker_never_comes_up() -> None:
    made = SmallDesign()
    made.add("own", "breaker", inside="module", plugged_on="bus", reset="electronic", without_supply="open")
    made.load("module", start="own.load")
    assert works(made) == set()


@pytest.mark.parametrize(
    ("breaker", "said"),
    [
        ({"inside": "modul"}, "(did you mean `module`?)"),
        ({"inside": "bus"}, "`bus` is a bus, not a load or instrument"),
        ({"reset": "trip-free"}, "`without-supply` is for a breaker of `reset: electronic` only"),
        ({"without-supply": "shut"}, "`closed`"),
        ({"without-supply": None}, "an electronic breaker needs `without-supply`"),
        ({"inside": None}, "an electronic breaker needs `inside`"),
    ],
)
def test_a_mistake_in_a_device_inside_a_unit_is_told(breaker: dict, said: str) -> None:
    made = module()
    part = made.parts["left-breaker"] | breaker
    made.parts["left-breaker"] = {key: value for key, value in part.items() if value is not None}
    with pytest.raises(Unreadable) as caught:
        made.facts()
    assert any(said in problem.message for problem in caught.value.problems), caught.value.problems


@pytest.mark.parametrize(("construction", "first"), [("blade", True), ("resettable", False)])
def test_a_resettable_fuse_is_not_taken_to_open_before_a_breaker(construction: str, first: bool) -> None:
    made = SmallDesign()
    made.add("upper", "breaker", rating="15 A", plugged_on="bus")
    made.add("lower", "fuse", rating="5 A", construction=construction)
    made.load("lamp", ("lower.line", "lower.load"), start="upper.load")
    assert made.facts().failures.selectivity("upper", "lower").promised == first
