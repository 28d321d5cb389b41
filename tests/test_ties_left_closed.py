"""A trial never leaves a tie closed that the file keeps open; the lead of its coil is moved instead."""

from __future__ import annotations

from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.own_bus_coils import coil_leads
from reviewer.rulebook.trial_exchanges import coil_moved
from reviewer.rulebook.trial_judging import refused
from reviewer.rulebook.trial_repairs import contact_exchanged
from reviewer.rulebook.trial_ties import leaves_a_tie_closed
from reviewer.session import review_facts
from tests.rule_cases import RULES
from tests.test_repairs_that_hold import TIE

PICKS_UP = "relays-pick-up-without-the-bus-they-restore"
#: the same tie with its coil on the second bus, which it restores from the first
OWN_BUS = (
    TIE.replace('E: "bus >', 'E: "second-bus + breaker 2 A TIE >')
    .replace("master: down, tie-switch: up", "master: up, tie-switch: up")
    .replace("operation:", "functions: {talk: {any: 1, of: [radio], loss: major}}\noperation:")
)
CONTACT = "kind: make, joins: [line, load]"


def exchanged(text: str, name: str = "tie") -> tuple[Facts, Facts]:
    facts = Facts(read_text(text, "x"))
    change = contact_exchanged(name, facts.design)
    assert change is not None
    return facts, Facts(change.made_in(facts.as_written))


def test_a_tie_is_not_closed_at_rest_so_that_it_need_not_pick_up() -> None:
    facts, repaired = exchanged(OWN_BUS)
    assert not facts.states.answer("cruise").healthy.fed["parts/battery"][_bus("second-bus", facts)]
    assert repaired.states.answer("cruise").healthy.fed["parts/battery"][_bus("second-bus", repaired)]
    assert leaves_a_tie_closed(facts, repaired)
    (asking,) = review_facts(facts, Path("x"), [RULES[PICKS_UP]]).findings
    assert refused(asking, facts, repaired)


def _bus(name: str, facts: Facts) -> int:
    return next(iter(facts.network.nodes_of[f"parts/{name}"]))


def test_a_tie_that_is_drawn_closed_at_rest_may_be_exchanged() -> None:
    """It is open in flight then, and closed where its switch commands it."""
    facts, repaired = exchanged(TIE.replace(CONTACT, CONTACT.replace("make", "break")))
    assert not leaves_a_tie_closed(facts, repaired)


@pytest.mark.parametrize("kind", ["break", "make"])
def test_a_contact_before_a_dead_bus_may_be_exchanged(kind: str) -> None:
    """Nothing else feeds the bus: its relay is no tie."""
    text = TIE.replace('  B: "second-battery.positive > master > second-bus"\n', "")
    text = text.replace(CONTACT, CONTACT.replace("make", kind))
    text = text.replace("  master: {kind: switch, ", "  master: {kind: switch, unused: [line, load], ")
    assert not leaves_a_tie_closed(*exchanged(text))


def test_a_coil_lead_is_moved_to_the_bus_at_the_other_side_of_its_contact() -> None:
    review = review_facts(Facts(read_text(OWN_BUS, "x")), Path("x"), [RULES[PICKS_UP]])
    (asking,) = review.findings
    facts = Facts(read_text(OWN_BUS, "x"))
    (moved,) = coil_leads(asking, facts)
    assert moved.parts["E-breaker"].plugged_on == "bus"
    repaired = Facts(moved.made_in(facts.as_written))
    assert not review_facts(repaired, Path("x"), [RULES[PICKS_UP]]).findings
    assert not refused(asking, facts, repaired)


@pytest.mark.parametrize("charged", [True, False])
def test_what_a_relay_joins_that_never_picks_up_shows_everywhere(charged: bool) -> None:
    """A relay that only the charged bus picks up hangs on the bus that it is to charge: the battery there, its
    endurance and its alarms are of the lead of its coil."""
    text = OWN_BUS.replace("{kind: battery}", "{kind: battery, chemistry: lead-acid}")
    if charged:
        text = text.replace(
            "minus], contacts", "minus], pickup-voltage: 13.3 V, dropout-voltage: 12.9 V, contacts"
        )
        alternator = "  alternator: {kind: alternator, excitation: permanent-magnet}\ncircuits:\n"
        leads = '  X: "alternator.output > bus"\n  Y: "alternator.ground > ground"\n'
        text = text.replace("circuits:\n", alternator + leads).replace(
            "cruise: {", "cruise: {engine: running, "
        )
    facts = Facts(read_text(text, "x"))
    (asking,) = review_facts(facts, Path("x"), [RULES[PICKS_UP]], trials=False).findings
    trial = coil_moved("x", (asking,), facts)
    assert trial and (trial.place is None) is charged


#: an ignition that a switch brings to the main battery or to its reserve, each behind a fuse
CHANGEOVER = """
format: 1
aircraft: {name: Change-over, nominal: 14 V, airframe: composite, stage: concept}
parts:
  battery: {kind: battery}
  reserve: {kind: battery, purpose: reserve, dedicated-to: [box]}
  battery-fuse: {kind: fuse, rating: 7.5 A}
  reserve-fuse: {kind: fuse, rating: 7.5 A}
  feed: {kind: switch, transfer: break-before-make, positions: {main: [[main, common]], reserve: [[reserve, common]]}}
  box: {kind: load, current: 2 A}
  ground: {kind: ground-block}
wires:
  A1: {from: battery.positive, to: battery-fuse.line}
  A2: {from: battery-fuse.load, to: feed.main}
  A3: {from: battery.negative, to: ground.battery}
  R1: {from: reserve.positive, to: reserve-fuse.line}
  R2: {from: reserve-fuse.load, to: feed.reserve}
  R3: {from: reserve.negative, to: ground.reserve}
  I1: {from: feed.common, to: box.supply}
  I2: {from: box.return, to: ground.box}
functions: {spark: {any: 1, of: [box], loss: catastrophic}}
operation:
  normal: cruise
  states:
    cruise: {use: flight, engine: running, switches: {feed: main}}
    on-reserve: {like: cruise, use: ground, switches: {feed: reserve}}
watch:
  monitors: {volts: {shows: voltage, senses: battery.positive, displayed-on: box}}
  checks:
    main-alone: {state: cruise, watch: [box], expect: It runs., proves: [battery-fuse]}
    reserve-alone: {state: on-reserve, watch: [box], expect: It runs., proves: [reserve-fuse]}
"""
CROSSED = (
    CHANGEOVER.replace("[[main, common]]", "[[x, common]]")
    .replace("[[reserve,", "[[main,")
    .replace("[[x,", "[[reserve,")
)


def test_throws_that_are_exchanged_are_no_tie() -> None:
    """A throw closes in place of another; one that closes beside the other ties both batteries."""
    drawn, crossed = (Facts(read_text(text, "x")) for text in (CHANGEOVER, CROSSED))
    assert not leaves_a_tie_closed(crossed, drawn)
    both = CHANGEOVER.replace("main: [[main, common]]", "main: [[main, common], [reserve, common]]")
    assert leaves_a_tie_closed(drawn, Facts(read_text(both, "x")))


def test_crossed_throws_are_one_cause_of_the_checks_that_they_spoil() -> None:
    checks = "preflight-checks-detect-their-failures"
    for text, tried in ((CROSSED, ["Exchange the positions main and reserve of feed."]), (CHANGEOVER, [])):
        review = review_facts(Facts(read_text(text, "x")), Path("x"), list(RULES.values()))
        causes = [c for c in review.causes if checks in {f.rule for f in c.findings}]
        assert [c.tried for c in causes] == tried
        assert [sum(f.rule == checks for f in c.findings) for c in causes] == [2] * len(tried)
