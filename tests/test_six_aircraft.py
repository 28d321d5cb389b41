"""Six aircraft that were drawn without knowing the rules: sound, with a fault, with a harmless change.

Beside the drawing, ``NAME.expected.yaml`` says what the review must tell: ``sound``, the findings of the
drawing as it is, and ``faults``, for each fault the findings that tell of it, ``expect``, a list of rule
and subject.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.model.review import Assessment
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.edits import REMOVE, EditError, Edits, edited, keys_of
from tests.reviewed_once import reviewed_once
from tests.rule_cases import RULES, text
from tests.screens import as_screens
from tests.thinned import some_of
from tests.write_committed import example_review

FOLDER = Path(__file__).with_name("aircraft")
AIRCRAFT = tuple(sorted(p.name.removesuffix(".design.yaml") for p in FOLDER.glob("*.design.yaml")))
#: those that take the longest
LARGEST = {"28v-essential", "twin-split-bus"}
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


def told(design: dict[str, Any], rules: Iterable[str] = RULES) -> frozenset[Told]:
    """What some rules tell of a design: their findings and what they could not assess."""
    done, _ = run_rules([RULES[rule] for rule in rules], Facts(read_text(text(design), "design")))
    return told_by(done)


def told_by(done: Iterable[Assessment]) -> frozenset[Told]:
    assert not [b for a in done for b in a.breakdowns]
    findings = {(f.rule, f.subject) for a in done for f in a.findings}
    return frozenset(findings | {("missing", g.rule, g.subject) for a in done for g in a.gaps})


@cache
def told_of(name: str) -> frozenset[Told]:
    return told_by(example_review(FOLDER / f"{name}.design.yaml").assessments)


def with_fault(name: str, fault: str) -> dict[str, Any]:
    """An aircraft with one of its faults."""
    design, steps = (
        data_of(name, "design"),
        next(f["edit"] for f in data_of(name, "faults") if f["name"] == fault),
    )
    return edited(design, edits_of(design, steps))


def harmless(name: str) -> list[dict[str, Any]]:
    """An aircraft with its harmless changes, as many at once as can be made together."""
    found: list[dict[str, Any]] = []
    for change in data_of(name, "innocent"):
        for i, design in enumerate(found):
            try:
                found[i] = edited(design, edits_of(design, change["edit"]))
                break
            except (EditError, KeyError):
                continue
        else:
            design = data_of(name, "design")
            found.append(edited(design, edits_of(design, change["edit"])))
    return found


def faults() -> list[Any]:
    """(aircraft, fault) of all; the first is tried always."""
    found = [(name, fault) for name in AIRCRAFT for fault in data_of(name, "expected")["faults"]]
    return [pytest.param(*case, marks=pytest.mark.long if i else ()) for i, case in enumerate(found)]


def test_there_are_six_aircraft_and_what_is_expected_names_their_faults() -> None:
    assert len(AIRCRAFT) == 6
    for name in AIRCRAFT:
        expected = data_of(name, "expected")
        assert set(expected) == {"sound", "faults"}
        assert list(expected["faults"]) == [fault["name"] for fault in data_of(name, "faults")]
        for said in expected["faults"].values():
            assert set(said) == {"expect"} and said["expect"]
            assert all(rule in RULES and subject for rule, subject in said["expect"])


@pytest.mark.long
@pytest.mark.parametrize("name", AIRCRAFT)
def test_a_sound_aircraft_has_the_findings_that_were_read_and_found_true(name: str) -> None:
    shown = as_screens([example_review(FOLDER / f"{name}.design.yaml")])
    assert (FOLDER / f"{name}.review.txt").read_text(encoding="utf-8") == shown
    findings = {entry for entry in told_of(name) if entry[0] != "missing"}
    assert findings == {tuple(entry) for entry in data_of(name, "expected")["sound"]}


@pytest.mark.long
@pytest.mark.parametrize("name", some_of(AIRCRAFT, set(AIRCRAFT) - LARGEST))
def test_harmless_changes_bring_no_other_finding(name: str) -> None:
    for design in harmless(name):
        assert sorted(told(design) - told_of(name)) == []


@pytest.mark.parametrize(("name", "fault"), faults())
def test_a_planted_fault_is_told_at_its_place(name: str, fault: str) -> None:
    """By the rules that are expected to tell of it; all are asked where other tests read the review too."""
    from tests.test_causes import REVIEWED_WHOLE  # it rests on this module

    said = data_of(name, "expected")["faults"][fault]
    rules = dict.fromkeys(rule for rule, _ in said["expect"])
    sound = {tuple(entry) for entry in data_of(name, "expected")["sound"]}
    expected = {tuple(entry) for entry in said["expect"]}
    design = with_fault(name, fault)
    if (name, fault) in REVIEWED_WHOLE:
        found = told_by(reviewed_once(design).assessments)
    else:
        found = told(design, rules)
    assert not expected & sound and expected <= found


@pytest.mark.parametrize("name", AIRCRAFT)
def test_every_state_has_an_operating_point(name: str) -> None:
    """Converters and chargers in series, and relays that volts work, settle in each of them."""
    facts = Facts(read_text(text(data_of(name, "design")), "x"))
    for state in facts.states.declared:
        assert facts.points.operating_point(state).readings.keys() == facts.design.watch.monitors.keys()
