"""What every finding and gap comes to, as JSON, to compare two versions of the reviewer.

``python -m tests.verdicts`` prints, for the examples, for the met and unmet design of every rule and for
some generated designs, (rule, subject, state, class) of each finding and (rule, subject) of each gap, in order.
"""

from __future__ import annotations

import json
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.reading import read_design, read_text
from reviewer.rulebook.runner import run_rules
from tests.analysis.operating_point.dressed import dress
from tests.oracle.generator import awkward, realistic
from tests.oracle.sound import sound
from tests.rule_cases import ROOT, RULES, design, text


def verdicts(read: Design) -> dict[str, list[Any]]:
    """The findings and gaps of a design under all rules, sorted."""
    done, _ = run_rules(list(RULES.values()), Facts(read))
    assert not [b for a in done for b in a.breakdowns]
    findings = sorted((f.rule, f.subject, f.state, f.hazard.word) for a in done for f in a.findings)
    gaps = sorted((g.rule, g.subject) for a in done for g in a.gaps)
    return {"findings": [list(f) for f in findings], "gaps": [list(g) for g in gaps]}


def all_verdicts() -> dict[str, dict[str, list[Any]]]:
    """By the name of an example, of a rule with ``met`` or ``unmet``, or of a generator with its seed."""
    found = {
        path.name.removesuffix(".design.yaml"): verdicts(read_design(path))
        for path in sorted((ROOT / "examples").glob("*.design.yaml"))
    }
    for rule in RULES:
        for case in ("met", "unmet"):
            found[f"{rule}, {case}"] = verdicts(read_text(text(design(rule, case)), rule))
    for seed in range(6):
        found[f"realistic {seed}"] = verdicts(realistic(110 + 12 * seed, seed, dress(seed)))
    for seed in range(60):
        found[f"awkward {seed}"] = verdicts(awkward(seed, dress=dress(seed)))
    for seed in range(2):
        found[f"sound {seed}"] = verdicts(sound(250, seed))
    return found


if __name__ == "__main__":
    print(json.dumps(all_verdicts(), indent=1))
