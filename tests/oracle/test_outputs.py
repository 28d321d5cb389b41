"""Outputs of units, in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.reading import Unreadable
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.circuit import circuit_of
from tests.oracle.engine import fault_of
from tests.oracle.plain import solve
from tests.oracle.test_meaning_of_parts import works


def driven(switches: str = "ground", when: str = "working", on: bool = True) -> SmallDesign:
    """A unit behind a switch drives a lamp that is fed, or grounded, apart from it."""
    made = SmallDesign()
    output = {"terminal": "driven", "switches": switches, "when": when}
    made.load("unit", made.switch("master"), outputs={"drives": output})
    made.add("lamp", "load", type="lamp")
    near, far = ("return", "supply") if switches == "ground" else ("supply", "return")
    made.wire(f"lamp.{near}", "unit.driven")
    made.wire(f"lamp.{far}", "bus" if switches == "ground" else "ground")
    made.states["cruise"] = {"engine": "running", "switches": {"master": "on" if on else "off"}}
    return made


@pytest.mark.parametrize("switches", ["ground", "supply"])
@pytest.mark.parametrize(
    ("when", "on", "lit"),
    [
        ("working", True, True),
        ("working", False, False),
        ("not-working", True, False),
        ("not-working", False, True),
        ("commanded", True, False),
        ("commanded", False, False),
    ],
)
def test_an_output_follows_the_power_of_its_unit(switches: str, when: str, on: bool, lit: bool) -> None:
    made = driven(switches, when, on)
    if switches == "supply" and not on:
        lit = False  # the supply that it would join the lamp to is dead
    assert works(made) - {"unit"} == ({"lamp"} if lit else set())


@pytest.mark.parametrize(("on", "lit"), [(True, True), (False, False)])
def test_a_commanded_output_is_on_where_a_state_lists_it_and_its_unit_has_power(on: bool, lit: bool) -> None:
    made = driven(when="commanded", on=on)
    made.states["cruise"]["outputs-on"] = ["unit.drives"]
    assert works(made) - {"unit"} == ({"lamp"} if lit else set())


def after(made: SmallDesign, failure: Failure) -> set[str]:
    """What has power after a failure, by the engine and by the plain evaluator alike."""
    facts = made.facts()
    answer = cruise(facts)
    by_engine = conduct(facts.network, answer.state, [failure], answer.healthy).powered
    circuit = circuit_of(facts.design)
    plain = solve(
        circuit, answer.state, [fault_of(facts.network, failure)], solve(circuit, answer.state)
    ).powered
    assert {e: bool(m) for e, m in by_engine.items()} == plain
    return {e.removeprefix("parts/") for e, on in plain.items() if on}


def test_the_lamp_of_a_dead_unit_is_dark() -> None:
    assert after(driven(), Failure("parts/unit", Mode.OPEN)) == set()
    assert after(driven(), Failure("parts/master", Mode.OPEN)) == set()


@pytest.mark.parametrize("on", [True, False])
def test_an_output_that_is_stuck_on_drives_whatever_its_unit_does(on: bool) -> None:
    made = driven(when="commanded", on=on)
    failure = Failure("parts/unit", Mode.STUCK_ON, position="drives")
    assert failure in cruise(made.facts()).stuck_relays
    assert "lamp" in after(made, failure)
    assert failure.words(made.facts().network) == "output drives stuck on"


def test_an_output_that_holds_the_relay_of_its_own_unit() -> None:
    """A button starts the unit, its output grounds the relay that feeds it: it stays on when the relay is, and is
    dead for good once its feed has failed."""
    made = SmallDesign()
    output = {"terminal": "hold", "switches": "ground", "when": "working"}
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts={"c": {"kind": "make", "joins": ["line", "load"]}}
    )
    made.load("unit", made.switch("button"), outputs={"hold": output})
    made.run("bus", [("relay.line", "relay.load")], "unit.supply")
    made.wire("bus", "relay.plus")
    made.wire("relay.minus", "unit.hold")
    made.states["cruise"] = {"engine": "running", "switches": {"button": "on"}}
    assert works(made) == {"unit", "relay"}
    stays = Failure("parts/button", Mode.STAYS, position="off")
    assert after(made, stays) == {"unit"}
    made.states["cruise"]["switches"] = {"button": "off"}
    assert works(made) == set()


def test_each_state_says_which_outputs_its_units_command() -> None:
    made = driven(when="commanded")
    made.states["cruise"]["outputs-on"] = ["unit.drives"]
    made.states["other"] = {"like": "cruise", "outputs-on": ["unit.drives"]}
    made.states["none"] = {"like": "cruise"}
    facts = made.facts()
    lit = {a.state.name: a.healthy.powered["parts/lamp"] for a in facts.states.answers()}
    assert lit == {"cruise": 1, "other": 1, "none": 0}


@pytest.mark.parametrize(
    ("output", "listed", "said"),
    [
        ({}, ["unit.drivse"], "there is no output `unit.drivse` (did you mean `unit.drives`?)"),
        ({}, ["unit.drives"], "`unit.drives` is on without a command, `when: working`"),
        ({"terminal": "supply"}, [], "terminal `supply` of output `drives` is a supply too"),
        ({"when": "sometimes"}, [], "`commanded`"),
    ],
)
def test_a_mistake_in_an_output_is_told(output: dict, listed: list[str], said: str) -> None:
    made = driven()
    made.parts["unit"]["outputs"]["drives"] |= output
    made.states["cruise"]["outputs-on"] = listed
    with pytest.raises(Unreadable) as caught:
        made.facts()
    assert any(said in problem.message for problem in caught.value.problems)
