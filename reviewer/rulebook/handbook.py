"""The handbook, made from the rules themselves and from the pair of designs that each is tested with."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from pathlib import Path

from reviewer.rulebook.rule import Rule


def contents(rules: Sequence[Rule]) -> str:
    """One line a rule: its name and the property that it asks for."""
    width = max((len(r.name) for r in rules), default=0)
    return "".join(f"{r.name:<{width}}  {r.title}\n" for r in rules)


def page(rule: Rule, tests_folder: Path | None = None) -> str:
    """The manual page of a rule: explanation, class, references, remedy, and an edit that makes it not met.

    ``tests_folder`` holds a folder for each rule with ``met.yaml`` and ``unmet.yaml``; None leaves the edit out.
    """
    text = f"{rule.name}\n{'=' * len(rule.name)}\n\n{rule.help}\n\n"
    text += f"Hazard class: {rule.hazard.word}, or that of the function affected.\n"
    text += "What would satisfy it: " + rule.remedy + "\nReferences:\n"
    text += "".join(f"  {c.title}; {c.clause}\n" for c in rule.citations)
    folder = tests_folder / rule.name.replace("-", "_") if tests_folder else None
    if folder and (folder / "met.yaml").is_file() and (folder / "unmet.yaml").is_file():
        met, unmet = (
            (folder / f"{n}.yaml").read_text(encoding="utf-8").splitlines() for n in ("met", "unmet")
        )
        changed = [
            line
            for line in difflib.unified_diff(met, unmet, lineterm="", n=0)
            if line[:2] not in ("--", "++", "@@")
        ]
        text += "An edit that takes a design from met (-) to unmet (+):\n" + "".join(
            f"  {line}\n" for line in changed
        )
    return text
