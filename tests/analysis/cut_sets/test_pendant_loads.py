"""What hangs behind a conductor: counted by hand on small networks, and against the currents that the solver finds in random ones."""

from __future__ import annotations

import math
from typing import Any

import pytest

from reviewer.analysis.conduction.failure_modes import OPEN, STAYS, Failure
from reviewer.analysis.conduction.fixed_point import conduct, link_masks
from reviewer.analysis.conduction.scenarios import lanes_of_cases
from reviewer.analysis.cut_sets.low_volts import StateVolts
from reviewer.analysis.cut_sets.sure_volts import SurePaths
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.questions.fail import fail_of
from tests.analysis.operating_point.dressed import dress
from tests.analysis.small_designs import SmallDesign, cruise
from tests.oracle.generator import realistic

BATTERY = {"chemistry": "lead-acid", "capacity": "17 Ah", "internal-resistance": "0.01 ohm"}
COIL = {"coil-current": "0.5 A", "pickup-voltage": "9 V", "dropout-voltage": "6 V"}
CONTACT = {"one": {"kind": "make", "joins": ["line", "load"]}}


def bench() -> SmallDesign:
    made = SmallDesign()
    made.parts["battery"] |= BATTERY
    return made


def last(made: SmallDesign) -> str:
    return f"wires/W{len(made.wires)}"


def with_a_contactor(made: SmallDesign, plus: str, minus: str, **more: Any) -> None:
    """``contactor``, its coil between two places, its contact before a radio."""
    made.add("contactor", "contactor", coil=["plus", "minus"], contacts=CONTACT, **COIL, **more)
    made.wire("bus", "contactor.line")
    made.load("radio", start="contactor.load", current="1 A", type="electronic", minimum="9 V")
    made.wire(plus, "contactor.plus")
    made.wire("contactor.minus", minus)


def behind(facts: Facts, element: str, watched: tuple[str, ...] = ()) -> tuple[Any, Any]:
    """What hangs behind the one link of an element, for a feed and for a return; None where that is not limited."""
    answer = cruise(facts)
    coils = StateVolts(facts.points, answer).coils
    paths = SurePaths(facts.points, answer, watched, coils)
    (link,) = facts.network.links_of[element]
    feed, back = paths.feeds.get(link), paths.returns.get(link)
    return feed and set(feed.taking), back and set(back.taking)


@pytest.mark.parametrize("inside", [False, True])
def test_the_leads_of_a_coil_with_a_diode_across_it_carry_its_current_alone(inside: bool) -> None:
    made = bench()
    with_a_contactor(made, "bus", "ground", **({"suppression": "diode"} if inside else {}))
    back = last(made)
    if not inside:
        made.add("diode", "diode", duty="suppression")
        made.wire("contactor.minus", "diode.anode")
        made.wire("diode.cathode", "contactor.plus")
    facts = made.facts()
    feed = f"wires/W{int(back[len('wires/W') :]) - 1}"
    assert behind(facts, feed)[0] == behind(facts, back)[1] == {"parts/contactor"}
    # behind the battery's lead hangs all, and at the cathode what comes round by the ground could return
    assert behind(facts, "wires/W1") == ({"parts/contactor", "parts/radio"}, None)


def test_a_lead_shared_with_a_load_carries_both_and_one_to_a_second_battery_any_current() -> None:
    made = bench()
    made.add("post", "stud")
    made.wire("post", "ground")
    shared = last(made)
    with_a_contactor(made, "bus", "post")
    made.load("heater", end="post", current="20 A", type="heater")
    assert behind(made.facts(), shared)[1] == {"parts/contactor", "parts/heater"}
    made = bench()
    made.add("post", "stud")
    made.wire("post", "ground")
    shared = last(made)
    with_a_contactor(made, "bus", "post")
    made.add("second", "battery", **BATTERY)
    made.wire("second.negative", "post")
    assert behind(made.facts(), shared) == (None, None)


def test_a_diode_that_takes_current_from_a_feed_leaves_it_without_a_limit() -> None:
    """The anode is on the coil's feed: what goes out there no load of this lead takes. Turned round it only adds to the feed."""

    def feed(into: str, out: str) -> Any:
        made = bench()
        made.add("post", "stud")
        made.wire("bus", "post")
        shared = last(made)
        with_a_contactor(made, "post", "ground")
        made.add("diode", "diode", duty="isolation")
        made.add("other-bus", "bus")
        made.wire("post", f"diode.{into}")
        made.wire(f"diode.{out}", "other-bus")
        made.load("heater", start="other-bus", current="20 A", type="heater")
        return behind(made.facts(), shared)[0]

    assert feed("anode", "cathode") is None
    assert feed("cathode", "anode") == {"parts/contactor"}


@pytest.mark.parametrize("with_source", [False, True])
def test_each_wire_of_a_ring_carries_what_hangs_on_it_unless_a_source_does(with_source: bool) -> None:
    made = bench()
    made.add("post", "stud")
    made.wire("bus", "post")
    one = last(made)
    made.wire("bus", "post")
    with_a_contactor(made, "post", "ground")
    if with_source:
        made.add("second", "battery", **BATTERY)
        made.wire("second.positive", "post")
        made.wire("second.negative", "ground")
    assert behind(made.facts(), one)[0] == (None if with_source else {"parts/contactor"})


def on_one_lead(ohms: float, watched: dict[str, Any] | None = None) -> SmallDesign:
    """A coil, or a load, on one lead of some ohms with a heater of 10 A that its switch has off."""
    made = bench()
    made.add("post", "stud")
    made.wire("bus", "post")
    made.wires[last(made)[len("wires/") :]]["resistance"] = f"{ohms} ohm"
    if watched is None:
        with_a_contactor(made, "post", "ground", suppression="diode")
        made.function("communication", "radio", loss="hazardous")
    else:
        made.load("unit", start="post", **watched)
        made.function("communication", "unit", loss="hazardous")
    made.load("heater", made.switch("heat"), start="post", current="10 A", type="heater")
    return made


def lanes_that_are_sure(facts: Facts, element: str, cases: list[Failure]) -> int:
    answer = cruise(facts)
    volts = StateVolts(facts.points, answer, True)
    assert volts.paths is not None
    solved = conduct(facts.network, answer.state, cases, answer.healthy)
    masks = link_masks(lanes_of_cases(facts.network, answer.state, cases), solved.energised)
    return volts.paths.sure(solved, masks)[element]


CLOSED = Failure("parts/heat", STAYS, position="on")


@pytest.mark.parametrize(("ohms", "drops"), [(1.0, True), (0.05, False)])
def test_a_coil_on_a_lead_that_a_failure_loads_is_left_out_only_if_it_stays_energised(
    ohms: float, drops: bool
) -> None:
    """By hand: with 1 ohm before a heater of 1.4 ohm and a coil of 28 ohm the coil has 12.6 V x 1.33 / 2.34 = 7.2 V of 12.6, less as
    a radio draws; picked up it drops out at 8 V. With 0.05 ohm it has 12 V."""
    made = on_one_lead(ohms)
    made.parts["contactor"]["dropout-voltage"] = "8 V"
    facts = made.facts(switches={"heat": "off"})
    assert lanes_that_are_sure(facts, "parts/contactor", [CLOSED]) == (0 if drops else 1)
    answer = cruise(facts)
    after = answer.conducting_after([CLOSED])
    assert after.conducts.energised["parts/contactor"] == (0 if drops else 1)
    assert after.conducts.powered["parts/radio"] == (0 if drops else 1)


@pytest.mark.parametrize(("ohms", "sure"), [(1.0, False), (0.05, True)])
def test_what_a_failure_turns_on_behind_the_lead_of_a_load_counts(ohms: float, sure: bool) -> None:
    watched = {"current": "0.5 A", "type": "resistive", "minimum": "10 V"}
    facts = on_one_lead(ohms, watched).facts(switches={"heat": "off"})
    assert lanes_that_are_sure(facts, "parts/unit", [CLOSED]) == (1 if sure else 0)
    answer = cruise(facts)
    solved = conduct(facts.network, answer.state, [CLOSED], answer.healthy)
    assert answer.low((CLOSED,), solved, each=True).get("parts/unit", 0) == (0 if sure else 1)


@pytest.mark.parametrize(("ohms", "sure"), [(0.1, False), (0.001, True)])
def test_what_another_battery_feeds_counts_on_a_shared_return(ohms: float, sure: bool) -> None:
    """By hand: 30 A of a heater lift the common ground lead of 0.1 ohm by about 3 V, so that 12.6 V leave less than 11 V."""
    made = bench()
    made.second_battery(**BATTERY)
    made.add("post", "stud")
    made.wire("post", "ground")
    made.wires[last(made)[len("wires/") :]]["resistance"] = f"{ohms} ohm"
    made.load("unit", end="post", current="0.5 A", type="resistive", minimum="11 V")
    made.load("heater", start="second-bus", end="post", current="30 A", type="heater")
    made.function("communication", "unit", loss="hazardous")
    facts = made.facts()
    volts = facts.points.operating_point("cruise").across["parts/unit"]
    assert (volts >= 11.0) is sure
    healthy = cruise(facts).healthy
    masks = link_masks(lanes_of_cases(facts.network, cruise(facts).state, []), healthy.energised)
    paths = SurePaths(facts.points, cruise(facts), ["parts/unit"])
    assert bool(paths.sure(healthy, masks)["parts/unit"]) is sure


def test_a_coil_is_not_sure_while_the_diode_across_it_is_shorted_and_is_while_it_is_open() -> None:
    facts = on_one_lead(0.05).facts(switches={"heat": "off"})
    cases = [
        f
        for f in cruise(facts).failures
        if f.element == "parts/contactor" and "diode" in f.words(facts.network)
    ]
    assert cases and not lanes_that_are_sure(facts, "parts/contactor", cases)
    assert lanes_that_are_sure(facts, "parts/contactor", [Failure("wires/W2", OPEN)]) == 0
    (effect,) = fail_of(facts, "heater", "open").effects
    assert not effect.dropped_out


@pytest.mark.parametrize("seed", range(4))
def test_no_solved_current_passes_what_hangs_behind(seed: int) -> None:
    facts = Facts(realistic(70, seed, dress(seed, unsized=0.0)))
    tried = 0
    for answer in facts.states.answers()[:2]:
        volts = StateVolts(facts.points, answer, True)
        paths = volts.paths
        if paths is None:
            continue
        most = {**paths.currents.loads, **paths.currents.starters, **paths.currents.steady}
        for case in [(), *((f,) for f in answer.failures[:: len(answer.failures) // 8])]:
            solved = conduct(facts.network, answer.state, [case], answer.healthy)
            masks = link_masks(lanes_of_cases(facts.network, answer.state, [case]), solved.energised)
            if solved.unsettled:
                continue
            try:
                points = volts._points(answer.state, [case], solved)
            except NotAssessable:
                continue
            # above the nominal volts, as an alternator holds, a resistance takes more
            high = [points.across(e).max() for e, alive in solved.alive.items() if alive]
            share = max(1.0, *(volts / facts.design.aircraft.volts for volts in high))
            for source, found in paths.ways.items():
                for path in (path for path in found if paths._whole(source, solved, masks, path)):
                    for pendant, passages in ((paths.feeds, path.feed), (paths.returns, path.back)):
                        for i, along in (one for one in passages if one[0] in pendant):
                            amps = points.link_amps(i) * (1 if along else -1)
                            bound = math.fsum(most[e] for e in pendant[i].taking)
                            assert not (amps > share * bound + 1e-6).any(), (case, facts.network.links[i])
                            tried += 1
    assert tried > 100
