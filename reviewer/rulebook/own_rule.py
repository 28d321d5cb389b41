"""A rule to begin with, with its cases and their design."""

from __future__ import annotations

import re
from collections.abc import Mapping

#: what the name of a file of cases ends in
CASES = ".cases.yaml"
_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_RULE = '''"""Breakers are within reach of the crew.

Why: a breaker that opens in flight can be reset only where a hand gets at it.

How judged: `accessible` of each breaker must be `in-flight`. Without it the rule is not assessed for
that breaker.
"""

from collections.abc import Iterator

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
REMEDY = "Move it to where the crew can reach it, or state that it is."
#: sources of your own: a key and the title that reports print
SOURCES = {"shop-manual": "Our shop manual, issue 1"}
CITATIONS = [("shop-manual", "section 1")]


def subjects(facts: Facts) -> Iterator[str]:
    """Every breaker, as a pointer."""
    return (f"parts/{name}" for name in facts.design.of_kind(parts.Breaker))


def judge(subject: Subject, facts: Facts) -> Iterator[Unmet]:
    """Yield what is wrong with one breaker; yield nothing where all is as it should be."""
    breaker = subject.part(facts.design, parts.Breaker)
    if breaker.accessible is None:
        raise NotAssessable(f"`accessible` of {subject.name}", (subject.pointer, "accessible"))
    if breaker.accessible != "in-flight":
        yield Unmet(f"{subject.name} cannot be reached in flight.", field="accessible")
'''
_CASES = """# What the rule must find, and what it must not: `reviewer try .` runs these.
- case: a breaker within reach
  design: {design}
  edits: {{parts/radio-breaker/accessible: in-flight}}
- case: a breaker behind the panel
  design: {design}
  edits: {{parts/radio-breaker/accessible: on-ground}}
  findings: [parts/radio-breaker]
- case: nobody says where it is
  design: {design}
  not-assessed: [parts/radio-breaker]
"""
_DESIGN = """format: 1
aircraft: {name: Rule on trial, nominal: 14 V, airframe: metal, stage: concept}
parts:
  battery: {kind: battery}
  radio-breaker: {kind: breaker, rating: 5 A}
  radio: {kind: load, type: electronic}
wires:
  W1: {from: battery.positive, to: radio-breaker.line}
  W2: {from: radio-breaker.load, to: radio.supply}
  W3: {from: radio.return, to: battery.negative}
"""


def is_rule_name(name: str) -> bool:
    """Whether a name is one of a rule: words in small letters with hyphens between."""
    return _NAME.fullmatch(name) is not None


def own_rule(name: str) -> Mapping[str, str]:
    """The files of a new rule by their names: the rule, its cases and the design of these."""
    own, design = name.replace("-", "_"), f"{name}.design.yaml"
    return {f"{own}.py": _RULE, f"{own}{CASES}": _CASES.format(design=design), design: _DESIGN}
