"""All that a rule says of its traps, committed: ``tests/rules/<chapter>/traps.txt``, written by ``python -m tests.write_findings`` and then read.

A case file names the subjects that a trap must have, which is what the trap is for. The words, the figures and the evidence of these findings stand
here, so that a change of the code that turns one of them is noticed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

from reviewer.model.review import Assessment, Finding
from tests.rule_cases import FILES, assess, design, parsed, text

MARK = "## "


def file_of(rule: str) -> Path:
    """Where the words of a rule's traps stand."""
    return FILES[rule].parent / "traps.txt"


def words_of_trap(done: Assessment) -> str:
    """What a rule found in one trap and what it asks for; empty where it says nothing."""
    lines = [line for finding in done.findings for line in _of_finding(finding)]
    lines += [f"{gap.subject} lacks {gap.needs}" for gap in done.gaps]
    return "".join(f"{line}\n" for line in lines)


def _of_finding(one: Finding) -> Iterator[str]:
    grave = f"{one.hazard.word}, {one.consequence.word}"
    yield f"{one.subject}{f' {one.field}' if one.field else ''}: {grave}: {one.sentence}"
    yield f"  remedy: {one.remedy}"
    evidence = {
        "state": (one.state, *(f"{switch} {position}" for switch, position in one.switches)),
        "failure": (one.failure,),
        "path": [step.part for step in one.path],
        "elements": one.evidence.elements,
        "lost": one.evidence.lost,
        "changes": one.evidence.changes,
        "functions": one.evidence.functions,
        "extent": (one.extent,),
        "numbers": [f"{what} = {value}" for what, value in one.numbers],
    }
    for key, values in evidence.items():
        if said := "; ".join(filter(None, values)):
            yield f"  {key}: {said}"


def head(rule: str, trap: str) -> str:
    """The line above the words of a trap."""
    return f"{MARK}{rule}: {trap}"


@cache
def kept(file: Path) -> dict[str, str]:
    """The words of each trap of a chapter, under its head."""
    found: dict[str, str] = {}
    at = ""
    for line in file.read_text(encoding="utf-8").splitlines() if file.is_file() else []:
        if line.startswith(MARK):
            at = line
        else:
            found[at] = found.get(at, "") + line + "\n"
    return found


def write(rules: Iterable[str]) -> list[Path]:
    """Write the words of the traps of some rules; the files that changed."""
    some, changed = set(rules), []
    for file in sorted({file_of(rule) for rule in some}):
        lines = []
        for rule in sorted(r for r in FILES if file_of(r) == file):
            for trap in parsed(FILES[rule]).get("traps", ()):
                at = head(rule, trap["name"])
                if rule in some:
                    said = words_of_trap(assess(rule, text(design(rule, trap["name"]))))
                else:
                    said = kept(file).get(at, "")
                lines += [at, said.rstrip("\n")] if said else []
        made = "".join(f"{line}\n" for line in lines)
        if not file.is_file() or file.read_text(encoding="utf-8") != made:
            file.write_text(made, encoding="utf-8")
            changed.append(file)
    return changed
