"""Trial repairs: what vanishes from the review when a repair is made.

The repair is made in the network, not in the file, and counts only if it clears the finding that asks
for it. It claims another finding only if it vanishes when the rules of such findings judge the repaired
network, and if its evidence names the repaired place. A source or diode that is reversed concerns
every place. What vanishes only with two repairs is tried with those two, whose places it names.
Where much is dead without any failure, those that the evidence names are made one after the other in one
network and count as one: those left after half of the trials, and all where an alternator gives nothing.
Then come those of what is wrong with nothing failed.

All trials of a review together cost a multiple of it, in counted work. An error in one of them drops it;
repairs that were made in one network with it are tried again without it, or alone.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import replace
from typing import TypeVar

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.review import Breakdown, Finding, Gap, HazardClass
from reviewer.network.work_count import work_done
from reviewer.rulebook.asked_repairs import AskedRepair, TrialRepair
from reviewer.rulebook.causes import Tried, repairs_of
from reviewer.rulebook.change_words import change_words
from reviewer.rulebook.containment import Containment, freed, trace_of, words_of
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.trial_judging import DrawnReview, TrialBroken, TrialOutcome, judged
from reviewer.rulebook.trial_repairs import Change
from reviewer.rulebook.trial_ways import repairs_to_try
from reviewer.rulebook.trials_at_once import MadeAtOnce, made_at_once, seen_behind

#: ways to repair something that are tried, of which the last may be exceeded by one repair
MOST = 12
#: the work of all trials together, as a multiple of that of the review; counted work foretells processor
#: time to a third or so, and they are to take some twice the time
MOST_WORK = 1.75
#: the work, as such a multiple, after which those that are left are made at once, if they are several, as
#: they are after half of the tries
ALONE_WORK = 0.5
SEVERAL = 3
#: the work in one trial, as such a multiple, up to which it is looked for what runs short only then
SHORT_WORK = 0.03

T = TypeVar("T")


def tried_repairs(
    findings: Sequence[Finding],
    facts: Facts,
    rules: Sequence[Rule],
    work: float,
    broken: Collection[str] = (),
    gaps: Sequence[Gap] = (),
) -> Tried:
    """What the gravest repairs put right that their evidence does not tell; nothing without such repairs.

    ``work`` is what the review has cost (:func:`reviewer.network.work_count.work_done`); rules that are
    ``broken`` (names) claim nothing. ``gaps`` are what the rules could not judge as drawn.
    """
    with Containment() as containment:
        drawn = DrawnReview(tuple(findings), tuple(gaps))
        trials = _RepairTrials(facts, [r for r in rules if r.name not in broken], work, containment, drawn)
        return trials.tried()


def _half_dead(facts: Facts) -> bool:
    """Whether in normal flight with the engine running an alternator gives nothing, or a function of class
    major or worse does not work that the state is not declared without: much of what is found then follows
    from several faults together."""
    grave = [n for n, f in facts.design.functions.items() if HazardClass.of(f.loss) >= HazardClass.MAJOR]
    return _dead(facts) or any(
        name not in answer.state.without and not facts.states.works_for_a_time(answer, name)
        for answer in _running(facts)
        for name in grave
    )


def _dead(facts: Facts) -> bool:
    """Whether in normal flight with the engine running an alternator gives nothing: little is judged then
    that needs its volts."""
    machines = [
        n for n in facts.design.of_kind(p.Alternator) if not facts.design.part(n, p.Alternator).standby_for
    ]
    return any(
        not answer.healthy.alive.get(f"parts/{name}") for answer in _running(facts) for name in machines
    )


def _running(facts: Facts) -> list[StateAnswer]:
    """The states of normal flight with the engine running."""
    if not facts.design.operation:
        return []
    return [answer for answer in facts.states.flight_answers() if answer.state.engine == "running"]


class _RepairTrials:
    """The trials of one review: what is left to explain, what they have cost, what they have shown."""

    def __init__(
        self,
        facts: Facts,
        rules: Sequence[Rule],
        work: float,
        containment: Containment,
        drawn: DrawnReview,
    ):
        self.facts, self.rules, self.containment, self.drawn = facts, list(rules), containment, drawn
        self.work, self.most = work, work_done() + MOST_WORK * work
        self.most_alone = work_done() + ALONE_WORK * work
        self.tries = 0
        self.made: list[TrialRepair] = []
        #: changes that take something away, whichever finding asks for them
        self.refused: list[Change] = []
        self.tried_at_once: list[AskedRepair] = []
        self.changed: frozenset[str] = frozenset()
        self.left: list[Finding] = []
        self.claimed: dict[str, str] = {}
        self.shared: dict[str, tuple[str, ...]] = {}
        self.hidden: dict[str, tuple[Finding, ...]] = {}
        self.solved: dict[str, tuple[Finding, ...]] = {}
        self.words: dict[str, str] = {}
        self.broken: list[Breakdown] = []

    @property
    def over(self) -> bool:
        """Whether no more may be tried."""
        return self.tries >= MOST or work_done() >= self.most

    def tried(self) -> Tried:
        """Try each repair alone, the gravest first, and with one before where a finding names both."""
        self.left, chosen = repairs_of(self.drawn.findings, self.facts.design)
        every = list(repairs_to_try(tuple(self.left), chosen, self.facts, self.most))
        apart = bool(every) and self.contained(every[0].members[0], lambda: _half_dead(self.facts))
        dead = bool(apart and _dead(self.facts))
        while every and not self.over:
            asked, begun = every.pop(0), work_done()
            enough = dead or self.tries >= MOST // 2 or work_done() >= self.most_alone
            if apart and not asked.first and (asked.searched or enough):
                apart = False
                asked, *every = self.after_at_once([asked, *every])
            trial, chosen_by, made = self.trial_of(asked), work_done(), len(self.made)
            if trial is not None:
                self.alone(trial)
            if asked.first:  # the others have what they had, but for what one of these puts right
                spent = (chosen_by if len(self.made) > made else work_done()) - begun
                self.most, self.most_alone = self.most + spent, self.most_alone + spent
        if dead:
            self.behind_all()
        searched = frozenset(trial.repair for trial in self.made if trial.searched)
        behind = self.hidden, self.solved, self.words, searched
        return Tried(self.claimed, self.shared, *behind, tuple(self.broken))

    def trial_of(self, asked: AskedRepair) -> TrialRepair | None:
        """How a repair is tried; None where it was, or where there is nothing more that it may clear."""
        if asked in self.tried_at_once or asked.repair in self.hidden:
            return None
        if all(m.identity in self.claimed for m in asked.members):
            return None
        trial = self.contained(asked.members[0], asked.make)
        return trial if trial and any(trial.may_clear(finding) for finding in self.left) else None

    def after_at_once(self, every: Sequence[AskedRepair]) -> list[AskedRepair]:
        """Make those at once that were not searched for, if they are several; the order of what is left."""
        tried = [asked for asked in every if not asked.searched]
        searched = [asked for asked in every if asked.searched]
        if self.at_once(tried):
            return sorted((*tried, *searched), key=self.surest_first)
        return [*tried, *sorted(searched, key=self.surest_first)]

    def surest_first(self, asked: AskedRepair) -> tuple[bool, int, int]:
        """Repairs of what is wrong with nothing failed before others, as what a failure does may follow from
        that, then those of the gravest and of the most that no repair has put right."""
        left = [member for member in asked.members if member.identity not in self.claimed]
        sure = [member for member in left if not member.failure]
        return not sure, -max((member.hazard for member in sure or left), default=0), -len(sure or left)

    def at_once(self, every: Sequence[AskedRepair]) -> bool:
        """Try several repairs in one network, with those that were made before, but for those that were
        searched for; whether they are several. Those that do not serve there are not tried again."""
        apart: list[tuple[AskedRepair, TrialRepair]] = []
        for asked in every:
            if self.tries + len(apart) >= MOST or work_done() >= self.most:
                break
            trial = self.trial_of(asked)
            if trial and not trial.searched:
                apart.append((asked, trial))
        if len(apart) < SEVERAL:
            return False
        self.tries += 1
        self.tried_at_once += [asked for asked, _ in apart]
        trials = [trial for _, trial in apart]

        def work() -> MadeAtOnce:
            known = self.made, trials, self.left, self.drawn, self.changed
            return made_at_once(*known, self.facts, self.rules, self.most)

        words = f"the repairs of {', '.join(trial.repair for trial in trials)}"
        failed, rules = len(self.broken), len(self.rules)
        result = self.contained(trials[0].members[0], work, words)
        while result is None and len(self.rules) < rules:  # again, without the rule that failed
            rules = len(self.rules)
            result = self.contained(trials[0].members[0], work, words)
        if result is None and len(self.broken) > failed:  # it is not known which of them failed
            self.tried_at_once = [one for one in self.tried_at_once if one not in [a for a, _ in apart]]
        for outcome in result.outcomes if result else ():
            self.count(outcome)
        self.shared.update(result.shared if result else {})
        return True

    def behind(self, trial: TrialRepair) -> None:
        """Try a repair that does not serve alone with those made that its finding names too."""
        asking = trial.members[0]
        if self.over or not any(one.place and one.is_named_by(asking) for one in self.made):
            return
        self.tries += 1
        known = self.made, [trial], self.left, self.drawn, self.changed, self.facts, self.rules, self.most
        result = self.contained(asking, lambda: made_at_once(*known), f"a repair of {asking.subject}")
        for outcome in result.outcomes if result else ():
            self.count(outcome)
        self.shared.update(result.shared if result else {})

    def behind_all(self) -> None:
        """What is seen only with all repairs made, where an alternator gives nothing without them: it stands
        with the one that clears the most."""
        by_repair = [(sum(r == trial.repair for r in self.claimed.values()), trial) for trial in self.made]
        if not by_repair:
            return
        _, most = max(by_repair, key=lambda one: one[0])
        words, rules = f"the repairs of {', '.join(trial.repair for trial in self.made)}", 0
        found: tuple[Finding, ...] | None = None
        while found is None and len(self.rules) != rules:  # again, without a rule that failed
            rules = len(self.rules)
            found = self.contained(
                most.members[0],
                lambda: seen_behind(self.made, self.drawn, self.facts, self.rules, self.most),
                words,
            )
        known = {finding.identity for shown in self.hidden.values() for finding in shown}
        more = (finding for finding in found or () if finding.identity not in known)
        self.hidden[most.repair] = (*self.hidden[most.repair], *more)

    def alone(self, trial: TrialRepair) -> None:
        """Try the ways to make a repair; the first counts that clears anything, or of equal ones the best."""
        best: TrialOutcome | None = None
        most = sum(trial.may_clear(finding) for finding in self.left)
        for number, way in enumerate((*trial.ways, *trial.otherwise)):
            if best is not None and number >= len(trial.ways):
                break
            if way in self.refused or any(way == one.change for one in self.made):
                continue
            self.tries += 1
            outcome = self.judged([replace(trial, ways=(way,))], self.left)
            if outcome is not None and (best is None or outcome.worth > best.worth):
                best = outcome
            cleared = 0 if best is None else len(best.gone)
            enough = cleared and (not trial.equal or (cleared == most and best and not best.new))
            if enough or work_done() >= self.most:
                break
        if best is None and trial.behind_others:
            self.behind(trial)
        if best is None or (trial.searched and not best.repairs):
            return
        self.count(best)
        for before in self.made[:-1]:
            self.together(before, self.made[-1])

    def count(self, best: TrialOutcome) -> None:
        """Keep what a repair has shown."""
        trial = best.trials[0]
        self.made.append(trial)
        self.claimed.update({finding.identity: trial.repair for finding in best.gone})
        self.hidden[trial.repair], self.solved[trial.repair] = (*best.new, *best.short), best.solved
        words = self.contained(trial.members[0], lambda: change_words(trial.change, self.facts.design))
        self.words[trial.repair] = words or ""
        # what it alone does not join with anything, another repair may put right with more
        put_right = {finding.identity for finding in (*best.gone, *(trial.members if best.gone else ()))}
        put_right -= {finding.identity for finding in best.unmoved}
        self.left = [finding for finding in self.left if finding.identity not in put_right]
        self.changed |= best.changed

    def together(self, one: TrialRepair, other: TrialRepair) -> None:
        """Try two repairs at once, where findings name the places of these as the first two, and either
        alone has changed what they say: what vanishes names both."""
        pair, candidates = [one, other], []
        for finding in self.left:
            named = [trial for trial in self.made if trial.is_named_by(finding)]
            if named[:2] == pair and finding.identity in self.changed:
                candidates.append(finding)
        if not candidates or self.over:
            return
        self.tries += 1
        outcome = self.judged(pair, candidates)
        gone = outcome.gone if outcome else ()
        self.claimed.update({finding.identity: one.repair for finding in gone})
        self.shared.update({finding.identity: (other.repair,) for finding in gone})
        self.left = [finding for finding in self.left if finding not in gone]

    def judged(self, trials: Sequence[TrialRepair], left: Sequence[Finding]) -> TrialOutcome | None:
        """What is seen with some repairs made; None where they do not clear what asks for them."""

        def work() -> TrialOutcome | None:
            short = SHORT_WORK * self.work if len(trials) == 1 else 0.0
            known = self.drawn, self.facts, self.rules, self.most
            return judged(trials, left, *known, short, self.refused)

        about = trials[0].members[0]
        changes = [trial.change for trial in trials]
        words = self.contained(about, lambda: " ".join(change_words(c, self.facts.design) for c in changes))
        return self.contained(about, work, words or "")

    def contained(self, about: Finding, work: Callable[[], T | None], words: str = "") -> T | None:
        """A piece of work of a trial that a finding asks for; None where it lacks a figure, or where it
        failed, which is written down. A rule that failed judges no other trial."""
        result: list[T | None] = []
        self.containment.begin()
        error = self.containment.run(lambda: result.append(work()))
        if error is None:
            return result[0]
        if isinstance(error, TrialBroken):
            self.broken += [replace(broken, trial=words) for broken in error.broken]
            failed = {broken.rule for broken in error.broken}
            self.rules = [rule for rule in self.rules if rule.name not in failed]
        elif not isinstance(error, NotAssessable):
            said = words_of(error, __file__)
            trace, trial = trace_of(error), words or f"a repair of {about.subject}"
            self.broken.append(Breakdown(about.rule, about.subject, said, trace, trial))
        freed(error)
        return None
