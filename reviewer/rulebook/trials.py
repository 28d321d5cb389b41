"""Trial repairs: what vanishes from the review when a repair is made.

The repair is made in the network, not in the file, and counts only if it clears the finding that asks
for it. It claims another finding only if it vanishes when the rules of such findings judge the repaired
network, and if its evidence names the repaired place. A source or diode that is reversed concerns
every place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import Assessment, Consequence, Finding
from reviewer.rulebook.causes import Tried, repairs_of
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules
from reviewer.rulebook.trial_ways import TrialRepair, repairs_to_try

#: ways to repair something that are tried alone, of which the last may be exceeded by one repair, and those
#: that clear what asks for them; then all of these together. One of the latter takes about a third of the
#: time of the review, as most rules rest on the same engines: all together at most twice that time
MOST, MOST_MADE = 12, 6


@record
class _Judged:
    """What a trial has cleared, and what is seen only then."""

    trial: TrialRepair
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]

    @property
    def worth(self) -> tuple[int, int]:
        """The more it clears, and then the less it shows, the better."""
        return len(self.gone), -len(self.new)


def tried_repairs(findings: Sequence[Finding], facts: Facts, rules: Sequence[Rule]) -> Tried:
    """What the gravest repairs put right that their evidence does not tell; nothing without such repairs."""
    found, chosen = repairs_of(findings, facts.design)
    claimed: dict[str, str] = {}
    hidden: dict[str, tuple[Finding, ...]] = {}
    trials: list[TrialRepair] = []
    left, tries, made = found, 0, 0
    for trial in repairs_to_try(found, chosen, facts):
        if all(member.identity in claimed for member in trial.members) or trial.repair in hidden:
            continue
        if not any(trial.may_clear(finding) for finding in left):
            continue
        if tries >= MOST or made == MOST_MADE:
            break
        first, used = _first(trial, left, found, facts, rules)
        tries += used
        made += first is not None
        if first is not None and (first.gone or not trial.searched):
            trials.append(first.trial)
            claimed.update({finding.identity: trial.repair for finding in first.gone})
            hidden[trial.repair] = first.new
            put_right = {finding.identity for finding in (*first.gone, *trial.members)}
            left = [finding for finding in left if finding.identity not in put_right]
    together = _judged(trials, left, found, facts, rules) if len(trials) > 1 else None
    shared: dict[str, tuple[str, ...]] = {}
    for finding in together.gone if together else ():
        repair, *others = (trial.repair for trial in trials if trial.may_clear(finding))
        claimed[finding.identity], shared[finding.identity] = repair, tuple(others)
    return Tried(claimed, shared, hidden)


def _first(
    trial: TrialRepair,
    left: Sequence[Finding],
    found: Sequence[Finding],
    facts: Facts,
    rules: Sequence[Rule],
) -> tuple[_Judged | None, int]:
    """What the way to make a repair clears that counts, and how many ways were tried."""
    best: _Judged | None = None
    tried = 0
    for way in trial.ways:
        tried += 1
        judged = _judged([replace(trial, ways=(way,))], left, found, facts, rules)
        if judged is not None and (best is None or judged.worth > best.worth):
            best = judged
        most = sum(trial.may_clear(finding) for finding in left)
        if best is not None and best.gone and (not trial.equal or (len(best.gone) == most and not best.new)):
            break
    return best, tried


def _judged(
    trials: Sequence[TrialRepair],
    left: Sequence[Finding],
    found: Sequence[Finding],
    facts: Facts,
    rules: Sequence[Rule],
) -> _Judged | None:
    """The findings of those that are left which some repairs together put right, and what is seen only
    with them made; None where there is nothing to put right, or they do not clear what asks for them."""
    members = {member.identity for trial in trials for member in trial.members}
    candidates = [
        f
        for f in left
        if f.identity not in members and sum(trial.may_clear(f) for trial in trials) >= min(2, len(trials))
    ]
    if not candidates:
        return None
    asking = [trial.members[0] for trial in trials]
    design = facts.as_written
    for trial in trials:
        design = trial.change.made_in(design)
    repaired, judged = Facts(design), {asking[0].rule}
    assessments, _ = run_rules([rule for rule in rules if rule.name in judged], repaired)
    remain = {(a.rule, subject) for a in assessments for subject in _not_cleared(a)}
    if len(trials) == 1 and (asking[0].rule, asking[0].subject) in remain:
        return None
    judging = {finding.rule for finding in (*candidates, *asking)} - judged
    others, _ = run_rules([rule for rule in rules if rule.name in judging], repaired)
    assessments = (*assessments, *others)
    remain |= {(a.rule, subject) for a in others for subject in _not_cleared(a)}
    before = {(finding.rule, finding.subject) for finding in found}
    new = [f for a in assessments for f in a.findings if (f.rule, f.subject) not in before and not f.conceded]
    # one finding stands for several alike: another of them may stand for them now
    stands = ((f.rule, c.rpartition("/")[0]) for f in new for c in f.evidence.changes)
    remain |= {*stands, *((f.rule, element) for f in new for element in f.evidence.elements)}
    gone = tuple(f for f in candidates if (f.rule, f.subject) not in remain and (f.rule, "") not in remain)
    own = frozenset().union(*(trial.change.sources for trial in trials))
    own |= {f"parts/{name}" for name in design.parts if name not in facts.design.parts}
    own |= {f"wires/{name}" for name in design.wires if name not in facts.design.wires}
    shown = tuple(f for f in new if own.isdisjoint(f.evidence.named | {f.subject}))
    return _Judged(trials[0], gone, (*shown, *_solved_again(candidates, assessments, design)))


def _solved_again(
    candidates: Sequence[Finding], assessments: Sequence[Assessment], design: Design
) -> Iterator[Finding]:
    """The batteries that still run short, with the figures of the repaired network."""
    batteries = {f"parts/{name}" for name in design.of_kind(p.Battery)}
    short = (f for f in candidates if f.consequence is Consequence.RUNS_SHORT and f.subject in batteries)
    before = {finding.identity: finding.sentence for finding in short}
    for assessment in assessments:
        for finding in assessment.findings:
            if finding.sentence != before.get(finding.identity, finding.sentence) and not finding.conceded:
                yield finding


def _not_cleared(assessment: Assessment) -> Iterator[str]:
    """The subjects with a finding, and those that could no longer be judged."""
    for found in (assessment.findings, assessment.gaps, assessment.breakdowns):
        yield from (one.subject for one in found)
