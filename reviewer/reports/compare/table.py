"""A comparison for other programs: JSON with everything, and SARIF 2.1.0 with the state of each result against the old review."""

from __future__ import annotations

import json
from typing import Any

from reviewer.questions.compare import Changed, CutChange
from reviewer.reports import wording
from reviewer.reports.compare.differences import Comparison
from reviewer.reports.review.json import dumped, finding_data, gap_data
from reviewer.reports.review.sarif import as_sarif

FORMAT = "circuit-comparison/1"


def comparison_json(comparison: Comparison) -> str:
    """The whole comparison as JSON."""
    c, b = comparison, comparison.behaviour
    return dumped(
        {
            "format": FORMAT,
            "cautions": list(wording.CAUTIONS),
            "old": c.old.file,
            "new": c.new.file,
            "findings": {
                "new": [finding_data(f) for f in c.findings.new],
                "gone": [finding_data(f) for f in c.findings.gone],
                "changed": [
                    {"before": finding_data(one), "after": finding_data(two)}
                    for one, two in c.findings.changed
                ],
                "same": c.findings.same,
            },
            "gaps": {
                "new": [gap_data(g) for g in c.gaps.new],
                "gone": [gap_data(g) for g in c.gaps.gone],
                "changed": [{"before": gap_data(one), "after": gap_data(two)} for one, two in c.gaps.changed],
                "same": c.gaps.same,
            },
            "behaviour": {
                "states_new": list(b.states_new),
                "states_gone": list(b.states_gone),
                "functions": list(map(_change, b.functions)),
                "settings": list(map(_change, b.settings)),
                "feeds": list(map(_change, b.feeds)),
                "figures": list(map(_change, b.figures)),
                "endurance": list(map(_change, b.endurance)),
                "cut_sets": list(map(_cut, b.cuts)),
                "not_compared": list(b.untried),
            },
            "pieces": [
                {
                    "kind": piece.kind,
                    "name": piece.name,
                    "standing": piece.standing,
                    "fields": [{"field": key, "before": one, "after": two} for key, one, two in piece.fields],
                }
                for piece in c.pieces
            ],
        }
    )


def _change(change: Changed) -> dict[str, str]:
    return {
        "what": change.what,
        "name": change.name,
        "state": change.state,
        "before": change.before,
        "after": change.after,
    }


def _cut(cut: CutChange) -> dict[str, Any]:
    return {
        "function": cut.function,
        "state": cut.state,
        "new": [list(c) for c in cut.new],
        "gone": [list(c) for c in cut.gone],
    }


def comparison_sarif(comparison: Comparison, version: str) -> str:
    """The new review's results, each ``new``, ``unchanged`` or ``updated``, and the old one's that are gone as ``absent`` (SARIF 2.1.0, 3.27.24)."""
    document, before = (
        json.loads(as_sarif([review], version)) for review in (comparison.new, comparison.old)
    )
    run, old = document["runs"][0], before["runs"][0]
    # the results stand in the order of the review's findings, then of its gaps
    for result, standing in zip(
        run["results"], (*comparison.findings.standing, *comparison.gaps.standing), strict=True
    ):
        result["baselineState"] = standing
    rules = run["tool"]["driver"]["rules"]
    index = {rule["id"]: i for i, rule in enumerate(rules)}
    were = [*comparison.old.findings, *comparison.old.gaps]
    absent = {id(thing) for thing in (*comparison.findings.gone, *comparison.gaps.gone)}
    for thing, result in zip(were, old["results"], strict=True):
        if id(thing) in absent:
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
