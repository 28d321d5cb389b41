"""A comparison for other programs: JSON with everything, and SARIF 2.1.0 against the old review."""

from __future__ import annotations

import json
from typing import Final

from reviewer.questions.behaviour import Behaviour, Changed, CutChange
from reviewer.questions.compare import Comparison, PartChange
from reviewer.reports import wording
from reviewer.reports.compare.side_by_side_rows import side_by_side_rows
from reviewer.reports.documents.comparison_document import (
    BehaviourEntry,
    ChangeEntry,
    ComparisonDocument,
    CutSetChange,
    PartEntry,
)
from reviewer.reports.review.json import dumped, finding_data, gap_data
from reviewer.reports.review.sarif import as_sarif

FORMAT: Final = "circuit-comparison/1"


def comparison_json(comparison: Comparison) -> str:
    """The whole comparison; ``schemas/comparison.schema.json`` describes it."""
    findings, gaps = comparison.findings, comparison.gaps
    document: ComparisonDocument = {
        "format": FORMAT,
        "cautions": list(wording.CAUTIONS),
        "old": comparison.old.file,
        "new": comparison.new.file,
        "findings": {
            "new": list(map(finding_data, findings.new)),
            "gone": list(map(finding_data, findings.gone)),
            "changed": [
                {"before": finding_data(before), "after": finding_data(after)}
                for before, after in findings.changed
            ],
            "unchanged": findings.unchanged,
        },
        "causes": {
            "new": [headline.identity for headline in comparison.causes_new],
            "gone": [headline.identity for headline in comparison.causes_gone],
        },
        "missing_data": {
            "new": list(map(gap_data, gaps.new)),
            "gone": list(map(gap_data, gaps.gone)),
            "changed": [
                {"before": gap_data(before), "after": gap_data(after)} for before, after in gaps.changed
            ],
            "unchanged": gaps.unchanged,
        },
        "behaviour": _behaviour(comparison.behaviour),
        "side_by_side": [
            {"group": group, "what": what, "old": old, "new": new}
            for group, what, old, new in side_by_side_rows(*comparison.alternatives)
        ],
        "parts_and_wires": list(map(_part, comparison.parts)),
    }
    return dumped(document)


def _behaviour(behaviour: Behaviour) -> BehaviourEntry:
    return {
        "states_new": list(behaviour.states_new),
        "states_gone": list(behaviour.states_gone),
        "states_renamed": [{"before": was, "after": state} for was, state in behaviour.states_renamed],
        "functions": list(map(_change, behaviour.functions)),
        "settings": list(map(_change, behaviour.settings)),
        "feeds": list(map(_change, behaviour.feeds)),
        "voltages_and_currents": list(map(_change, behaviour.figures)),
        "endurance": list(map(_change, behaviour.endurance)),
        "cut_sets": list(map(_cut, behaviour.cuts)),
        "not_compared": list(behaviour.untried),
    }


def _part(part: PartChange) -> PartEntry:
    return {
        "kind": part.kind,
        "name": part.name,
        "change": part.change,
        "keys": [{"key": key, "before": before, "after": after} for key, before, after in part.keys],
    }


def _change(change: Changed) -> ChangeEntry:
    return {
        "what": change.what,
        "name": change.name,
        "state": change.state,
        "before": change.before,
        "after": change.after,
    }


def _cut(cut: CutChange) -> CutSetChange:
    return {
        "function": cut.function,
        "state": cut.state,
        "new": [list(c) for c in cut.new],
        "gone": [list(c) for c in cut.gone],
    }


def comparison_sarif(comparison: Comparison, version: str) -> str:
    """The new review's results, each ``new``, ``unchanged`` or ``updated`` (SARIF 2.1.0, 3.27.24).

    The old review's results that are gone are ``absent``.
    """
    document, before = (
        json.loads(as_sarif([review], version)) for review in (comparison.new, comparison.old)
    )
    run, old = document["runs"][0], before["runs"][0]
    # results are in the order of the review's findings, then of its gaps
    for result, baseline in zip(
        run["results"], (*comparison.findings.baseline, *comparison.gaps.baseline), strict=True
    ):
        result["baselineState"] = baseline
    rules = run["tool"]["driver"]["rules"]
    index = {rule["id"]: i for i, rule in enumerate(rules)}
    findings = len(comparison.old.findings)
    absent = {*comparison.findings.absent, *(findings + i for i in comparison.gaps.absent)}
    for i, result in enumerate(old["results"]):
        if i in absent:
            if result["ruleId"] not in index:
                index[result["ruleId"]] = len(rules)
                rules.append(old["tool"]["driver"]["rules"][result["ruleIndex"]])
            result["ruleIndex"] = index[result["ruleId"]]
            result["baselineState"] = "absent"
            run["results"].append(result)
    if any("suppressions" in result for result in run["results"]):
        for result in run["results"]:
            result.setdefault("suppressions", [])
    known = {json.dumps(artifact["location"]) for artifact in run["artifacts"]}
    run["artifacts"] += [a for a in old["artifacts"] if json.dumps(a["location"]) not in known]
    return dumped(document)
