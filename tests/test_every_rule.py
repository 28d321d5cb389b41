"""Each rule on its case: a met design, an unmet one that differs by a small edit, and traps. Guards over all rules."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import Outcome
from reviewer.reading import read_text
from reviewer.rulebook import handbook
from reviewer.rulebook.runner import run_rules
from tests.renaming import renamed
from tests.rule_cases import (
    BASES,
    CASES,
    FILES,
    ROOT,
    RULES,
    Data,
    assess,
    design,
    detail,
    findings,
    parsed,
    text,
    yaml_text,
)
from tests.said_numbers import contradictions, offences
from tests.sections_left_out import LEFT_OUT, expected, without
from tests.trap_words import file_of, head, kept, words_of_trap

TRAPS = [(rule, trap) for rule, path in FILES.items() for trap in parsed(path).get("traps", ())]
HOW = "run `python -m tests.write_findings` and read the difference"
LEFT_OUT_HOW = "run `python -m tests.sections_left_out` and read the difference"
TRAP_NAMES = [f"{rule}: {trap['name']}" for rule, trap in TRAPS]


def leaves(value: object, at: str = "") -> dict[str, object]:
    if isinstance(value, dict):
        return {k: v for key, entry in value.items() for k, v in leaves(entry, f"{at}/{key}").items()}
    if isinstance(value, list):
        return {k: v for i, entry in enumerate(value) for k, v in leaves(entry, f"{at}/{i}").items()} or {
            at: "[]"
        }
    return {at: value}


def test_every_rule_has_a_case_and_every_case_a_rule() -> None:
    assert set(FILES) == set(RULES)
    for rule, path in FILES.items():
        assert path == CASES / path.parent.name / f"{rule.replace('-', '_')}.yaml"


def test_a_rule_and_its_case_stand_in_one_chapter() -> None:
    for rule, path in FILES.items():
        folder = Path(RULES[rule].path).parent
        assert folder in (ROOT / "rules", ROOT / "rules" / path.parent.name), rule


@pytest.mark.parametrize("rule", RULES)
def test_the_met_design_has_no_finding_and_at_least_one_subject(rule: str) -> None:
    done = assess(rule, text(design(rule, "met")))
    assert (done.outcome, done.findings, done.gaps) == (Outcome.MET, (), ())
    assert done.examined >= 1


@pytest.mark.parametrize("rule", RULES)
def test_the_unmet_design_gives_exactly_the_expected_findings(rule: str) -> None:
    done = assess(rule, text(design(rule, "unmet")))
    assert not done.breakdowns
    assert findings(rule) == parsed(FILES[rule])["findings"], HOW
    assert done.findings and done.outcome is Outcome.NOT_MET


@pytest.mark.parametrize("rule", RULES)
@pytest.mark.parametrize("what", LEFT_OUT)
def test_a_rule_asks_for_what_is_left_out_or_judges_without_it(what: str, rule: str) -> None:
    assert without(what, RULES[rule]) == expected(what)[rule], LEFT_OUT_HOW


@pytest.mark.parametrize("rule", RULES)
def test_the_pair_differs_by_a_small_edit(rule: str) -> None:
    met, unmet = leaves(design(rule, "met")), leaves(design(rule, "unmet"))
    changed = {k for k in met.keys() | unmet.keys() if met.get(k) != unmet.get(k)}
    assert 1 <= len(changed) <= 8, f"{len(changed)} places differ: {sorted(changed)}"
    assert len(parsed(FILES[rule])["unmet"]) <= 3


@pytest.mark.parametrize(("rule", "trap"), TRAPS, ids=TRAP_NAMES)
def test_a_rule_is_not_fooled(rule: str, trap: Data) -> None:
    """The trap lists the subjects with a finding and those that lack an input; none for a false alarm."""
    done = assess(rule, text(design(rule, trap["name"])))
    assert not done.breakdowns
    assert [f.subject for f in done.findings] == trap.get("findings", []), [f.sentence for f in done.findings]
    assert [g.subject for g in done.gaps] == trap.get("not-assessed", []), [g.needs for g in done.gaps]
    assert bool(done.examined) is trap.get("applies", True)
    assert words_of_trap(done) == kept(file_of(rule)).get(head(rule, trap["name"]), ""), HOW
    for key, wanted in trap.get("detail", {}).items():
        assert detail(done, key) == wanted
    for finding in done.findings:
        said = (finding.sentence, *(f"{what}: {value}" for what, value in finding.numbers))
        assert not [wrong for words in said for wrong in offences(words)]
        assert not contradictions(finding.numbers)


def test_a_case_file_says_nothing_that_is_not_read() -> None:
    taken = {"met", "unmet", *(p.stem for p in BASES.iterdir())}
    for rule, path in FILES.items():
        case = parsed(path)
        assert {"base", "unmet", "findings"} <= set(case) <= {"base", "met", "unmet", "findings", "traps"}, (
            rule
        )
        assert (BASES / f"{case['base']}.yaml").is_file(), rule
        names = [t["name"] for t in case.get("traps", ())]
        assert len(set(names)) == len(names) and not taken & set(names), rule
        for trap in case.get("traps", ()):
            assert set(trap) <= {"name", "base", "edits", "findings", "not-assessed", "applies", "detail"}, (
                rule
            )
            assert trap.get("applies", False) is False, rule


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_file_is_short_explains_itself_and_imports_little(rule: str) -> None:
    path = Path(RULES[rule].path)
    content = path.read_text(encoding="utf-8")
    assert len(content.splitlines()) <= 80
    for word in ("Why:", "How judged:", "Not covered:"):
        assert word in RULES[rule].help, f"{path.name}: its docstring lacks `{word}`"
    for node in ast.walk(ast.parse(content)):
        if isinstance(node, ast.ImportFrom):
            assert node.module == "reviewer.rulebook", f"{path.name} imports {node.module}"
        if isinstance(node, ast.Import):
            assert all(alias.name.partition(".")[0] != "reviewer" for alias in node.names)


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_judges_by_what_a_part_is_never_by_its_name(rule: str) -> None:
    """The unmet design, all names in it replaced by names with a slash, gives the same findings."""
    data = design(rule, "unmet")
    groups = [data["parts"], data["wires"], data.get("functions", {})]
    for section, group in (
        ("operation", "states"),
        ("operation", "actions"),
        ("watch", "monitors"),
        ("watch", "checks"),
    ):
        groups.append(data.get(section, {}).get(group, {}))
    words = {"alternator", "engine", "main", "reserve", "cranking", "normal"}  # words of the format too
    words |= {v for v in data["aircraft"].values() if isinstance(v, str)}
    owned = [name for group in groups for name in group if name not in words]
    names = {name: f"Z{i:03d}/z~{i}" for i, name in enumerate(dict.fromkeys(owned))}
    before, after = assess(rule, text(data)), assess(rule, text(renamed(data, names)))
    assert not after.breakdowns
    assert [f.subject for f in after.findings] == [swap(f.subject, names) for f in before.findings]
    assert [g.subject for g in after.gaps] == [swap(g.subject, names) for g in before.gaps]


def swap(subject: str, names: dict[str, str]) -> str:
    """A subject with the name at its end replaced: ``parts/main-bus``, ``operation/actions/shed``."""
    head, slash, name = subject.rpartition("/")
    return head + slash + names.get(name, name)


@pytest.mark.parametrize(
    "rule",
    [
        "diodes-have-the-right-polarity",
        "wires-are-within-their-current-rating",
        "every-terminal-is-connected-or-declared-unused",
    ],
)
def test_a_finding_has_the_line_and_the_column_of_what_it_points_to(rule: str) -> None:
    """Cases give a pointer; in a file that a person writes the finding has a place."""
    content = yaml_text(design(rule, "unmet"))
    wanted = [f["at"] for f in findings(rule)]
    for finding, at in zip(assess(rule, content).findings, wanted, strict=True):
        section, name, *field = at.split("/")
        assert finding.place is not None
        lines = content.splitlines()
        assert lines.index(f"{section}:") < finding.place.line - 1
        line = lines[finding.place.line - 1]
        assert line.startswith(f"  {name}: ")
        before = line[: finding.place.column - 1]
        assert before.endswith(f"{field[0]}: ") if field else before == "  "


def test_the_handbook_has_a_page_for_every_rule_with_the_edit_that_breaks_it() -> None:
    for rule in RULES.values():
        page = handbook.page(rule, CASES)
        assert rule.title in page
        edit = page.partition("An edit that takes a design from met to unmet:\n")[2]
        for path in parsed(FILES[rule.name])["unmet"]:
            assert path in edit


def test_findings_do_not_depend_on_the_order_of_rules() -> None:
    content = text(design("no-source-backfeeds-another", "unmet"))
    forward, _ = run_rules(list(RULES.values()), Facts(read_text(content, "x")))
    backward, _ = run_rules(list(RULES.values())[::-1], Facts(read_text(content, "x")))
    assert {a.rule: a for a in forward} == {a.rule: a for a in backward}
