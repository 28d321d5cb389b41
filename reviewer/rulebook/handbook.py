"""The handbook, made from the rules themselves and from the case that each is tested on."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import yaml

from reviewer.rulebook.rule import Rule


def contents(rules: Sequence[Rule]) -> str:
    """One line a rule: its name and the property that it asks for."""
    width = max((len(r.name) for r in rules), default=0)
    return "".join(f"{r.name:<{width}}  {r.title}\n" for r in rules)


def page(rule: Rule, tests_folder: Path | None = None) -> str:
    """The manual page of a rule: explanation, class, references, remedy, an edit that breaks it.

    ``tests_folder`` is the folder with a case file for each rule, at any depth; None leaves the
    edit out.
    """
    text = f"{rule.name}\n{'=' * len(rule.name)}\n\n{rule.help}\n\n"
    text += f"Hazard class: {rule.hazard.word}, or that of the function affected.\n"
    text += "What would satisfy it: " + rule.remedy + "\nReferences:\n"
    text += "".join(f"  {c.title}; {c.clause}\n" for c in rule.citations)
    edit = _edit(rule, tests_folder) if tests_folder else {}
    if edit:
        text += "An edit that takes a design from met to unmet:\n"
        text += "".join(f"  {path}: {_plain(value)}\n" for path, value in edit.items())
    return text


def _edit(rule: Rule, tests_folder: Path) -> dict[str, Any]:
    """The edit in the rule's case file: path and new value; under ``remove``, the paths that go."""
    for path in tests_folder.rglob(f"{rule.name.replace('-', '_')}.yaml"):
        return dict(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)["unmet"])
    return {}


def _plain(value: object) -> str:
    """A value on one line, as it may stand in a design file."""
    made = yaml.safe_dump(value, default_flow_style=True, sort_keys=False, width=10_000, allow_unicode=True)
    return made.partition("\n...")[0].strip()
