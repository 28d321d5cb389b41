"""A battery inside a unit, in circuits whose answer is seen by eye."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.reading import Unreadable
from tests.analysis.small_designs import SmallDesign, cruise, fails
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import OPEN, SHORT, Fault, solve, working


def display(**fields: str) -> SmallDesign:
    """A display with a battery inside and a lamp, each behind a fuse; each alone is a function."""
    made = SmallDesign()
    made.load("display", made.protector("display-fuse", "fuse"), internal_battery="30 min", **fields)
    made.load("lamp", made.protector("lamp-fuse", "fuse"))
    made.function("showing", "display")
    made.function("lighting", "lamp")
    return made


def lost(made: SmallDesign, failure: Failure, fault: Fault, **state: object) -> set[str]:
    """The functions that a failure leaves dead, by the engine and by the plain evaluator alike."""
    facts = made.facts(**state)
    answer = cruise(facts)
    index = answer.failures.index(failure)
    by_engine = {name for name, mask in answer.functions.items() if not mask >> index & 1}
    circuit, before = circuit_of(facts.design), answer.state
    plain = solve(circuit, before, [fault], solve(circuit, before))
    assert by_engine == {n for n, works in working(facts.design, plain.powered).items() if not works}
    return by_engine


@pytest.mark.parametrize(
    ("element", "left_dead"),
    [
        ("parts/display-fuse", set()),
        ("parts/display", {"showing"}),
        ("parts/bus", {"lighting"}),
        ("parts/battery", {"lighting"}),
        ("parts/lamp-fuse", {"lighting"}),
    ],
)
def test_a_unit_with_a_battery_inside_works_on_without_feed_and_not_after_its_own_failure(
    element: str, left_dead: set[str]
) -> None:
    assert lost(display(), Failure(element, Mode.OPEN), Fault(element, OPEN)) == left_dead


def test_it_does_not_work_on_once_it_is_shorted_inside() -> None:
    made = display()
    failure = fails(made.facts(), "parts/display", Mode.SHORT)
    assert lost(made, failure, Fault("parts/display", SHORT, ("display.supply",))) == {"showing"}


def test_a_unit_that_is_turned_off_at_its_switch_does_not_go_over_to_its_battery() -> None:
    made = display(own_switch=True)
    failure = Failure("parts/display-fuse", Mode.OPEN)
    off = lost(made, failure, Fault("parts/display-fuse", OPEN), **{"units-off": ["display"]})
    assert off == {"showing"}


@pytest.mark.parametrize(("wanted", "survives"), [("45 min", False), ("30 min", True), (None, True)])
def test_it_counts_where_it_lasts_as_long_as_the_operation_asks_for(wanted: str, survives: bool) -> None:
    made = display()
    made.more["operation"] = {"endurance": wanted} if wanted else {}
    failure = Failure("parts/display-fuse", Mode.OPEN)
    assert ("showing" not in lost(made, failure, Fault("parts/display-fuse", OPEN))) == survives


def test_on_its_own_battery_it_takes_no_current_of_the_aircraft() -> None:
    facts = display().facts()
    answer = cruise(facts)
    fuse = conduct(facts.network, answer.state, [Failure("parts/display-fuse", Mode.OPEN)], answer.healthy)
    assert not fuse.powered["parts/display"]


def test_the_time_has_a_unit() -> None:
    made = SmallDesign()
    made.load("display", internal_battery="30")
    with pytest.raises(Unreadable) as caught:
        made.facts()
    assert "30 min" in caught.value.problems[0].message


def reversion(other: str = "right", **fields: object) -> SmallDesign:
    """Two displays, each behind a fuse; the function rests on the left one."""
    made = SmallDesign()
    for name in ("left", "right"):
        made.add(name, "instrument", **(fields if name == other else {}))
        made.run("bus", [made.protector(f"{name}-fuse", "fuse")], f"{name}.supply")
        made.wire(f"{name}.return", "ground")
    made.function("attitude", "left")
    return made


@pytest.mark.parametrize(
    ("element", "taken", "left_dead"),
    [
        ("parts/left", True, set()),
        ("parts/left-fuse", True, set()),
        ("parts/right", True, set()),
        ("parts/bus", True, {"attitude"}),
        ("parts/left", False, {"attitude"}),
    ],
)
def test_a_function_is_kept_by_the_display_that_takes_over(
    element: str, taken: bool, left_dead: set[str]
) -> None:
    made = reversion(takes_over=["left"]) if taken else reversion()
    assert lost(made, Failure(element, Mode.OPEN), Fault(element, OPEN)) == left_dead
    assert made.facts().states.loads_of("attitude") == (("left", "right") if taken else ("left",))


@pytest.mark.parametrize(
    ("of", "said"),
    [
        (["lfet"], "(did you mean `left`?)"),
        (["right"], "it cannot replace itself"),
        (["bus"], "`bus` is a bus, not an instrument"),
    ],
)
def test_what_takes_over_is_an_instrument_that_is_there(of: list[str], said: str) -> None:
    with pytest.raises(Unreadable) as caught:
        reversion(takes_over=of).facts()
    assert any(said in problem.message for problem in caught.value.problems), caught.value.problems
