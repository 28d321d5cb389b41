"""The faulted tourer: the sound one and 30 faults, each an edit and the finding that tells of it."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

import yaml

from reviewer.analysis.facts import Facts
from reviewer.model.review import Finding
from reviewer.reading import read_text
from reviewer.rulebook.runner import run_rules
from tests.edits import Edits, edited
from tests.faults.in_text import MARK, edited_text
from tests.rule_cases import ROOT, RULES, text

SOUND = ROOT / "examples" / "tourer.design.yaml"
FAULTED = ROOT / "examples" / "faulted-tourer.design.yaml"
_HEAD = """\
# The tourer with {count} faults planted in it by somebody in a hurry.
#
# What it shows: what the reviewer finds, and how it says it. Each fault stands under a comment that is marked
# as planted, with its name and what is wrong; its other places are marked with its name. They are of the kind
# that looks right on a drawing. All else is the sound aircraft, tourer.design.yaml, with its comments:
#
"""


@dataclass(frozen=True, kw_only=True)
class Fault:
    """One planted fault. ``found``: rule, subject, where they matter state and some words; ``told_masked``:
    rule and subject that tell of it while others mask it."""

    name: str
    why: str
    edits: Edits
    found: dict[str, str]
    masked_by: list[str] = field(default_factory=list)
    told_masked: tuple[str, str] | None = None

    def told(self, findings: Iterable[Finding]) -> list[Finding]:
        """The findings that tell of the fault."""
        f = self.found
        return [
            x
            for x in findings
            if (x.rule, x.subject, x.state) == (f["rule"], f["subject"], f.get("state", x.state))
            and f.get("says", "") in x.sentence
        ]


def entry(text: str, pointer: str) -> range:
    """The lines, from 1, of the entry of a part, wire or other named thing in a text."""
    *above, name = pointer.split("/", 1 if pointer.startswith(("parts/", "wires/", "bundles/")) else -1)
    node = yaml.compose(text, Loader=yaml.CSafeLoader)
    for key in (*above, name):
        head, node = next((k, v) for k, v in node.value if k.value == key)
    within = node.end_mark.column > 0  # a block ends where the next entry begins
    return range(head.start_mark.line + 1, node.end_mark.line + 1 + within)


def _faults(path: Path) -> dict[str, Fault]:
    entries = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    masked = {e["name"]: {"told_masked": tuple(e.pop("told-masked"))} for e in entries if "told-masked" in e}
    return {
        e["name"]: Fault(**{k.replace("-", "_"): v for k, v in e.items()}, **masked.get(e["name"], {}))
        for e in entries
    }


FAULTS = _faults(Path(__file__).with_name("faulted_tourer.yaml"))


@cache
def sound() -> dict[str, Any]:
    """The data of the sound tourer."""
    return yaml.load(SOUND.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)


def with_faults(names: Iterable[str]) -> dict[str, Any]:
    """The data of the sound tourer with some faults."""
    data = sound()
    for name in names:
        data = edited(data, FAULTS[name].edits)
    return data


@lru_cache(maxsize=2)  # that of all faults is asked again and again
def _facts(names: frozenset[str]) -> Facts:
    data = with_faults(name for name in FAULTS if name in names)
    return Facts(read_text(text(data), "design"))


@cache
def findings(names: frozenset[str], rule: str = "") -> tuple[Finding, ...]:
    """Every finding of the sound tourer with some faults, or those of one rule."""
    assessments, _ = run_rules([RULES[rule]] if rule else list(RULES.values()), _facts(names))
    assert not [b for a in assessments for b in a.breakdowns]
    return tuple(f for a in assessments for f in a.findings)


@cache
def faulted_text() -> str:
    """The text of the faulted tourer: the sound one's with all edits, each under its comment."""
    content = SOUND.read_text(encoding="utf-8")
    for fault in FAULTS.values():
        content = edited_text(content, fault.edits, fault.name)
    lines = content.splitlines()
    places: dict[str, list[int]] = {}
    for i, line in enumerate(lines):
        if MARK in line:
            places.setdefault(line.partition(MARK)[2].partition("; ")[0], []).append(i)
    main = {_main(lines, places[name], fault) for name, fault in FAULTS.items()}
    made = "\n".join(_comment(line, i in main) if MARK in line else line for i, line in enumerate(lines))
    return _HEAD.format(count=len(FAULTS)) + made + "\n"


def _main(lines: list[str], places: list[int], fault: Fault) -> int:
    """The line where a fault is explained: over the subject of its finding, else its first."""
    subject = fault.found["subject"].rpartition("/")[2]
    for i in places:
        below = next((line for line in lines[i:] if MARK not in line), "")
        if below.strip().startswith(f"{subject}:"):
            return i
    return places[0]


def _comment(line: str, main: bool) -> str:
    indent, _, note = line.partition(MARK)
    name, semicolon, gone = note.partition("; ")
    if not main:
        return f"{indent}# part of {note}"
    whole = f"# planted: {name}{semicolon}{gone}. {FAULTS[name].why}"
    return textwrap.fill(whole, 110, initial_indent=indent, subsequent_indent=f"{indent}# ")
