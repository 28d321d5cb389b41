"""The cases of rules of one's own: designs with edits, and what the rule finds in each.

Beside a rule ``NAME.py`` or ``NAME.schema.json`` stands ``NAME.cases.yaml``, a list. A case names a
``design`` file beside it, edits of it (:mod:`reviewer.rulebook.edits`), the subjects with ``findings`` and
those that are ``not-assessed``.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.record import record
from reviewer.reading import Unreadable, read_file, read_text
from reviewer.reading.beside import FilesBeside, NotBeside
from reviewer.reading.yaml_events import load
from reviewer.rulebook.edits import EditError, edited
from reviewer.rulebook.own_rule import CASES
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules

_KEYS = {"case": str, "design": str, "edits": dict, "findings": list, "not-assessed": list}


@record
class CaseResult:
    """One case of a rule: its words, and what is not as it says, nothing where all is."""

    rule: str
    case: str
    wrong: str


def tried_cases(rules: Sequence[Rule]) -> Iterator[CaseResult]:
    """Each case of some rules, run; of a rule without cases one result that says so."""
    for rule in rules:
        path = _cases_of(rule)
        if not path.is_file():
            yield CaseResult(rule.name, "", f"it has no cases; write {path.name} beside it")
            continue
        yield from _tried(rule, path)


def _cases_of(rule: Rule) -> Path:
    own = Path(rule.path)
    return own.with_name(own.name.partition(".")[0] + CASES)


def _tried(rule: Rule, path: Path) -> Iterator[CaseResult]:
    try:
        cases, _, _, problems = load(read_file(path).content, path.name)
    except Unreadable as error:
        cases, problems = None, error.problems
    if problems:
        first = problems[0]
        yield CaseResult(rule.name, "", f"{path.name}, line {first.line}: {first.message}")
        return
    if not isinstance(cases, list) or not cases:
        yield CaseResult(rule.name, "", f"{path.name} is no list of cases, each with `case` and `design`")
        return
    found = 0
    for number, case in enumerate(cases, 1):
        wrong = _malformed(case)
        name = str(case.get("case", number)) if isinstance(case, dict) else str(number)
        if wrong:
            yield CaseResult(rule.name, name, f"{path.name}: {wrong}")
            continue
        found += bool(case.get("findings"))
        yield CaseResult(rule.name, name, _difference(rule, path.parent, case))
    if not found:
        yield CaseResult(rule.name, "", f"no case of {path.name} has `findings`: nothing shows that it finds")


def _malformed(case: Any) -> str:
    if not isinstance(case, dict):
        return "a case is a group of keys, `case`, `design`, `edits`, `findings`, `not-assessed`"
    for key, value in case.items():
        if key not in _KEYS:
            return f"a case has no key `{key}`; it may have {', '.join(_KEYS)}"
        if not isinstance(value, _KEYS[key]):
            kinds = {str: "text", dict: "a group of keys", list: "a list of pointers"}
            return f"`{key}` of a case is {kinds[_KEYS[key]]}"
    missing = [key for key in ("case", "design") if key not in case]
    return f"a case needs `{missing[0]}`" if missing else ""


def _difference(rule: Rule, folder: Path, case: dict[str, Any]) -> str:
    """What a rule does otherwise than a case says; "" where all is as it says."""
    beside = FilesBeside(folder)
    try:
        content = beside.read(case["design"])
        data, *_ = load(content, case["design"])
        text = json.dumps(edited(data, case["edits"])) if case.get("edits") else content
        facts = Facts(read_text(text, case["design"], beside))
    except Unreadable as error:
        first = error.problems[0]
        where = "" if case.get("edits") else f"line {first.line}: "
        return f"its design cannot be read: {where}{first.message}"
    except (EditError, NotBeside) as error:
        return f"its design cannot be made: {error}"
    (assessment,), _ = run_rules([rule], facts)
    if assessment.breakdowns:
        return "the rule failed: " + "; ".join(dict.fromkeys(b.error for b in assessment.breakdowns))
    said = {
        "findings": {finding.subject for finding in assessment.findings},
        "not-assessed": {gap.subject for gap in assessment.gaps},
    }
    wrong = []
    for key, there in said.items():
        wanted = set(case.get(key, ()))
        if more := sorted(there - wanted):
            wrong.append(f"{key} also {', '.join(more)}")
        if less := sorted(wanted - there):
            wrong.append(f"{key} not {', '.join(less)}")
    return "; ".join(wrong)
