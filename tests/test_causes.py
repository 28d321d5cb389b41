"""Findings gathered under causes: one repair each, none of two planted faults, the same for every order."""

from __future__ import annotations

import json
import math
import random
from dataclasses import replace
from functools import cache
from pathlib import Path
from textwrap import dedent
from types import SimpleNamespace
from typing import Any

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.model.review import (
    Assessment,
    Cause,
    Consequence,
    Finding,
    FindingEvidence,
    HazardClass,
    Review,
    Step,
)
from reviewer.network.work_count import work_done
from reviewer.reading import read_text
from reviewer.reports.page.context import _findings as page_findings
from reviewer.reports.review.cause_text import cause_text
from reviewer.reports.review.first_screen import first_screen
from reviewer.reports.review.json import as_json
from reviewer.reports.review.sarif import FINGERPRINT, as_sarif
from reviewer.reports.review.text import as_text
from reviewer.rulebook.causes import Tried, causes_of
from reviewer.rulebook.change_words import change_words
from reviewer.rulebook.loader import RuleNotLoadable, load_rules
from reviewer.rulebook.rewirings import Turned
from reviewer.rulebook.rule import Unmet
from reviewer.rulebook.runner import run_rules
from reviewer.rulebook.trial_judging import DrawnReview, judged
from reviewer.rulebook.trial_protection import protected
from reviewer.rulebook.trial_ways import _repairs
from reviewer.rulebook.trials import tried_repairs
from reviewer.session import review_facts
from tests.edits import REMOVE, Edits, edited
from tests.faults.planted import FAULTED, FAULTS, with_faults
from tests.faults.planted import findings as findings_of
from tests.reading.test_made_states import two_buses
from tests.reviewed_once import reviewed_once
from tests.rule_cases import ROOT, RULES, assess, design, parsed, text
from tests.test_six_aircraft import data_of, edits_of, with_fault
from tests.thinned import thinned
from tests.write_causes import OTHERS_FOLDER
from tests.write_committed import example_review

DESIGN = """\
format: 1
aircraft: {name: Test, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery}
  fuse: {kind: fuse, rating: 5 A}
  diode: {kind: diode}
  stud: {kind: stud}
  left: {kind: load}
  right: {kind: load}
wires:
  W1: {from: battery.positive, to: fuse.line}
  W2: {from: fuse.load, to: diode.anode}
  W3: {from: diode.cathode, to: left.supply}
  W4: {from: left.return, to: stud.left}
  W5: {from: right.return, to: stud.right}
"""


#: of the work of the review, more than any trial takes
UNLIMITED = math.inf


def finding(rule: str, subject: str, *changes: str, path: str = "", lost: str = "", **other) -> Finding:
    """A finding of a rule whose sentence says nothing."""
    pointers = tuple(path.split())
    return Finding(
        **{"sentence": "A sentence.", "hazard": HazardClass.MAJOR, **other},
        rule=rule,
        subject=subject,
        path=tuple(Step(p.partition("/")[2], "") for p in pointers),
        evidence=FindingEvidence(pointers, (), tuple(lost.split()), changes),
    )


def gathered(*findings: Finding) -> set[frozenset[str]]:
    """The rules of the findings of each cause; the order of the findings says nothing."""
    design = read_text(DESIGN, "x")
    groups = {frozenset(f.rule for f in c.findings) for c in causes_of(findings, design)}
    assert groups == {frozenset(f.rule for f in c.findings) for c in causes_of(findings[::-1], design)}
    return groups


def groups(*rules: str) -> set[frozenset[str]]:
    return {frozenset(names.split()) for names in rules}


def test_keys_of_one_bought_part_are_one_repair_and_keys_of_a_load_are_two() -> None:
    """A fuse of the wrong rating and kind is one new fuse; what is said of a load is not."""
    fuse = finding("a", "parts/fuse", "parts/fuse/rating"), finding("b", "parts/fuse", "parts/fuse/kind")
    assert gathered(*fuse) == groups("a b")
    load = finding("a", "parts/left", "parts/left/noise"), finding("b", "parts/left", "parts/left/peak")
    assert gathered(*load) == groups("a", "b")


def test_what_another_finding_leaves_as_the_only_repair_is_chosen_before_what_clears_more() -> None:
    """The fuse lies in all three paths; that the diode is reversed is certain."""
    by_fuse = finding("a", "parts/battery", "parts/fuse/isolation", "parts/diode/isolation")
    reversed_diode = finding("b", "parts/diode", "parts/diode/duty")
    other = finding("c", "parts/battery", "parts/fuse/isolation", "parts/left/feed")
    assert gathered(by_fuse, reversed_diode, other) == groups("a b", "c")
    assert gathered(by_fuse, other) == groups("a c")


def test_wires_alike_behind_one_point_are_one_repair_with_what_each_of_them_does() -> None:
    one = finding("thin", "wires/W4", "wires/W4/gauge", path="parts/battery parts/stud wires/W4")
    two = finding("thin", "wires/W5", "wires/W5/gauge", path="parts/battery parts/stud wires/W5")
    drop = finding("drop", "parts/right", "wires/W5/gauge")
    design = read_text(DESIGN, "x")
    assert len(causes_of([one, two, drop], design)) == 1
    elsewhere = replace(one, evidence=replace(one.evidence, path=("parts/fuse", "wires/W4")))
    assert len(causes_of([elsewhere, two, drop], design)) == 2


@pytest.mark.parametrize(("done", "causes"), [("feed", 1), ("driver", 2)])
def test_places_alike_are_one_repair_where_the_same_is_done_at_each(done: str, causes: int) -> None:
    """What a unit drives has another driver: that is no second feed for the wires that feed the unit."""
    path = "parts/battery parts/stud"
    one = finding("lost", "wires/W4", "parts/left/feed", path=f"{path} wires/W4")
    two = finding("lost", "wires/W5", f"parts/right/{done}", path=f"{path} wires/W5")
    assert len(causes_of([one, two], read_text(DESIGN, "x"))) == causes


def test_a_wire_next_to_a_shared_device_that_loses_the_same_is_one_with_it_and_one_further_on_is_not() -> (
    None
):
    stud = finding(
        "stud", "parts/stud", "parts/stud/second", path="parts/left wires/W4 parts/stud", lost="l r"
    )
    near = finding("near", "wires/W4", "wires/W4/check", lost="l")
    far = finding("far", "wires/W2", "wires/W2/check", lost="l")
    other = finding("other", "wires/W5", "wires/W5/check", lost="x")
    assert gathered(stud, near, far, other) == groups("stud near", "far", "other")


def test_a_tie_of_two_batteries_is_told_of_the_other_battery_before_the_alternator_beside_it() -> None:
    """What it does to the alternator is told where the tie leads to no battery."""
    design = read_text(
        DESIGN.replace("parts:", "parts:\n  spare: {kind: battery}\n  a-machine: {kind: alternator}"), "x"
    )
    tie = "parts/fuse/isolation"
    machine, battery = (
        replace(one, evidence=replace(one.evidence, elements=(f"parts/{into}",)))
        for into in ("a-machine", "battery")
        for one in [finding("a", "parts/spare", tie, path="parts/spare parts/fuse", extent=f"into {into}")]
    )
    for several in ([machine, battery], [battery, machine]):
        (cause,) = causes_of(several, design)
        assert cause.headline is battery
    (alone,) = causes_of([machine], design)
    assert alone.headline is machine


def test_what_names_no_change_is_one_cause_in_all_states_and_two_for_two_items() -> None:
    cruise, taxi = (finding("a", "parts/left", state=state) for state in ("cruise", "taxi"))
    assert len(causes_of([cruise, taxi], read_text(DESIGN, "x"))) == 1
    assert len(causes_of([cruise, replace(taxi, subject="parts/right")], read_text(DESIGN, "x"))) == 2


def test_the_worst_consequence_comes_first_then_the_class() -> None:
    findings = [
        finding("a", "parts/left", hazard=HazardClass.HAZARDOUS),
        finding("b", "parts/right", hazard=HazardClass.MINOR, consequence=Consequence.CAN_BURN),
        finding("c", "parts/fuse", hazard=HazardClass.MINOR),
    ]
    causes = causes_of(findings, read_text(DESIGN, "x"))
    assert [c.gravest.rule for c in causes] == ["b", "a", "c"]
    assert causes[0].identity == findings[1].identity and causes[0].consequence is Consequence.CAN_BURN


@pytest.mark.parametrize(
    ("rule", "case", "word"),
    [
        ("batteries-charge-at-their-specified-voltage", "unmet", "runs short"),
        ("batteries-charge-at-their-specified-voltage", "a regulator set too high boils the main battery", "can burn"),
        ("starters-stop-when-their-switch-is-released", "unmet", "on when not wanted"),
        ("circuit-protection-carries-its-normal-load", "unmet", "not there when wanted"),
    ],
)  # fmt: skip
def test_what_comes_of_a_finding_is_said_of_the_finding(rule: str, case: str, word: str) -> None:
    """A battery that is charged too little runs short; one that is charged too high can burn."""
    found = assess(rule, text(design(rule, case))).findings
    assert {f.consequence.word for f in found} == {word}


def test_within_a_consequence_and_a_class_what_loses_the_most_comes_first_then_what_shows_most() -> None:
    """The order of the file decides only between those that are alike in all of this."""
    alarm, other = finding("alarm", "parts/battery"), finding("other", "parts/stud")
    diode = [finding(rule, "parts/diode", "parts/diode/duty") for rule in ("reversed", "drain")]
    bus = finding("bus", "parts/fuse", lost="left right")
    design = read_text(DESIGN, "x")
    causes = causes_of([alarm, other, *diode, bus], design)
    assert [c.gravest.rule for c in causes] == ["bus", "drain", "alarm", "other"]
    causes = causes_of([other, alarm], design)
    assert [c.gravest.rule for c in causes] == ["other", "alarm"]


def test_what_comes_after_a_concession_stands_in_its_cause_and_keeps_its_identity() -> None:
    """Nobody accepted the later finding; the cause is still the one of the gravest."""
    design = read_text(DESIGN + CONCEDED, "x")
    accepted = finding("a", "parts/fuse", "parts/fuse/rating", conceded=design.concessions[0])
    later = finding("b", "parts/fuse", "parts/fuse/kind", hazard=HazardClass.MINOR)
    (before,), (after,) = causes_of([accepted], design), causes_of([accepted, later], design)
    assert (before.standing, after.standing) == ((), (later,))
    assert before.identity == after.identity == accepted.identity and after.hazard is HazardClass.MINOR


def test_every_report_calls_a_cause_by_one_number_and_by_what_nobody_conceded() -> None:
    """The first of three is conceded, of another its gravest finding."""
    design = read_text(
        DESIGN
        + CONCEDED.replace("]", ", {rule: c, subject: wires/W1, reason: So., by: owner, date: 2026-04-18}]"),
        "x",
    )
    of_a, of_c = design.concessions
    whole = finding("a", "parts/fuse", "parts/fuse/rating", hazard=HazardClass.HAZARDOUS, conceded=of_a)
    half = finding("c", "wires/W1", "wires/W1/gauge", hazard=HazardClass.HAZARDOUS, conceded=of_c)
    rest = finding("d", "wires/W1", "wires/W1/length", sentence="It is too long.")
    other = finding(
        "e", "parts/stud", "parts/stud/second", sentence="It is alone.", hazard=HazardClass.HAZARDOUS
    )
    found = (whole, half, rest, other)
    assessed = tuple(Assessment(f.rule, "", HazardClass.MAJOR, (), "", 1, (f,)) for f in found)
    made = Review("x", "X", "detailed", assessed, causes=causes_of(found, design))
    told = {1: other, 2: rest, 3: whole}
    assert {number: cause.headline for number, cause in made.numbered} == told
    screen = "\n".join(first_screen(made))
    assert "  1 It is alone." in screen and "  2 It is too long." in screen
    page = page_findings(SimpleNamespace(review=made))["causes"]
    assert [(number, cause.in_order[0]) for number, cause in page] == [(1, other), (2, rest)]
    assert "cause 2 of 3" in cause_text(made, 2) and "It is too long." in cause_text(made, 2)
    (entry,) = json.loads(as_json([made]))["reviews"]
    assert {c["number"]: c["headline"] for c in entry["causes"]} == {n: f.identity for n, f in told.items()}
    results = json.loads(as_sarif([made], "1"))["runs"][0]["results"]
    numbers = {r["partialFingerprints"][FINGERPRINT]: r["properties"]["causeNumber"] for r in results}
    assert numbers == {other.identity: 1, rest.identity: 2, half.identity: 2, whole.identity: 3}


CONCEDED = "concessions: [{rule: a, subject: parts/fuse, reason: It is., by: builder, date: 2026-04-18}]\n"


def test_every_rule_declares_what_comes_of_it_by_a_known_word(tmp_path) -> None:
    assert {r.consequence for r in RULES.values()} == set(Consequence)
    source = RULES["coils-are-suppressed"].path
    with open(source, encoding="utf-8") as file:
        text = file.read()
    (tmp_path / "own.py").write_text(text.replace('"to be corrected"', '"bad luck"'), encoding="utf-8")
    with pytest.raises(RuleNotLoadable, match=r'CONSEQUENCE that is one of .*, "can burn"'):
        load_rules([tmp_path], installed=False)


def test_protection_at_the_first_unprotected_wire_serves_those_behind_it_and_a_diode_put_right_needs_none() -> (
    None
):
    first = finding("a", "wires/W1", "wires/W1/protection", path="parts/battery wires/W1")
    behind = finding(
        "b", "wires/W2", "wires/W1/protection", "wires/W2/protection", path="parts/battery wires/W1 wires/W2"
    )
    beside = finding("c", "wires/W5", "wires/W4/protection", "wires/W5/protection", path="wires/W4 wires/W5")
    assert gathered(first, behind, beside) == groups("a b", "c")
    reversed_diode = finding("d", "parts/diode", "parts/diode/duty")
    past = finding("e", "wires/W3", "wires/W3/protection", path="parts/battery wires/W2 parts/diode wires/W3")
    assert gathered(reversed_diode, past) == groups("d e")


def faulted() -> tuple[tuple[Cause, ...], tuple[Finding, ...], Design]:
    review = example_review(FAULTED)
    assert not review.dropped_trials
    return review.causes, review.findings, read_text(FAULTED.read_text(encoding="utf-8"), "x")


def test_each_finding_of_the_faulted_tourer_is_in_one_cause_for_every_order() -> None:
    causes, findings, design = faulted()
    assert sorted(f.identity for c in causes for f in c.findings) == sorted(f.identity for f in findings)
    shuffled = random.Random(7).sample(findings, len(findings))
    as_found = {_members(c) for c in causes_of(findings, design)}
    assert {_members(c) for c in causes_of(shuffled, design)} == as_found


def names(told: tuple[Cause, ...], name: str) -> list[Cause]:
    """The causes in which a planted fault is told."""
    return [cause for cause in told if FAULTS[name].told(cause.findings)]


@cache
def reviewed(faults: frozenset[str], order: int = 0) -> Review:
    """The review of the sound tourer with some faults, its lines and the rules shuffled by ``order``."""
    data, rules = with_faults(name for name in FAULTS if name in faults), list(RULES.values())
    if not order:
        return reviewed_once(data)
    mix = random.Random(order)
    data = {
        **data,
        **{k: dict(mix.sample(list(data[k].items()), len(data[k]))) for k in ("parts", "wires")},
    }
    mix.shuffle(rules)
    review = review_facts(Facts(read_text(text(data), "x")), Path("x"), rules)
    assert not review.dropped_trials
    return review


TIED = frozenset({"changeover-that-ties", "diode-backwards"})


def test_a_diode_that_is_turned_round_in_the_network_takes_what_comes_of_it_along() -> None:
    """Alone, it makes 17 findings; a trial shows that volts, drain and overload are one with it."""
    causes = reviewed(frozenset({"diode-backwards"})).causes
    (diode,) = names(causes, "diode-backwards")
    rules = {f.rule for f in diode.findings}
    assert diode.headline.subject == "parts/charge-diode"
    assert {"loads-receive-their-minimum-voltage", "batteries-keep-their-charge-while-parked"} <= rules


@pytest.mark.parametrize("case", ["unmet", "all leads of the battery exchanged"])
def test_a_battery_in_reverse_takes_all_that_comes_of_it_along(case: str) -> None:
    """Whether every lead stands on the wrong post, or the two cables alone."""
    rule = "sources-have-the-right-polarity"
    sound, wrong = (
        review_facts(Facts(read_text(text(design(rule, name)), "x")), Path("x"), list(RULES.values()))
        for name in ("met", case)
    )
    known = {f.identity for f in sound.findings}
    told = [cause for cause in wrong.causes if any(f.identity not in known for f in cause.findings)]
    (battery,) = told
    assert battery is wrong.causes[0]
    assert battery.headline.rule == rule
    assert len(battery.findings) > 5


@pytest.mark.parametrize(
    ("case", "causes"),
    [("both feeds return by one block", 1), ("unmet", 2)],
    ids=["the block alone", "the bus too"],
)
def test_functions_that_one_ground_block_takes_are_one_cause_unless_what_feeds_them_takes_them_too(
    case: str, causes: int
) -> None:
    """A second block parts two returns; two loads on one bus have a second feed each."""
    rule = "major-functions-have-a-second-feed"
    drawn = text(design(rule, case))
    found = assess(rule, drawn).findings
    assert {f.subject for f in found} == {"functions/communication", "functions/lighting"}
    assert len(causes_of(found, read_text(drawn, "x"))) == causes


def of_aircraft(name: str, edits: Edits) -> tuple[Cause, ...]:
    """The causes of a sound example with some edits."""
    data = yaml.safe_load((ROOT / "examples" / f"{name}.design.yaml").read_text(encoding="utf-8"))
    facts = Facts(read_text(text(edited(data, edits)), "x"))
    return review_facts(facts, Path("x"), list(RULES.values())).causes


@pytest.mark.parametrize(
    ("name", "wire", "unit"),
    [
        ("sketch", "W57", "display"),
        pytest.param("tourer", "B52", "engine-monitor", marks=pytest.mark.long),
    ],
)
def test_both_feeds_on_one_terminal_are_one_cause_that_is_told_of_the_sources(
    name: str, wire: str, unit: str
) -> None:
    """The wire of the second feed on the terminal of the first joins main and reserve battery."""
    (cause,) = of_aircraft(
        name, {f"wires/{wire}/to": f"{unit}.supply-a", f"parts/{unit}/supplies": ["supply-a"]}
    )
    assert cause.headline.rule == "no-source-backfeeds-another"
    assert {"diodes-have-the-right-polarity", "buses-declared-dead-are-de-energised"} <= {
        finding.rule for finding in cause.findings
    }


#: aircraft, fault, and how many rules its one cause has findings of, or more: in the short run, and of those of the
#: long run every second
QUICK_REPAIRS: list[tuple[str, str, int]] = [
    ("small-generator", "battery-overcharged", 2),
    ("glider-two-batteries", "gear-switch-turned", 3),
    ("glider-two-batteries", "charge-diode-2-missing", 3),
    ("glider-two-batteries", "selector-joins-both", 3),
    ("small-generator", "engine-straps-gone", 5),
    ("small-generator", "p-lead-not-to-its-switch", 4),
    ("small-generator", "pump-behind-the-starter-button", 3),
]
SLOW_REPAIRS: list[tuple[str, str, int]] = [
    ("glider-two-batteries", "charge-diode-1-reversed", 4),
    ("glider-two-batteries", "charger-for-lead", 1),
    ("small-generator", "ignition-switch-ground-missing", 4),
    ("glider-two-batteries", "transponder-breaker-too-large", 2),
    ("injected-auto-pump", "coils-b-driven-by-lane-a", 8),
    ("injected-auto-pump", "both-pumps-on-the-battery-bus", 5),
    ("injected-auto-pump", "trip-above-the-battery-disconnect", 2),
    ("small-generator", "generator-wire-thin", 3),
    ("glider-two-batteries", "display-on-the-bus", 2),
    ("glider-two-batteries", "transponder-return-to-structure", 2),
    ("injected-auto-pump", "dimmer-without-ground", 3),
    ("injected-auto-pump", "trim-relays-on-one-contact", 2),
    ("injected-auto-pump", "change-over-relay-with-a-make-contact", 4),
    ("injected-auto-pump", "charge-lamp-in-series-with-the-control", 8),
]
ONE_REPAIR = [*QUICK_REPAIRS, *thinned(SLOW_REPAIRS, 2)]
#: drawings whose whole review is read here
REVIEWED_WHOLE = {(name, fault) for name, fault, _ in ONE_REPAIR}


@pytest.mark.parametrize(
    ("name", "fault", "rules"),
    [case if case in QUICK_REPAIRS else pytest.param(*case, marks=pytest.mark.long) for case in ONE_REPAIR],
)
def test_what_one_repair_puts_right_is_one_cause_in_other_aircraft(name: str, fault: str, rules: int) -> None:
    """A set point, a diode or switch turned round, a second feed, a trip, a breaker too large, a drive wire
    in the other computer, a lead of a magneto or a load, a contact, a ground, a feed of the control that is
    missing: none of them is a cause in the sound one."""
    (cause,) = reviewed_once(with_fault(name, fault)).causes
    assert len({finding.rule for finding in cause.findings}) >= rules


def test_missing_straps_are_one_cause_with_what_they_do_and_a_thin_wire_elsewhere_is_another() -> None:
    """The starter current returns through two thin leads; a strap of the trial puts all of it right."""
    data = data_of("small-generator", "design")
    planted = {fault["name"]: fault["edit"] for fault in data_of("small-generator", "faults")}
    for name in ("engine-straps-gone", "generator-wire-thin"):
        data = edited(data, edits_of(data, planted[name]))
    causes = review_facts(Facts(read_text(text(data), "x")), Path("x"), list(RULES.values())).causes
    strap, wire = (
        next(c for c in causes if rule in {f.rule for f in c.findings})
        for rule in ("structure-returns-have-low-resistance", "fuses-open-before-their-wire-overheats")
    )
    told = {(f.rule, f.subject) for f in strap.findings}
    assert {("cables-carry-the-starter-current", f"wires/{lead}") for lead in ("B5", "B6")} <= told
    assert ("noisy-returns-are-separate-from-instrument-grounds", "parts/starter") in told
    assert (
        "ground-leads-state-a-maximum-resistance",
        "wires/P1",
    ) in told  # no starter current passes it then
    assert "Run B5 from engine.strap-left to battery.negative, of 4 AWG." in strap.tried
    assert wire is not strap and not any(f.subject in ("wires/G2", "parts/generator") for f in strap.findings)


@pytest.mark.parametrize("cleared", [True, False])
def test_a_trial_claims_what_vanishes_and_names_the_place_if_it_clears_what_asks_for_it(
    cleared: bool,
) -> None:
    """The diode turned round: its own finding goes or stays, and with it what the trial claims."""
    asked = finding("a", "parts/diode", "parts/diode/duty")
    gone, stays = finding("b", "wires/W2"), finding("c", "wires/W3")
    told = {"a": [] if cleared else ["parts/diode"], "b": [], "c": ["wires/W3"]}
    rules = [
        replace(
            RULES["coils-are-suppressed"],
            name=name,
            subjects=lambda facts, own=subjects: own,
            judge=lambda subject, facts: [Unmet("It stays.")],
        )
        for name, subjects in told.items()
    ]
    tried = tried_repairs([asked, gone, stays], Facts(read_text(DESIGN, "x")), rules, UNLIMITED)
    assert tried.claimed == ({gone.identity: "parts/diode/isolation"} if cleared else {})


@pytest.mark.parametrize(
    ("on", "off", "moved", "repairs"),
    [
        ("pump", "", False, True),
        ("pump", "lamp", False, True),  # no more go than it is about
        ("pump", "radio lamp", False, False),
        ("", "pump", False, True),
        ("radio", "", True, False),
        ("", "", True, True),  # it may change a voltage
        ("", "", False, False),
    ],
)
def test_a_change_that_takes_more_than_it_gives_is_no_repair(
    on: str, off: str, moved: bool, repairs: bool
) -> None:
    turned = Turned(frozenset(on.split()), frozenset(off.split()))
    assert _repairs(turned, {"pump"}, moved) is repairs


@pytest.mark.parametrize(
    ("on", "off", "repairs"), [("", "pump", False), ("pump", "", True), ("pump", "pump", True)]
)
def test_what_is_missing_when_it_is_wanted_is_not_put_right_by_what_only_turns_it_off(
    on: str, off: str, repairs: bool
) -> None:
    """The coil of a tie, moved to an output that is off whenever the tie is wanted."""
    turned = Turned(frozenset(on.split()), frozenset(off.split()))
    assert _repairs(turned, {"pump"}, True, wanted=True) is repairs


def test_a_finding_that_another_of_its_rule_stands_for_has_not_vanished() -> None:
    """Of several alike one is told, and with the diode turned round it is another."""
    asked, alike = finding("a", "parts/diode", "parts/diode/duty"), finding("b", "wires/W2")
    for stands, gone in ((("wires/W2",), False), (("wires/W3",), True)):
        told = {"a": [], "b": [Unmet("It is alike.", elements=stands)]}
        rules = [
            replace(
                RULES["coils-are-suppressed"],
                name=name,
                subjects=lambda facts, own=unmet: ["wires/W5"] if own else [],
                judge=lambda subject, facts, own=unmet: own,
            )
            for name, unmet in told.items()
        ]
        tried = tried_repairs([asked, alike], Facts(read_text(DESIGN, "x")), rules, UNLIMITED)
        assert (alike.identity in tried.claimed) is gone


@pytest.mark.parametrize(
    ("moved", "searched", "cleared"),
    [
        ({"W44": "charge-fuse.load"}, False, True),
        ({"W44": "charge-fuse.load"}, True, True),
        ({"W42": "audio-panel.supply"}, False, False),
        ({"W22": "right-ignition.supply"}, False, False),
        ({"W22": "right-ignition.supply"}, True, False),
        ({"W22": "audio-panel.supply"}, False, False),  # it keeps a bus live that the smoke drill takes off
        ({"W22": "audio-panel.supply", "W32": "audio-panel.supply"}, False, False),
    ],
)
def test_a_repair_that_takes_charge_or_power_away_clears_nothing(
    moved: dict[str, str], searched: bool, cleared: bool
) -> None:
    """What is judged only of a battery that is charged vanishes with its charge, and the single failures
    that stop a function where nothing works; nor is it a repair to leave one of two ignitions without power
    for good, whoever asked for that change."""
    bench = yaml.safe_load((ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8"))
    del bench["watch"]["monitors"]["reserve-volts"]  # whose lead is one of those that are moved
    before, after = (
        read_text(json.dumps(one), "bench.json")
        for one in (bench, edited(bench, {f"wires/{wire}/to": to for wire, to in moved.items()}))
    )
    asked, other = finding("a", "parts/charge-fuse"), finding("b", "parts/reserve-battery")
    trial = SimpleNamespace(
        members=(asked,),
        may_clear=lambda one: True,
        searched=searched,
        change=SimpleNamespace(made_in=lambda design: after, sources=frozenset(), moved={}),
    )
    none = replace(RULES["coils-are-suppressed"], subjects=lambda facts: [])
    rules = [replace(none, name=name) for name in ("a", "b")]
    outcome = judged([trial], [other], DrawnReview((asked, other)), Facts(before), rules, UNLIMITED)
    assert (outcome is not None and outcome.gone == (other,)) is cleared


@pytest.mark.parametrize(
    ("end", "cleared"), [("starter-contactor.line", False), ("start-motor.supply", True)]
)
def test_a_warning_is_not_put_right_by_a_lead_from_elsewhere(end: str, cleared: bool) -> None:
    """A starter lamp on the battery side of the contactor is lit on every flight: an open lead shows then,
    and welded contacts do not."""
    base = ROOT / "tests" / "rules" / "bases" / "monitored.yaml"
    data = yaml.safe_load(base.read_text(encoding="utf-8"))
    before, after = (
        read_text(json.dumps(one), "x.json") for one in (data, edited(data, {"wires/W86/from": end}))
    )
    asked, other = finding("a", "watch/monitors/starter-engaged"), finding("b", "parts/start-lamp-fuse")
    trial = SimpleNamespace(
        members=(asked,),
        may_clear=lambda one: True,
        searched=True,
        change=SimpleNamespace(made_in=lambda design: after, sources=frozenset(), moved={}),
    )
    none = replace(RULES["coils-are-suppressed"], subjects=lambda facts: [])
    rules = [replace(none, name=name) for name in ("a", "b")]
    outcome = judged([trial], [other], DrawnReview((asked, other)), Facts(before), rules, UNLIMITED)
    assert (outcome is not None and outcome.gone == (other,)) is cleared


@pytest.mark.parametrize(
    ("consequence", "moved", "cleared"),
    [
        (Consequence.RUNS_SHORT, "field-breaker.load", False),
        (Consequence.RUNS_SHORT, "main-bus.other", True),
        (Consequence.ON_WHEN_NOT_WANTED, "field-breaker.load", True),
    ],
)
def test_a_load_is_not_put_right_by_taking_its_power(
    consequence: Consequence, moved: str, cleared: bool
) -> None:
    """A load whose wire moves behind a breaker that is pulled before start has no drop there, and no
    power; where it runs unasked that is what is wanted."""
    bench = yaml.safe_load((ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8"))
    bench["operation"]["states"]["before-start"] = {
        "like": "cruise",
        "use": "ground",
        "engine": "stopped",
        "pulled": ["field-breaker"],
    }
    before, after = (
        read_text(json.dumps(one), "bench.json") for one in (bench, edited(bench, {"wires/W50/from": moved}))
    )
    asked = replace(finding("a", "parts/audio-panel"), consequence=consequence)
    other = finding("b", "parts/audio-panel")
    trial = SimpleNamespace(
        members=(asked,),
        may_clear=lambda one: True,
        searched=False,
        change=SimpleNamespace(made_in=lambda design: after, sources=frozenset(), moved={}),
    )
    none = replace(RULES["coils-are-suppressed"], subjects=lambda facts: [])
    rules = [replace(none, name=name) for name in ("a", "b")]
    outcome = judged([trial], [other], DrawnReview((asked, other)), Facts(before), rules, UNLIMITED)
    assert (outcome is not None and outcome.gone == (other,)) is cleared


def test_a_field_that_nothing_feeds_is_fed_through_what_the_crew_can_open() -> None:
    design = """
        format: 1
        aircraft: {name: No field, nominal: 14 V, airframe: composite, stage: concept}
        parts:
          main-battery: {kind: battery, capacity: 18 Ah, chemistry: lead-acid}
          alternator: {kind: alternator, rating: 40 A}
          main-bus: {kind: bus}
          ground: {kind: ground-block}
          master: {kind: switch, positions: {down: [], up: [[line, load]]}, normal: up}
        circuits:
          feed: main-battery.positive > master.line
          bus: master.load > fuse 40 A > main-bus
          output: alternator.output > fuse 40 A > main-bus
          lamp: main-bus + breaker 5 A LAMP > lamp (2 A) > ground
          engine: main-bus + breaker 7.5 A ENGINE > engine-computer (5 A) > ground
          negative: main-battery.negative > ground
          frame: alternator.ground > ground
        functions: {engine: {any: 1, of: [engine-computer], loss: catastrophic}}
    """
    review = review_facts(Facts(read_text(dedent(design), "x")), Path("x"), list(RULES.values()))
    (uncharged,) = [c for c in review.causes if c.headline.rule == "batteries-are-charged-in-flight"]
    field = "to alternator.field, through a breaker and a switch of its own."
    assert uncharged.tried.startswith("Add a wire from ") and uncharged.tried.endswith(field)


def of_other(name: str, *faults: str) -> Review:
    """The review of an aircraft of the count of causes with some of its faults."""
    data = parsed(OTHERS_FOLDER / f"{name}.design.yaml")
    planted = {fault["name"]: fault["edit"] for fault in parsed(OTHERS_FOLDER / f"{name}.faults.yaml")}
    for fault in faults:
        data = edited(data, edits_of(data, planted[fault]))
    return review_facts(Facts(read_text(text(data), "x")), Path("x"), list(RULES.values()), trials=False)


def test_a_starter_that_runs_always_is_no_repair_of_one_whose_contacts_weld() -> None:
    """Its coil on the battery side, or its contacts closed at rest: nothing keeps it running then."""
    review = of_other("diesel-two-computers", "reserve-sense-lead-missing")
    assert not review.dropped_trials
    (welded,) = [c for c in review.causes if c.headline.subject == "parts/starter-contactor"]
    assert not welded.tried
    (fuse,) = [c for c in review.causes if c.headline.subject == "parts/reserve-sense-fuse"]
    assert fuse.tried == "Add a wire from reserve-battery.positive to reserve-sense-fuse.line."
    assert {f.subject for f in fuse.findings} >= {"watch/monitors/reserve-volts", "parts/reserve-battery"}


def test_a_resistor_puts_every_device_of_one_recharge_right_and_a_function_goes_with_those_that_it_needs() -> (
    None
):
    """The breaker and the fuse of one charging lead; the engine, its fuel and nothing of its ignition."""
    review = of_other("diesel-two-computers", "smoke-drill-turns-a-pump-off")
    rule = "flat-reserve-recharges-without-opening-its-protection"
    (recharge,) = [c for c in review.causes if rule in {f.rule for f in c.findings}]
    assert {f.subject for f in recharge.findings} == {"parts/charge-breaker", "parts/charge-fuse"}
    rule = "critical-functions-are-powered-in-every-flight-state"
    (dark,) = [c for c in review.causes if rule in {f.rule for f in c.findings}]
    assert {f.subject for f in dark.findings} >= {"functions/fuel", "functions/propulsion"}


def _rule(name: str, judge, subjects=("parts/diode",)):
    """A rule of its own for a trial."""
    return replace(
        RULES["coils-are-suppressed"], name=name, subjects=lambda facts: list(subjects), judge=judge
    )


def _repaired(facts: Facts) -> bool:
    """Whether the diode of the design stands the other way round."""
    return facts.design.wires["W2"].to == "diode.cathode"


def _met_when_repaired(subject: str, facts: Facts) -> list[Unmet]:
    return [] if _repaired(facts) else [Unmet("It stays.")]


@pytest.mark.parametrize("raised", [ZeroDivisionError, KeyError, RecursionError, SystemExit])
def test_a_rule_that_fails_in_a_trial_drops_the_trial_and_no_finding(raised: type[BaseException]) -> None:
    """All that it would have claimed stays where the evidence puts it, and the data say what failed."""

    def judge(subject: str, facts: Facts) -> list[Unmet]:
        if _repaired(facts):
            raise raised("no such network")
        return [Unmet("It stays.")]

    found = [finding("a", "parts/diode", "parts/diode/duty"), finding("c", "wires/W3")]
    found += [finding("b", "wires/W2")]
    met = _rule("c", _met_when_repaired, ("wires/W3",))
    rules = [_rule("a", _met_when_repaired), _rule("b", judge, ("wires/W2",)), met]
    tried = tried_repairs(found, Facts(read_text(DESIGN, "x")), rules, UNLIMITED)
    assert not tried.claimed
    (broken,) = tried.broken
    assert (broken.rule, broken.subject) == ("b", "wires/W2") and raised.__name__ in broken.error
    assert broken.trial == "Reverse diode: W3 on its anode, W2 on its cathode."
    (without,) = [tried_repairs(found, Facts(read_text(DESIGN, "x")), rules, UNLIMITED, {"b"})]
    assert set(without.claimed) == {found[1].identity} and not without.broken


def test_a_rule_that_does_not_end_in_a_trial_is_ended_and_the_review_stands(monkeypatch) -> None:
    def judge(subject: str, facts: Facts) -> list[Unmet]:
        while _repaired(facts):
            pass
        return [Unmet("It stays.")]

    monkeypatch.setattr("reviewer.rulebook.containment.RULE_SECONDS", 0.2)
    found = [finding("a", "parts/diode", "parts/diode/duty"), finding("b", "wires/W2")]
    rules = [_rule("a", _met_when_repaired), _rule("b", judge, ("wires/W2",))]
    tried = tried_repairs(found, Facts(read_text(DESIGN, "x")), rules, UNLIMITED)
    assert not tried.claimed and "TimeLimit" in tried.broken[0].error


def test_what_fails_while_a_trial_is_made_is_contained_too(monkeypatch) -> None:
    def made(*given):
        raise ArithmeticError("no change")

    monkeypatch.setattr("reviewer.rulebook.trial_repairs.turned", made)
    found = [finding("a", "parts/diode", "parts/diode/duty"), finding("b", "wires/W2")]
    rules = [_rule("a", _met_when_repaired), _rule("b", _met_when_repaired, ("wires/W2",))]
    tried = tried_repairs(found, Facts(read_text(DESIGN, "x")), rules, UNLIMITED)
    assert not tried.claimed and {"ArithmeticError" in b.error for b in tried.broken} == {True}


def test_a_trial_that_failed_is_said_in_every_report_and_changes_no_verdict(tmp_path) -> None:
    """A rule of somebody's own that fails where the straps of the trial are."""
    own = tmp_path / "own.py"
    own.write_text(BREAKS_IN_A_TRIAL, encoding="utf-8")
    rules = [r for r in RULES.values() if r.name in ("structure-returns-have-low-resistance",)]
    rules += load_rules([tmp_path], installed=False)
    facts = Facts(read_text(text(with_fault("small-generator", "engine-straps-gone")), "x"))
    review = review_facts(facts, Path("x"), rules)
    (broken,) = review.dropped_trials
    assert (
        not review.breakdowns and broken.rule == "own" and broken.trial.startswith("Run B5 from engine.strap")
    )
    assert {f.rule for f in review.findings} == {rule.name for rule in rules}
    assert not any(cause.tried for cause in review.causes)
    (entry,) = json.loads(as_json([review]))["reviews"]
    assert [error["trial"] for error in entry["rule_errors"]] == [broken.trial]
    assert entry["counts"]["rule_errors"] == 0
    assert "Rule error in a trial: 1 item of 1 rule" in as_text([review])
    run = json.loads(as_sarif([review], "1"))["runs"][0]["invocations"][0]
    assert run["executionSuccessful"]
    assert [n["level"] for n in run["toolExecutionNotifications"] if "exception" in n] == ["warning"]
    assert "RULE ERROR" not in "".join(first_screen(review))
    assert "1 trial repair ended in a rule error" in " ".join(first_screen(review))


BREAKS_IN_A_TRIAL = '''"""The engine has few wires.

Why: a rule that fails on a network that the file does not have.

How judged: by the number of wires.

Not covered: all else.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD, CONSEQUENCE = HazardClass.MINOR, "to be corrected"
CITATIONS = (("practice", "a rule of a test"),)
REMEDY = "None."


def subjects(facts: Facts):
    return ["parts/starter"]


def judge(subject: Subject, facts: Facts):
    strapped = facts.design.wires["B5"].to == "battery.negative"
    yield Unmet(f"It is few: {1 // (not strapped)}.")
'''


def test_trials_end_at_their_work_whatever_the_machine_and_what_they_claimed_stays(monkeypatch) -> None:
    """The limit is counted: the same with a clock that runs a thousand times as fast, and nothing at all
    without work."""
    facts = Facts(read_text(text(with_fault("small-generator", "engine-straps-gone")), "x"))
    begin = work_done()
    rules = list(RULES.values())
    review = review_facts(facts, Path("x"), rules, trials=False)
    reviewed_by = work_done() - begin
    assert any(cause.tried for cause in review.causes)
    assert review_facts(facts, Path("x"), rules, trials=False).causes == review.causes  # nothing solved anew
    none = tried_repairs(review.findings, facts, rules, 0.0)
    assert not none.claimed and not none.words
    begin = work_done()
    some = tried_repairs(review.findings, facts, rules, reviewed_by / 100)
    assert work_done() - begin < reviewed_by / 5
    monkeypatch.setattr("time.monotonic", lambda: 0.0)
    again = tried_repairs(review.findings, facts, rules, reviewed_by / 100)
    assert (some.claimed, some.words) == (again.claimed, again.words)


def test_a_switch_alone_behind_which_a_coil_hangs_is_not_bypassed_as_a_repair() -> None:
    """With the start button bridged nobody minds that it has no guard; a lead that hangs beside others is
    moved ahead of a contact, one for which the contact is there is not."""
    review = example_review(FAULTED)
    assert not any("start-button" in cause.tried for cause in review.causes)
    facts = Facts(read_text(text(with_fault("small-generator", "pump-behind-the-starter-button")), "x"))
    (cause,) = review_facts(facts, Path("x"), list(RULES.values())).causes
    assert cause.tried and "button" in cause.tried


def test_a_contactor_that_is_exchanged_so_that_nothing_works_is_no_repair() -> None:
    """Closed at rest it is open in flight: all single points of the engine vanish, and its power with them."""
    sketch = """
format: 1
aircraft: {name: Few parts, nominal: 14 V, airframe: composite, stage: concept}
parts:
  battery: {kind: battery}
  master: {kind: contactor, coil: [battery, coil-minus], contacts: {main: {kind: make, joins: [battery, load]}}}
  master-switch: {kind: switch, normal: up, positions: {down: [], up: [[coil, ground]]}}
  ground: {kind: ground-block}
  breaker: {kind: breaker}
  ignition: {kind: load, type: electronic}
wires:
  W1: {from: battery.positive, to: master.battery}
  W2: {from: master.load, to: breaker.line}
  W3: {from: breaker.load, to: ignition.supply}
  W4: {from: ignition.return, to: ground.a}
  W5: {from: master.coil-minus, to: master-switch.coil}
  W6: {from: master-switch.ground, to: ground.master}
  W7: {from: battery.negative, to: ground.battery}
functions:
  spark: {any: 1, of: [ignition], loss: catastrophic}
"""
    causes = review_facts(Facts(read_text(sketch, "x")), Path("x"), list(RULES.values())).causes
    assert not any("Exchange" in cause.tried for cause in causes)
    assert len([c for c in causes if c.headline.sentence.startswith("Single failure of ")]) >= 3


def test_what_was_tried_and_cleared_more_is_what_puts_it_right() -> None:
    """The words name wire and terminals; where no trial cleared more, the remedy of the headline stands."""
    facts = Facts(read_text(text(with_fault("glider-two-batteries", "variometer-ahead-of-the-master")), "x"))
    review = review_facts(facts, Path("x"), list(RULES.values()), trials=False)
    (cause,) = review.causes
    assert cause.repair.startswith("Move F7 from selector.common to ")
    shown = " ".join(cause_text(review, 1).split())
    assert f"-> {cause.repair}" in shown and f"remedy {cause.headline.remedy}" in shown
    assert f"-> {cause.repair}" in " ".join(" ".join(first_screen(review)).split())
    by_evidence, *_ = example_review(FAULTED).causes
    assert not by_evidence.tried and by_evidence.headline.remedy in by_evidence.repair


@pytest.mark.parametrize(("hazard", "apart"), [(HazardClass.MINOR, True), (HazardClass.CATASTROPHIC, False)])
def test_what_a_trial_has_joined_to_a_repair_is_not_told_under_a_lesser_finding(
    hazard: HazardClass, apart: bool
) -> None:
    """Two findings share a repair; a trial has joined the graver one to another repair, the other stays."""
    grave = finding("a", "parts/fuse", "parts/stud/second", hazard=HazardClass.CATASTROPHIC)
    beside = finding("b", "parts/left", "parts/stud/second", hazard=hazard)
    head = finding("c", "parts/battery", "parts/left/feed", hazard=HazardClass.CATASTROPHIC)
    tried = Tried(claimed={grave.identity: "parts/left/feed"})
    told = causes_of([grave, beside, head], read_text(DESIGN, "x"), tried)
    assert {frozenset(f.rule for f in cause.findings) for cause in told} == (
        groups("a c", "b") if apart else groups("a b", "c")
    )


def test_unprotected_wires_of_one_feeder_are_one_cause_through_the_pole_that_feeds_them() -> None:
    """A switch of two poles leads on by the pole of the feeder, not by the nearer one of another; the
    wires of another feeder are another cause."""
    data = yaml.safe_load((ROOT / "examples" / "sketch.design.yaml").read_text(encoding="utf-8"))
    rule = ["every-wire-is-protected-at-each-energised-end"]
    data = edited(data, {"parts/standby-fuse": {"kind": "stud"}})
    (cause,) = review_facts(Facts(read_text(text(data), "x")), Path("x"), [RULES[r] for r in rule]).causes
    assert {f.subject for f in cause.findings} == {"wires/W34", "wires/W35", "wires/W36"}
    data = edited(data, {"parts/display-fuse": {"kind": "stud"}})
    causes = review_facts(Facts(read_text(text(data), "x")), Path("x"), [RULES[r] for r in rule]).causes
    assert sorted(len(cause.findings) for cause in causes) == [3, 3]


def test_where_the_file_has_no_operation_repairs_that_need_it_are_not_tried() -> None:
    asked = finding("a", "wires/W2", "wires/W2/gauge")
    other = finding("b", "parts/left", "parts/left or right/feed", path="wires/W2")
    assert tried_repairs([asked, other], Facts(read_text(DESIGN, "x")), [], UNLIMITED) == Tried()


@pytest.mark.long
def test_what_is_found_or_solved_again_behind_a_cause_is_told_with_both_figures() -> None:
    """With the diode turned round the reserve still empties through the tie, later."""
    review = reviewed(TIED)
    (diode,) = names(review.causes, "diode-backwards")
    (again,) = [f for f in diode.solved_again if f.rule == "reserve-batteries-meet-their-required-endurance"]
    (drawn,) = [f for f in review.findings if f.identity == again.identity]
    (alone,) = [f for f in reviewed(TIED - {"diode-backwards"}).findings if f.identity == again.identity]
    assert again.sentence == alone.sentence != drawn.sentence
    number = next(n for n, cause in review.numbered if cause is diode)
    assert f"- {again.sentence}" in " ".join(cause_text(review, number).split())
    (_, before), (_, after) = drawn.numbers[0], again.numbers[0]
    assert before in drawn.sentence and f"With the repair at charge-diode: {after}." in drawn.sentence
    for shown in (as_json([review]), as_text([review]), json.dumps(as_sarif([review], "1"))):
        assert f"With the repair at charge-diode: {after}." in " ".join(shown.split())


@pytest.mark.long
def test_what_vanishes_only_with_two_repairs_names_both() -> None:
    """Each of them alone empties the reserve through the main bus."""
    causes = reviewed(TIED).causes
    shared = {f.rule for c in causes for f in c.findings if f.identity in c.shared}
    assert "reserve-batteries-meet-their-required-endurance" in shared
    holding = {c.identity for name in TIED for c in names(causes, name)}
    assert {i for c in causes if c.shared for i in (c.identity, *c.shared_with)} == holding
    for name in TIED:
        alone = {(f.rule, f.subject) for f in reviewed(frozenset({name})).findings}
        assert ("reserve-batteries-meet-their-required-endurance", "parts/reserve-battery") in alone


@pytest.mark.long
def test_the_order_of_parts_and_rules_changes_no_cause() -> None:
    causes, shuffled = (reviewed(TIED, order).causes for order in (0, 5))
    assert {_members(c) for c in causes} == {_members(c) for c in shuffled}
    assert [c.headline.identity for c in causes] == [c.headline.identity for c in shuffled]


@pytest.mark.long
@pytest.mark.parametrize("name", FAULTS)
def test_with_all_mended_but_one_its_cause_is_what_is_left(name: str) -> None:
    """One cause holds its finding, and all that it does elsewhere."""
    causes = reviewed(frozenset({name})).causes
    assert len(names(causes, name)) == len(causes) == 1


@cache
def found_in(faults: frozenset[str]) -> tuple[Finding, ...]:
    """The findings of the tourer with some of the faults."""
    done, _ = run_rules(list(RULES.values()), Facts(read_text(text(with_faults(faults)), "x")))
    return tuple(finding for assessment in done for finding in assessment.findings)


def told_of(told: tuple[Cause, ...], name: str) -> list[Cause]:
    """The causes in which a fault is told among all the others, which may mask what tells of it alone."""
    masked = FAULTS[name].told_masked
    return [c for c in told if any((f.rule, f.subject) == masked for f in c.findings)] or names(told, name)


@cache
def causes_left(faults: frozenset[str]) -> tuple[Cause, ...]:
    """The causes of the tourer with some of the faults; what rules cost bounds what is tried, so that they are
    run of new facts."""
    facts = Facts(read_text(text(with_faults(faults)), "x"))
    return review_facts(facts, Path("x"), list(RULES.values()), trials=False).causes


#: with the tie mended and the diode still reversed nothing charges the reserve, at any voltage
GONE_WITH = {"changeover-that-ties": {"reserve-wants-more-volts"}}
#: with both pumps on one breaker the main battery feeds pump B and injection B too: it lasts 26 min though loads are shed
TOLD_OF_ANOTHER = {"nothing-is-shed"}
ALL = frozenset(FAULTS)
MASKED = {name for name, fault in FAULTS.items() if fault.masked_by}
#: with their repair findings come to light: what the aircraft draws or is fed by is another then
COMES_TO_LIGHT = {
    *("one-pump-breaker", "changeover-that-ties", "shared-ignition-stud"),
    *("diode-backwards", "radios-on-one-bus", "tail-light-without-return"),
}
#: each of which something is said above or that others mask, and every second of the rest
TOLD_APART = {*COMES_TO_LIGHT, *GONE_WITH, *TOLD_OF_ANOTHER, *MASKED}
MENDED = sorted(TOLD_APART) + thinned([name for name in FAULTS if name not in TOLD_APART], 2)


@pytest.mark.long
@pytest.mark.parametrize("name", MENDED)
def test_mended_alone_its_cause_goes_what_goes_with_it_names_it_and_what_appears_was_announced(
    name: str,
) -> None:
    """No finding of another fault goes; where masked faults come to light, the review has said so."""
    causes, findings, _ = faulted()
    left = found_in(ALL - {name})
    masks = set(FAULTS[name].masked_by)
    unmasked = findings_of(ALL - {name} - masks, FAULTS[name].found["rule"]) if masks else left
    assert not FAULTS[name].told(unmasked)
    assert bool(FAULTS[name].told(left)) is (name in TOLD_OF_ANOTHER)
    for other in ALL - {name} - MASKED:
        assert bool(FAULTS[other].told(left)) is (other not in GONE_WITH.get(name, ())), other
    own, identities = told_of(causes, name), {f.identity for f in left}
    assert own
    known = {
        (f.rule, f.subject) for f in (*findings, *(f for c in own for f in (*c.hidden, *c.solved_again)))
    }
    appeared = {(f.rule, f.subject) for f in left} - known
    assert bool(appeared) is (name in COMES_TO_LIGHT)
    others = causes_left(ALL - {name}) if appeared else ()
    drawn, after = {c.repair for c in causes}, {c.repair for c in others}
    for cause in others:  # it is one that was told, or holds something of it or of what was announced
        assert cause.repair in drawn or any((f.rule, f.subject) in known for f in cause.findings)
    for cause in causes:
        gone = identities.isdisjoint(_members(cause)) and cause.repair not in after
        told_too = any(cause in names(causes, other) for other in GONE_WITH.get(name, ()))
        if gone and cause not in own and not told_too:
            assert {c.identity for c in own}.intersection(cause.shared_with), cause.headline.sentence


def _members(cause: Cause) -> tuple[str, ...]:
    return tuple(f.identity for f in cause.findings)


def test_a_reserve_keeps_the_load_at_which_it_is_tied_to_another_battery_and_is_charged_on() -> None:
    """The diode stands beyond that load, seen from the reserve."""
    (tie,) = names(faulted()[0], "changeover-that-ties")
    assert tie.tried == "Put a diode into B24, cathode to injection-b.supply."


def test_no_two_planted_faults_are_told_in_one_cause() -> None:
    causes, findings, _ = faulted()
    told = {name: {f.identity for f in fault.told(findings)} for name, fault in FAULTS.items()}
    for cause in causes:
        names = [name for name, own in told.items() if own & set(_members(cause))]
        assert len(names) <= 1, names
    assert len(causes) <= 1.3 * len(FAULTS)


@pytest.mark.long
@pytest.mark.parametrize("reversed_one", [True, False], ids=["reversed", "in place, its wire away"])
def test_a_diode_that_says_not_what_it_protects_is_turned_where_that_alone_is_wrong(
    reversed_one: bool,
) -> None:
    """No rule judges how it stands: a trial shows that turning it puts right the backfeed and the battery that
    is not charged. A charging wire that is away is no diode the wrong way round."""
    drawn = parsed(OTHERS_FOLDER / "motor-glider-two-reserves.design.yaml")
    turned_round = {"wires/C6/to": "charge-diode-2.cathode", "wires/C7/from": "charge-diode-2.anode"}
    gone = ["parts/charge-diode-2/protects", *([] if reversed_one else ["wires/C6"])]
    edits: dict[str, Any] = {REMOVE: gone, **(turned_round if reversed_one else {})}
    facts = Facts(read_text(text(edited(drawn, edits)), "x"))
    causes = review_facts(facts, Path("x"), list(RULES.values())).causes
    turned = [c for c in causes if c.tried == "Reverse charge-diode-2: C6 on its anode, C7 on its cathode."]
    assert len(turned) == reversed_one
    assert all({f.rule for f in c.findings} >= {"batteries-are-charged-in-flight"} for c in turned)


def test_two_unprotected_wires_of_one_bus_are_two_repairs_whatever_else_is_found_of_the_bus() -> None:
    """That a bus is a single point does not make protection in it one repair for all that hangs there; where
    the wire ahead is unprotected too, protection there serves both."""
    path = "parts/battery wires/W1 parts/stud"
    at = "wires/W1/protection", "parts/stud/protection"
    left = finding("a", "wires/W4", *at, "wires/W4/protection", path=f"{path} wires/W4")
    right = finding("b", "wires/W5", *at, "wires/W5/protection", path=f"{path} wires/W5")
    point = finding("c", "parts/stud", "parts/stud/second", lost="left right")
    assert gathered(left, right, point) == groups("a", "b", "c")
    ahead = finding("d", "wires/W1", "wires/W1/protection", path="parts/battery wires/W1")
    assert gathered(left, right, ahead) == groups("a b d")


@pytest.mark.parametrize("fed", [True, False])
def test_a_magneto_whose_switch_is_fed_and_not_grounded_is_one_cause(fed: bool) -> None:
    """Its p-lead is live, it is hot and its check proves nothing: one lead moved puts all right."""
    drawn = parsed(OTHERS_FOLDER / "magneto-and-electronic.design.yaml")
    lead = {"circuits/m2": "mag-switch.ground > 18 AWG 1.4 m > ignition-switch.line"}
    design = edited(drawn, lead) if fed else drawn
    causes = review_facts(Facts(read_text(text(design), "x")), Path("x"), list(RULES.values())).causes
    told = [c for c in causes if "parts/magneto" in {f.subject for f in c.findings}]
    assert [c.tried for c in told] == ["Move m2-1 from ignition-switch.line to magneto.ground."][: len(told)]
    rules = {"p-leads-are-fed-by-no-source", "magnetos-declared-silent-are-grounded"}
    assert [rules <= {f.rule for f in c.findings} for c in told] == [True] * fed


@pytest.mark.parametrize("crossed", [True, False])
def test_a_source_that_is_shorted_in_a_declared_state_is_one_cause_with_all_that_it_does_there(
    crossed: bool,
) -> None:
    """No volts are left for anything; without the short the same switch makes no cause of its own."""
    drawn = parsed(OTHERS_FOLDER / "magneto-and-electronic.design.yaml")
    down = {"parts/flap-switch/normal": "down", "parts/flap-switch/momentary": ["up"]}
    lights = (
        "lights-switch.load > 18 AWG 4.5 m > nav-lights (3 A, continuous, 9 to 16 V) > 18 AWG 4.5 m > ground"
    )
    known = {"parts/flap-motor/peak": "9 A", "circuits/l2": lights}
    design = edited(drawn, {**down, **known})
    sound, faulted = (
        review_facts(Facts(read_text(text(data), "x")), Path("x"), list(RULES.values()))
        for data in (
            design,
            edited(design, {"parts/flap-switch/positions/down": [["p1", "m2"], ["n2", "m2"]]}),
        )
    )
    before = {(f.rule, f.subject) for f in sound.findings}
    causes = [
        c
        for c in (faulted if crossed else sound).causes
        if {(f.rule, f.subject) for f in c.findings} - before
    ]
    assert [c.tried for c in causes] == [
        "In position down of flap-switch join n2 with m1 instead of m2."
    ] * crossed
    assert all(len(c.findings) > 20 for c in causes)


@pytest.mark.long
@pytest.mark.parametrize(
    ("fault", "rule", "tried"),
    [
        (
            "starter-ahead-of-its-contactor",
            "starters-have-power-only-while-their-engine-is-cranked",
            "Move s1-1 from starter-contactor.line to starter-contactor.load.",
        ),
        (
            "magneto-switch-upside-down",
            "magnetos-fire-in-normal-flight",
            "Exchange the positions off and on of mag-switch.",
        ),
        (
            "flap-switch-shorts",
            "no-switch-position-shorts-a-source",
            "In position down of flap-switch join n2 with m1 instead of m2.",
        ),
        ("set-point-low", "batteries-charge-at-their-specified-voltage", "Set regulator to 13.9 V."),
    ],
)
def test_what_follows_from_a_contact_or_a_set_point_is_in_the_cause_that_puts_it_right(
    fault: str, rule: str, tried: str
) -> None:
    """Of the sound drawing none of these is a cause; with the fault one is, and no two."""
    sound = parsed(OTHERS_FOLDER / "magneto-and-electronic.design.yaml")
    faults = parsed(OTHERS_FOLDER / "magneto-and-electronic.faults.yaml")
    (steps,) = (f["edit"] for f in faults if f["name"] == fault)
    one, other = (
        review_facts(Facts(read_text(text(data), "x")), Path("x"), list(RULES.values())).causes
        for data in (sound, edited(sound, edits_of(sound, steps)))
    )
    assert not any(f.rule == rule for cause in one for f in cause.findings)
    (own,) = (cause for cause in other if any(f.rule == rule for f in cause.findings))
    assert own.headline.rule == rule and own.tried == tried and len(own.findings) > 1


@pytest.mark.long
@pytest.mark.parametrize(
    ("rule", "tried", "other"),
    [
        (
            "standby-alternators-wait-and-take-over",
            "Set second-alternator to 13.9 V.",
            "alternator-loss-raises-an-alarm",
        ),
        (
            "monitors-are-connected-to-what-they-sense",
            "Move W44 from main-battery.positive to reserve-battery.positive.",
            "preflight-checks-detect-their-failures",
        ),
    ],
)
def test_a_set_point_and_a_sense_lead_are_one_cause_with_what_they_hide(
    rule: str, tried: str, other: str
) -> None:
    sound, faulty = (
        review_facts(Facts(read_text(text(design(rule, case)), "x")), Path("x"), list(RULES.values())).causes
        for case in ("met", "unmet")
    )
    (own,) = (cause for cause in faulty if any(f.rule == rule for f in cause.findings))
    assert own.tried == tried and other in {f.rule for f in own.findings}
    assert not any(cause.tried == tried for cause in sound)


_LEAD = {"from": "main-battery.positive", "gauge": "10 AWG", "length": "0.1 m"}
_CLOCK = {"kind": "load", "type": "electronic", "current": "0.1 A"}


@pytest.mark.long
@pytest.mark.parametrize(
    ("edits", "taken_off"),
    [
        ({"wires/tie": {**_LEAD, "to": "main-bus.tie"}}, True),
        (
            {
                "parts/clock": _CLOCK,
                "wires/clock-1": {**_LEAD, "to": "clock.supply"},
                "wires/clock-2": {**_LEAD, "from": "clock.return", "to": "main-ground.clock"},
            },
            False,
        ),
    ],
)
def test_a_wire_past_an_open_contactor_is_taken_off_and_the_only_feed_of_a_load_is_not(
    edits: Edits, taken_off: bool
) -> None:
    """Both keep something alive that is to be dead in smoke."""
    bench = parsed(ROOT / "tests" / "rules" / "bases" / "bench.yaml")
    data = edited(bench, edits)
    causes = review_facts(Facts(read_text(text(data), "x")), Path("x"), list(RULES.values())).causes
    assert any(c.tried.startswith("Take ") for c in causes) is taken_off


ESSENTIAL_BUS = OTHERS_FOLDER / "one-electronic-ignition"


@cache
def of_essential_bus(fault: str) -> list[Cause]:
    """The causes of an aircraft with one electronic ignition, or of it with a fault, that hold a finding which
    the drawing without it has not."""
    data = parsed(Path(f"{ESSENTIAL_BUS}.design.yaml"))
    planted = {entry["name"]: entry["edit"] for entry in parsed(Path(f"{ESSENTIAL_BUS}.faults.yaml"))}
    data = edited(data, edits_of(data, planted[fault])) if fault else data
    facts = Facts(read_text(text(data), "x"))
    causes = review_facts(facts, Path("x"), list(RULES.values()), trials=False).causes
    known = {(f.rule, f.subject) for c in of_essential_bus("") for f in c.findings} if fault else set()
    return [c for c in causes if any((f.rule, f.subject) not in known for f in c.findings)]


@pytest.mark.parametrize(
    ("fault", "tried", "findings"),
    [
        ("diode-reversed", "Reverse essential-diode: e1-1 on its anode, e2-1 on its cathode.", 2),
        ("master-ground-missing", "Add a wire from master-switch.ground to ground.c2.", 4),
        ("button-bypassed", "Move c11-1 from start-button.a to start-button.b.", 15),
        (
            "field-lead-missing",
            "Add a wire from alternator.field to field-switch.b.",
            11,
        ),
        (
            "alternate-fuse-missing",
            "Fit a breaker of 20 A between battery.positive and e3-1, within 6 in (0.15 m) of battery.positive.",
            4,
        ),
    ],
)
def test_a_dead_or_running_circuit_is_one_cause_with_the_lead_that_puts_it_right(
    fault: str, tried: str, findings: int
) -> None:
    """A function that is dead has no single point: that it has one once it works speaks against no repair."""
    (cause,) = (c for c in of_essential_bus(fault) if c.tried == tried)
    assert len(cause.findings) >= findings
    assert not any(c.tried == tried for c in of_essential_bus(""))


@pytest.mark.parametrize(
    ("fault", "causes"),
    [
        ("field-lead-missing", 1),
        ("master-ground-missing", 1),
        ("alternate-fuse-missing", 1),
        ("button-bypassed", 2),
        ("battery-reversed", 2),
    ],
)
def test_what_a_trial_has_joined_does_not_hold_back_what_lies_beside_it(fault: str, causes: int) -> None:
    """The master is a single point only as long as the alternator is dead. The last two have one more: the
    latent failure that the sound drawing tells of the battery is told of the master."""
    told = of_essential_bus(fault)
    assert len(told) == causes
    assert {f.subject for c in told[1:] for f in c.findings} <= {"parts/master"}


@pytest.mark.parametrize(
    ("size", "amps", "rating"), [("14 AWG", "4 A", "20 A"), ("20 AWG", "4 A", ""), ("18 AWG", "1 A", "10 A")]
)
def test_protection_that_is_put_in_fits_its_wire_and_carries_what_passes(
    size: str, amps: str, rating: str
) -> None:
    """AC 43.13-1B Table 11-3: a breaker of 20 A for 14 AWG, 10 A for 18 AWG and 7.5 A for 20 AWG. What does not
    carry the 8.5 A of ignition, pump and display is no repair."""
    drawn = parsed(Path(f"{ESSENTIAL_BUS}.design.yaml"))
    circuits = {
        "e3": f"battery.positive > {size} 1.6 m > alternate-switch.a",
        "e4": f"alternate-switch.b > {size} 0.3 m > essential-bus",
        "p2": f"pump-switch.b > 18 AWG 1.5 m > pump ({amps}, 9 to 32 V) > 18 AWG 0.8 m > ground",
    }
    facts = Facts(read_text(text({**drawn, "circuits": drawn["circuits"] | circuits}), "x"))
    done, _ = run_rules([RULES["every-wire-is-protected-at-each-energised-end"]], facts)
    repair = "wires/e3-1/protection"
    members = tuple(f for a in done for f in a.findings if repair in f.evidence.changes)
    trial = protected(repair, members, facts)
    told = [change_words(trial.change, facts.design)] if trial else []
    at = "battery.positive"
    fitted = f"Fit a breaker of {rating} between {at} and e3-1, within 6 in (0.15 m) of {at}."
    assert members and told == ([fitted] if rating else [])


_CRUISE = {
    name: "up" for name in ("master-switch", "field-switch", "ign-switch", "pump-switch", "light-switch")
}
_CRUISE |= {"alternate-switch": "down", "start-button": "rest"}
_SMOKE = {"master-switch": "down", "field-switch": "down", "alternate-switch": "up"}


@pytest.mark.parametrize("diode", [True, False])
def test_a_bus_that_its_essential_bus_backfeeds_has_a_diode_and_keeps_the_alternate_feed(diode: bool) -> None:
    """Without the alternate feed the main bus would be dead in smoke, and the ignition with it."""
    drawn = parsed(Path(f"{ESSENTIAL_BUS}.design.yaml"))
    states = {
        "cruise": {"use": "flight", "engine": "running", "switches": _CRUISE},
        "smoke": {"use": "abnormal", "like": "cruise", "switches": _SMOKE, "dead": ["main-bus"]},
    }
    gone: Edits = {
        "circuits/e1": "main-bus + breaker 15 A ESSENTIAL > 14 AWG 0.3 m > essential-bus",
        REMOVE: ["circuits/e2", "parts/essential-diode"],
    }
    data = edited({**drawn, "operation": {"states": states}}, {} if diode else gone)
    causes = review_facts(Facts(read_text(text(data), "x")), Path("x"), list(RULES.values())).causes
    rule = "buses-declared-dead-are-de-energised"
    tried = [c.tried for c in causes if any(f.rule == rule for f in c.findings)]
    assert tried == ([] if diode else ["Put a diode into e1-1, cathode to essential-bus.e1."])


def test_switches_without_a_dc_rating_are_one_cause_and_two_too_small_are_two() -> None:
    """Those of the wrong kind are bought anew, whatever each switches; of some that are too small each needs
    its own rating."""
    drawn = data_of("small-generator", "design")
    names = ("start-button", "strobe-switch", "pump-switch")
    ac: Edits = {
        REMOVE: [f"parts/{n}/rating" for n in names],
        **{f"parts/{n}/ac-rating": "10 A" for n in names},
    }
    small: Edits = {f"parts/{n}/rating": "1 A" for n in names}
    for edits, rule, causes in (
        (ac, "switches-have-a-dc-rating", 1),
        (small, "contacts-are-rated-for-their-loads", 3),
    ):
        facts = Facts(read_text(text(edited(drawn, edits)), "x"))
        review = review_facts(facts, Path("x"), [RULES[rule]])
        told = [c for c in review.causes if {f.subject.partition("/")[2] for f in c.findings} & set(names)]
        assert len(told) == causes
        if rule == "switches-have-a-dc-rating":
            wanted = {f.subject: f.remedy for f in told[0].findings}
            assert "DC rating of 2 A or more as pump-switch" in wanted["parts/pump-switch"]


@pytest.mark.parametrize(("minimum", "causes"), [("11 V", 1), ("10.1 V", 3)])
def test_loads_that_are_low_at_the_start_are_one_cause_where_their_battery_is_low(
    minimum: str, causes: int
) -> None:
    """A larger battery serves them all; where its terminals have enough each needs a feed of its own."""
    rule = "loads-keep-their-minimum-voltage-while-cranking"
    names = ("audio-panel", "left-ignition", "start-lamp")
    data = edited(design(rule, "met"), {f"parts/{name}/minimum": minimum for name in names})
    facts = Facts(read_text(text(data), "x"))
    told = review_facts(facts, Path("x"), [RULES[rule]], trials=False).causes
    assert {f.subject for c in told for f in c.findings} >= {f"parts/{name}" for name in names}
    assert len(told) == causes
    shown = "feed it from a battery other than" if causes == 1 else "by wires of its own"
    assert all(shown in cause.repair for cause in told)


@pytest.mark.parametrize("fault", ["light-run-thin", "essential-run-thin", "alternate-run-thin"])
def test_thin_wires_of_one_run_are_one_cause_whatever_their_sizes(fault: str) -> None:
    """Behind one device, before and behind a switch or diode, each found from another end."""
    (cause,) = of_essential_bus(fault)
    assert len(cause.findings) >= 2


def test_latent_failures_of_one_run_are_one_cause_and_those_of_two_legs_are_two() -> None:
    """A check that shows one of a run open shows all of it open; that of the other leg is another check."""
    legs = [
        (
            f"{wire}: {{from: {bus}, to: feed-{leg}.line}}",
            f"{wire}: {{from: {battery}.positive, to: breaker-{leg}.line}}\n"
            f"  {wire}b: {{from: breaker-{leg}.load, to: feed-{leg}.line}}",
        )
        for leg, wire, bus, battery in (
            ("a", "Z4", "bus.z4", "battery"),
            ("b", "Z7", "second-bus.z7", "second"),
        )
    ]
    breakers = (
        "parts:\n  breaker-a: {kind: breaker, rating: 25 A}\n  breaker-b: {kind: breaker, rating: 25 A}\n"
    )
    watch = "watch: {monitors: {volts: {shows: voltage, senses: bus.volts}}}\n"
    rule = RULES["latent-failures-cause-no-loss-with-one-more-failure"]
    drawn = two_buses(*legs, ("parts:\n", breakers)) + watch
    review = review_facts(Facts(read_text(drawn, "x")), Path("x"), [rule])
    told = [{f.subject for f in cause.findings} for cause in review.causes]
    for leg, wire in (("a", "Z4"), ("b", "Z7")):
        own = {f"parts/breaker-{leg}", f"parts/diode-{leg}", f"wires/{wire}"}
        assert [own & subjects for subjects in told if own & subjects] == [own], told


@pytest.mark.parametrize(
    ("fuse", "size", "sound"), [("15 A", "14 AWG", True), ("5 A", "16 AWG", True), ("15 A", "16 AWG", False)]
)
def test_a_run_fed_from_both_ends_is_told_the_size_that_both_devices_allow(
    fuse: str, size: str, sound: bool
) -> None:
    """AC 43.13-1B Table 11-3: 16 AWG allows a breaker of 15 A and a fuse of 10 A, 14 AWG a fuse of 15 A. What is
    told is then wired so: it clears both, and the size that the breaker alone needs does not."""
    rules = ["circuit-protection-fits-its-wire", "smaller-wire-downstream-stays-protected"]

    def found(gauge: str) -> list[Finding]:
        drawn = parsed(Path(f"{ESSENTIAL_BUS}.design.yaml"))
        feed = drawn["circuits"]["e3"]
        drawn_again = {
            "circuits/e1": f"main-bus + breaker 15 A ESSENTIAL > {gauge} 0.3 m > essential-diode.anode",
            "circuits/e2": f"essential-diode.cathode > {gauge} 0.3 m > essential-bus",
            "circuits/e3": feed.replace("fuse 15 A", f"fuse {fuse}"),
        }
        changed = {path: line for path, line in drawn_again.items() if line != drawn["circuits"][path[9:]]}
        facts = Facts(read_text(text(edited(drawn, changed)), "x"))
        done, _ = run_rules([RULES[name] for name in rules], facts)
        return [f for a in done for f in a.findings if "e1-1" in f.sentence or "e2-1" in f.sentence]

    told = [f.remedy for f in found("20 AWG") if f.subject == "parts/e1-breaker"]
    assert [f"Use {size} or larger for e1-1, e2-1" in remedy for remedy in told] == [sound]
    assert (found(size) == []) is sound


@pytest.mark.parametrize(
    ("master", "told"),
    [
        ("down", [{"functions/audio", "functions/generation"}]),
        ("up", [{"functions/audio"}, {"functions/generation"}]),
    ],
)
def test_what_an_alternator_alone_keeps_on_is_one_cause_with_it(master: str, told: list[set[str]]) -> None:
    """With the battery on the bus too the alternator off leaves it on."""
    bench = parsed(ROOT / "tests" / "rules" / "bases" / "bench.yaml")
    edits: Edits = {
        "functions/audio": {"any": 1, "of": ["audio-panel"], "loss": "minor"},
        "functions/generation": {"any": 1, "of": ["alternator"], "loss": "minor"},
        "parts/alternator/excitation": "self",
        "operation/states/smoke-drill": {
            **{"like": "cruise", "use": "abnormal", "switches": {"master": master}},
            "without": ["audio", "generation"],
        },
    }
    facts = Facts(read_text(text(edited(bench, edits)), "x"))
    found = run_rules([RULES["functions-declared-off-are-off"]], facts)[0][0].findings
    causes = causes_of(found, facts.design)
    assert sorted(({f.subject for f in c.findings} for c in causes), key=min) == told
    alone = "Switch alternator off in smoke-drill, or remove the function from `without`."
    assert [c.repair == alone for c in causes].count(True) == 1


def test_two_remedies_of_one_thing_are_two_steps_and_one_is_itself() -> None:
    """A contactor of which duty and rating are wrong."""
    duty, rating = (
        finding(key, "parts/fuse", f"parts/fuse/{key}", field=key, remedy=f"Mend the {key}.")
        for key in ("kind", "rating")
    )
    (both,), (one,) = (causes_of(found, read_text(DESIGN, "x")) for found in ((duty, rating), (duty,)))
    assert both.repair == "(1) Mend the kind. (2) Mend the rating." and one.repair == "Mend the kind."


def test_a_cause_whose_headline_does_not_say_why_it_stands_there_says_it_in_its_second_line() -> None:
    """A dead alternator, by which a wire can burn; the gravest comes before what else it does."""
    dead, wire, drop = (
        finding(rule, at, "parts/fuse/rating", sentence=said, hazard=hazard, consequence=consequence)
        for rule, at, said, hazard, consequence in (
            ("a", "parts/fuse", "It is dead.", HazardClass.MAJOR, Consequence.NOT_THERE_WHEN_WANTED),
            ("b", "wires/W1", "W1 burns.", HazardClass.MINOR, Consequence.CAN_BURN),
            ("c", "parts/left", "It is low.", HazardClass.MAJOR, Consequence.NOT_THERE_WHEN_WANTED),
        )
    )
    found = (dead, drop, wire)
    assessed = tuple(Assessment(f.rule, "", HazardClass.MAJOR, (), "", 1, (f,)) for f in found)
    made = Review("x", "X", "detailed", assessed, causes=causes_of(found, read_text(DESIGN, "x")))
    screen = first_screen(made)
    at = screen.index("  1 It is dead.")
    assert screen[at - 1].startswith("CAN BURN") and screen[at + 1].strip().startswith("Also: W1 burns.")


@pytest.mark.parametrize(("gauge", "of"), [("22 AWG", " of 5 A"), ("", ""), ("30 AWG", None)])
def test_a_wire_that_has_no_size_yet_is_tried_with_a_breaker_of_none(gauge: str, of: str | None) -> None:
    """AC 43.13-1B Table 11-3: a breaker of 5 A for 22 AWG; for 30 AWG it prints none."""
    lead = {"from": "main-battery.positive", "to": "audio-panel.supply", "length": "0.6 m"}
    lead |= {"gauge": gauge} if gauge else {}
    edits: Edits = {REMOVE: ["wires/W50", "parts/audio-breaker"], "wires/W51": lead}
    bench = edited(parsed(ROOT / "tests" / "rules" / "bases" / "bench.yaml"), edits)
    facts = Facts(read_text(text(bench), "x"))
    rules = [RULES["every-wire-is-protected-at-each-energised-end"]]
    (found,) = run_rules(rules, facts)[0][0].findings
    trial = protected("wires/W51/protection", (found,), facts)
    at = "main-battery.positive"
    words = [] if of is None else [f"Fit a breaker{of} between {at} and W51, within 6 in (0.15 m) of {at}."]
    assert ([change_words(trial.change, facts.design)] if trial else []) == words
    other = finding("other", "wires/W51", path=" ".join(found.evidence.path))
    drawn = DrawnReview((found, other))
    always = replace(rules[0], name="other", judge=lambda subject, facts: [])
    outcome = judged([trial], [other], drawn, facts, [*rules, always], UNLIMITED) if trial else None
    assert ([f.rule for f in outcome.gone] if outcome else []) == (["other"] if words else [])
