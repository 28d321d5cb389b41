"""Latent failures that complete a loss."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import MappingProxyType

import pytest

from reviewer.analysis.detection.completing_pairs import CompletingPair, completing_pairs, unrecovered_pairs
from reviewer.analysis.facts import Facts
from tests.analysis.crew.test_moves_against_plain import left, move_on
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.circuit import circuit_of
from tests.oracle.plain import OPEN, Fault, solve, working


def two_feeds(checked: bool = False) -> Facts:
    """One ignition that two batteries feed, each through a breaker and a diode."""
    made = SmallDesign()
    made.second_battery()
    made.add("ignition", "load")
    for name, start in (("main", "bus"), ("spare", "second-bus")):
        made.add(f"{name}-diode", "diode")
        made.run(
            start,
            [made.protector(f"{name}-breaker"), (f"{name}-diode.anode", f"{name}-diode.cathode")],
            "ignition.supply",
        )
    made.wire("ignition.return", "ground")
    made.function("fire", "ignition")
    if checked:
        made.states["cruise"] = {"engine": "running", "switches": {}}
        made.states["on-main"] = {"like": "cruise", "use": "ground", "pulled": ["spare-breaker"]}
        made.states["on-spare"] = {"like": "cruise", "use": "ground", "pulled": ["main-breaker"]}
        made.more["watch"] = {
            "checks": {
                s: {"state": s, "watch": ["ignition"], "expect": "Runs."} for s in ("on-main", "on-spare")
            }
        }
    return made.facts()


def test_an_open_in_one_of_two_feeds_is_latent_and_the_other_feed_completes_the_loss() -> None:
    losses = two_feeds().detection.latent_losses
    (breaker,) = (
        loss for loss in losses.values() if "parts/main-breaker" in (loss.element, *loss.equivalent)
    )
    ((function, seconds),) = breaker.losses
    assert function == "fire" and {"parts/spare-breaker", "parts/second"} <= set(seconds)
    assert not {"parts/main-breaker", "parts/battery"} & set(seconds)


def test_checks_of_each_feed_leave_its_breaker_no_latent_open() -> None:
    latent = {(f.element, f.mode) for f in two_feeds(checked=True).detection.latent}
    assert ("parts/main-breaker", "open") not in latent
    assert ("parts/main-breaker", "open") in {(f.element, f.mode) for f in two_feeds().detection.latent}


def test_a_pair_is_listed_with_either_of_its_failures_first_where_both_are_latent() -> None:
    facts = two_feeds()
    pairs = {
        (pair.first.element, pair.second.element)
        for pair in completing_pairs(facts.design, cruise(facts), facts.detection.latent)
        if pair.first.mode == pair.second.mode == "open"
    }
    assert ("parts/main-breaker", "parts/spare-breaker") in pairs and (
        "parts/spare-breaker",
        "parts/main-breaker",
    ) in pairs


def relay_on_two_leads(ohms: float) -> Facts:
    """An instrument behind a contactor whose coil has a lead from the bus and a second one of some ohms."""
    made = SmallDesign()
    made.parts["battery"] |= {
        "chemistry": "lead-acid",
        "capacity": "17 Ah",
        "internal-resistance": "0.01 ohm",
    }
    coil = {"coil-current": "0.5 A", "pickup-voltage": "9 V", "dropout-voltage": "8 V"}
    contact = {"one": {"kind": "make", "joins": ["line", "load"]}}
    made.add("contactor", "contactor", coil=["plus", "minus"], contacts=contact, **coil)
    made.wire("bus", "contactor.line")
    made.add("engine-monitor", "instrument", current="1 A", minimum="7 V")
    made.wire("contactor.load", "engine-monitor.supply")
    made.wire("engine-monitor.return", "ground")
    made.add("post", "stud")
    made.wire("bus", "post")
    made.wire("bus", "post")
    leads = "W6", "W7"
    assert list(made.wires)[-2:] == [*leads]
    for lead, own in zip(leads, ("0.01", str(ohms)), strict=True):
        made.wires[lead]["resistance"] = f"{own} ohm"
    made.wire("post", "contactor.plus")
    made.wire("contactor.minus", "ground")
    return made.facts(engine="stopped")


@pytest.mark.parametrize(("ohms", "latent"), [(24.0, False), (1.0, True)])
def test_a_failure_that_leaves_a_coil_too_few_volts_is_seen_and_one_that_leaves_enough_is_latent(
    ohms: float, latent: bool
) -> None:
    """By hand: about 12.6 V at a coil of 24 to 28 ohm behind 24 ohm leave it some 6.5 V, behind 1 ohm some 12 V."""
    facts = relay_on_two_leads(ohms)
    opened = {f.element for f in facts.detection.latent if f.mode == "open"}
    assert ("wires/W6" in opened) is latent
    assert "wires/W7" in opened  # the coil has its volts by the other lead


def test_without_a_critical_function_nothing_is_lost() -> None:
    made = SmallDesign()
    made.load("lamp")
    facts = made.facts()
    assert list(completing_pairs(facts.design, cruise(facts), facts.detection.latent)) == []


def by_hand(spares: int = 1) -> Facts:
    """One ignition on a switch between the main bus and spare feeds of a second battery."""
    made = SmallDesign()
    made.second_battery()
    names = ["main", *(f"spare-{i}" for i in range(spares))]
    made.add("select", "switch", positions={name: [[name, "out"]] for name in names})
    for name in names:
        breaker = made.protector(f"{name}-breaker")
        made.run("bus" if name == "main" else "second-bus", [breaker], f"select.{name}")
    made.add("ignition", "load")
    made.wire("select.out", "ignition.supply")
    made.wire("ignition.return", "ground")
    made.function("fire", "ignition")
    actions = {name: {"move": {"select": name}, "time": "3 s"} for name in names[1:]}
    made.more["operation"] = {"actions": actions}
    return made.facts()


def test_an_open_backup_is_latent_and_the_move_no_longer_restores_by_the_plain_evaluator() -> None:
    facts = by_hand()
    answer = cruise(facts)
    circuit = circuit_of(facts.design)
    healthy = solve(circuit, answer.state)
    moves = (("select", "spare-0"),)
    moved = replace(answer.state, switches=MappingProxyType(dict(moves)))

    def restored(*elements: str) -> bool:
        case = tuple(Fault(element, OPEN) for element in elements)
        lost = left(circuit, answer.state, case, solve(circuit, answer.state, case, healthy), healthy)
        assert not working(facts.design, lost.answer.powered)["fire"]
        then = move_on(circuit, moved, moves, case, lost)
        return working(facts.design, then.answer.powered)["fire"]

    pairs = {
        (p.first.element, p.second.element)
        for p in unrecovered_pairs(answer, facts.detection.latent, facts.crew)
        if p.first.mode == p.second.mode == OPEN
    }
    opens = [
        f.element
        for i, f in enumerate(answer.failures)
        if f.mode == OPEN and not answer.functions["fire"] >> i & 1
    ]
    latent = [f.element for f in facts.detection.latent if f.mode == OPEN]
    wanted = {
        (one, two)
        for one in latent
        for two in opens
        if one != two and restored(two) and not restored(one, two)
    }
    assert pairs == wanted and ("parts/spare-0-breaker", "parts/main-breaker") in wanted


def test_the_lost_recovery_is_told_with_its_move() -> None:
    losses = by_hand().detection.latent_losses.values()
    (breaker,) = (x for x in losses if "parts/spare-0-breaker" in (x.element, *x.equivalent))
    (lost,) = breaker.recoveries
    assert breaker.losses == () and (lost.function, lost.moves) == ("fire", (("select", "spare-0"),))
    assert "parts/main-breaker" in lost.elements and "parts/second" not in lost.elements
    assert "parts/second" in (breaker.element, *breaker.equivalent)


def test_a_recovery_that_another_move_gives_too_is_not_lost() -> None:
    facts = by_hand(spares=2)
    by_pair = {
        (p.first.element, p.second.element)
        for p in unrecovered_pairs(cruise(facts), facts.detection.latent, facts.crew)
        if p.first.mode == p.second.mode == OPEN
    }
    assert ("parts/second", "parts/main-breaker") in by_pair
    assert ("parts/spare-0-breaker", "parts/main-breaker") not in by_pair


def with_a_relay() -> Facts:
    """The same with the spare feed by a relay, whose coil the main bus feeds, and a lamp beside it."""
    made = SmallDesign()
    made.second_battery()
    made.add(
        "relay", "relay", coil=["plus", "minus"], contacts={"k": {"kind": "make", "joins": ["in", "out"]}}
    )
    made.run("second-bus", [made.protector("coil-breaker")], "relay.plus")
    made.wire("relay.minus", "ground")
    made.wire("second-bus", "relay.in")
    made.add("joint", "splice")
    made.add("select", "switch", positions={"main": [["main", "out"]], "spare": [["spare", "out"]]})
    made.run("bus", [made.protector("main-breaker")], "select.main")
    made.wire("relay.out", "joint")
    made.run("joint", [made.protector("spare-breaker")], "select.spare")
    made.load("lamp", made.switch("lamp-switch"), start="joint")
    made.add("ignition", "load")
    made.wire("select.out", "ignition.supply")
    made.wire("ignition.return", "ground")
    made.function("fire", "ignition")
    made.function("runs", "fire")
    made.more["operation"] = {
        "actions": {
            "spare": {"move": {"select": "spare"}, "time": "3 s"},
            "dark": {"move": {"lamp-switch": "off"}, "time": "3 s"},
        }
    }
    return made.facts(switches={"select": "main", "lamp-switch": "on"})


@pytest.mark.parametrize("made", [lambda: by_hand(2), with_a_relay])
def test_the_groups_give_what_every_pair_by_itself_gives(made: Callable[[], Facts]) -> None:
    facts = made()
    answer = cruise(facts)
    found = set(unrecovered_pairs(answer, facts.detection.latent, facts.crew))
    (outer, *_) = (f for f in ("runs", "fire") if f in facts.design.functions)
    mask = facts.crew.recoverable(answer)[outer] & ~answer.functions[outer]
    pairs = [
        (first, second)
        for first in facts.detection.latent
        for i, second in enumerate(answer.failures)
        if mask >> i & 1 and first.element != second.element
    ]
    every = facts.crew.unrecovered(outer, "cruise", pairs)
    assert found == {CompletingPair(*pair, outer) for pair in every}
    assert 0 < len(every) < len(pairs)


def test_pairs_of_two_latent_failures_are_told_once() -> None:
    facts = two_feeds()
    latent = facts.detection.latent
    late, after = (
        facts.states.late_failures("cruise"),
        facts.states.late_failures_after("cruise", facts.detection.unused),
    )
    every = {
        frozenset((p.first.element, p.second.element))
        for p in completing_pairs(facts.design, cruise(facts), latent, late, after)
        if p.first.element != p.second.element
    }
    told = [
        {
            frozenset((element, second))
            for element in (loss.element, *loss.equivalent)
            for _, seconds in loss.losses
            for second in seconds
            if second != element
        }
        for loss in facts.detection.latent_losses.values()
    ]
    assert set().union(*told) == every
    for i, pairs in enumerate(told):
        assert pairs - set().union(*(other for j, other in enumerate(told) if j != i))
    assert any(loss.partners for loss in facts.detection.latent_losses.values())


def test_use_in_another_phase_of_the_flight_reveals_a_failure() -> None:
    """A landing light that is on in the landing alone: that its breaker is open is seen there."""

    def latent(*phases: str) -> set[tuple[str, str]]:
        made = SmallDesign()
        switch = made.switch("light-switch")
        made.load("light", made.protector("light-breaker"), switch)
        made.function("seen", "light", loss="major")
        made.states["cruise"] = {"engine": "running", "switches": {"light-switch": "off"}}
        made.states["landing"] = {"like": "cruise", "switches": {"light-switch": "on"}}
        made.more["operation"] = {"phases": {state: {"state": state} for state in phases}}
        return {(f.element, f.mode.value) for f in made.facts().detection.unused}

    assert ("parts/light-breaker", "open") in latent("cruise")
    assert ("parts/light-breaker", "open") not in latent("cruise", "landing")
