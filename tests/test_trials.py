"""Trial repairs that fail, and those after which a rule can no longer judge."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import islice
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import Assessment, Breakdown, Finding, FindingEvidence, Gap, HazardClass
from reviewer.reading import read_text
from reviewer.rulebook.asked_repairs import AskedRepair, TrialRepair
from reviewer.rulebook.causes import causes_of
from reviewer.rulebook.containment import Containment
from reviewer.rulebook.rule import Unmet
from reviewer.rulebook.runner import run_rules
from reviewer.rulebook.trial_judging import DrawnReview, TrialBroken, assessed_of, assessments, cleared
from reviewer.rulebook.trial_repairs import Change
from reviewer.rulebook.trial_ways import repairs_to_try
from reviewer.rulebook.trials import _RepairTrials, tried_repairs
from reviewer.rulebook.trials_at_once import MadeAtOnce
from reviewer.session import review_facts
from tests.edits import edited
from tests.rule_cases import RULES, text
from tests.test_six_aircraft import data_of, edits_of
from tests.write_causes import planted, sound

DESIGN = """\
format: 1
aircraft: {name: Test, nominal: 14 V, airframe: metal, stage: concept}
parts: {battery: {kind: battery}, lamp: {kind: load}}
wires: {W1: {from: battery.positive, to: lamp.supply}}
"""


def finding(rule: str, subject: str) -> Finding:
    return Finding(rule=rule, subject=subject, sentence="It is wrong.", hazard=HazardClass.MINOR)


@pytest.mark.parametrize(
    ("before", "later", "gone"),
    [
        ((), (), True),
        ((), ("wires/W2",), False),
        ((), ("",), False),
        (("wires/W2",), ("wires/W2",), True),  # it said nothing of it as drawn either
        (("",), ("", "wires/W2"), False),
        ((), ("parts/lamp",), False),  # the finding came of that subject
        ((), ("wires/W3",), True),
    ],
)
def test_what_a_rule_can_no_longer_judge_is_not_cleared(
    before: tuple[str, ...], later: tuple[str, ...], gone: bool
) -> None:
    lacks = {at: Gap("b", at, "a figure", HazardClass.MINOR) for at in (*before, *later)}
    found = replace(finding("b", "wires/W2"), judged="parts/lamp")
    assessment = Assessment("b", "", HazardClass.MINOR, (), "", 1, gaps=tuple(lacks[at] for at in later))
    drawn = DrawnReview((found,), tuple(lacks[at] for at in before))
    assert cleared([found], [assessment], drawn) == ((found,) if gone else (), [])


@pytest.mark.parametrize(
    ("judged", "again"),
    [("", {"wires/W1", "wires/W3"}), ("functions/light", {"wires/W1", "wires/W2", "wires/W3"})],
)
def test_a_trial_judges_again_what_it_is_about_and_what_was_in_order(judged: str, again: set[str]) -> None:
    """Of three wires two were found wanting as drawn, and the trial is about one of these. A rule that says of
    one subject what is wrong with another is asked of all."""
    asked, other = (replace(finding("b", f"wires/W{n}"), judged=judged) for n in (1, 2))
    drawn, seen = DrawnReview((asked, other, finding("c", "wires/W3"))), set[str]()

    def judge(subject, facts):
        seen.add(subject.pointer)
        return []

    rule = replace(
        RULES["every-wire-has-its-gauge-and-length"], name="b", subjects=lambda facts: facts.network.elements
    )
    drawing = DESIGN.replace("wires: {", "wires: {W2: {from: battery.negative, to: lamp.return}, ")
    drawing = drawing.replace("wires: {", "wires: {W3: {from: battery.negative, to: lamp.return}, ")
    facts = Facts(read_text(drawing, "x"))
    assessments(["b"], {"b": replace(rule, judge=judge)}, facts, math.inf, drawn, [asked])
    assert {pointer for pointer in seen if pointer.startswith("wires/")} == again
    seen.clear()
    assessed_of(asked, replace(rule, judge=judge), facts, drawn)
    assert {p for p in seen if p.startswith("wires/")} == ({"wires/W1"} if not judged else again)


def test_repairs_made_at_once_are_tried_again_where_one_of_them_fails(monkeypatch) -> None:
    """Without the rule that failed, and where none is known that did, each by itself."""
    found = [finding(f"r{n}", f"parts/p{n}") for n in range(3)]
    asked = [AskedRepair(f"parts/p{n}/feed", (one,), lambda: None) for n, one in enumerate(found)]
    trials = [TrialRepair(one.repair, None, one.members, (Change(),)) for one in asked]
    facts = Facts(read_text(DESIGN, "x"))
    for error, calls, alone in (("rule", 2, False), ("way", 1, True)):
        made: list[int] = []

        def at_once(*given, error=error, made=made):
            made.append(len(given[6]))
            if error == "rule" and len(made) == 1:
                raise TrialBroken([Breakdown("r0", "parts/p0", "it failed", "")])
            if error == "way":
                raise KeyError("no such wire")
            return MadeAtOnce((), {})

        monkeypatch.setattr("reviewer.rulebook.trials.made_at_once", at_once)
        with Containment() as containment:
            rules = [replace(RULES["coils-are-suppressed"], name=f"r{n}") for n in range(3)]
            all_trials = _RepairTrials(facts, rules, math.inf, containment, DrawnReview(tuple(found)))
            all_trials.left = list(found)
            monkeypatch.setattr(all_trials, "trial_of", lambda one: trials[asked.index(one)])
            all_trials.at_once(asked)
        assert len(made) == calls and len(all_trials.broken) == 1
        assert bool(all_trials.tried_at_once) is not alone


@pytest.mark.parametrize(
    ("wire", "end", "tried", "causes"),
    [
        ("M7/to", "engine-monitor.oil-temp-return", "Move M7 from {} to engine-monitor.shunt-low-in.", 1),
        ("S3/from", "starter-contactor.line", "Move S3 from {} to starter-contactor.coil-minus.", 1),
        pytest.param("M5/to", "panel-ground.new", "Take M5 off {}.", 2, marks=pytest.mark.long),
    ],
)
def test_a_lead_that_shorts_a_source_is_one_cause_with_all_that_the_short_does(
    wire: str, end: str, tried: str, causes: int
) -> None:
    """A lead of a shunt on a signal return that is joined with ground, or on a ground; taken off it leaves the
    ammeter without a lead. The ground lead of a coil on the contact beside it: no lead of the source is taken
    off for it."""
    data = edited(data_of("small-generator", "design"), {f"wires/{wire}": end})
    review = review_facts(Facts(read_text(text(data), "x")), Path("x"), list(RULES.values()), trials=False)
    first, *others = review.causes
    assert len(review.findings) > 25 and 1 + len(others) == causes and not review.dropped_trials
    assert "no-switch-position-shorts-a-source" in {f.rule for f in first.findings}
    assert first.tried == tried.format(end)


def test_what_shows_only_with_all_repairs_made_is_announced_with_the_one_that_clears_the_most() -> None:
    """Of all rules; one that fails there takes the others not along, and what was seen before is not new."""

    def repaired(facts: Facts) -> bool:
        return facts.design.wires["W1"].to == "battery.negative"

    def shown(subject: str, facts: Facts) -> list[Unmet]:
        return [Unmet("It shows.")] if repaired(facts) else []

    def fails(subject: str, facts: Facts) -> list[Unmet]:
        return [Unmet("It fails.")] if not repaired(facts) else [][1]

    known = finding("known", "parts/lamp")
    judges = {"known": shown, "new": shown, "fails": fails}
    rules = [
        replace(RULES["coils-are-suppressed"], name=name, subjects=lambda facts: ["parts/lamp"], judge=judge)
        for name, judge in judges.items()
    ]
    moved = Change({"W1": {"lamp.supply": "battery.negative"}})
    little, most = (TrialRepair(name, None, (known,), (moved,)) for name in ("little", "most"))
    with Containment() as containment:
        facts = Facts(read_text(DESIGN, "x"))
        trials = _RepairTrials(facts, rules, math.inf, containment, DrawnReview((known,)))
        trials.made, trials.claimed = [little, most], {"a": "most", "b": "little", "c": "most"}
        trials.hidden = {"little": (), "most": ()}
        trials.behind_all()
    assert [f.rule for f in trials.hidden["most"]] == ["new"] and not trials.hidden["little"]
    assert [broken.rule for broken in trials.broken] == ["fails"]


@pytest.mark.parametrize("reversed_one", [True, False])
def test_a_diode_is_turned_where_that_clears_what_asks_for_it_whatever_a_graver_finding_does(
    reversed_one: bool,
) -> None:
    """The graver one may stand on another path too; it alone asks for no diode to be turned."""
    facts = Facts(read_text(text(data_of("injected-auto-pump", "design")), "x"))
    diode = "parts/charge-diode"
    graver, own = (
        replace(finding(rule, diode), evidence=FindingEvidence(changes=(f"{diode}/{what}",)))
        for rule, what in (("graver", "isolation"), ("own", "duty"))
    )
    found = [graver, *([own] if reversed_one else [])]
    asked = repairs_to_try(found, [f"{diode}/isolation"] * len(found), facts)
    made = (a.make() for a in islice(asked, 9))  # before sources are kept apart
    trials = [one for one in made if one]
    assert [m.rule for t in trials for m in t.members] == (["own", "graver"] if reversed_one else [])


_CROSSED, _OPEN = "p-leads-crossed-between-engines", "ignition-switch-ground-open"
_EXCHANGED = (
    "Exchange I2 and I5: I2 on left-ignition-switch.right-p-lead, I5 on right-ignition-switch.right-p-lead."
)
_GROUNDED = "Add a wire from left-ignition-switch.ground to left-engine-left-magneto.ground."


@pytest.mark.parametrize(
    ("faults", "tried"),
    [
        ((_CROSSED,), [_EXCHANGED]),
        ((_OPEN,), [_GROUNDED]),
        pytest.param((_CROSSED, _OPEN), [_GROUNDED, _EXCHANGED], marks=pytest.mark.long),
    ],
)
def test_crossed_p_leads_and_an_open_ground_of_their_switch_are_two_causes(
    faults: tuple[str, ...], tried: list[str]
) -> None:
    """With the ground open, exchanging the leads alone leaves one magneto more hot: it is tried with the ground
    made too."""
    drawn = sound("twin-split-bus")
    for name in faults:
        drawn = edited(drawn, edits_of(drawn, planted("twin-split-bus")[name]))
    rules = [RULES["magnetos-declared-silent-are-grounded"], RULES["preflight-checks-detect-their-failures"]]
    facts = Facts(read_text(text(drawn), "x"))
    found = [finding for assessment in run_rules(rules, facts)[0] for finding in assessment.findings]
    causes = causes_of(found, facts.design, tried_repairs(found, facts, rules, math.inf))
    told = [cause for cause in causes if any("magneto" in f.subject for f in cause.findings)]
    assert sorted(cause.tried for cause in told) == tried


@pytest.mark.parametrize(
    ("faults", "told"),
    [
        (("p-leads-crossed",), [{"I1"}]),
        (("ignition-switch-grounds-removed",), [{"ground"}]),
        (("p-leads-crossed", "ignition-switch-grounds-removed"), [{"ground"}, {"I1"}]),
    ],
)
def test_crossed_p_leads_of_one_switch_without_a_ground_are_two_causes(
    faults: tuple[str, ...], told: list[set[str]]
) -> None:
    """Neither is right without the other: the states that a ground alone puts right tell them apart."""
    drawn = sound("magneto-metal")
    for name in faults:
        drawn = edited(drawn, edits_of(drawn, planted("magneto-metal")[name]))
    rules = [RULES["magnetos-declared-silent-are-grounded"], RULES["preflight-checks-detect-their-failures"]]
    facts = Facts(read_text(text(drawn), "x"))
    found = [finding for assessment in run_rules(rules, facts)[0] for finding in assessment.findings]
    causes = causes_of(found, facts.design, tried_repairs(found, facts, rules, math.inf))
    asked = [{c for f in cause.findings for c in f.evidence.changes} for cause in causes]
    leads = [{"I1"} & {c.split("/")[1] for c in own if c.startswith("wires/")} for own in asked]
    grounds = [{"ground"} if any(c.endswith("/ground") for c in own) else set() for own in asked]
    assert [lead or ground for lead, ground in zip(leads, grounds, strict=True)] == told
    assert all(len({f.subject for f in cause.findings if f.rule == rules[0].name}) == 2 for cause in causes)
