"""Each rule with its met and its unmet design, which differ by one small edit, and guards over all rules."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.model.review import Assessment, Outcome
from reviewer.reading import read_text
from reviewer.rulebook import handbook
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from tests.renaming import renamed

ROOT = Path(__file__).parent.parent
RULES = {r.name: r for r in load_rules([ROOT / "rules"], installed=False)}
PAIRS = ROOT / "tests" / "rules"


def assess(rule: str, text: str) -> Assessment:
    assessments, _ = run_rules([RULES[rule]], Facts(read_text(text, "design.yaml")))
    return assessments[0]


def pair(rule: str, name: str) -> str:
    path = PAIRS / rule.replace("-", "_") / name
    assert path.is_file(), f"write {path.relative_to(ROOT)}: each rule has met.yaml, unmet.yaml and expected.json"
    return path.read_text(encoding="utf-8")


def leaves(value: object, at: str = "") -> dict[str, object]:
    if isinstance(value, dict):
        return {k: v for key, entry in value.items() for k, v in leaves(entry, f"{at}/{key}").items()}
    if isinstance(value, list):
        return {k: v for i, entry in enumerate(value) for k, v in leaves(entry, f"{at}/{i}").items()} or {at: "[]"}
    return {at: value}


@pytest.mark.parametrize("rule", RULES)
def test_the_met_design_has_no_finding_and_at_least_one_subject(rule: str) -> None:
    done = assess(rule, pair(rule, "met.yaml"))
    assert (done.outcome, done.findings, done.gaps) == (Outcome.MET, (), ())
    assert done.examined >= 1


@pytest.mark.parametrize("rule", RULES)
def test_the_unmet_design_gives_exactly_the_expected_findings(rule: str) -> None:
    done = assess(rule, pair(rule, "unmet.yaml"))
    assert not done.breakdowns
    found = [
        {
            "subject": f.subject, "field": f.field, "state": f.state, "hazard": f.hazard.word, "sentence": f.sentence, "failure": f.failure,
            "path": [s.part for s in f.path], "numbers": [list(n) for n in f.numbers],
            "line": f.place.line if f.place else None, "column": f.place.column if f.place else None,
        }
        for f in done.findings
    ]  # fmt: skip
    assert found == json.loads(pair(rule, "expected.json"))
    assert found and done.outcome is Outcome.UNMET


@pytest.mark.parametrize("rule", RULES)
def test_the_pair_differs_by_a_small_edit(rule: str) -> None:
    met, unmet = (leaves(yaml.load(pair(rule, n), Loader=yaml.BaseLoader)) for n in ("met.yaml", "unmet.yaml"))
    changed = {k for k in met.keys() | unmet.keys() if met.get(k) != unmet.get(k)}
    assert 1 <= len(changed) <= 8, f"{len(changed)} places differ: {sorted(changed)}"
    lines = sum(a != b for a, b in zip(pair(rule, "met.yaml").splitlines(), pair(rule, "unmet.yaml").splitlines(), strict=False))
    assert lines <= 2


def traps() -> list[tuple[str, dict]]:
    """What a rule must not be fooled by: each an edit of a sound design, and how many findings it has then."""
    found = []
    for path in sorted(PAIRS.glob("*/traps.yaml")):
        for trap in yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader):
            found.append((path.parent.name.replace("_", "-"), trap))
    return found


def edited(trap: dict) -> str:
    text = (PAIRS / trap.get("base", "base.yaml")).read_text(encoding="utf-8")
    for old, new in trap.get("edits", []):
        assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times in the base"
        text = text.replace(old, new)
    return text


@pytest.mark.parametrize(("rule", "trap"), traps(), ids=[f"{r}: {t['name']}" for r, t in traps()])
def test_a_rule_is_not_fooled(rule: str, trap: dict) -> None:
    """``finds`` lists the subjects with a finding, ``lacks`` those that are not assessed; both empty for a false alarm to avoid."""
    done = assess(rule, edited(trap))
    assert not done.breakdowns
    assert [f.subject for f in done.findings] == trap.get("finds", []), [f.sentence for f in done.findings]
    assert [g.subject for g in done.gaps] == trap.get("lacks", []), [g.needs for g in done.gaps]
    assert done.examined or trap.get("applies") is False


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_file_is_short_explains_itself_and_imports_little(rule: str) -> None:
    path = Path(RULES[rule].path)
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= 80
    for word in ("Why:", "How judged:", "Not covered:"):
        assert word in RULES[rule].help, f"{path.name}: its docstring lacks `{word}`"
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.ImportFrom):
            assert node.module == "reviewer.rulebook", f"{path.name} imports {node.module}; a rule imports reviewer.rulebook and the standard library"
        if isinstance(node, ast.Import):
            assert all(alias.name.partition(".")[0] != "reviewer" for alias in node.names)


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_judges_by_what_a_part_is_never_by_its_name(rule: str) -> None:
    """The unmet design with every part, wire, state and label renamed gives the same findings."""
    text = pair(rule, "unmet.yaml")
    data = yaml.load(text, Loader=yaml.BaseLoader)
    names = [n for n in [*data["parts"], *data["wires"]] if n not in ("alternator", "engine")]  # these are words of the format too
    new_names = {name: f"Z{i:02d}z" for i, name in enumerate(names)}
    before = [f.subject for f in assess(rule, text).findings]
    after = [f.subject for f in assess(rule, yaml.safe_dump(renamed(data, new_names), sort_keys=False)).findings]
    assert after == [swap(s, new_names) for s in before]


@pytest.mark.parametrize("rule", RULES)
def test_a_rule_bears_names_with_a_slash(rule: str) -> None:
    """Pointers have slashes of their own; a name may have more of them."""
    data = yaml.load(pair(rule, "unmet.yaml"), Loader=yaml.BaseLoader)
    groups = [data["parts"], data["wires"], data.get("functions", {})]
    groups += [data.get(a, {}).get(b, {}) for a, b in (("operation", "states"), ("operation", "actions"), ("watch", "monitors"), ("watch", "checks"))]
    words = {
        "alternator",
        "engine",
        "main",
        "reserve",
        "cranking",
        *(v for v in data["aircraft"].values() if isinstance(v, str)),
    }  # words of the format too
    names = {name: f"{name}/and~{i}" for i, name in enumerate(n for group in groups for n in group if n not in words)}
    before, after = assess(rule, pair(rule, "unmet.yaml")), assess(rule, yaml.safe_dump(renamed(data, names), sort_keys=False))
    assert after.breakdowns == () and len(after.findings) == len(before.findings) and len(after.gaps) == len(before.gaps)


def swap(text: str, names: dict[str, str]) -> str:
    head, slash, tail = text.partition("/")
    return head + slash + names.get(tail, tail)


def test_every_folder_of_pairs_belongs_to_a_rule() -> None:
    folders = {p.name.replace("_", "-") for p in PAIRS.iterdir() if p.is_dir()}
    assert folders == set(RULES)


def test_the_handbook_has_a_page_for_every_rule_with_the_edit_that_breaks_it() -> None:
    for rule in RULES.values():
        page = handbook.page(rule, PAIRS)
        assert rule.title in page and "(-) to unmet (+)" in page


def test_findings_do_not_depend_on_the_order_of_rules() -> None:
    facts = Facts(read_text(pair("no-source-feeds-back-into-another", "unmet.yaml"), "x"))
    forward, _ = run_rules(list(RULES.values()), facts)
    backward, _ = run_rules(list(RULES.values())[::-1], Facts(facts.design))
    assert {a.rule: a for a in forward} == {a.rule: a for a in backward}
