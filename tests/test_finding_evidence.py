"""What a finding says and what it shows: its evidence holds every part and wire that its sentence names, and
a figure stands beside its limit and differs from it.

Each design is read with names that cannot be words of a sentence.
"""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from reviewer.analysis.facts import Facts
from reviewer.model.review import Finding, HazardClass, Step
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.edits import edited
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
_FIGURE = re.compile(
    r"(\d+(?:\.\d+)?(?:e[+-]\d+)?) (%|(?:A2s|Ah|mA|mV|ms|milliohm|ohm|A|V|W|C|m|s|min|days)\b)"
)
_WORDS_OF_A_LIMIT = (
    "limit|required|minimum|maximum|rated|largest|tolerance|usual|voltage|opens above|withstands"
)
_LIMIT = re.compile(rf"\b(?:{_WORDS_OF_A_LIMIT})\b(?:(?!; |\. )[^\d])*?(?:\d+ AWG )?{_FIGURE.pattern}")


def coded(data: dict[str, Any]) -> str:
    """The text of a design in which part and wire number i is called ``Z00i~``."""
    return text(renamed(data, codes(data)))


def codes(data: dict[str, Any]) -> dict[str, str]:
    """The new name of each part and wire, but of those whose own is that of a pin too, or a word of the format."""
    taken = [(*p.get("pins", ()), p["kind"], p.get("type", "")) for p in data["parts"].values()]
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


def limits_as_read(sentence: str) -> list[str]:
    """The limits in a sentence that read as the figure of their unit before them."""
    alike = []
    for limit in _LIMIT.finditer(sentence):
        before = [m for m in _FIGURE.finditer(sentence, 0, limit.start()) if m[2] == limit[2]]
        if before and float(before[-1][1]) == float(limit[1]):
            alike.append(f"{limit[1]} {limit[2]}")
    return alike


def lone_limits(finding: Finding) -> list[str]:
    """The limits in the detail of a finding whose sentence gives a figure of their unit and not the limit."""
    figures = {(m[1], m[2]) for m in _FIGURE.finditer(finding.sentence)}
    lone = []
    for what, value in finding.numbers:
        limit = _FIGURE.search(value) if what.startswith(("limit", "required", "minimum")) else None
        if limit and limit[2] in {unit for _, unit in figures} and (limit[1], limit[2]) not in figures:
            lone.append(value)
    return lone


def test_a_name_that_is_in_the_sentence_alone_is_noticed() -> None:
    path = (Step("Z002~", "breaker"),)
    told = Finding("rule", "parts/Z001~", "Z001~ feeds Z002~ and Z003~.", HazardClass.MINOR, path=path)
    assert without_evidence(told) == {"Z003~"}
    assert without_evidence(replace(told, numbers=(("also fed", "Z003~"),))) == set()


def told_of(rule: str) -> list[str]:
    """The designs of a rule that have a finding."""
    return ["unmet", *(t["name"] for t in parsed(FILES[rule]).get("traps", ()) if t.get("findings"))]


@cache
def faulted_facts() -> Facts:
    """Of the faulted tourer, worked out once for all rules, as in a review."""
    return Facts(read_text(coded(with_faults(FAULTS)), "design"))


@cache
def every_finding(rule: str) -> tuple[Finding, ...]:
    """The findings of a rule about its own designs and the faulted tourer."""
    own = [assess(rule, coded(design(rule, name))) for name in told_of(rule)]
    assert all(done.findings for done in own)
    (faulted,), _ = run_rules([RULES[rule]], faulted_facts())
    assert not any(done.breakdowns for done in (*own, faulted))
    return tuple(finding for done in (*own, faulted) for finding in done.findings)


#: one rule in four in the short run
SOME = [r if i % 4 == 0 else pytest.param(r, marks=pytest.mark.long) for i, r in enumerate(sorted(RULES))]


@pytest.mark.parametrize("rule", SOME)
def test_what_a_sentence_names_stands_in_its_evidence(rule: str) -> None:
    for finding in every_finding(rule):
        assert not without_evidence(finding), finding.sentence


@pytest.mark.parametrize("rule", SOME)
def test_a_figure_stands_beside_its_limit(rule: str) -> None:
    for finding in every_finding(rule):
        assert not lone_limits(finding) and not limits_as_read(finding.sentence), finding.sentence


def test_a_limit_that_reads_as_its_figure_or_that_is_left_out_is_noticed() -> None:
    assert limits_as_read("The run is 0.9 m; limit 0.9 m.") == ["0.9 m"]
    assert limits_as_read("A has 9.97 V at 3 A; minimum 10 V. B carries 6 A; limit 5 A.") == []
    told = Finding(
        "rule", "parts/a", "A carries 6 A.", HazardClass.MINOR, numbers=(("limit", "5 A or more"),)
    )
    assert lone_limits(told) == ["5 A or more"]
    assert lone_limits(replace(told, sentence="A carries 6 A; limit 5 A.")) == []


@pytest.mark.long
def test_more_than_a_hundred_findings_have_a_limit_in_their_sentence() -> None:
    assert sum(bool(_LIMIT.search(f.sentence)) for rule in RULES for f in every_finding(rule)) > 100


def test_a_check_that_misses_says_what_its_meter_may_read_and_what_nobody_has_measured() -> None:
    """A small alternator at idle may give 0.4 to 0.6 of its rating: without `idle-output` that widens the limits."""
    rule = "preflight-checks-detect-their-failures"
    misses = "volts behind an alternator prove no battery"
    on_ground = {
        "operation/states/cruise/use": "ground",
        "operation/states/flown": {"like": "cruise", "use": "flight"},
    }
    told = []
    for edits in (on_ground, on_ground | {"parts/alternator/idle-output": "30 A"}):
        drawn = edited(design(rule, misses), edits | {"operation/normal": "flown"})
        (found,) = (
            f for f in assess(rule, text(drawn)).findings if f.subject == "watch/checks/sources-alone"
        )
        told.append(dict(found.numbers))
    assert all("bus-volts with nothing failed" in numbers for numbers in told)
    assert ["output at idle over the rating" in numbers["not measured"] for numbers in told] == [True, False]
