"""Protective devices inside units, in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.questions.trace import stand_words
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


def commanded(reads: str = "closed-to-ground", end: str = "ground", switch: str = "on") -> SmallDesign:
    """A breaker inside a module feeds a light; a switch joins an input of the module to ``end``."""
    made = SmallDesign()
    made.parts["battery"] |= {"chemistry": "lead-acid", "capacity": "17 Ah"}
    made.add(
        "module", "instrument", inputs={"light": {"signal": "light-in", "reads": reads}}, current="0.3 A"
    )
    made.run("bus", [made.switch("master")], "module.supply")
    made.wire("module.return", "ground")
    inside = {"reset": "electronic", "inside": "module", "without_supply": "open", "rating": "5 A"}
    made.add("output", "breaker", plugged_on="bus", commanded_by="module.light-in", **inside)
    made.load("light", start="output.load", current="3 A")
    made.run("module.light-in", [made.switch("switch")], end)
    made.function("see", "light")
    made.states["cruise"] = {"engine": "running", "switches": {"master": "on", "switch": switch}}
    return made


@pytest.mark.parametrize(
    ("reads", "end", "switch", "lit"),
    [
        ("closed-to-ground", "ground", "on", True),
        ("closed-to-ground", "ground", "off", False),
        ("closed-to-ground", "bus", "on", False),
        ("closed-to-supply", "bus", "on", True),
        ("closed-to-supply", "bus", "off", False),
        ("closed-to-supply", "ground", "on", False),
    ],
)
def test_an_input_turns_on_what_is_inside_its_unit(reads: str, end: str, switch: str, lit: bool) -> None:
    on = {"output", "light"} if lit else set()
    assert works(commanded(reads, end, switch)) == {"module"} | on


def test_a_unit_without_power_takes_no_command() -> None:
    made = commanded()
    made.states["cruise"]["switches"]["master"] = "off"
    assert works(made) == set()


def test_an_open_lead_is_no_command_and_a_short_to_ground_is_one() -> None:
    made = commanded()
    (lead,) = (n for n, wire in made.wires.items() if wire["from"] == "module.light-in")
    assert after(made, Failure(f"wires/{lead}", Mode.OPEN)) == {"module"}
    assert after(made, Failure("parts/switch", Mode.OPEN)) == {"module"}
    off = commanded(switch="off")
    assert after(off, fails(off.facts(), f"wires/{lead}", Mode.SHORT)) == {"module", "light"}
    supply = commanded("closed-to-supply", "bus", "off")
    shorts = [f for f in cruise(supply.facts()).failures if f.mode is Mode.SHORT]
    assert all(f.element != f"wires/{lead}" for f in shorts)


def test_a_light_that_a_short_of_its_input_turns_on_runs_uncommanded() -> None:
    made = commanded(switch="off")
    (lead,) = (n for n, wire in made.wires.items() if wire["from"] == "module.light-in")
    (runs,) = made.facts().switches.uncommanded
    assert (runs.element, runs.through) == ("parts/light", ("parts/output",))
    assert {f.element for f in runs.shorts} == {f"wires/{lead}", "parts/module", "parts/switch"}
    assert commanded("closed-to-supply", "bus", "off").facts().switches.uncommanded == ()


@pytest.mark.parametrize("switch", ["on", "off"])
def test_the_switch_of_an_input_carries_none_of_the_current_of_the_light(switch: str) -> None:
    point = commanded(switch=switch).facts().points.operating_point("cruise", None, ())
    plain = commanded(switch=switch)
    for key in ("commanded-by", "without-supply", "inside", "reset"):
        del plain.parts["output"][key]
    if switch == "off":
        plain.states["cruise"]["pulled"] = ["output"]
    twin = plain.facts().points.operating_point("cruise", None, ())
    assert point.amps["wires/W1"] == pytest.approx(twin.amps["wires/W1"], abs=1e-6)
    assert (point.amps["wires/W1"] > 3) == (switch == "on")
    assert abs(point.amps.get("parts/switch", 0.0)) < 0.001


def test_a_trace_says_what_does_not_command_it() -> None:
    facts = commanded(switch="off").facts()
    assert stand_words(cruise(facts), "parts/output") == "open, as module.light-in does not command it"
    made = commanded()
    made.states["cruise"]["switches"]["master"] = "off"
    assert stand_words(cruise(made.facts()), "parts/output") == "open, as module has no power"


@pytest.mark.parametrize(
    ("breaker", "unit", "said"),
    [
        ({"commanded-by": "other.light-in"}, {}, "an input of that commands it, not one of other"),
        ({"commanded-by": "module.ligt-in"}, {}, "has the signal `ligt-in` (did you mean `light-in`?)"),
        ({"commanded-by": "module.supply"}, {}, "no input of module has the signal `supply`"),
        ({"without-supply": "closed"}, {}, "while the unit has no power; write `without-supply: open`"),
        ({"reset": None, "without-supply": None, "inside": None}, {}, "write `inside: module`"),
        ({}, {"reads": "voltage"}, "state there what it `reads`: `closed-to-ground` or `closed-to-supply`"),
        ({}, {"kind": "load"}, "a load has no inputs; draw module as an instrument"),
    ],
)
def test_a_mistake_in_what_commands_it_is_told_once(breaker: dict, unit: dict, said: str) -> None:
    made = commanded()
    part = made.parts["output"] | breaker
    made.parts["output"] = {key: value for key, value in part.items() if value is not None}
    if "kind" in unit:
        made.parts["module"] = {"kind": "load"}
        made.wires = {n: w for n, w in made.wires.items() if w["from"] != "module.light-in"}
    else:
        made.parts["module"]["inputs"]["light"] |= unit
    with pytest.raises(Unreadable) as caught:
        made.facts()
    (problem,) = caught.value.problems
    assert said in problem.message


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
