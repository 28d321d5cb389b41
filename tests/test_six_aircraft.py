"""Six aircraft that were drawn without knowing the rules: sound, with a fault, with a harmless change.

Beside the drawing, ``NAME.expected.yaml`` says what the review must tell: ``sound``, the findings of the
drawing as it is, and ``faults``, for each fault the finding that tells of it, ``expect``, a list of rule
and subject, or why none does, ``missed``. What is not there yet for an aircraft is not judged.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.edits import REMOVE, EditError, Edits, edited, keys_of
from tests.rule_cases import RULES, text

FOLDER = Path(__file__).with_name("aircraft")
AIRCRAFT = tuple(sorted(p.name.removesuffix(".design.yaml") for p in FOLDER.glob("*.design.yaml")))
JUDGED = tuple(name for name in AIRCRAFT if (FOLDER / f"{name}.expected.yaml").is_file())
#: (rule, subject) of a finding; of an item that was not assessed, with the word `missing` before it
Told = tuple[str, ...]


@cache
def data_of(name: str, what: str) -> Any:
    """What a file of an aircraft says: of its ``design``, ``faults``, ``innocent`` or ``expected``."""
    return yaml.load((FOLDER / f"{name}.{what}.yaml").read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)


def edits_of(design: dict[str, Any], steps: list[dict[str, Any]]) -> Edits:
    """Edits as the files of the aircraft write them: what is set must be there, what is added not yet."""
    edits: dict[str, Any] = {}
    if gone := [step["remove"] for step in steps if "remove" in step]:
        edits[REMOVE] = gone
    for step in steps:
        if "remove" in step:
            continue
        path = str(step.get("set", step.get("add")))
        if there(design, path) is not ("set" in step):
            raise EditError(f"{path} is {'not ' * ('set' in step)}there")
        edits[path] = step["to" if "set" in step else "value"]
    return edits


def there(data: Any, path: str) -> bool:
    for key in keys_of(path):
        if not isinstance(data, dict) or key not in data:
            return False
        data = data[key]
    return True


def told(design: dict[str, Any]) -> frozenset[Told]:
    """What the review tells of a design: its findings and what it could not assess."""
    done, _ = run_rules(list(RULES.values()), Facts(read_text(text(design), "design")))
    assert not [b for a in done for b in a.breakdowns]
    findings = {(f.rule, f.subject) for a in done for f in a.findings}
    return frozenset(findings | {("missing", g.rule, g.subject) for a in done for g in a.gaps})


@cache
def told_of(name: str) -> frozenset[Told]:
    return told(data_of(name, "design"))


def cases(what: str) -> list[Any]:
    """(aircraft, fault or harmless change) of those that are judged; the first of each is tried always."""
    return [
        pytest.param(name, case["name"], marks=() if (name, i) == (JUDGED[0], 0) else pytest.mark.long)
        for name in JUDGED
        for i, case in enumerate(data_of(name, what))
    ]


def changed(name: str, what: str, case: str) -> frozenset[Told]:
    """What the review tells of an aircraft with a fault or a harmless change, and not without."""
    steps = next(c["edit"] for c in data_of(name, what) if c["name"] == case)
    design = data_of(name, "design")
    return told(edited(design, edits_of(design, steps))) - told_of(name)


def test_there_are_six_aircraft_and_what_is_expected_names_their_faults() -> None:
    assert len(AIRCRAFT) == 6 and JUDGED
    for name in JUDGED:
        expected = data_of(name, "expected")
        assert set(expected) == {"sound", "faults"}
        assert list(expected["faults"]) == [fault["name"] for fault in data_of(name, "faults")]
        for said in expected["faults"].values():
            assert set(said) in ({"expect"}, {"missed"})
            assert all(rule in RULES and subject for rule, subject in said.get("expect", ()))
            assert said.get("expect", True) and said.get("missed", True)


@pytest.mark.parametrize("name", [pytest.param(n, marks=pytest.mark.long) for n in JUDGED])
def test_a_sound_aircraft_has_the_findings_that_were_read_and_found_true(name: str) -> None:
    findings = {entry for entry in told_of(name) if entry[0] != "missing"}
    assert findings == {tuple(entry) for entry in data_of(name, "expected")["sound"]}


@pytest.mark.parametrize(("name", "fault"), cases("faults"))
def test_a_planted_fault_is_told_at_its_place(name: str, fault: str) -> None:
    said, new = data_of(name, "expected")["faults"][fault], changed(name, "faults", fault)
    findings = sorted(entry for entry in new if entry[0] != "missing")
    if "missed" in said:
        assert findings == [], "it is found now: say where"
    assert {tuple(entry) for entry in said.get("expect", ())} <= new, findings


@pytest.mark.parametrize(("name", "change"), cases("innocent"))
def test_a_harmless_change_brings_nothing_new(name: str, change: str) -> None:
    assert sorted(changed(name, "innocent", change)) == []
