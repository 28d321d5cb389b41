"""Remedies applied literally to the file: the finding goes, and nothing as grave appears."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.model.quantity_words import at_least, at_most
from reviewer.model.review import Finding
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.edits import edited
from tests.rule_cases import RULES, assess, design, text
from tests.test_six_aircraft import AIRCRAFT, data_of, edits_of
from tests.write_causes import planted, sound

CASES: list[dict[str, Any]] = yaml.safe_load(
    Path(__file__).with_name("applied_remedies.yaml").read_text(encoding="utf-8")
)


def found(data: dict[str, Any], rules: Iterable[str] = RULES) -> dict[tuple[str, str], Finding]:
    """The gravest finding of some rules for each rule and subject."""
    done, _ = run_rules([RULES[rule] for rule in rules], Facts(read_text(text(data), "x")))
    every = [finding for assessment in done for finding in assessment.findings]
    return {(f.rule, f.subject): f for f in sorted(every, key=lambda f: f.hazard)}


@cache
def found_of_sound(name: str) -> frozenset[tuple[str, str]]:
    """What is found of an aircraft as drawn; of the six it was written down, and is held elsewhere."""
    if name in AIRCRAFT:
        return frozenset((rule, subject) for rule, subject in data_of(name, "expected")["sound"])
    return frozenset(found(sound(name)))


@pytest.mark.long
@pytest.mark.parametrize("case", CASES, ids=lambda case: case["cause"])
def test_a_remedy_that_is_applied_clears_its_finding_and_brings_none_as_grave(case: dict[str, Any]) -> None:
    ((name, fault),) = case["at"].items()
    faulted = edited(sound(name), edits_of(sound(name), planted(name)[fault]))
    rule, subject = case["cause"].split()
    asked = found(faulted, [rule])[rule, subject]
    assert case["says"] in asked.remedy
    after = found(edited(faulted, case["edit"]))
    assert (rule, subject) not in after
    grave = {at for at, f in after.items() if f.hazard >= asked.hazard} - found_of_sound(name)
    # what the other rules found before is asked for where something is left that the sound one has not
    assert not grave or grave <= found(faulted, {rule for rule, _ in grave}).keys()


@pytest.mark.parametrize(
    ("value", "unit", "least", "most"),
    [
        (2.2503, "A", "2.3 A", "2.2 A"),
        (2.25, "A", "2.25 A", "2.25 A"),
        (16.2, "V", "16.2 V", "16.2 V"),
        (116.4, "milliohm", "117 milliohm", "116 milliohm"),
        (0.0042, "A", "4.2 mA", "4.2 mA"),
        (13.14, "V", "13.2 V", "13.1 V"),
    ],
)
def test_what_something_must_have_at_least_is_never_rounded_down(
    value: float, unit: str, least: str, most: str
) -> None:
    assert (at_least(value, unit), at_most(value, unit)) == (least, most)


def test_only_what_carries_the_current_is_offered_beside_a_larger_wire() -> None:
    """In a bundle that limits it a wire may run alone, or have insulation that bears more; where neither
    is enough, as for H3 of the diesel, neither is said."""
    rule = "wires-are-within-their-current-rating"
    (finding,) = assess(rule, text(design(rule, "unmet"))).findings
    assert finding.remedy == (
        "Use 22 AWG or larger for W73, or insulation of 200 C or more, or run it in no bundle."
    )
    hot = edited(design(rule, "unmet"), {"parts/pitot-heater/current": "14 A"})
    more = [f.remedy for f in assess(rule, text(hot)).findings if f.subject == "wires/W73"]
    assert more and "bundle" not in more[0]
