"""An instrument whose return passes two places that noisy current crosses is named once."""

from __future__ import annotations

import pytest

from reviewer.analysis.facts import Facts
from reviewer.analysis.grounding.answers import Grounds
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.rule_cases import RULES, design, text

RULE = "noisy-returns-are-separate-from-instrument-grounds"


def test_an_instrument_is_named_once(monkeypatch: pytest.MonkeyPatch) -> None:
    facts = Facts(read_text(text(design(RULE, "unmet")), "x"))
    (shared,) = facts.grounds.shared_returns("strobe")
    twice = {"strobe": (shared, shared)}
    monkeypatch.setattr(Grounds, "shared_returns", lambda _, name: twice.get(name, ()))
    ((assessment,), _) = run_rules([RULES[RULE]], facts)
    (finding,) = assessment.findings
    assert finding.sentence.count(shared.instrument) == 1
    assert f"parts/{shared.instrument}/return" in finding.evidence.changes
