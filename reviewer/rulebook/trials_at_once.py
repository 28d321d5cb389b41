"""Several repairs made in one network: where many are to be tried, one by one would cost too much, and
where much does not work, one of them alone shows little."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from reviewer.analysis.facts import Facts
from reviewer.model.record import record
from reviewer.model.review import Assessment, Finding
from reviewer.network.graph import bare
from reviewer.network.work_count import work_done
from reviewer.rulebook.asked_repairs import TrialRepair
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.trial_judging import (
    DrawnReview,
    TrialOutcome,
    assessed_of,
    assessments,
    cleared,
    loses_more,
    outcome,
    put_in,
    refused,
    subjects_of,
    takes_something_away,
)
from reviewer.rulebook.trial_overloads import overloads
from reviewer.rulebook.trial_repairs import Change

#: ways of one repair of which it is looked at whether they clear what asks for it
_MOST_WAYS = 4


@record
class MadeAtOnce:
    """What several repairs have cleared together: of each that counts its outcome, and by identity of a
    finding the other repairs without which it may stand."""

    outcomes: tuple[TrialOutcome, ...]
    shared: Mapping[str, tuple[str, ...]]


def made_at_once(
    before: Sequence[TrialRepair],
    trials: Sequence[TrialRepair],
    left: Sequence[Finding],
    drawn: DrawnReview,
    changed: Collection[str],
    facts: Facts,
    rules: Sequence[Rule],
    most: float,
) -> MadeAtOnce:
    """Make some repairs one after the other in the network in which those ``before`` are made.

    A repair is made in the first of its ways that clears what asks for it and takes nothing away, if that
    still asks. What is gone then is of the first that it names, and of the others that it names too;
    of those before that it names, or of all where one had ``changed`` what it says. What another
    puts right without a repair that shows everywhere is not of that. The other arguments are those of
    :func:`reviewer.rulebook.trial_judging.judged`.
    Raises :class:`reviewer.rulebook.trial_judging.TrialBroken`.
    """
    by_name = {rule.name: rule for rule in rules}
    with _Repaired(before, facts, by_name, drawn) as network:
        return _made(network, before, trials, left, changed, facts, most)


def _made(
    network: _Repaired,
    before: Sequence[TrialRepair],
    trials: Sequence[TrialRepair],
    left: Sequence[Finding],
    changed: Collection[str],
    facts: Facts,
    most: float,
) -> MadeAtOnce:
    """The same in the network in which those before are made."""
    by_name, drawn = network.rules, network.drawn
    made = [one for trial in trials if (one := network.with_repair(trial, most)) is not None]
    asked = {member.identity for trial in (*before, *made) for member in trial.members}
    of: dict[str, list[TrialRepair]] = {}
    for finding in left:
        named = [trial for trial in made if trial.is_named_by(finding)]
        named = named or [trial for trial in made if trial.place is None]
        if named and finding.identity not in asked:
            of[finding.identity] = named
    candidates = [finding for finding in left if finding.identity in of]
    names = [finding.rule for finding in candidates]
    done = assessments(names, by_name, network.repaired, most, drawn, candidates)
    gone, new = cleared(candidates, done, drawn)
    for trial in (one for one in made if one.place is None):
        several = [f for f in gone if trial in of[f.identity] and of[f.identity][1:]]
        if several and work_done() < most:
            rest = _Repaired([*before, *(one for one in made if one is not trial)], facts, by_name, drawn)
            names = [finding.rule for finding in several]
            again = assessments(names, by_name, rest.repaired, most, drawn, several)
            for finding in cleared(several, again, drawn)[0]:
                of[finding.identity] = [one for one in of[finding.identity] if one is not trial]
    loses = any(trial.searched for trial in made) and network.loses_more(before, facts)
    outcomes, shared = [], {}
    for trial in made:
        own = [finding for finding in candidates if of[finding.identity][0] is trial]
        shown = [finding for finding in new if trial.is_named_by(finding)]
        mine = tuple(finding for finding in own if finding in gone)
        result = outcome([trial], own, mine, shown, done, facts, network.repaired.as_written)
        if trial.searched and (loses or not result.repairs):
            continue
        outcomes.append(result)
        for finding in mine:
            earlier = [t for t in before if finding.identity in changed or t.is_named_by(finding)]
            others = tuple(t.repair for t in (*earlier, *of[finding.identity][1:]))
            shared.update({finding.identity: others} if others else {})
    return MadeAtOnce(tuple(outcomes), shared)


def seen_behind(
    made: Sequence[TrialRepair], drawn: DrawnReview, facts: Facts, rules: Sequence[Rule], most: float
) -> tuple[Finding, ...]:
    """What all rules find only with all repairs made that were tried, those that are worst when not met
    first; what was put in aside. None is begun beyond ``most`` work.

    Raises :class:`reviewer.rulebook.trial_judging.TrialBroken`.
    """
    by_name = {rule.name: rule for rule in rules}
    gravest_first = sorted(by_name, key=lambda name: (-by_name[name].hazard, name))
    with _Repaired(made, facts, by_name, drawn) as network:
        _, new = cleared((), assessments(gravest_first, by_name, network.repaired, most, drawn), drawn)
        own = put_in(made, network.repaired.as_written, facts.design)
    return tuple(f for f in new if own.isdisjoint(f.evidence.named | {f.subject}))


class _Repaired:
    """A network in which repairs are made one after the other."""

    def __init__(
        self, before: Sequence[TrialRepair], facts: Facts, rules: Mapping[str, Rule], drawn: DrawnReview
    ):
        self.rules, self.drawn, self.touched = rules, drawn, set[str]()
        design = facts.as_written
        for trial in before:
            if self.touched.isdisjoint(_touched(trial.change)):
                design = trial.change.made_in(design)
                self.touched |= _touched(trial.change)
        self.repaired = Facts(design)

    def __enter__(self) -> _Repaired:
        return self

    def __exit__(self, *_: object) -> None:
        self.repaired.forget()

    def loses_more(self, before: Sequence[TrialRepair], facts: Facts) -> bool:
        """Whether a single failure loses a critical function that none loses with those ``before`` alone."""
        with _Repaired(before, facts, self.rules, self.drawn) as without:
            return loses_more(without.repaired, self.repaired)

    def with_repair(self, trial: TrialRepair, most: float) -> TrialRepair | None:
        """A repair in the way in which it is made; None where nothing asks for it, or no way of it serves of
        those that are begun up to ``most`` work."""
        asking = trial.members[0]
        rule = self.rules.get(asking.rule)
        if rule is None or work_done() >= most:
            return None
        if not self.asks(asking, assessed_of(asking, rule, self.repaired, self.drawn)):
            return None
        for way in (*trial.ways, *trial.otherwise)[:_MOST_WAYS]:
            if not self.touched.isdisjoint(_touched(way)) or work_done() >= most:
                continue
            repaired = Facts(way.made_in(self.repaired.as_written))
            if (
                takes_something_away(self.repaired, repaired)
                or refused(asking, self.repaired, repaired)
                or self.asks(asking, assessed_of(asking, rule, repaired, self.drawn))
                or (trial.searched and overloads(way, self.repaired, repaired))
            ):
                repaired.forget()
                continue
            self.repaired.forget()
            self.repaired = repaired
            self.touched |= _touched(way)
            return replace(trial, ways=(way,))
        return None

    def asks(self, asking: Finding, assessment: Assessment) -> bool:
        """Whether a rule still asks of a subject for any change that a finding asks for, or where that names
        none, for anything; or can no longer judge it."""
        wanted = _places(asking)
        asked = tuple(f for f in assessment.findings if not (wanted and wanted.isdisjoint(_places(f))))
        again = self.drawn.uncleared(replace(assessment, findings=asked))
        return not subjects_of(asking).isdisjoint(again)


def _places(finding: Finding) -> set[tuple[str, str]]:
    """What a finding asks to change and where, each of several loads by itself."""
    changes = (change.rpartition("/") for change in finding.evidence.changes)
    return {(name, what) for place, _, what in changes for name in bare(place).split(" or ")}


def _touched(change: Change) -> set[str]:
    """The names of what a change moves, puts in or lets sense elsewhere."""
    return {*change.moved, *change.wires, *change.parts, *change.senses}
