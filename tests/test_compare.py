"""Two files side by side: what is new, gone and changed, and what the system does otherwise though no finding differs."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import jsonschema
import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import Finding, HazardClass, Review
from reviewer.questions.compare import Comparison, _among, _same, compare, matched
from reviewer.questions.renamed_parts import Renames, renamed_parts
from reviewer.questions.side_by_side import alternative
from reviewer.reading import read_design
from reviewer.reading.reader import read_text
from reviewer.reports.compare.side_by_side_rows import side_by_side_rows
from reviewer.reports.compare.table import comparison_json, comparison_sarif
from reviewer.reports.compare.text import comparison_text
from reviewer.reports.compare.verdict import verdict
from reviewer.session import facts_of, reviewed_facts
from tests.rule_cases import design, yaml_text
from tests.write_committed import example_review

ROOT = Path(__file__).parent.parent
BASE = (ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
#: SARIF 2.1.0-rtm.5, the schema that the OASIS technical committee published, as json.schemastore.org serves it
SARIF = json.loads((ROOT / "tests" / "published" / "sarif-schema-2.1.0.json").read_text(encoding="utf-8"))
UNLABELLED = BASE.replace(", label: LEFT IGNITION FUSE", "")


@lru_cache(maxsize=2)  # one of the two is often the same again
def reviewed(text: str) -> tuple[Facts, Review]:
    """The facts of a text and its review by all rules, estimates taken as written."""
    return reviewed_facts(Facts(read_text(text, "x")), Path("x"))


def compared(old: str, new: str, folder: Path) -> Comparison:
    names = []
    for name, text in (("old", old), ("new", new)):
        names.append(folder / f"{name}.yaml")
        names[-1].write_text(text, encoding="utf-8")
    (old_facts, before), (new_facts, after) = reviewed(old), reviewed(new)
    before, after = replace(before, file=str(names[0])), replace(after, file=str(names[1]))
    return compare(before, old_facts, after, new_facts)


def edited(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


def test_a_file_compared_with_itself_differs_in_nothing(tmp_path: Path) -> None:
    c = compared(BASE, "# a comment moves every line\n" + BASE, tmp_path)
    assert (
        not (c.findings.new or c.findings.gone or c.findings.changed or c.gaps.new or c.gaps.gone or c.parts)
        and c.behaviour.same
        and not c.worse
    )
    assert "No change in behaviour" in comparison_text(c)


def test_findings_that_come_and_go(tmp_path: Path) -> None:
    worse = compared(BASE, UNLABELLED, tmp_path)
    assert [f.subject for f in worse.findings.new] == ["parts/left-fuse"] and worse.worse
    assert [(p.name, p.change, p.keys) for p in worse.parts] == [
        ("left-fuse", "changed", (("label", "LEFT IGNITION FUSE", ""),))
    ]
    assert "\nCause new, minor: left-fuse has no label.\n" in comparison_text(worse)
    assert json.loads(comparison_json(worse))["causes"] == {
        "new": [worse.findings.new[0].identity],
        "gone": [],
    }
    better = compared(UNLABELLED, BASE, tmp_path)
    assert "\nCause gone, minor: left-fuse has no label.\n" in comparison_text(better)
    assert [f.subject for f in better.findings.gone] == ["parts/left-fuse"] and not better.worse


LASTING = yaml_text(design("main-batteries-meet-endurance-after-alternator-loss", "met"))


def test_minutes_of_battery_that_change_are_told_though_both_are_enough(tmp_path: Path) -> None:
    later = edited(LASTING, "recognition-time: 5 min", "recognition-time: 10 min")
    c = compared(LASTING, later, tmp_path)
    assert not c.worse and not c.parts and not c.findings.new
    (change,) = c.behaviour.endurance
    before, after = (
        facts_of(tmp_path / f"{name}.yaml").endurance.endurance_of("main-battery").seconds
        for name in ("old", "new")
    )
    assert (change.name, change.before, change.after) == (
        "main-battery",
        f"{int(before / 60)} min",
        f"{int(after / 60)} min",
    )
    assert (
        before > after + 1800
        and f"endurance on main-battery: {change.before} -> {change.after}" in comparison_text(c)
    )
    document = json.loads(comparison_json(c))
    assert document["behaviour"]["endurance"][0]["name"] == "main-battery"
    jsonschema.validate(
        document, json.loads((ROOT / "schemas" / "comparison.schema.json").read_text(encoding="utf-8"))
    )
    # the reserve has no `minimum` and no time in this file: said, not passed over
    assert compared(
        LASTING, edited(LASTING, "min-temperature: -10 C", "min-temperature: -20 C"), tmp_path
    ).behaviour.untried


def test_a_finding_whose_numbers_change_is_changed(tmp_path: Path) -> None:
    near, far = (
        edited(
            BASE,
            "left-fuse.line, gauge: 16 AWG, length: 0.1 m",
            f"left-fuse.line, gauge: 16 AWG, length: {n} m",
        )
        for n in (0.5, 0.9)
    )
    c = compared(near, far, tmp_path)
    assert len(c.findings.changed) >= 1 and not c.findings.new and not c.findings.gone
    before, after = c.findings.changed[0]
    assert before.identity == after.identity and before.numbers != after.numbers
    pairs = zip(before.numbers, after.numbers, strict=True)
    what, was, now = next((w, one, two) for (w, one), (_, two) in pairs if one != two)
    assert f"{what}, now {now}; was: {was}" in " ".join(comparison_text(c).split())


@pytest.mark.parametrize(
    ("before", "after", "same"),
    [
        ("Voltage drop to x 0.546 V; limit 0.5 V.", "Voltage drop to x 0.549 V; limit 0.5 V.", True),
        ("Voltage drop to x 0.54 V; limit 0.5 V.", "Voltage drop to x 0.56 V; limit 0.5 V.", False),
        ("Endurance 30 min; W100 open.", "Endurance 30 min; W101 open.", False),  # another wire
        ("Endurance 30 min at fuse 100.", "Endurance 30 min at fuse 101.", False),  # no unit: a name
        ("Endurance 999 min.", "Endurance 16.7 h.", False),
        ("L1 (22 AWG) at 10 A.", "L1 (20 AWG) at 10 A.", False),
    ],
)
def test_figures_within_a_hundredth_are_the_same(before: str, after: str, same: bool) -> None:
    """Of names with numbers in them none is near another; a worse class is always a change."""
    one, two = (
        Finding("a-rule", "parts/x", sentence, HazardClass.MAJOR, numbers=(("drop", sentence),))
        for sentence in (before, after)
    )
    by_rule = matched([one], [two], lambda f: f.rule, _same)
    assert (by_rule.unchanged, len(by_rule.changed)) == ((1, 0) if same else (0, 1))
    worse = replace(two, hazard=HazardClass.HAZARDOUS)
    assert matched([one], [worse], lambda f: f.rule, _same).changed


def test_a_concession_is_a_change_and_not_a_new_finding(tmp_path: Path) -> None:
    note = "concessions:\n  - {rule: labels-are-present-and-unique, subject: parts/left-fuse, reason: Marked on the holder., by: builder, date: 2026-04-18}\n"
    given = compared(UNLABELLED, UNLABELLED + note, tmp_path)
    assert len(given.findings.changed) == 1 and not given.worse
    taken = compared(UNLABELLED + note, UNLABELLED, tmp_path)
    assert (
        len(taken.findings.changed) == 1
        and taken.worse
        and "was conceded and is no longer" in comparison_text(taken)
    )


def test_behaviour_that_changes_without_a_finding_is_told(tmp_path: Path) -> None:
    """The audio panel moves from the main bus to the battery's post by a breaker: it lives on with the master off, and only what it draws in the
    hangar is found."""
    moved = edited(BASE, "from: main-bus.audio", "from: main-battery.positive")
    c = compared(BASE, moved, tmp_path)
    feeds = {(f.name, f.state): (f.before, f.after) for f in c.behaviour.feeds}
    assert feeds == {
        ("audio-panel", state): ("off", "fed by main-battery") for state in ("parked", "smoke-drill")
    }
    assert (
        [f.rule for f in c.findings.new] == ["batteries-keep-their-charge-while-parked"]
        and not c.behaviour.same
        and any(p.name in moved for p in c.parts)
    )


def test_a_state_that_is_used_otherwise_is_told(tmp_path: Path) -> None:
    c = compared(BASE, edited(BASE, "smoke-drill: {like: cruise, use: abnormal", "smoke-drill: {like: cruise, use: flight"), tmp_path)  # fmt: skip
    (use,) = (s for s in c.behaviour.settings if s.what == "state")
    assert (use.name, use.state, use.before, use.after) == ("use", "smoke-drill", "abnormal", "flight")


def test_volts_that_change_are_told_though_nothing_else_differs(tmp_path: Path) -> None:
    """A wire of the same size, eight times as long: by AWG 18 at 20.95 milliohm a metre (ASTM B258) and 1.5 A, about 0.26 V more are lost on 8.4 m."""
    longer = edited(
        BASE,
        "left-switch.load, to: left-ignition.supply, gauge: 18 AWG, length: 1.2 m",
        "left-switch.load, to: left-ignition.supply, gauge: 18 AWG, length: 9.6 m",
    )
    c = compared(BASE, longer, tmp_path)
    told = {(f.what, f.name): f for f in c.behaviour.figures if f.state == "cruise"}
    assert (
        set(told) == {("voltage of load", "left-ignition")} and not c.behaviour.feeds and not c.behaviour.cuts
    )
    one, two = (
        float(v.removesuffix(" V"))
        for v in (
            told["voltage of load", "left-ignition"].before,
            told["voltage of load", "left-ignition"].after,
        )
    )
    assert one - two == pytest.approx(0.02095 * 8.4 * 1.5, rel=0.1)


def test_cut_sets_that_change_are_told(tmp_path: Path) -> None:
    """Both ignitions behind the left fuse: what took one now takes the function."""
    shared = edited(
        BASE,
        "from: reserve-battery.positive, to: right-fuse.line",
        "from: left-fuse.load, to: right-fuse.line",
    )
    c = compared(BASE, shared, tmp_path)
    changed = {cut.function: cut for cut in c.behaviour.cuts}
    assert ("left-fuse open",) in changed["ignition"].new
    assert all(len(cut) <= 2 for cuts in changed.values() for cut in (*cuts.new, *cuts.gone))
    assert "single new" in comparison_text(c)


def test_json_and_sarif_say_the_same_as_the_comparison(tmp_path: Path) -> None:
    mixed = UNLABELLED.replace("stage: detailed", "stage: detailed, note: x")
    other = edited(
        BASE, "left-fuse.line, gauge: 16 AWG, length: 0.1 m", "left-fuse.line, gauge: 16 AWG, length: 0.9 m"
    )
    c = compared(mixed, other, tmp_path)
    data = json.loads(comparison_json(c))
    jsonschema.Draft202012Validator(
        json.loads((ROOT / "schemas" / "comparison.schema.json").read_text(encoding="utf-8"))
    ).validate(data)
    assert (
        data["format"] == "circuit-comparison/1"
        and len(data["findings"]["new"]) == len(c.findings.new)
        and len(data["findings"]["gone"]) == 1
    )
    sarif = json.loads(comparison_sarif(c, "1"))
    jsonschema.validate(sarif, SARIF)
    states = [r["baselineState"] for r in sarif["runs"][0]["results"]]
    assert states.count("new") == len(c.findings.new) + len(c.gaps.new) and states.count("absent") == len(
        c.findings.gone
    ) + len(c.gaps.gone)
    assert states.count("unchanged") == c.findings.unchanged + c.gaps.unchanged and states.count(
        "updated"
    ) == len(c.findings.changed) + len(c.gaps.changed)


@pytest.mark.long
def test_the_examples_compare_either_way_their_sarif_is_valid_and_their_verdict_fits_one_screen() -> None:
    paths = [ROOT / "examples" / f"{n}.design.yaml" for n in ("tourer", "faulted-tourer")]
    both = [(facts_of(path), example_review(path)) for path in paths]
    for (old_facts, old), (new_facts, new) in (both, both[::-1]):
        c = compare(old, old_facts, new, new_facts)
        jsonschema.validate(json.loads(comparison_sarif(c, "1")), SARIF)
        jsonschema.Draft202012Validator(
            json.loads((ROOT / "schemas" / "comparison.schema.json").read_text(encoding="utf-8"))
        ).validate(json.loads(comparison_json(c)))
        assert c.worse is (old is both[0][1])
        lines = list(verdict(c, 100))
        assert len(lines) <= 38 and all(len(line) <= 100 for line in lines)  # two lines of title above
        assert any("loss of engine-runs" in line for line in lines)
        assert any(line.startswith("Endurance, main-battery: ") for line in lines)
        assert all(len(line) <= 100 or " " not in line.strip() for line in comparison_text(c).splitlines())


def test_a_cause_that_both_find_and_that_grows_is_said_and_one_that_stays_is_not(tmp_path: Path) -> None:
    two = BASE.replace("label: RIGHT IGNITION FUSE", "label: LEFT IGNITION FUSE")
    three = two.replace("label: RESERVE SENSE", "label: LEFT IGNITION FUSE")
    grown = comparison_text(compared(two, three, tmp_path))
    assert "Causes: 0 gone, 0 new, 1 with new findings.\n" in grown
    assert "\nCause with new findings, minor: The label LEFT" in grown
    assert "with new findings" not in comparison_text(compared(three, two, tmp_path))


def test_readings_of_a_renamed_state_are_beside_each_other() -> None:
    facts = Facts(read_design(ROOT / "tests" / "answers" / "bench.design.yaml"))
    renames = Renames({}, {}, {"landing": "short-final"})
    old, new = alternative(facts, {}, renames), alternative(facts, {})
    assert old.readings["short-final"] == new.readings["landing"] and "landing" not in old.readings


RENAMED = (
    BASE.replace("left-switch", "port-ignition-switch")
    .replace("label: LEFT IGNITION,", "label: PORT IGNITION,")
    .replace("cruise", "level-flight")
    .replace("W22:", "W122:")
)


def test_what_only_has_another_name_is_renamed_and_nothing_else(tmp_path: Path) -> None:
    c = compared(BASE, RENAMED, tmp_path)
    assert {(part.kind, part.name, part.change) for part in c.parts} == {
        ("part", "port-ignition-switch", "renamed"),
        ("wire", "W122", "renamed"),
    }
    assert not (c.findings.new or c.findings.gone or c.findings.changed)
    assert not (c.gaps.new or c.gaps.gone or c.gaps.changed) and not c.worse
    b = c.behaviour
    assert not (b.settings or b.feeds or b.figures or b.functions or b.endurance or b.cuts)
    assert b.states_renamed == (("cruise", "level-flight"),) and not b.states_gone
    text = comparison_text(c)
    assert "Part left-switch is now called port-ignition-switch.\nWire W22 is now called W122.\n" in text
    assert "renamed part left-switch -> port-ignition-switch: label: LEFT IGNITION -> PORT IGNITION\n" in text
    assert "Single points of failure" not in text.partition("Side by side")[0]


DOWN_ON = RENAMED.replace(
    "label: PORT IGNITION, transfer: break-before-make, positions: {down: [], up: [[line, load]]}",
    "label: PORT IGNITION, transfer: break-before-make, positions: {down: [[line, load]], up: []}",
)
TURNED = RENAMED.replace("to: port-ignition-switch.line", "to: port-ignition-switch.x").replace(
    "from: port-ignition-switch.load", "from: port-ignition-switch.line"
)


@pytest.mark.parametrize("text", [DOWN_ON, TURNED.replace("switch.x", "switch.load")])
def test_a_part_of_another_name_that_differs_is_another_part(text: str, tmp_path: Path) -> None:
    """Its twin above differs in its name and label alone."""
    assert text != RENAMED
    parts = {(part.name, part.change) for part in compared(BASE, text, tmp_path).parts}
    assert {("left-switch", "gone"), ("port-ignition-switch", "new")} <= parts


def test_of_two_parts_alike_nobody_knows_which_is_which() -> None:
    lamp = "{kind: load, type: lamp, current: 1 A}"
    one = "format: 1\naircraft: {name: T, nominal: 14 V, airframe: composite, stage: concept}\nparts:\n  bus: {kind: bus}\n"
    wires = "wires:\n  W1: {from: bus.a, to: A.supply}\n  W2: {from: bus.b, to: B.supply}\n"
    text = f"{one}  A: {lamp}\n  B: {lamp}\n{wires}"
    old, new, unlike = (
        read_text(t, "t.yaml")
        for t in (
            text,
            _other(text),
            _other(text).replace(
                "D: {kind: load, type: lamp, current: 1 A", "D: {kind: load, type: lamp, current: 2 A"
            ),
        )
    )
    assert not renamed_parts(old, new).parts
    two = read_text(text.replace(f"B: {lamp}", "B: {kind: load, type: lamp, current: 2 A}"), "t.yaml")
    assert renamed_parts(two, unlike).parts == {"A": "C", "B": "D"}


def _other(text: str) -> str:
    return text.replace("A:", "C:").replace("B:", "D:").replace("A.", "C.").replace("B.", "D.")


def test_what_is_gone_is_absent_in_sarif_though_a_state_is_renamed(tmp_path: Path) -> None:
    c = compared(UNLABELLED, RENAMED, tmp_path)
    results = json.loads(comparison_sarif(c, "1"))["runs"][0]["results"]
    assert len(c.findings.gone) == 1
    assert [r["baselineState"] for r in results].count("absent") == len(c.findings.gone) + len(c.gaps.gone)


CHANGE_OVER = """\
format: 1
aircraft: {name: T, nominal: 14 V, airframe: composite, stage: concept}
parts:
  main-battery: {kind: battery}
  reserve-battery: {kind: battery, purpose: reserve, dedicated-to: [ignition]}
  source-switch: {kind: switch, positions: {main: [[main, out]], reserve: [[reserve, out]]}}
circuits:
  main: main-battery.positive > fuse 5 A MAIN > source-switch.main
  reserve: reserve-battery.positive > fuse 5 A RESERVE > source-switch.reserve
  ignition: source-switch.out > load ignition (electronic, 2 A) > ground-block ground
  main-minus: main-battery.negative > ground
  reserve-minus: reserve-battery.negative > ground
functions: {firing: {any: 1, of: [ignition], loss: catastrophic}}
operation:
  normal: cruise
  states: {cruise: {engine: running, switches: {source-switch: main}}}
  actions: {to-reserve: {move: {source-switch: reserve}, time: 5 s}}
"""


def test_single_points_say_whether_a_crew_action_recovers_them(tmp_path: Path) -> None:
    action = next(line for line in CHANGE_OVER.splitlines(True) if "to-reserve" in line)
    c = compared(CHANGE_OVER.replace(action, ""), CHANGE_OVER, tmp_path)
    before, after = c.alternatives
    assert set(before.single_points["firing"]) == set(before.lasting_points["firing"])
    assert before.single_points == after.single_points
    recovered = {"main-fuse", "main-battery", "main-1", "main-2", "main-minus-1"}
    assert set(before.lasting_points["firing"]) - set(after.lasting_points["firing"]) == recovered
    first = " ".join(comparison_text(c).partition("Side by side")[0].split())
    assert (
        "gone, loss of firing, not recoverable in flight: main-battery, main-fuse, main-1, main-2, " in first
    )
    assert "new, loss of firing until the crew acts: main-battery, main-fuse, main-1, main-2, " in first


def test_causes_stand_in_the_order_of_their_classes() -> None:
    minor, worst = (
        Finding("r", f"parts/{h.word}", "x", h) for h in (HazardClass.MINOR, HazardClass.CATASTROPHIC)
    )
    assert _among([minor, worst], [worst, minor]) == (worst, minor)


def test_wires_stand_from_the_thickest_to_the_thinnest() -> None:
    """Also where only one design has a gauge."""
    facts = [
        Facts(
            read_text(
                BASE.replace("gauge: 18 AWG, length: 1.4 m", f"gauge: {gauge}, length: 1.4 m"), "t.yaml"
            )
        )
        for gauge in ("18 AWG", "10 AWG")
    ]
    rows = side_by_side_rows(*(alternative(each, {}) for each in facts))
    gauges = [
        int(what.partition(" ")[0]) for group, what, *_ in rows if group.startswith("wire") and "AWG" in what
    ]
    assert gauges == sorted(gauges) and 10 in gauges
