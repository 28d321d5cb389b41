"""The evidence of a finding holds every part and wire that its sentence names.

Each design is read once more with names that cannot be words of a sentence.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from reviewer.model.review import Finding, HazardClass, Step
from tests.faults.planted import FAULTS, with_faults
from tests.renaming import renamed
from tests.rule_cases import FILES, RULES, assess, design, parsed, text

#: names in use that are words of the format too
WORDS = {
    "alternator",
    "engine",
    "main",
    "reserve",
    "cranking",
    "normal",
    "starter",
    "motor",
    "lamp",
    "changeover",
}
_NAME = re.compile(r"Z\d{3}~")


def coded(data: dict[str, Any]) -> str:
    """The text of a design in which part and wire number i is called ``Z00i~``."""
    return text(renamed(data, codes(data)))


def codes(data: dict[str, Any]) -> dict[str, str]:
    """The new name of each part and wire, but of those whose own is that of a pin too, or a word of the format."""
    taken = [(*part.get("pins", ()), part.get("type", "")) for part in data["parts"].values()]
    kept = WORDS.union(*taken)
    owned = dict.fromkeys([*data["parts"], *data.get("wires", {})])
    return {name: f"Z{i:03d}~" for i, name in enumerate(owned) if name not in kept}


def without_evidence(finding: Finding) -> set[str]:
    """The names in a sentence that stand neither in its subject nor in its evidence."""
    evidence = [finding.subject, finding.failure, finding.extent]
    evidence += [step.part for step in finding.path]
    evidence += [switch for switch, _ in finding.switches]
    evidence += [word for number in finding.numbers for word in number]
    return set(_NAME.findall(finding.sentence)) - set(_NAME.findall(" ".join(evidence)))


def test_a_name_that_is_in_the_sentence_alone_is_noticed() -> None:
    path = (Step("Z002~", "breaker"),)
    told = Finding("rule", "parts/Z001~", "Z001~ feeds Z002~ and Z003~.", HazardClass.MINOR, path=path)
    assert without_evidence(told) == {"Z003~"}
    assert without_evidence(replace(told, numbers=(("also fed", "Z003~"),))) == set()


def told_of(rule: str) -> list[str]:
    """The designs of a rule that have a finding."""
    return ["unmet", *(t["name"] for t in parsed(FILES[rule]).get("traps", ()) if t.get("findings"))]


@pytest.mark.parametrize("rule", RULES)
def test_what_a_sentence_names_stands_in_its_evidence(rule: str) -> None:
    for name in told_of(rule):
        done = assess(rule, coded(design(rule, name)))
        assert done.findings and not done.breakdowns
        for finding in done.findings:
            assert not without_evidence(finding), (name, finding.sentence)


def test_what_the_sentences_about_the_faulted_tourer_name_stands_in_their_evidence() -> None:
    content = coded(with_faults(FAULTS))
    for rule in RULES:
        assert not assess(rule, content).breakdowns
        for finding in assess(rule, content).findings:
            assert not without_evidence(finding), finding.sentence
