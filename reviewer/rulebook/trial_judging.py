"""One trial judged: the rules of the findings that it may clear, asked of the repaired network."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from math import inf

from reviewer.analysis.conduction.states import batteries_feeding, feed_path
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import Assessment, Breakdown, Consequence, Finding, Gap
from reviewer.network.graph import bare
from reviewer.network.work_count import add_work, work_done
from reviewer.rulebook.dead_users import leaves_dead
from reviewer.rulebook.idle_contacts import idles_a_contact, runs_unasked
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules
from reviewer.rulebook.trial_overloads import overloads
from reviewer.rulebook.trial_repairs import Change
from reviewer.rulebook.trial_ties import leaves_a_tie_closed
from reviewer.rulebook.trial_ways import TrialRepair


class TrialBroken(Exception):
    """A rule failed on the repaired network, so that nothing is known of the trial."""

    def __init__(self, broken: Sequence[Breakdown]):
        super().__init__("a rule failed on the repaired network")
        self.broken = tuple(broken)


@record
class DrawnReview:
    """What the rules say of the design as it is drawn: its findings, and what they could not judge there."""

    findings: tuple[Finding, ...]
    gaps: tuple[Gap, ...] = ()

    def uncleared(self, assessment: Assessment) -> frozenset[str]:
        """The subjects that a rule still finds wanting in a repaired network, and those that it can no longer
        judge there; "" for all. What it could not judge before either says nothing of the repair."""
        before = {(gap.subject, gap.needs) for gap in self.gaps if gap.rule == assessment.rule}
        gaps = (gap.subject for gap in assessment.gaps if (gap.subject, gap.needs) not in before)
        return frozenset((*(finding.subject for finding in assessment.findings), *gaps))

    def without_others(self, asking: Finding, assessment: Assessment) -> Assessment:
        """An assessment without what was found of the same subject as drawn and asks for another change than
        some finding: that stays as it was."""
        wanted, own = set(asking.evidence.changes), self._of_subject[asking.rule, asking.subject]
        others = {f.identity for f in own if wanted.isdisjoint(f.evidence.changes)} - {asking.identity}
        if not others:
            return assessment
        left = (finding for finding in assessment.findings if finding.identity not in others)
        return replace(assessment, findings=tuple(left))

    @cached_property
    def _of_subject(self) -> Mapping[tuple[str, str], list[Finding]]:
        found = defaultdict[tuple[str, str], list[Finding]](list)
        for finding in self.findings:
            found[finding.rule, finding.subject].append(finding)
        return found

    def about_others(self, rule: str) -> bool:
        """Whether a rule says of one subject what is wrong with another."""
        return any(finding.judged for finding in self.findings if finding.rule == rule)

    def known(self, rule: str, asked: Iterable[Finding]) -> frozenset[str]:
        """The subjects of which a rule need not be asked again where it is asked of some findings: what it
        finds of them is not new."""
        if self.about_others(rule):
            return frozenset()
        again = {finding.subject for finding in asked if finding.rule == rule}
        return frozenset(f.subject for f in self.findings if f.rule == rule and f.subject not in again)


def subjects_of(finding: Finding) -> frozenset[str]:
    """Under which subjects a rule may say that a finding stays, or that it can no longer judge it."""
    return frozenset({finding.subject, finding.judged or finding.subject, ""})


@record
class TrialOutcome:
    """What some repairs have cleared, what is seen only then, and what runs short then with the figures
    that it has then; ``changed`` are the identities of the findings that stay in other words, ``short``
    what runs short only then, of rules that no finding asks about, ``unmoved`` those that ask for the
    repair too and stay with it."""

    trials: tuple[TrialRepair, ...]
    gone: tuple[Finding, ...]
    new: tuple[Finding, ...]
    solved: tuple[Finding, ...]
    changed: frozenset[str]
    short: tuple[Finding, ...] = ()
    unmoved: tuple[Finding, ...] = ()

    @property
    def worth(self) -> tuple[int, int]:
        """The more it clears, and then the less it shows, the better."""
        return len(self.gone), -len(self.new)

    @property
    def repairs(self) -> bool:
        """Whether it may be a repair that was not asked for: it clears something more, and shows no more
        than that."""
        return 0 < len(self.gone) >= len(self.new)


def judged(
    trials: Sequence[TrialRepair],
    left: Sequence[Finding],
    drawn: DrawnReview,
    facts: Facts,
    rules: Sequence[Rule],
    most: float,
    most_short: float = 0.0,
    always_refused: list[Change] | None = None,
) -> TrialOutcome | None:
    """The findings of those that are ``left`` which some repairs together put right, and what is seen only
    with them made; None where there is nothing to put right, one alone does not clear what asks for it,
    a battery is charged no more, a function no longer works in normal flight, a starter runs
    where it rested, what is to be off no longer is, a tie
    stays closed that rested open, an alternator feeds nothing any more, the battery that
    turns the starter no longer does or feeds no other load, a single failure loses what another one lost
    before, or, where the repair was searched for, one loses a function that none lost before or a moved lead
    overloads a device in its circuit.

    The rules of the gravest come first; none is begun beyond ``most`` work, and what it has found stays.
    What else runs short then, as other volts and minutes come of it, is looked for after them, up to
    ``most_short`` more work.
    A change that no finding can ask for is put to ``always_refused``.
    Raises :class:`TrialBroken`.
    """
    candidates = [f for f in left if not_asking(f, trials) and all(trial.may_clear(f) for trial in trials)]
    by_name = {rule.name: rule for rule in rules}
    asking = trials[0].members[0]
    if not candidates or asking.rule not in by_name:
        return None
    design = facts.as_written
    for trial in trials:
        design = trial.change.made_in(design)
    with Facts(design) as repaired:
        if takes_something_away(facts, repaired):
            if always_refused is not None and len(trials) == 1:
                always_refused.append(trials[0].change)
            return None
        return _judged(trials, candidates, drawn, facts, repaired, by_name, most, most_short)


def _judged(
    trials: Sequence[TrialRepair],
    candidates: Sequence[Finding],
    drawn: DrawnReview,
    facts: Facts,
    repaired: Facts,
    by_name: Mapping[str, Rule],
    most: float,
    most_short: float,
) -> TrialOutcome | None:
    """The same of a repaired network in which nothing is taken away."""
    asking, design = trials[0].members[0], repaired.as_written
    if moves_the_loss(asking, facts, repaired) or refused(asking, facts, repaired):
        return None
    first = drawn.without_others(asking, assessed_of(asking, by_name[asking.rule], repaired, drawn))
    if len(trials) == 1 and not subjects_of(asking).isdisjoint(drawn.uncleared(first)):
        return None  # it stays
    members = [member for trial in trials for member in trial.members]
    about = [*candidates, *members]
    done = assessments([asking.rule], by_name, repaired, inf, drawn, about)
    others = (finding.rule for finding in candidates if finding.rule != asking.rule)
    done += assessments(others, by_name, repaired, most, drawn, about)
    gone, new = cleared(candidates, done, drawn)
    if any(trial.searched for trial in trials) and loses_more(facts, repaired):
        return None  # what nobody asked for and makes a failure critical is no repair
    if gone and any(trial.searched and overloads(trial.change, facts, repaired) for trial in trials):
        return None
    result = outcome(trials, candidates, gone, new, done, facts, design)
    known = {assessment.rule for assessment in done}
    runs_short = (r.name for r in by_name.values() if r.consequence is Consequence.RUNS_SHORT)
    more, until = sorted(set(runs_short) - known), min(most, work_done() + most_short)
    _, short = cleared((), assessments(more, by_name, repaired, until, drawn), drawn)
    own = put_in(trials, design, facts.design)
    asked_too = [member for member in members if member.rule in known]
    righted, _ = cleared(asked_too, done, drawn)
    return replace(
        result,
        short=tuple(f for f in short if own.isdisjoint(f.evidence.named | {f.subject})),
        unmoved=tuple(m for m in asked_too if m not in righted),
    )


def not_asking(finding: Finding, trials: Sequence[TrialRepair]) -> bool:
    """Whether a finding asks for none of some repairs."""
    return all(finding.identity != member.identity for trial in trials for member in trial.members)


def refused(asking: Finding, facts: Facts, repaired: Facts) -> bool:
    """Whether a repair that a finding asks for takes away what the finding is about, or more."""
    return (
        # a battery that is charged no more is judged no more: nothing of it is put right
        not set(facts.sources.charged) <= set(repaired.sources.charged)
        # nor is a failure a single point any more where nothing works without it
        or _takes_power(facts, repaired)
        # nor has a load its volts where it has none at all
        or _leaves_unfed(asking, facts, repaired)
        # nor does a contact keep anything running that runs anyway
        or _runs_a_starter(facts, repaired)
        # nor is a wire unprotected at a battery that feeds nothing by it
        or _cuts_off_a_main_battery(facts, repaired)
        # nor does a lamp that is always lit show what it was to show
        or _takes_a_lead_from_what_it_senses(facts, repaired)
        # nor does a relay have to restore a bus that is tied to another for good
        or leaves_a_tie_closed(facts, repaired)
    )


def moves_the_loss(asking: Finding, facts: Facts, repaired: Facts) -> bool:
    """Whether a function that a single failure was found to lose is still lost by that, be it reported at
    another element, or by the failure of a part or wire that did not lose it before."""
    if asking.consequence is not Consequence.LOST_AT_ONE_FAILURE or not lost_at_one(facts):
        return False
    points = facts.failures.single_points.get(asking.subject, ())
    if asking.failure not in {"; ".join(point.modes) for point in points}:
        return False  # it is about more than one failure
    functions, drawn = asking.evidence.functions, {*facts.network.links_of, *facts.network.nodes_of}
    after = _losing(functions, repaired)
    return asking.subject in after or not (after & drawn) <= _losing(functions, facts)


def _losing(functions: Collection[str], facts: Facts) -> set[str]:
    """The elements of which a single failure loses one of some functions."""
    points = (point for found in facts.failures.single_points.values() for point in found)
    losing = (p for p in points if p.function in functions)
    return {e for p in losing for e in (p.element, *p.equivalent, *p.series)}


def assessments(
    names: Iterable[str],
    rules: Mapping[str, Rule],
    repaired: Facts,
    most: float,
    drawn: DrawnReview,
    about: Collection[Finding] = (),
) -> list[Assessment]:
    """What some rules say of a repaired network, each once, of what some findings are ``about`` and of what
    they found in order as drawn; none is begun beyond ``most`` work."""
    done: list[Assessment] = []
    for name in dict.fromkeys(names):
        if work_done() >= most:
            break
        if name in rules:
            done.append(_assessed(rules[name], repaired, _all_but(drawn.known(name, about))))
    return done


def cleared(
    candidates: Sequence[Finding], done: Sequence[Assessment], drawn: DrawnReview
) -> tuple[tuple[Finding, ...], list[Finding]]:
    """Which of some findings are gone from the assessments of a repaired network, and what is new there."""
    before = {(finding.rule, finding.subject) for finding in drawn.findings}
    new = [f for a in done for f in a.findings if (f.rule, f.subject) not in before and not f.conceded]
    # one finding stands for several alike: another of them may stand for them now
    stands = {(f.rule, c.rpartition("/")[0]) for f in new for c in f.evidence.changes}
    stands |= {(f.rule, element) for f in new for element in f.evidence.elements}
    by_rule = {assessment.rule: assessment for assessment in done}

    def stays(finding: Finding) -> bool:
        subjects = subjects_of(finding)
        uncleared = drawn.uncleared(drawn.without_others(finding, by_rule[finding.rule]))
        return not uncleared.isdisjoint(subjects) or any((finding.rule, s) in stands for s in subjects)

    gone = tuple(f for f in candidates if f.rule in by_rule and not stays(f))
    return gone, new


def outcome(
    trials: Sequence[TrialRepair],
    candidates: Sequence[Finding],
    gone: tuple[Finding, ...],
    new: Sequence[Finding],
    done: Sequence[Assessment],
    facts: Facts,
    design: Design,
) -> TrialOutcome:
    """What some repairs have cleared of their candidates, with what is seen only then; ``design`` is the
    repaired one."""
    own = put_in(trials, design, facts.design)
    shown = tuple(f for f in new if own.isdisjoint(f.evidence.named | {f.subject}))
    rejudged = {assessment.rule for assessment in done}
    after = {f.identity: (f.sentence, f.path) for a in done for f in a.findings}
    other = (f for f in candidates if f.rule in rejudged and after.get(f.identity) != (f.sentence, f.path))
    changed = frozenset(finding.identity for finding in other)
    return TrialOutcome(tuple(trials), gone, shown, tuple(_solved_again(candidates, done)), changed)


def _takes_power(facts: Facts, repaired: Facts) -> bool:
    """Whether a function no longer works in a state of normal flight that is not declared without it, or a
    critical one in an abnormal state that the file declares. A load of one may be off: it may have run
    unasked, and if it did not, that shows as a new finding."""
    if not facts.design.operation or not facts.design.functions:
        return False
    declared = [a for a in facts.states.answers() if a.state.name not in facts.design.made]
    abnormal = [a for a in declared if a.state.use == "abnormal"]
    asked = [
        (before, function) for before in facts.states.flight_answers() for function in facts.design.functions
    ]
    asked += [(before, function) for before in abnormal for function in facts.states.critical_functions]
    return any(
        facts.states.works_for_a_time(before, function)
        and not repaired.states.works_for_a_time(repaired.states.answer(before.state.name), function)
        for before, function in asked
        if function not in before.state.without
    )


def _leaves_unfed(asking: Finding, facts: Facts, repaired: Facts) -> bool:
    """Whether the load that a finding is about no longer has power in a state in which it is wanted."""
    if not facts.design.operation or asking.consequence is Consequence.ON_WHEN_NOT_WANTED:
        return False
    if not isinstance(facts.design.parts.get(bare(asking.subject)), p.Consumer):
        return False
    return any(
        before.healthy.powered.get(asking.subject, 0)
        and not repaired.states.answer(before.state.name).healthy.powered.get(asking.subject, 0)
        for before in facts.states.answers()
    )


def _runs_a_starter(facts: Facts, repaired: Facts) -> bool:
    """Whether a starter that rests in a state runs in it; where the engine cranks it may."""
    if not facts.design.operation:
        return False
    turning = _starters(facts)
    return any(
        repaired.states.answer(before.state.name).healthy.powered[starter]
        and not before.healthy.powered[starter]
        for before in facts.states.answers()
        if before.state.engine != "cranking"
        for starter in turning
    )


def takes_something_away(facts: Facts, repaired: Facts) -> bool:
    """Whether a repair takes a switch its use, runs what is to rest, cuts an alternator off, keeps a magneto
    from firing or leaves a load or coil dead, whatever it is made for."""
    return (
        idles_a_contact(facts, repaired)
        or takes_a_switch_its_use(facts, repaired)
        or runs_unasked(facts, repaired)
        or cuts_off_an_alternator(facts, repaired)
        or grounds_a_magneto(facts, repaired)
        or leaves_dead(facts, repaired)
    )


def takes_a_switch_its_use(facts: Facts, repaired: Facts) -> bool:
    """Whether a bus that a state declares dead, and is so there, is live in it; a magneto that a state
    declares silent, and is grounded there, fires in it; or a relay that rests in some state picks up in
    all of them. A made state declares nothing: its switches are where the drawing to be repaired has them."""
    if not facts.design.operation:
        return False
    pairs = [(before, repaired.states.answer(before.state.name)) for before in facts.states.answers()]
    for before, after in pairs:
        for name in before.state.dead:
            nodes = [(facts.network.nodes_of, before), (repaired.network.nodes_of, after)]
            was, now = (any(map(a.healthy.live, at.get(f"parts/{name}", ()))) for at, a in nodes)
            if now and not was:
                return True
        silent = () if before.state.name in facts.design.made else before.state.silent
        if any(after.healthy.hot[f"parts/{n}"] > before.healthy.hot[f"parts/{n}"] for n in silent):
            return True
    both = set(pairs[0][0].healthy.energised).intersection(pairs[0][1].healthy.energised)
    # a dimmer is switched by nothing but its supply
    coils = both.intersection(f"parts/{name}" for name in facts.design.of_kind(p.Electromagnet))
    return any(
        all(after.healthy.energised[coil] for _, after in pairs)
        and not all(before.healthy.energised[coil] for before, _ in pairs)
        for coil in coils
    )


def cuts_off_an_alternator(facts: Facts, repaired: Facts) -> bool:
    """Whether an alternator that feeds some load in a state feeds none in any."""
    if not facts.design.operation:
        return False
    machines = [f"parts/{n}" for n in facts.design.of_kind(p.Alternator)]
    return bool(_feeding(machines, facts) - _feeding(machines, repaired))


def grounds_a_magneto(facts: Facts, repaired: Facts) -> bool:
    """Whether a magneto that fires in normal flight no longer does in a state that is not to silence it: its
    function may rest on the other one then, and show nothing."""
    if not facts.design.operation:
        return False
    magnetos = facts.design.of_kind(p.Magneto)
    pairs = ((a, repaired.states.answer(a.state.name)) for a in facts.states.flight_answers() if magnetos)
    return any(
        before.healthy.hot[f"parts/{name}"] and not after.healthy.hot[f"parts/{name}"]
        for before, after in pairs
        for name in magnetos
        if name not in before.state.silent
    )


def _feeding(machines: Iterable[str], facts: Facts) -> set[str]:
    """Those of some alternators (elements) that feed a load in some declared state."""
    loads = [
        user
        for user in facts.network.users.values()
        if user.element in facts.states.answers()[0].healthy.powered
    ]
    return {
        machine
        for machine in machines
        for answer in facts.states.answers()
        if any(answer.healthy.fed[machine][node] for load in loads for node in load.plus)
    }


def _takes_a_lead_from_what_it_senses(facts: Facts, repaired: Facts) -> bool:
    """Whether the lead of a monitor no longer goes to what that senses, where it did and senses the same."""
    after = repaired.design.watch.monitors
    shown = ((n, m) for n, m in facts.design.watch.monitors.items() if m.displayed_on)
    same = (n for n, m in shown if n in after and after[n].senses == m.senses)
    return any(
        facts.detection.sense_lead(name).connected and not repaired.detection.sense_lead(name).connected
        for name in same
    )


def _cuts_off_a_main_battery(facts: Facts, repaired: Facts) -> bool:
    """Whether the battery that turns a starter, the nearest of several, no longer turns it while the engine
    is cranked, or feeds no other load in any state where it fed some."""
    if not facts.design.operation:
        return False
    turning = _starters(facts)
    states = [answer.state.name for answer in facts.states.answers()]
    main = set[str]()
    for state in (s for s in states if facts.states.answer(s).state.engine == "cranking"):
        for starter in turning:
            feeding = _nearest_battery(starter, state, facts)
            if feeding and feeding not in _batteries_of(starter, state, repaired):
                return True
            main |= {feeding} if feeding else set()
    others = {f"parts/{name}" for name in facts.design.of_kind(p.Load)}.difference(turning)
    before, after = (
        {b for state in states for load in others for b in _batteries_of(load, state, at)} & main
        for at in (facts, repaired)
    )
    return bool(before - after)


def _nearest_battery(load: str, state: str, facts: Facts) -> str:
    """The battery, none kept in reserve, with the shortest path to a load in a state, one with the least
    circuit protection in it before others; "" for none."""
    answer, network, design = facts.states.answer(state), facts.network, facts.design
    ways = {
        battery: min(
            (sum(isinstance(design.parts.get(bare(e)), p.Protector) for e in path), len(path))
            for path in (feed_path(network, answer, battery, node) for node in network.users[load].plus)
            if path
        )
        for battery in _batteries_of(load, state, facts)
        if design.part(bare(battery), p.Battery).purpose != "reserve"
    }
    return min(ways, key=lambda battery: (ways[battery], battery), default="")


def _batteries_of(load: str, state: str, facts: Facts) -> list[str]:
    """The batteries that feed a load (all elements) in a state."""
    return batteries_feeding(facts.network, facts.states.answer(state).healthy, load)


def _starters(facts: Facts) -> list[str]:
    """The elements of the starters."""
    return [f"parts/{name}" for name in facts.design.starters]


def loses_more(facts: Facts, repaired: Facts) -> bool:
    """Whether a single failure loses a critical function for good that none loses as drawn, though it works
    there in all of normal flight: what does not work has no single point."""
    return any(
        all(facts.states.works_for_a_time(answer, function) for answer in facts.states.flight_answers())
        for function in lost_at_one(repaired) - lost_at_one(facts)
    )


def lost_at_one(facts: Facts) -> set[str]:
    """The critical functions that some single failure loses for good in normal flight."""
    if not facts.design.operation or not facts.design.functions:
        return set()
    return {point.function for points in facts.failures.single_points.values() for point in points}


def assessed_of(finding: Finding, rule: Rule, repaired: Facts, drawn: DrawnReview) -> Assessment:
    """What its rule says of the subject of a finding in a repaired network, of all where it says of one what
    is wrong with another. Raises :class:`TrialBroken`."""
    every = drawn.about_others(rule.name)
    return _assessed(rule, repaired, lambda pointer: every or pointer == finding.subject)


def _all_but(known: frozenset[str]) -> Callable[[str], bool]:
    return lambda pointer: pointer not in known


def _assessed(rule: Rule, repaired: Facts, judged: Callable[[str], bool]) -> Assessment:
    """A rule on the repaired network, of the subjects that are to be ``judged``; what it asks of the engines
    is counted by them."""
    add_work(len(repaired.as_written.parts) + len(repaired.as_written.wires))
    ((assessment,), _) = run_rules([rule], repaired, judged=judged)
    if assessment.breakdowns:
        raise TrialBroken(assessment.breakdowns)
    return assessment


def put_in(trials: Sequence[TrialRepair], design: Design, before: Design) -> frozenset[str]:
    """What the trials have put in, and the sources that they chose."""
    own = frozenset[str]().union(*(trial.change.sources for trial in trials))
    own |= {f"parts/{name}" for name in design.parts if name not in before.parts}
    return own | {f"wires/{name}" for name in design.wires if name not in before.wires}


def _solved_again(candidates: Sequence[Finding], assessments: Sequence[Assessment]) -> Iterator[Finding]:
    """What still runs short, with the figures of the repaired network."""
    short = (f for f in candidates if f.consequence is Consequence.RUNS_SHORT)
    before = {finding.identity: finding.sentence for finding in short}
    for assessment in assessments:
        for finding in assessment.findings:
            if finding.sentence != before.get(finding.identity, finding.sentence) and not finding.conceded:
                yield finding
