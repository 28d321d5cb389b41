"""Trials of figures that are estimates: what the rules say with them at the ends of their ranges.

First all estimates stand low at once, and high at once; where some are of sources, also these against the
others. A finding whose words or numbers move rests on an estimate. Where a verdict turns, the estimates are
halved, and each half that turns it alone is halved again, to the single estimate that does or as far as the
trials go. What is said of a verdict is what a trial has shown, never what was inferred.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.model.estimates import NAMED, Corner, Estimate, corners_of, with_estimates
from reviewer.model.estimates_tried import EstimatesTried, TurnedVerdict
from reviewer.model.review import Assessment, Finding
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules

#: trials of one review
MOST = 20
#: a verdict: a rule and what it judges
_Verdict = tuple[str, str]
_Ends = Mapping[str, bool]


def trials_expected(facts: Facts) -> int:
    """How many trials of all rules a design takes; others judge a few rules only."""
    return len(corners_of(facts.estimates)) if facts.estimates else 0


def tried_estimates(
    facts: Facts, rules: Sequence[Rule], assessments: Sequence[Assessment]
) -> tuple[EstimatesTried, tuple[Assessment, ...]]:
    """What the trials show, and the assessments with what each finding rests on."""
    estimates = facts.estimates
    told = tuple(map(str, estimates))
    if not estimates:
        return EstimatesTried(), tuple(assessments)
    return _Trials(facts.as_written, rules, assessments, estimates).result(told)


class _Trials:
    """The trials of one design."""

    def __init__(
        self,
        design: Design,
        rules: Sequence[Rule],
        assessments: Sequence[Assessment],
        estimates: tuple[Estimate, ...],
    ):
        self.design, self.estimates = design, estimates
        self.rules = [rule for rule in rules if not rule.as_written]
        self.written = assessments
        self.base = _verdicts(assessments)
        self.left = MOST
        self.by: dict[_Verdict, tuple[tuple[Estimate, ...], Corner, Finding]] = {}
        self.moved: set[str] = set()

    def result(self, told: tuple[str, ...]) -> tuple[EstimatesTried, tuple[Assessment, ...]]:
        corners = corners_of(self.estimates)
        turned = [self._turned_at(corner) for corner in corners]
        for corner, found in zip(corners, turned, strict=True):
            if new := {v: f for v, f in found.items() if v not in self.by}:
                self._narrow(corner, new)
        gravest = sorted(self.by, key=lambda v: (-self.by[v][2].hazard, -self.by[v][2].consequence, v))
        verdicts = [self._told(v) for v in gravest]
        counts = Counter(at for t in verdicts if len(t.estimates) == 1 for at in t.estimates)
        names = {g.at: str(g) for g in self.estimates}
        deciding = sorted(counts.items(), key=lambda entry: (-entry[1], names[entry[0]]))
        tried = EstimatesTried(
            told,
            tuple(corner.words for corner in corners),
            MOST - self.left,
            tuple(verdicts),
            tuple((names[at], count) for at, count in deciding),
        )
        gone = {(t.rule, t.subject): t.by for t in verdicts if t.found}
        return tried, tuple(self._marked(a, gone, tried) for a in self.written)

    def _turned_at(self, corner: Corner) -> dict[_Verdict, Finding]:
        """The verdicts that turn in a corner, each with its finding; what moves is kept."""
        judged = self._judged(corner.ends, self.rules)
        trial = _verdicts(judged)
        before = {f.identity: f for one in self.base.values() for f in one}
        after = {f.identity: f for one in trial.values() for f in one}
        for identity, finding in before.items():
            then = after.get(identity)
            if then is None or (then.sentence, then.numbers) != (finding.sentence, finding.numbers):
                self.moved.add(identity)
        return self._differing(judged)

    def _differing(self, judged: Sequence[Assessment]) -> dict[_Verdict, Finding]:
        trial = _verdicts(judged)
        rules = {a.rule for a in judged}
        unknown, open_before = set(_open(judged)), set(_open(self.written))
        found = {}
        for verdict in {**self.base, **trial}:
            rule, _ = verdict
            if rule not in rules or (verdict in self.base) == (verdict in trial):
                continue
            hidden = unknown if verdict in self.base else open_before
            if verdict not in hidden and (rule, "") not in hidden:
                found[verdict] = (self.base.get(verdict) or trial[verdict])[0]
        return found

    def _narrow(self, corner: Corner, verdicts: Mapping[_Verdict, Finding]) -> None:
        """Halve the estimates until one alone turns a verdict, the gravest verdicts first."""
        queue = [(self.estimates, dict(verdicts))]
        while queue:
            queue.sort(key=lambda entry: -max(f.hazard for f in entry[1].values()))
            group, left = queue.pop(0)
            middle = len(group) // 2
            for half in (group[:middle], group[middle:]) if middle else ():
                if not left or not self.left:
                    break
                rules = {rule for rule, _ in left}
                judged = self._judged(
                    {g.at: corner.ends[g.at] for g in half}, [r for r in self.rules if r.name in rules]
                )
                if alone := {v: f for v, f in self._differing(judged).items() if v in left}:
                    queue.append((half, alone))
                    left = {v: f for v, f in left.items() if v not in alone}
            self.by |= {verdict: (group, corner, finding) for verdict, finding in left.items()}

    def _judged(self, ends: _Ends, rules: Sequence[Rule]) -> Sequence[Assessment]:
        self.left -= 1
        with Facts(with_estimates(self.design, ends)) as facts:
            return run_rules(rules, facts)[0]

    def _told(self, verdict: _Verdict) -> TurnedVerdict:
        group, corner, finding = self.by[verdict]
        if len(group) == len(self.estimates) and len(group) > 1:
            by = f"{corner.words} together"
        else:
            words = [estimate.end(corner.ends[estimate.at]) for estimate in group]
            more = f" and {len(words) - NAMED} more" if len(words) > NAMED else ""
            by = ", ".join(words[:NAMED]) + more + (" together" if len(words) > 1 else "")
        return TurnedVerdict(
            finding.rule,
            finding.subject,
            finding.sentence,
            finding.hazard.word,
            verdict in self.base,
            by,
            tuple(g.at for g in group),
        )

    def _marked(
        self, assessment: Assessment, gone: Mapping[_Verdict, str], tried: EstimatesTried
    ) -> Assessment:
        """An assessment whose findings say what they rest on."""
        if not any(f.identity in self.moved for f in assessment.findings):
            return assessment
        findings = tuple(
            replace(f, estimates=_rests(gone.get((f.rule, f.subject), ""), tried))
            if f.identity in self.moved
            else f
            for f in assessment.findings
        )
        return replace(assessment, findings=findings)


def _rests(gone: str, tried: EstimatesTried) -> str:
    if gone:
        return f"rests on estimates; not found with {gone}"
    return f"its figures rest on estimates; the verdict stays with {' and with '.join(tried.corners)}"


def _verdicts(assessments: Sequence[Assessment]) -> dict[_Verdict, tuple[Finding, ...]]:
    """The findings that nobody conceded, by verdict."""
    found: dict[_Verdict, list[Finding]] = {}
    for finding in _standing(assessments):
        found.setdefault((finding.rule, finding.subject), []).append(finding)
    return {verdict: tuple(those) for verdict, those in found.items()}


def _open(assessments: Sequence[Assessment]) -> Iterator[_Verdict]:
    """What could not be judged."""
    for assessment in assessments:
        yield from ((gap.rule, gap.subject) for gap in assessment.gaps)
        yield from ((broken.rule, broken.subject) for broken in assessment.breakdowns)


def _standing(assessments: Sequence[Assessment]) -> Iterator[Finding]:
    for assessment in assessments:
        yield from (f for f in assessment.findings if not f.conceded)
