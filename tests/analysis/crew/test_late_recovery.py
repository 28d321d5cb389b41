"""A recovery must hold whichever protective device clears the short."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.failure_modes import SHORT
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import function_masks
from reviewer.questions.effects import effects_of
from reviewer.questions.fail import fail_of
from reviewer.questions.scenes import items_of, state_views
from reviewer.questions.solve import solved_of
from reviewer.reports.fail_text import fail_text
from tests.analysis.small_designs import SmallDesign, cruise, fails


def behind_one_feeder(feeder: str) -> SmallDesign:
    """A change-over between two 5 A branches of one bus, which a feeder breaker supplies."""
    made = SmallDesign()
    made.add("feeder", "breaker", rating=feeder)
    made.add("far-bus", "bus")
    made.run("bus", [("feeder.line", "feeder.load")], "far-bus")
    made.add("select", "switch", positions={"left": [["left", "out"]], "right": [["right", "out"]]})
    for side in ("left", "right"):
        made.add(f"{side}-breaker", "breaker", rating="5 A")
        made.run("far-bus", [(f"{side}-breaker.line", f"{side}-breaker.load")], f"select.{side}")
    made.add("ignition", "load")
    made.wire("select.out", "ignition.supply")
    made.wire("ignition.return", "ground")
    made.function("fire", "ignition")
    made.more["operation"] = {"actions": {"change": {"move": {"select": "right"}, "time": "3 s"}}}
    return made


def joined_by_a_lamp(feed: str, lamp: str = "5 A", left_too: bool = True) -> SmallDesign:
    """Two ignition feeds from two batteries, each joined by a breaker to one lamp; or the left one by a wire."""
    made = SmallDesign()
    made.second_battery()
    made.add(
        "select",
        "switch",
        positions={
            "left": [["left", "out"], ["left-lamp", "lamp"]],
            "right": [["right", "out"], ["right-lamp", "lamp"]],
        },
    )
    for side, bus in (("left", "bus"), ("right", "second-bus")):
        made.add(f"{side}-breaker", "breaker", rating=feed)
        made.add(f"{side}-feed", "bus")
        made.run(bus, [(f"{side}-breaker.line", f"{side}-breaker.load")], f"{side}-feed")
        made.wire(f"{side}-feed", f"select.{side}")
        if side == "left" and not left_too:
            made.wire("left-feed", "select.left-lamp")
            continue
        made.add(f"{side}-lamp-breaker", "breaker", rating=lamp)
        terminals = (f"{side}-lamp-breaker.line", f"{side}-lamp-breaker.load")
        made.run(f"{side}-feed", [terminals], f"select.{side}-lamp")
    made.add("lamp", "load", type="lamp")
    made.wire("select.lamp", "lamp.supply")
    made.wire("lamp.return", "ground")
    made.add("ignition", "load")
    made.wire("select.out", "ignition.supply")
    made.wire("ignition.return", "ground")
    made.function("fire", "ignition")
    made.more["operation"] = {"actions": {"change": {"move": {"select": "right"}, "time": "3 s"}}}
    return made


@pytest.mark.parametrize(("feeder", "recovered"), [("7 A", False), ("20 A", True)])
def test_the_other_position_is_dead_too_where_the_feeder_may_open_first(feeder: str, recovered: bool) -> None:
    facts = behind_one_feeder(feeder).facts()
    short = fails(facts, "parts/left-breaker", SHORT, "left-breaker.load")
    assert bool(facts.crew.recoveries("fire", "cruise", short)) is recovered
    points = [p for ps in facts.failures.single_points.values() for p in ps]
    (behind,) = (n for n, wire in facts.design.wires.items() if wire.from_ == "left-breaker.load")
    told = {element for point in points for element in (point.element, *point.equivalent)}
    assert (f"wires/{behind}" in told) is not recovered


@pytest.mark.parametrize(("feeder", "dead"), [("7 A", True), ("20 A", False)])
def test_the_late_outcome_leaves_the_bus_dead(feeder: str, dead: bool) -> None:
    """With the feeder open instead of the branch, nothing behind it lives; told by the same network with it pulled."""
    facts = behind_one_feeder(feeder).facts()
    late = facts.states.late_failures("cruise").get(
        fails(facts, "parts/left-breaker", SHORT, "left-breaker.load"), ()
    )
    assert bool(late) is dead
    if late:
        solved = conduct(facts.network, cruise(facts).state, late, cruise(facts).healthy)
        assert not solved.live(facts.network.node("right-breaker.line"))


@pytest.mark.parametrize(("feed", "recovered"), [("7 A", False), ("10 A", True)])
def test_a_short_that_the_move_puts_on_the_other_feed(feed: str, recovered: bool) -> None:
    """The left feed is open; the lamp is shorted, and the change-over joins it to the right feed."""
    facts = joined_by_a_lamp(feed).facts()
    failed = fails(facts, "parts/lamp", SHORT, "lamp.supply")
    both = (failed, *facts.states.late_failures("cruise").get(failed, ()))
    assert (len(both) == 1) is recovered
    ways = facts.crew.recoveries_from("fire", "cruise", both).ways
    assert (() in ways.values()) is not recovered


@pytest.mark.parametrize(
    ("feed", "lamp", "recovered"), [("7 A", "5 A", False), ("5 A", "10 A", False), ("10 A", "5 A", True)]
)
def test_the_doubt_is_in_the_feed_that_is_changed_to(feed: str, lamp: str, recovered: bool) -> None:
    """The left feed has opened, without doubt; on the right the lamp's breaker or the feed's clears the short."""
    facts = joined_by_a_lamp(feed, lamp, left_too=False).facts()
    failed = fails(facts, "parts/lamp", SHORT, "lamp.supply")
    assert failed not in facts.states.late_failures("cruise")
    assert bool(facts.crew.recoveries("fire", "cruise", failed)) is recovered


@pytest.mark.parametrize(("far", "recovered"), [("7 A", False), ("20 A", True)])
def test_the_doubt_is_in_a_third_protector_behind_the_feed_that_is_changed_to(
    far: str, recovered: bool
) -> None:
    """The lamp's 5 A is well behind 10 A; the device behind that feed is smaller, and may open before both."""
    made = joined_by_a_lamp("10 A", left_too=False)
    made.add("far", "breaker", rating=far)
    made.add("far-bus", "bus")
    made.run("second.positive", [("far.line", "far.load")], "far-bus")
    (feed,) = (w for w in made.wires.values() if w["to"] == "right-breaker.line")
    feed["from"] = made.tab("far-bus")
    facts = made.facts()
    failed = fails(facts, "parts/lamp", SHORT, "lamp.supply")
    assert failed not in facts.states.late_failures("cruise")
    assert bool(facts.crew.recoveries("fire", "cruise", failed)) is recovered


def test_a_doubt_between_two_protectors_of_the_lamp_alone_is_no_matter() -> None:
    """Two of 5 A in a row clear the lamp's short, in either order; the ignition's feed of 20 A is well behind both."""
    made = joined_by_a_lamp("20 A", left_too=False)
    made.add("lamp-breaker-2", "breaker", rating="5 A")
    (last,) = (w for w in made.wires.values() if w["from"] == "right-lamp-breaker.load")
    last["from"] = "lamp-breaker-2.load"
    made.wire("right-lamp-breaker.load", "lamp-breaker-2.line")
    facts = made.facts()
    short = fails(facts, "parts/lamp", SHORT, "lamp.supply")
    (way,) = facts.crew.recoveries_from("fire", "cruise", [short]).ways[short]
    assert way.after == ("ignition",)


def test_every_short_of_a_zone_has_the_outcomes_of_the_zone() -> None:
    facts = behind_one_feeder("7 A").facts()
    late = facts.states.late_failures("cruise")
    elements = {f.element for f in late}
    assert {"parts/left-breaker", "parts/select", "parts/ignition"} <= elements
    cases = [one for outcomes in late.values() for one in outcomes]
    answer = cruise(facts)
    works = function_masks(
        facts.design, conduct(facts.network, answer.state, cases, answer.healthy).powered, -1
    )
    assert works["fire"] & (1 << len(cases)) - 1 == 0


@pytest.mark.parametrize(("feeder", "told"), [("7 A", True), ("20 A", False)])
def test_the_answers_show_the_outcome_that_takes_more(feeder: str, told: bool) -> None:
    """The short of the branch that is not in use: the nearest breaker alone takes nothing, the feeder the ignition."""
    facts = behind_one_feeder(feeder).facts()
    answer = fail_of(facts, "right-breaker", "shorted-to-ground")
    worse = [e for e in answer.effects if e.failure.clearing and e.at == "right-breaker.load"]
    assert [(e.protection, [f for f, _ in e.functions]) for e in worse] == [
        (("parts/feeder",), ["fire"])
    ] * told
    table = effects_of(facts)
    assert all(e in table.effects for e in worse)
    assert any(e.failure.clearing for e in table.effects) is told
    items = items_of(facts.network, ())
    (view,) = state_views(facts, items)
    assert {f for f in view.failures if f.clearing} == {
        e.failure for e in table.effects if e.failure.clearing
    }
    text = fail_text("x", facts.design, answer)
    assert ("right-breaker does not open first" in " ".join(text.split())) is told


def test_a_late_outcome_that_takes_no_more_is_not_listed() -> None:
    facts = behind_one_feeder("7 A").facts()
    answer = fail_of(facts, "left-breaker", "shorted-to-ground")
    assert facts.states.late_failures("cruise")[
        fails(facts, "parts/left-breaker", SHORT, "left-breaker.load")
    ]
    assert not any(e.failure.clearing for e in answer.effects)


@pytest.mark.parametrize(("feeder", "dead"), [("7 A", True), ("20 A", False)])
def test_the_worst_outcome_of_a_short_is_solved(feeder: str, dead: bool) -> None:
    """The right branch is shorted, and the ignition on the left one has power only while the feeder holds."""
    made = behind_one_feeder(feeder)
    made.parts["battery"].update(capacity="17 Ah", chemistry="lead-acid")
    made.parts["ignition"].update(current="2 A", type="electronic")
    for wire in made.wires.values():
        wire.update(gauge="18 AWG", length="0.5 m")
    answer = solved_of(made.facts(engine="stopped"), "cruise", ["right-breaker=shorted-to-ground@load"])
    ((_, words),) = answer.failed
    assert ("does not open first" in words) is dead
    (phase,) = answer.phases
    assert phase.point is not None
    assert (
        (phase.point.volts.get("ignition.supply") or 0.0) < 0.1
        if dead
        else phase.point.volts["ignition.supply"] > 10
    )
