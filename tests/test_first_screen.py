"""The first screen of a review: at most 40 lines of 100 columns, the gravest causes with what puts them right."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from click.testing import CliRunner

from reviewer.analysis.not_assessable import A_STATE
from reviewer.cli.main import commands
from reviewer.model.estimates_tried import EstimatesTried, TurnedVerdict
from reviewer.model.review import (
    Assessment,
    Cause,
    Consequence,
    Finding,
    FindingEvidence,
    Gap,
    HazardClass,
    Place,
    Review,
)
from reviewer.reading import Unreadable, read_text
from reviewer.reports.layout import lines_of
from reviewer.reports.review import cause_lines
from reviewer.reports.review.cause_text import cause_text
from reviewer.reports.review.first_screen import first_screen
from reviewer.reports.review.fitted import fitted
from reviewer.reports.review.json import as_json
from reviewer.reports.review.problem_lines import as_lines
from reviewer.reports.review.questions_text import missing_text, question_words
from reviewer.reports.review.text import as_text
from reviewer.reports.wording import SHORT_CAUTION
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.missing_data import questions_of
from reviewer.rulebook.next_questions import next_questions
from reviewer.session import review_file
from tests.faults.planted import FAULTED
from tests.screens import as_screens
from tests.write_committed import EXAMPLES, ROOT, example_review

APPROVALS = re.compile(r"\b(safe|approved|compliant|airworthy|passed)\b", re.IGNORECASE)


def cause(number: int, hazard: HazardClass, consequence: Consequence, sentence: str = "") -> Cause:
    """A cause of one finding, whose sentence has four lines unless one is given."""
    words = sentence or f"Part {number} " + ", ".join(f"has a fault of kind {i}" for i in range(16)) + "."
    finding = Finding(
        rule="a", subject=f"parts/part-{number}", sentence=words, hazard=hazard, consequence=consequence,
        remedy=f"Mend part {number} " + "with care, " * 20 + "soon.", evidence=FindingEvidence(functions=("engine",)),
    )  # fmt: skip
    return Cause((finding,), finding)


def review(*causes: Cause, **other) -> Review:
    findings = tuple(f for c in causes for f in c.findings)
    assessed = Assessment("a", "A title.", HazardClass.MINOR, (), "A title.", 1, findings)
    return Review(**{"assessments": (assessed,), "stage": "detailed", **other}, file="x.yaml", aircraft="X", causes=causes)  # fmt: skip


LOST, ORDER = Consequence.LOST_AT_ONE_FAILURE, Consequence.TO_BE_CORRECTED


@pytest.mark.parametrize(
    "path",
    [pytest.param(p, marks=pytest.mark.long) if "faulted" in p.stem else p for p in EXAMPLES],
    ids=lambda p: p.stem,
)
def test_the_screen_of_each_example_fits_and_calls_nothing_good(path: Path) -> None:
    screen = first_screen(example_review(path))
    assert len(screen) <= 40 and max(map(len, screen)) <= 100
    assert not APPROVALS.search(" ".join(screen))
    assert "can still be wrong" in " ".join(screen)
    if not example_review(path).causes:
        assert "This is not an approval of the design." in " ".join(screen)


def test_the_least_margins_stand_beside_their_limits_where_no_cause_needs_the_lines() -> None:
    """Minutes of the main battery as `budget` has them; the loads and devices are those nearest to a limit."""
    sound = " ".join(first_screen(example_review(ROOT / "examples" / "tourer.design.yaml")))
    assert "Least margins: endurance on main-battery 31 min (required 30 min);" in sound
    assert re.search(
        r"primary-display [\d.]+ V in alternator-failed, battery discharged \(minimum 10 V\)", sound
    )
    causes = [cause(n, HazardClass.MAJOR, ORDER) for n in range(30)]
    assert "Margins of" not in " ".join(first_screen(review(*causes, margins="Margins of it.")))
    assert "Margins of it." in first_screen(review(causes[0], margins="Margins of it."))


def test_each_hazardous_cause_of_the_faulted_tourer_has_a_line_and_the_gravest_what_puts_it_right() -> None:
    causes, screen = example_review(FAULTED).causes, first_screen(example_review(FAULTED))
    for number, one in enumerate(causes, 1):
        own = [i for i, line in enumerate(screen) if line.startswith(f"{number:>3} ")]
        if one.hazard >= HazardClass.HAZARDOUS:
            (at,) = own
            assert any(line.startswith("    -> ") for line in screen[at + 1 : at + 3])
    # and what is wrong at all major ones but two, of which the first is named behind its consequence
    words = " ".join(" ".join(screen).split())
    major = [one for one in causes if one.hazard is HazardClass.MAJOR]
    only_named = [one for one in major if one.headline.sentence[:24] not in words]
    assert len(major) == 16 and len(only_named) == 2
    assert all(one.consequence is ORDER for one in only_named)


def test_a_verdict_that_turns_is_told_however_many_estimates_turn_it() -> None:
    many = tuple(f"current of load-{i} at {i} A" for i in range(9))
    turned = TurnedVerdict("a", "parts/x", "Wire W1 runs hot.", "major", True, ", ".join(many), many)
    text = " ".join(first_screen(review(estimates=EstimatesTried(many, ("all low",), 9, (turned,)))))
    assert "Not found with 9 estimates at other values: Wire W1 runs hot. (major)" in text


def test_a_cause_has_three_lines_at_most_and_those_that_do_not_fit_are_named() -> None:
    causes = [cause(n, HazardClass.MAJOR, ORDER) for n in range(60)]
    screen = first_screen(review(*causes[:30]))
    words = " ".join(" ".join(screen).split())
    assert len(screen) <= 40 and 0 < sum(line.startswith("    -> ") for line in screen) <= 8
    assert all(f" {n} {one.headline.sentence[:12]}" in words for n, one in enumerate(causes[:30], 1))
    screen = first_screen(review(*causes))
    assert len(screen) <= 40 and sum(line.startswith("    -> ") for line in screen) == 8
    assert any(re.match(r"    and \d+ more: \d+ part-\d+, ", line) for line in screen)


@pytest.mark.parametrize(("causes", "whole"), [(1, True), (29, False)])
def test_what_was_cut_of_a_cause_has_a_fourth_line_where_there_is_room(causes: int, whole: bool) -> None:
    made = [cause(n, HazardClass.MAJOR, ORDER, f"Part {n} has a fault.") for n in range(1, causes + 1)]
    screen = first_screen(review(*made))
    assert len(screen) <= 40
    assert any(line.endswith("soon.") for line in screen) is whole


def test_hazardous_causes_are_never_only_counted_while_they_fit_and_the_verdict_says_when_they_do_not() -> (
    None
):
    few = [cause(n, HazardClass.HAZARDOUS, LOST) for n in range(25)]
    many = [cause(n, HazardClass.MINOR, ORDER) for n in range(25, 60)]
    screen = first_screen(review(*few, *many))
    assert len(screen) <= 40 and all(any(x.startswith(f"{n:>3} ") for x in screen) for n in range(1, 26))
    assert "fit here" not in " ".join(screen)
    more = [cause(n, HazardClass.HAZARDOUS, LOST) for n in range(60)]
    crowded = first_screen(review(*more, *many))
    assert len(crowded) <= 40 and "Not all hazardous causes fit here: see --all." in " ".join(crowded)


def test_the_layout_takes_time_in_proportion_to_the_causes(monkeypatch: pytest.MonkeyPatch) -> None:
    fits = []
    monkeypatch.setattr(cause_lines, "fitted", lambda *how: fits.append(how) or fitted(*how))
    for number in (60, 240):
        fits.append([])
        first_screen(review(*(cause(n, HazardClass.MAJOR, ORDER) for n in range(number))))
    at = fits.index([], 1)
    assert len(fits) - at < 5 * at


@pytest.mark.parametrize(
    ("causes", "words"),
    [
        ([cause(1, HazardClass.CATASTROPHIC, LOST)], "1 cause means loss of engine by a single failure."),
        ([cause(n, HazardClass.MINOR, ORDER) for n in (1, 2)], "2 causes are to be corrected."),
        ([cause(1, HazardClass.MAJOR, Consequence.CAN_BURN)], "NOT READY TO WIRE. 1 cause can burn."),
        ([cause(1, HazardClass.MINOR, ORDER)], "MINOR FINDINGS. 1 cause is to be corrected."),
        ([], "No finding. This is not an approval of the design. Every item was assessed."),
    ],
)
def test_the_verdict_counts_causes_by_what_comes_of_them(causes: list[Cause], words: str) -> None:
    assert words in " ".join(first_screen(review(*causes)))


@pytest.mark.parametrize(
    ("behind", "words"),
    [
        ((0, 0), ""),
        ((1, 0), ""),  # no more than half of what is told
        ((1,), "1 more finding shows only with cause 1 repaired (--cause 1)."),
        ((1, 3), "4 more findings show only with causes 2 and 1 repaired (--cause 2)."),
        ((1, 1, 1, 1), "4 more findings show only with causes 1, 2, 3 and others repaired (--cause 1)."),
    ],
)
def test_the_verdict_says_what_comes_to_light_only_with_causes_repaired(
    behind: tuple[int, ...], words: str
) -> None:
    hidden = [cause(100 + n, HazardClass.MINOR, ORDER).headline for n in range(sum(behind))]
    causes = []
    for n, number in enumerate(behind):
        own, hidden = hidden[:number], hidden[number:]
        causes.append(replace(cause(n, HazardClass.MINOR, ORDER), hidden=tuple(own)))
    said = " ".join(first_screen(review(*causes)))
    assert words in said if words else "more finding" not in said


def test_two_keys_of_one_part_are_put_right_together() -> None:
    first = replace(cause(1, HazardClass.MAJOR, ORDER, "It resets.").headline, field="reset", remedy="Fit A.")
    other = replace(first, rule="b", field="rating", remedy="Fit it smaller.")
    elsewhere = replace(first, rule="c", subject="parts/y", field="gauge", remedy="Not this.")
    screen = first_screen(review(Cause((first, other, elsewhere), first)))
    assert "    -> (1) Fit A. (2) Fit it smaller." in screen


def test_a_cause_that_loses_no_named_function_is_told_of_a_critical_one() -> None:
    nameless = cause(1, HazardClass.CATASTROPHIC, LOST).headline
    nameless = replace(nameless, evidence=FindingEvidence())
    assert "loss of a critical function by" in " ".join(first_screen(review(Cause((nameless,), nameless))))


@pytest.mark.parametrize("end", ["12.12 V.", "MASTER."])
def test_no_empty_line_stands_within_a_finding(end: str) -> None:
    """A line of a sentence may be in capitals; only a heading has an empty line over it."""
    begins = "Alarm of reserve-battery comes when more than half of its charge is gone: below 12 V, minimum"
    long = cause(1, HazardClass.MAJOR, ORDER, f"{begins} {end}").headline
    told = replace(long, remedy="Mend it.")
    screen = first_screen(review(Cause((told,), told)))
    at = screen.index(f"  1 {begins}")
    assert screen[at - 2 : at] == ["", f"{ORDER.word.upper()} (1 major)"]
    assert screen[at + 1 : at + 3] == [f"    {end}", "    -> Mend it."]


def test_what_is_wholly_conceded_is_told_as_that_and_as_no_approval() -> None:
    one = cause(1, HazardClass.MINOR, ORDER)
    accepted = read_text(CONCEDED, "x").concessions[0]
    conceded = Cause((replace(one.headline, conceded=accepted),), replace(one.headline, conceded=accepted))
    screen = " ".join(first_screen(review(conceded)))
    assert (
        "No finding beyond 1 conceded cause. This is not an approval" in screen and "IN ORDER" not in screen
    )


CONCEDED = """\
format: 1
aircraft: {name: X, nominal: 14 V, airframe: metal, stage: concept}
parts: {battery: {kind: battery}, fuse: {kind: fuse}, lamp: {kind: load}}
wires:
  W1: {from: battery.positive, to: fuse.line}
  W2: {from: fuse.load, to: lamp.supply}
concessions:
  - {rule: a, subject: parts/part-1, reason: It is., by: builder, date: 2026-04-18}
"""


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("A short one.", ["A short one."]),
        ("The pump stops. It is not recoverable in any way known here.", ["The pump stops."]),
        ("Failure of bus loses all of it: pump, lamp, heater, radio.", ["Failure of bus loses all of it."]),
        ("It feeds one, two, three, four, five, six, seven, eight.", ["It feeds one, two, three, four ..."]),
        ("Fit a breaker, or 7 A within 6 in (0.15 m) of the bus.", ["Fit a breaker, or 7 A within 6 in ..."]),
        ("A smoke state has `use: on`, `engine: running`, and more.", ["A smoke state has `use: on` ..."]),
    ],
)
def test_a_sentence_is_cut_where_a_clause_ends(text: str, cut: list[str]) -> None:
    assert fitted(text, 38, 1, 0) == cut


def test_missing_data_are_asked_for_by_kind_of_item_the_gravest_first() -> None:
    design = read_text(CONCEDED.replace("stage: concept", "stage: detailed"), "x")
    gaps = [
        Gap("one", "parts/fuse", "`rating` of fuse", HazardClass.MINOR),
        Gap("two", "wires/W1", "`gauge` of W1 and `rating` of fuse", HazardClass.HAZARDOUS),
        Gap("three", "", "`functions`: what must survive", HazardClass.MAJOR),
        Gap("four", "", "`gauge` of the wires that carry returns", HazardClass.MAJOR),
        Gap("five", "", "`insulation` in `aircraft.wire`, or of each wire", HazardClass.MAJOR),
    ]
    asked = {q.kind: q for q in questions_of(gaps, design)}
    assert (asked["fuse"].rules, asked["fuse"].keys, asked["fuse"].items) == (2, ("rating",), ("parts/fuse",))
    assert asked["wire"].items == ("wires/W1", "wires/W2")
    assert [q.rules for q in questions_of(gaps, design)] == [2, 2, 1, 1]
    assert asked["section"].keys == ("functions",) and asked["all wires"].items == ("aircraft/wire",)
    concept = questions_of(gaps, read_text(CONCEDED, "x"))
    assert [(q.kind, q.rules) for q in concept] == [("circuit protection", 1), ("section", 1)]


@pytest.mark.parametrize(("stage", "most"), [("concept", 10), ("detailed", 15)])
def test_a_concept_is_asked_ten_questions_at_most_and_none_for_a_minor_rule(stage: str, most: int) -> None:
    design = read_text(CONCEDED.replace("stage: concept", f"stage: {stage}"), "x")
    needs = "the state of drill {}: `use: ground`"
    gaps = [Gap(f"r{n}", "", needs.format(n), HazardClass.MAJOR, lacks=A_STATE) for n in range(15)]
    assert len(questions_of(gaps, design)) == len(next_questions(gaps, design, CONCEDED.split("\n"))) == most
    minor = [Gap("label", "parts/fuse", "`rating` of fuse", HazardClass.MINOR)]
    assert bool(questions_of(minor, design)) is (stage == "detailed")


def test_the_air_of_zones_is_asked_of_zones_and_of_no_part() -> None:
    """Without zones once, else of each zone whose air is not known."""
    zones = "zones: {nose: {hazards: [exhaust]}, cabin: {max-ambient: 50 C}}, stage: detailed"
    bare = read_text(CONCEDED.replace("stage: concept", "stage: detailed"), "x")
    some = read_text(CONCEDED.replace("stage: concept", zones), "x")
    each, named = (
        [Gap("a", "wires/W1", needs, HazardClass.MAJOR)]
        for needs in (
            "`aircraft.zones` with the `max-ambient` air of each",
            "`max-ambient` of cabin and nose in `aircraft.zones`",
        )
    )
    asked = [(q.kind, q.keys, q.items) for q in questions_of(each, bare)]
    assert asked == [("aircraft", ("zones",), ("aircraft",))]
    of_nose = [("zone", ("max-ambient",), ("aircraft/zones/nose",))]
    assert [(q.kind, q.keys, q.items) for q in questions_of(each, some)] == of_nose
    assert [(q.kind, q.keys, q.items) for q in questions_of(named, some)] == of_nose
    wire = [
        Gap("a", "wires/W1", "`zone` of W1, and its `max-ambient` in `aircraft.zones`", HazardClass.MAJOR)
    ]
    assert {q.items for q in questions_of(wire, some)} == {("wires/W1",), ("aircraft/zones/nose",)}


LACKING = """\
format: 1
aircraft: {name: X, nominal: 14 V, airframe: metal, stage: detailed}
circuits:
  feed: battery.positive > 18 AWG 0.4 m > switch 5 A LAMP > lamp (1 A) > battery.negative
parts:
  battery: {kind: battery, capacity: 16 Ah}
  other: {kind: battery, chemistry: lead-acid}
  display: {kind: instrument, inputs: {volts: {signal: volts-in}, oil: {signal: oil-in, resistance: 1 kohm}}}
wires:
  W1: {from: other.positive, to: display.volts-in, gauge: 20 AWG}
  W2: {from: other.negative, to: display.return, gauge: 20 AWG, length: 1 m}
"""


def asked_of(needs: str, subject: str = "", *lacks: tuple[str, str]) -> dict[str, tuple[str, ...]]:
    """Key -> items that are asked for it, as the text for the file has them."""
    gap = Gap("a", subject, needs, HazardClass.MINOR, None, lacks)
    asked: dict[str, tuple[str, ...]] = {}
    for question in questions_of([gap], read_text(LACKING, "x")):
        for at in _leaves(yaml.safe_load(question.snippet)):
            item, _, key = at.rpartition("/")
            asked[key] = (*asked.get(key, ()), item)
    return asked


def _leaves(data: dict, at: str = "") -> list[str]:
    below = [(f"{at}/{key}".lstrip("/"), value) for key, value in data.items()]
    return [x for here, value in below for x in (_leaves(value, here) if value else [here])]


def test_nobody_is_asked_for_what_stands_in_the_file() -> None:
    assert asked_of("`gauge` and `length` of W1 and W2") == {"length": ("wires/W1",)}
    assert asked_of("`chemistry` and `capacity` of battery", "parts/other") == {
        "chemistry": ("parts/battery",)
    }
    assert asked_of("`length` of the wires that carry returns", "wires/W2")["length"][0] == "wires/W1"
    assert "wires/W2" not in asked_of("`length` of the wires that carry returns", "wires/W2")["length"]
    assert asked_of("`capacity` of battery") == {}


def test_a_key_is_asked_of_the_items_of_its_own_clause() -> None:
    both = asked_of("`chemistry` of battery, `length` and `resistance` of W1, `capacity` of other")
    assert both["chemistry"] == ("parts/battery",) and both["capacity"] == ("parts/other",)
    assert both["length"] == both["resistance"] == ("wires/W1",)
    assert asked_of("`length` or `resistance` of W1") == {"length": ("wires/W1",)}


def test_a_key_of_a_zone_is_asked_of_the_zone() -> None:
    needs = "`wet` of the zone panel under `aircraft`, which holds battery and display"
    assert asked_of(needs)["wet"] == ("aircraft/zones/panel",)
    gap = Gap("a", "", needs, HazardClass.MINOR, None)
    (question,) = questions_of([gap], read_text(LACKING, "x"))
    assert yaml.safe_load(question.snippet) == {"aircraft": {"zones": {"panel": {"wet": None}}}}


def test_what_a_rule_knows_to_lack_a_key_is_asked_for_it_and_nothing_else() -> None:
    """An input of an instrument, and not every wire for its resistance."""
    volts, oil = ((f"parts/display/inputs/{key}", "resistance") for key in ("volts", "oil"))
    needs = "`resistance` of input volts of display"
    assert asked_of(needs, "parts/other", volts, oil) == {"resistance": ("parts/display/inputs/volts",)}
    gap = Gap("a", "", needs, HazardClass.MINOR, None, (volts,))
    (question,) = questions_of([gap], read_text(LACKING, "x"))
    pasted = {"parts": {"display": {"inputs": {"volts": {"resistance": None}}}}}
    assert yaml.safe_load(question.snippet) == pasted
    assert " of input volts of display" in question_words(question, replace(review(), assessments=()), 90)


def test_an_input_without_its_resistance_is_asked_for_by_name(tmp_path: Path) -> None:
    starter = (ROOT / "reviewer" / "starter.design.yaml").read_text(encoding="utf-8")
    text = starter.replace("volts-in, resistance: 100 kohm, ", "volts-in, ")
    assert text != starter
    (tmp_path / "x.yaml").write_text(text, encoding="utf-8")
    rules = [
        r
        for r in load_rules([ROOT / "rules"], installed=False)
        if r.name == "batteries-keep-their-charge-while-parked"
    ]
    made = review_file(tmp_path / "x.yaml", rules)
    assert [q.items for q in made.questions] == [("parts/engine-monitor/inputs/reserve-volts",)]


def test_what_a_path_makes_is_asked_for_in_its_path() -> None:
    """What is told stands in a comment, with its line; added to the path, the design has it."""
    gaps = [
        Gap("a", "", "`gauge` and `length` of feed-2", HazardClass.MINOR),
        Gap("a", "", "`resistance`, `accessible-from` and `contacts` of feed-switch", HazardClass.MINOR),
    ]
    asked = {q.kind: q.snippet for q in questions_of(gaps, read_text(LACKING, "x"))}
    assert all(yaml.safe_load(snippet) is None for snippet in asked.values())
    for snippet in asked.values():
        assert snippet.startswith("# line 4, in the path of feed, ")
    wire, switch = (re.findall(r"as `(.*)`", asked[kind])[0] for kind in ("wire", "switch"))
    told = LACKING.replace("LAMP > lamp", f"LAMP ({switch}) > {wire} > lamp")
    after = read_text(told, "x")
    assert after.wires["feed-2"].gauge and after.wires["feed-2"].length
    assert after.parts["feed-switch"].resistance and after.parts["feed-switch"].accessible_from


@pytest.mark.parametrize("name", ["first", "sketch"])
def test_what_is_pasted_has_the_places_of_the_file_and_every_value_open(name: str) -> None:
    """The snippet is YAML; added to the file, no key is refused, and an open value states nothing."""
    path = ROOT / "examples" / f"{name}.design.yaml"
    for question in example_review(path).questions:
        added = yaml.safe_load(question.snippet)
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
        _merge(data, added)
        before = read_text(path.read_text(encoding="utf-8"), "x")
        try:
            after = read_text(yaml.safe_dump(data, sort_keys=False), "x")
        except Unreadable as error:  # what must be given when its section is there
            assert question.kind in ("section", "states")
            assert not [p for p in error.problems if "no key" in p.message]
        else:
            assert (after.parts, after.wires) == (before.parts, before.wires)


def _merge(data: dict, added: dict) -> None:
    for key, value in added.items():
        if isinstance(value, dict):
            _merge(data.setdefault(key, {}), value)
        else:
            data[key] = value


def test_the_missing_data_of_a_sketch_are_ten_questions_at_most_on_its_screen() -> None:
    sketch = example_review(ROOT / "examples" / "sketch.design.yaml")
    screen = first_screen(sketch)
    rules = f" of {len({gap.rule for gap in sketch.gaps})} unassessed rules"
    assert sum(rules in line for line in screen) == len(sketch.questions) <= 10
    assert sum(line.startswith("add ") for line in missing_text(sketch, 100)) == len(sketch.questions)
    assert len(json.loads(as_json([sketch]))["reviews"][0]["data_to_add"]) == len(sketch.questions)
    assert [q.hazard for q in sketch.questions] == sorted((q.hazard for q in sketch.questions), reverse=True)


def test_where_nothing_can_be_added_the_screen_says_what_an_answer_needs() -> None:
    one, needs = review(), "what W1 may carry: the table prints no value for 29 wires"
    for stage, said in (("detailed", True), ("concept", False)):
        gap = Gap("a", "wires/W1", needs, HazardClass.MAJOR)
        assessed = replace(one.assessments[0], gaps=(gap,))
        lacking = replace(one, assessments=(assessed,), questions=(), stage=stage)
        screen = "\n".join(first_screen(lacking))
        assert ("NOT ASSESSED. There is nothing to add to the file" in screen and needs in screen) is said
        missing = " ".join(missing_text(lacking, 100))
        assert ("There is nothing to add to the file" in missing) is said
        assert ("From the detailed stage on" in missing) is not said


def test_a_line_names_file_line_column_class_and_sentence() -> None:
    placed = replace(cause(1, HazardClass.MAJOR, ORDER, "It is loose.").headline, place=Place(3, 7))
    missing = Gap("b", "parts/x", "`rating` of x", HazardClass.HAZARDOUS, Place(2, 1))
    minor = Gap("c", "parts/x", "`label` of x", HazardClass.MINOR)
    one = review(Cause((placed,), placed))
    assessed = replace(one.assessments[0], gaps=(missing, minor))
    assert as_lines([replace(one, assessments=(assessed,))]) == (
        "x.yaml:2:1: not assessed: parts/x needs `rating` of x.\nx.yaml:3:7: major: It is loose.\n"
    )


def test_several_files_end_in_a_line_that_names_those_with_findings() -> None:
    bad, good = review(cause(1, HazardClass.MINOR, ORDER)), review()
    two = as_screens([replace(bad, file="bad.yaml"), replace(good, file="good.yaml")])
    assert two.endswith("2 files reviewed. With findings: bad.yaml.\n")
    assert as_screens([good, good]).endswith("No file has a finding, which is not an approval.\n")


def test_a_cause_is_told_with_its_findings_and_with_what_accepts_them() -> None:
    faulted = example_review(FAULTED)
    number = next(n for n, c in enumerate(faulted.causes, 1) if len(c.findings) > 2)
    one, text = faulted.causes[number - 1], cause_text(faulted, number)
    pasted = text[text.index("concessions:\n") : text.index("\n\nA second opinion on a drawing")]
    entries = yaml.safe_load(pasted)["concessions"]
    assert [(e["rule"], e["subject"], e.get("state", ""), e.get("extent", "")) for e in entries] == [
        (f.rule, f.subject, f.state, f.extent) for f in one.findings
    ]
    assert all(f.rule in text for f in one.findings)
    assert text.count(one.headline.remedy[:40]) == 1


def test_a_cause_of_one_finding_is_told_once_with_the_shortest_caution() -> None:
    one = review(cause(1, HazardClass.MAJOR, ORDER, "Part 1 has a fault."))
    text = cause_text(one, 1)
    assert text.count("Part 1 has a fault.") == text.count("Mend part 1") == 1
    assert text.endswith("\n\n" + "\n".join(lines_of(SHORT_CAUTION, 100)) + "\n")


def test_the_heading_of_each_consequence_has_the_classes_of_its_causes() -> None:
    hazards = [HazardClass.CATASTROPHIC, HazardClass.CATASTROPHIC, HazardClass.MAJOR]
    causes = [cause(n, hazard, LOST, "Short.") for n, hazard in enumerate(hazards)]
    causes += [cause(n, HazardClass.MINOR, ORDER) for n in range(3, 30)]
    screen = first_screen(review(*causes))
    assert "LOST AT ONE FAILURE (1 and 2 catastrophic, 3 major)" in screen
    assert "TO BE CORRECTED (4 to 30 minor)" in screen
    assert len(screen) <= 40
    assert max(map(len, screen)) <= 100


def test_the_full_text_has_every_cause_and_finding_and_the_satisfied_rules_only_when_asked() -> None:
    faulted = example_review(FAULTED)
    text, listed = (" ".join(as_text([faulted], satisfied=s).split()) for s in (False, True))
    for finding in faulted.findings:
        assert " ".join(finding.sentence.split()) in text
    met = next(a.rule for a in faulted.assessments if a.outcome.value == "met")
    assert met in listed and met not in text


def test_the_command_prints_a_screen_a_cause_the_missing_data_or_lines(tmp_path: Path) -> None:
    (tmp_path / "bad.yaml").write_text("format: 1\n", encoding="utf-8")
    first = str(ROOT / "examples" / "first.design.yaml")

    def run(*arguments: str) -> tuple[int, str, str]:
        done = CliRunner().invoke(commands, ["review", *arguments])
        return done.exit_code, done.stdout, done.stderr

    status, out, _ = run(first)
    assert status == 1 and len(out.splitlines()) <= 40
    assert "cause 1 of " in run(first, "--cause", "1")[1]
    assert "There is no cause 9" in run(first, "--cause", "9")[2] and run(first, "--cause", "9")[0] == 2
    assert "name one of them" in run(first, "--cause", "1", "--missing")[2]
    assert "    parts:\n" in run(first, "--missing")[1]
    assert re.match(r"first\.design\.yaml:\d+:\d+: ", run(first, "--as", "lines")[1])
    assert re.match(r"\S+bad\.yaml:1:1: mistake: ", run(str(tmp_path / "bad.yaml"), "--as", "lines")[2])
    assert "Hand over:" in CliRunner().invoke(commands, ["-h"]).stdout


def test_every_screen_that_lacks_data_says_once_where_the_data_to_add_stand() -> None:
    """Where there is no room for the data, the verdict names the option that lists them."""
    here = Path(__file__).parent
    screens = [*(here.parent / "examples").glob("*.review.txt"), *here.glob("*/*.review.txt")]
    crowded = 0
    for path in screens:
        words = " ".join(path.read_text(encoding="utf-8").split())
        listed, lacking = "NOT ASSESSED. Data to add" in words, "not assessed" in words
        assert words.count("--missing") == int(lacking and "There is nothing to add" not in words), path
        crowded += "not assessed (--missing), which" in words
        assert not (listed and "not assessed (--missing)" in words)
    assert crowded >= 3
