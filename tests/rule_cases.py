"""The case of each rule: a base, edits that make it met and then unmet, what is found then, and traps.

A base is a whole design, ``tests/rules/bases/<name>.yaml``. A case is ``tests/rules/<chapter>/<rule>.yaml``:

    base: bench
    met:                 edits of the base; left out where the base is met as it stands
    unmet:               edits of the met design
    findings:            every finding of the unmet design, written by ``python -m tests.write_findings``
    traps:               what the rule must not be fooled by
      - name:            a sentence
        base:            a base, `unmet`, or the name of a trap above; the met design where it is left out
        edits:
        findings:        the subjects with a finding
        not-assessed:    the subjects that lack an input
        detail:          where the words are what may be wrong, of each finding: `sentence`, `remedy`, `state`, `path`, `hazard`, `comes-to`;
                         of each that lacks an input: `asks`
        applies: false   where the rule has no subject

Edits are those of :mod:`tests.edits`.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from reviewer.analysis.facts import Facts
from reviewer.model.review import Assessment
from reviewer.reading import read_text
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from tests.edits import edited

ROOT = Path(__file__).parent.parent
CASES = ROOT / "tests" / "rules"
BASES = CASES / "bases"
RULES = {r.name: r for r in load_rules([ROOT / "rules"], installed=False)}
FILES = {p.stem.replace("_", "-"): p for p in sorted(CASES.rglob("*.yaml")) if p.parent != BASES}

Data = dict[str, Any]


@cache
def parsed(path: Path) -> Data:
    """The data of a YAML file; not to be changed."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)


def base_text(name: str) -> str:
    """The text of a base."""
    return (BASES / f"{name}.yaml").read_text(encoding="utf-8")


@cache
def design(rule: str, name: str) -> Data:
    """The data of a rule's design: ``met``, ``unmet``, a trap of it, or a base; not to be changed."""
    case = parsed(FILES[rule])
    if name == "met":
        return edited(parsed(BASES / f"{case['base']}.yaml"), case.get("met", {}))
    if name == "unmet":
        return edited(design(rule, "met"), case["unmet"])
    for trap in case.get("traps", ()):
        if trap["name"] == name:
            return edited(design(rule, trap.get("base", "met")), trap.get("edits", {}))
    return parsed(BASES / f"{name}.yaml")


def text(data: Data) -> str:
    """A design as text that the reader takes: JSON, on one line."""
    return json.dumps(data, ensure_ascii=False)


def yaml_text(data: Data) -> str:
    """A design as a person writes it: each part, wire, function, state on a line of its own."""
    lines = []
    for key, value in data.items():
        if key not in ("parts", "wires", "functions", "operation", "watch"):
            lines.append(_line(key, value))
            continue
        lines.append(f"{key}:")
        for name, entry in value.items():
            if key in ("operation", "watch") and isinstance(entry, dict):
                lines += [f"  {name}:", *(f"    {_line(n, e)}" for n, e in entry.items())]
            else:
                lines.append(f"  {_line(name, entry)}")
    return "\n".join(lines) + "\n"


def _line(key: str, value: object) -> str:
    made = yaml.safe_dump(
        {key: value}, default_flow_style=True, sort_keys=False, width=10**6, allow_unicode=True
    )
    return made.strip()[1:-1]


@cache
def _texts_of_bases() -> frozenset[str]:
    return frozenset(text(parsed(p)) for p in BASES.iterdir())


_kept: dict[str, Facts] = {}


def facts(content: str) -> Facts:
    """The facts of a design. Those of a base, which many rules share, are worked out once, as in a review."""
    if content in _kept:
        return _kept[content]
    for other in _kept.keys() - _texts_of_bases():
        del _kept[other]
    _kept[content] = Facts(read_text(content, "design"))
    return _kept[content]


@cache
def assess(rule: str, content: str) -> Assessment:
    """What one rule says of a design."""
    assessments, _ = run_rules([RULES[rule]], facts(content))
    return assessments[0]


def detail(done: Assessment, key: str) -> list[object]:
    """One detail of every finding, or of every gap: the keys of ``detail`` of a trap."""
    if key == "asks":
        return [gap.needs for gap in done.gaps]
    if key == "comes-to":
        return [finding.consequence.word for finding in done.findings]
    if key == "hazard":
        return [finding.hazard.word for finding in done.findings]
    if key == "path":
        return [[step.part for step in finding.path] for finding in done.findings]
    return [{"sentence": f.sentence, "remedy": f.remedy, "state": f.state}[key] for f in done.findings]


def findings(rule: str) -> list[Data]:
    """The findings of the unmet design, in the form of a case file: keys without a value are left out."""
    content = text(design(rule, "unmet"))
    pointers = {place: pointer for pointer, place in facts(content).design.places.items()}
    found = []
    for f in assess(rule, content).findings:
        told = {
            "subject": f.subject, "field": f.field, "state": f.state, "hazard": f.hazard.word, "sentence": f.sentence,
            "failure": f.failure, "path": [s.part for s in f.path], "numbers": [list(n) for n in f.numbers],
            "at": pointers[f.place.line, f.place.column] if f.place else "",
        }  # fmt: skip
        found.append({key: value for key, value in told.items() if value})
    return found
