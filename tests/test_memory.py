"""What was solved is let go of. What a page of a large design takes is measured by tests/page."""

from __future__ import annotations

import gc
import json
import sys
from typing import Any

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import function_masks
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from tests.oracle.generator import realistic
from tests.rule_cases import ROOT


def test_what_functions_are_solved_from_is_let_go_of() -> None:
    """Without a collection of cycles, as in a command."""
    facts = Facts(read_text((ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8"), "tourer"))
    answer = facts.states.answers()[0]
    gc.disable()
    try:
        powered = conduct(answer.network, answer.state, answer.failures, answer.healthy).powered
        before = sys.getrefcount(powered)
        assert any(function_masks(answer.design, powered, (1 << len(answer.failures)) - 1).values())
        assert sys.getrefcount(powered) == before
    finally:
        gc.enable()


def test_a_repaired_network_is_let_go_of_after_its_trial() -> None:
    """All rules have judged it, with findings and gaps; without a collection of cycles, as in a command."""
    generated: dict[str, Any] = {}
    realistic(60, 2, dress=generated.update)
    design = read_text(json.dumps(generated), "unsound.json")
    rules = load_rules([ROOT / "rules"])
    gc.collect()
    gc.disable()
    try:
        with Facts(design) as facts:
            done, _ = run_rules(rules, facts)
            assert any(one.findings for one in done) and any(one.gaps for one in done)
            kept = len(facts.network.links)
        # what is left over holds no network
        assert gc.collect() < 1000 < 5 * kept
        assert facts.network.links  # asked again it is made again
    finally:
        gc.enable()
