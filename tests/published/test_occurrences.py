"""Published occurrences as small designs: the review must find what each report names. The reports are named in occurrences.yaml."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules

ROOT = Path(__file__).parents[2]
RULES = load_rules([ROOT / "rules"], installed=False)
ENTRIES = yaml.safe_load((ROOT / "tests" / "published" / "occurrences.yaml").read_text(encoding="utf-8"))


def design(entry: dict) -> str:
    """The design of an entry: its parts and wires, a function of two channels, and one state with every switch up, which is on."""
    parts = yaml.safe_load(entry["parts"])
    switches = {name: "up" for name, part in parts.items() if part["kind"] == "switch"}
    whole = {
        "format": 1,
        "aircraft": {"name": "Bench rig", "nominal": "14 V", "airframe": "composite", "stage": "concept"},
        "parts": parts,
        "wires": yaml.safe_load(entry["wires"]),
        "functions": entry.get(
            "functions", {"engine": {"any": 1, "of": ["one", "two"], "loss": "catastrophic"}}
        ),
        "operation": entry.get(
            "operation",
            {"normal": "flight", "states": {"flight": {"engine": "running", "switches": switches}}},
        ),
        "watch": entry.get("watch", {}),
    }
    return yaml.safe_dump(whole, sort_keys=False)


@pytest.mark.parametrize("entry", ENTRIES, ids=[e["report"] for e in ENTRIES])
def test_what_the_report_names_is_found(entry: dict) -> None:
    assessments, _ = run_rules(RULES, Facts(read_text(design(entry), "occurrence.yaml")))
    found = {(f.rule, f.subject) for a in assessments for f in a.findings}
    assert not [b for a in assessments for b in a.breakdowns]
    assert {tuple(f) for f in entry["finds"]} <= found, sorted(found)
