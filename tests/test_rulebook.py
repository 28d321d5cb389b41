"""The rulebook refuses incomplete rules, contains rule errors and matches concessions."""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.model.parts import PART_KINDS, Breaker
from reviewer.model.review import Assessment, Outcome
from reviewer.reading import read_text
from reviewer.rulebook.handbook import page
from reviewer.rulebook.loader import RuleNotLoadable, load_rules
from reviewer.rulebook.numbers import beside, few, minutes, percent
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules
from reviewer.rulebook.subject import Subject
from reviewer.rulebook.trade_words import kind_word, rated

ROOT = Path(__file__).parent.parent
RULES = load_rules([ROOT / "rules"], installed=False)
#: words that no inspector would write; what is in `...` is a key of the design file
ODD = re.compile(
    r"(?<!thermal )\bprotectors?\b|\brun(s|ning)? ?away\b|\bhangs? on\b|\boutside power\b|\bover-voltage\b"
    r"|\blets? go\b|\bdispatch\b|\bfor want of\b|\balone takes\b|\bposts?\b|\bkept for\b|\bpulls? in\b"
)
GOOD = (ROOT / "tests" / "rules" / "bases" / "bench.yaml").read_text(encoding="utf-8")
RULE = '''"""Every part is looked at.

Why: to test the rulebook.
"""
from reviewer.rulebook import Facts, HazardClass, NotAssessable, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "none"),)
REMEDY = "Nothing."


def subjects(facts):
    return [f"parts/{n}" for n in facts.design.parts]


def judge(subject, facts):
    yield from ()
'''


def load(folder: Path, text: str, name: str = "a_rule.py"):
    (folder / name).write_text(text, encoding="utf-8")
    return load_rules([folder], installed=False)


def run(folder: Path, judge: str, design: str = GOOD) -> Assessment:
    rules = load(folder, RULE.replace("    yield from ()", judge))
    return run_rules(rules, Facts(read_text(design, "x")))[0][0]


@pytest.mark.parametrize(
    ("change", "lacks"),
    [
        (
            ('"""Every part is looked at.\n\nWhy: to test the rulebook.\n"""', ""),
            "a docstring whose first line is a sentence",
        ),
        (("Why: to test the rulebook.", ""), "explains the rule"),
        (("HAZARD = HazardClass.MINOR", 'HAZARD = "minor"'), "HAZARD"),
        (('REMEDY = "Nothing."', ""), "REMEDY"),
        (('CITATIONS = (("practice", "none"),)', ""), "CITATIONS"),
        (('"practice"', '"nowhere"'), "sources.toml"),
        (("def judge(subject, facts)", "def judge(subject)"), "judge()"),
        (("    yield from ()", "    return []"), "yields its findings"),
        (("def subjects(facts)", "def topics(facts)"), "subjects()"),
        (("HAZARD =", "HAZARD = 1 / 0 #"), "ZeroDivisionError"),
        (("def judge", "def judge("), "SyntaxError"),
    ],
)
def test_a_module_that_is_not_a_complete_rule_stops_the_run_with_what_it_lacks(
    change: tuple[str, str], lacks: str, tmp_path: Path
) -> None:
    assert change[0] in RULE
    with pytest.raises(RuleNotLoadable) as caught:
        load(tmp_path, RULE.replace(*change))
    assert lacks in str(caught.value)


def test_a_folder_that_is_not_there_and_two_rules_of_one_name_stop_the_run(tmp_path: Path) -> None:
    with pytest.raises(RuleNotLoadable, match="no such folder"):
        load_rules([tmp_path / "none"], installed=False)
    load(tmp_path, RULE)
    with pytest.raises(RuleNotLoadable, match="already loaded"):
        load_rules([tmp_path, tmp_path], installed=False)
    with pytest.raises(RuleNotLoadable, match="same first sentence"):
        load(tmp_path, RULE, "b_rule.py")


def test_a_rule_error_is_contained_to_its_subject_and_reported_with_its_traceback(tmp_path: Path) -> None:
    done = run(
        tmp_path,
        '    if subject.pointer == "parts/master":\n        raise RuntimeError("sabotage")\n'
        '    if subject.pointer == "parts/main-bus":\n        yield Unmet("A bus.")',
    )
    assert done.outcome is Outcome.RULE_ERROR
    error = "RuntimeError: sabotage (a_rule.py, line 18)"
    assert [(b.subject, b.error) for b in done.breakdowns] == [("parts/master", error)]
    trace = done.breakdowns[0].traceback
    assert 'File "a_rule.py", line 18, in judge' in trace and 'File "reviewer/rulebook/' in trace
    assert not re.search(r'File "/', trace) and str(tmp_path) not in trace
    assert [f.subject for f in done.findings] == ["parts/main-bus"]


@pytest.mark.parametrize(
    ("pointer", "section", "kind", "name"),
    [
        ("parts/main-bus", "", "parts", "main-bus"),
        ("wires/W1/a", "", "wires", "W1/a"),
        ("bundles/b", "", "bundles", "b"),
        ("operation/states/cruise", "operation", "states", "cruise"),
        ("watch/monitors/volts/2", "watch", "monitors", "volts/2"),
        ("operation", "", "operation", ""),
    ],
)
def test_a_subject_knows_its_section_group_and_name(pointer: str, section: str, kind: str, name: str) -> None:
    subject = Subject(pointer)
    assert (subject.section, subject.kind, subject.name, str(subject)) == (section, kind, name, pointer)


def test_a_subject_gives_its_part_and_cannot_be_changed() -> None:
    design = read_text(GOOD, "x")
    assert Subject("parts/main-bus").part(design) is design.parts["main-bus"]
    with pytest.raises(TypeError):
        Subject("parts/main-bus").part(design, Breaker)
    with pytest.raises(AttributeError):
        Subject("parts/main-bus").pointer = "parts/other"  # type: ignore[misc]


def test_a_rule_that_compares_its_subject_with_text_is_found_out(tmp_path: Path) -> None:
    for mistake in (
        'if subject == "parts/x"',
        'if subject in ["parts/x"]',
        "if {subject.pointer: 1}.get(subject)",
    ):
        done = run(tmp_path, f'    {mistake}:\n        yield Unmet("A part.")')
        assert done.outcome is Outcome.RULE_ERROR and "compare its pointer" in done.breakdowns[0].error
    assert len({Subject("parts/x"), Subject("parts/x"), Subject("parts/y")}) == 2


def test_subjects_may_be_given_as_pointers_or_as_subjects_each_judged_once(tmp_path: Path) -> None:
    rules = load(
        tmp_path,
        RULE.replace("NotAssessable, Unmet", "NotAssessable, Subject, Unmet")
        .replace(
            'return [f"parts/{n}" for n in facts.design.parts]',
            'return ["parts/main-bus", Subject("parts/main-bus"), Subject("parts/master")]',
        )
        .replace("    yield from ()", "    yield Unmet(subject.kind + subject.name)"),
    )
    done = run_rules(rules, Facts(read_text(GOOD, "x")))[0][0]
    assert [(f.subject, f.sentence) for f in done.findings] == [
        ("parts/main-bus", "partsmain-bus"),
        ("parts/master", "partsmaster"),
    ]


def test_a_figure_and_its_limit_do_not_read_alike_unless_they_are() -> None:
    assert [beside(a, b, ".1f") for a, b in ((0.92, 0.9144), (0.9144, 0.92))] == ["0.92", "0.91"]
    assert (beside(2.31, 0.9144, ".1f"), beside(0.9144, 2.31, ".1f")) == ("2.3", "0.9")
    assert (beside(9.9996, 10.0, ".2f"), beside(30.04, 30.0, ".3g")) == ("9.9996", "30.04")
    assert (beside(5.0, 5.0, ".1f"), beside(5.0 + 1e-12, 5.0, ".1f")) == ("5.0", "5.0")


def test_numbers_and_parts_are_written_in_the_words_of_the_trade() -> None:
    assert [minutes(s) for s in (59.9, 1800.0, float("inf"))] == ["0 min", "30 min", "unlimited"]
    assert [minutes(s, 1830.0) for s in (1815.0, 1200.0, 1829.9)] == ["30.2 min", "20 min", "30.4 min"]
    assert [minutes(1830.0, s) for s in (1815.0, 1200.0)] == ["30.5 min", "30 min"]
    assert percent(0.801) == "80 %"
    assert (few(["a", "b"], 2), few(["a", "b", "c", "d"], 2)) == ("a, b", "a, b and 2 more")
    parts = read_text(GOOD, "x").parts
    breaker = next(n for n, part in parts.items() if isinstance(part, Breaker) and part.rating == 5.0)
    assert rated(breaker, parts[breaker]) == f"{breaker} (5 A breaker)"
    assert rated("main-bus", parts["main-bus"]) == "main-bus (bus)"
    words = {kind: kind_word(object.__new__(made)) for kind, made in PART_KINDS.items()}
    assert [word for word in words.values() if "-" in word] == ["switch-rated breaker"]
    assert (words["limiter"], words["airframe"]) == ("current limiter", "structure")


def test_one_finding_one_gap_and_no_more(tmp_path: Path) -> None:
    done = run(
        tmp_path,
        '    if subject.pointer == "parts/master":\n        raise NotAssessable("`x`")\n'
        '    if subject.pointer == "parts/main-bus":\n        yield Unmet("A bus.", field="kind")',
    )
    assert (done.outcome, done.examined) == (Outcome.NOT_MET, 26)
    assert [(g.subject, g.needs) for g in done.gaps] == [("parts/master", "`x`")]
    place = done.findings[0].place
    assert place and GOOD.splitlines()[place.line - 1][place.column - 1 :].startswith("bus}")


@pytest.mark.parametrize(
    "attack",
    [
        "facts.design.parts['x'] = 1",
        "facts.design.parts['master'].label = 'x'",
        "facts.design.parts.clear()",
        "setattr(facts.design, 'wires', {})",
        "facts.network.links = ()",
        "facts.network.links.append(1)",
        "facts.network.index.clear()",
        "facts.states.answer('cruise').healthy.fed.clear()",
        "facts.states.answer('cruise').failed.fed['parts/main-battery'][0] = 0",
    ],
)
def test_a_rule_that_tries_to_change_the_design_or_the_network_breaks_down(
    attack: str, tmp_path: Path
) -> None:
    done = run(tmp_path, f"    {attack}\n    yield from ()")
    assert done.outcome is Outcome.RULE_ERROR


def test_a_concession_marks_one_finding_and_one_that_matches_nothing_is_reported(tmp_path: Path) -> None:
    design = GOOD + (
        "concessions:\n"
        "  - {rule: a-rule, subject: parts/main-bus, reason: Known., by: builder, date: 2026-04-18}\n"
        "  - {rule: a-rule, subject: parts/master, reason: Known., by: builder, date: 2026-04-18}\n"
    )
    rules = load(
        tmp_path,
        RULE.replace(
            "    yield from ()", '    if subject.pointer == "parts/main-bus":\n        yield Unmet("A bus.")'
        ),
    )
    (done,), unmatched = run_rules(rules, Facts(read_text(design, "x")))
    assert [f.conceded is not None for f in done.findings] == [True]
    assert done.outcome is Outcome.MET
    assert [c.subject for c in unmatched] == ["parts/master"]


def test_a_concession_accepts_the_extent_that_it_names_and_no_more(tmp_path: Path) -> None:
    design = GOOD + (
        "concessions:\n"
        "  - {rule: a-rule, subject: parts/main-bus, extent: by one, reason: Known., by: builder, date: 2026-04-18}\n"
    )
    judge = '    if subject.pointer == "parts/main-bus":\n        yield Unmet("A bus.", extent="by {}")'
    assert run(tmp_path, judge.format("one"), design).findings[0].conceded
    changed = run(tmp_path, judge.format("two"), design)
    assert changed.outcome is Outcome.NOT_MET
    assert changed.findings[0].numbers == (("changed; the concession accepts", "by one"),)
    both = run(tmp_path, judge.format("one") + '\n        yield Unmet("Another.", extent="by two")', design)
    assert [bool(f.conceded) for f in both.findings] == [True, False]
    broad = design.replace("extent: by one, ", "")
    assert not run(tmp_path, judge.format("one"), broad).findings[0].conceded
    # what is conceded, and what has no extent, is not compared with what else was conceded of its subject
    more = design + design.partition("concessions:\n")[2].replace("by one", "by three")
    assert run(tmp_path, judge.format("one"), more).findings[0].numbers == ()
    plain = '    if subject.pointer == "parts/main-bus":\n        yield Unmet("A bus.")'
    assert run(tmp_path, plain, design).findings[0].numbers == ()


def test_identities_stay_when_lines_move(tmp_path: Path) -> None:
    judge = '    if subject.pointer == "parts/main-bus":\n        yield Unmet("A bus.")'
    before = run(tmp_path, judge).findings[0]
    after = run(tmp_path, judge, "# a line more\n" + GOOD).findings[0]
    assert before.identity == after.identity and before.place != after.place


def test_rules_of_an_installed_package_come_by_its_entry_point(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "extra").mkdir()
    (tmp_path / "extra" / "a_rule.py").write_text(RULE, encoding="utf-8")
    (tmp_path / "offering_package.py").write_text(
        f"def folder():\n    return {str(tmp_path / 'extra')!r}\n", encoding="utf-8"
    )
    info = tmp_path / "offering_package-1.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(
        "Metadata-Version: 2.1\nName: offering-package\nVersion: 1\n", encoding="utf-8"
    )
    (info / "entry_points.txt").write_text(
        "[circuit_reviewer.rules]\nextra = offering_package:folder\n", encoding="utf-8"
    )
    assert [r.name for r in load_rules([])] == []
    monkeypatch.syspath_prepend(str(tmp_path))
    assert [r.name for r in load_rules([])] == ["a-rule"]
    (tmp_path / "offering_package.py").write_text(
        "def folder():\n    raise OSError('gone')\n", encoding="utf-8"
    )
    import sys

    monkeypatch.delitem(sys.modules, "offering_package")
    with pytest.raises(RuleNotLoadable, match="gone"):
        load_rules([])


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_speaks_the_words_of_the_trade(rule: Rule) -> None:
    source = Path(rule.path).read_text(encoding="utf-8")
    texts = [
        node.value
        for node in ast.walk(ast.parse(source))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    ]
    said = [re.sub(r"`[^`]*`", "", text) for text in texts if " " in text]
    assert [match[0] for text in said if (match := ODD.search(text))] == []


def _words_of_the_format(schema: object) -> Iterator[str]:
    """Every key of design files, and every word that a key may hold."""
    if isinstance(schema, dict):
        yield from schema.get("properties", ())
        yield from (str(word) for word in [*schema.get("enum", ()), schema.get("const", "")])
        yield from (word for inner in schema.values() for word in _words_of_the_format(inner))
    elif isinstance(schema, list):
        yield from (word for inner in schema for word in _words_of_the_format(inner))


def test_a_key_that_a_rule_names_is_one_of_the_format() -> None:
    """What stands in `...` may be typed: a key with or without its value, a rule or a command."""
    schema = json.loads((ROOT / "schemas" / "design.schema.json").read_text(encoding="utf-8"))
    known = {*_words_of_the_format(schema), *(rule.name for rule in RULES), *commands.commands}
    unknown = [
        f"{path.relative_to(ROOT)}: `{said}`"
        for path in [*ROOT.glob("rules/*/*.py"), *ROOT.glob("reviewer/analysis/*/*.py")]
        for text in _texts(ast.parse(path.read_text(encoding="utf-8")), path.is_relative_to(ROOT / "rules"))
        for said in re.findall(r"`([^`\n]+)`", text)
        if not set(said.partition(":")[0].removeprefix("reviewer ").strip().split(".")) <= known
    ]
    assert unknown == []


def _texts(module: ast.Module, docstrings: bool) -> Iterator[str]:
    own = (ast.Module, ast.ClassDef, ast.FunctionDef)
    heads = [node.body[0] for node in ast.walk(module) if isinstance(node, own) and node.body]
    left_out = set() if docstrings else {id(head.value) for head in heads if isinstance(head, ast.Expr)}
    for node in ast.walk(module):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in left_out:
            yield node.value


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_rule_file_is_narrow_and_its_name_short(rule: Rule) -> None:
    source = Path(rule.path).read_text(encoding="utf-8")
    assert len(rule.name) <= 60
    assert [line for line in source.splitlines() if len(line) > 110] == []
    assert [line for line in rule.help.splitlines() if len(line) > 100] == []


def test_no_rule_reads_the_words_of_an_answer() -> None:
    """``"takes" in draw.what`` would decide by a sentence; an answer has a field for it."""
    found = []
    for rule in RULES:
        for node in ast.walk(ast.parse(Path(rule.path).read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Compare) or not any(
                isinstance(op, ast.In | ast.NotIn) for op in node.ops
            ):
                continue
            on_words = any(
                isinstance(c, ast.Attribute) and c.attr in ("what", "words", "why") for c in node.comparators
            )
            if on_words and isinstance(node.left, ast.Constant):
                found.append(f"{rule.name}: {ast.unparse(node)}")
    assert found == []


def test_the_handbook_gives_an_edit_on_one_line_as_it_may_stand_in_a_design(tmp_path: Path) -> None:
    rule = RULES[0]
    case = tmp_path / f"{rule.name.replace('-', '_')}.yaml"
    case.write_text(
        "unmet: {parts/lamp: {kind: load, label: HÖHE, current: 1 A}, remove: [wires/W1]}", "utf-8"
    )
    assert page(rule, tmp_path).endswith(
        "An edit that takes a design from met to unmet:\n"
        "  parts/lamp: {kind: load, label: HÖHE, current: 1 A}\n"
        "  remove: [wires/W1]\n"
    )


def test_a_sentence_that_begins_with_the_number_of_a_wire_says_that_it_is_one() -> None:
    """Of two wires whose insulation is PVC one has a number for a name, the other letters."""
    text = GOOD.replace("wires:\n", "wires:\n  17: {from: bus.x, to: spare.a, insulation-material: pvc}\n", 1)
    assert text != GOOD
    rule = next(r for r in RULES if r.name == "wire-insulation-is-aircraft-grade")
    named = text.replace("  17: {from", "  N17: {from", 1)
    for drawing, start in ((text, "Wire 17 "), (named, "N17 ")):
        design = read_text(drawing.replace("bus.x", "main-bus.x").replace("spare.a", "main-ground.s"), "x")
        found = [f for assessment in run_rules([rule], Facts(design))[0] for f in assessment.findings]
        assert [f.sentence.startswith(start) for f in found] == [True]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_no_sentence_of_a_rule_has_more_than_thirty_words(rule: Rule) -> None:
    """Of its page and of the remedies that it states; a limit of our own."""
    module = ast.parse(Path(rule.path).read_text(encoding="utf-8"))
    told = [
        node.value
        for node in ast.walk(module)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and " " in node.value
    ]
    paragraphs = [" ".join(p.split()) for text in told for p in re.split(r"\n\s*\n", text)]
    heads = re.compile(r"^(?:Why|How judged|Not covered): ")
    sentences = [s for p in paragraphs for s in re.split(r'(?<=[.!?])\s+(?=[A-Z"(])', heads.sub("", p))]
    assert sentences and [s for s in sentences if len(s.split()) > 30] == []
