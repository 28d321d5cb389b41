"""Trial repairs: what vanishes from the review when a repair is made.

The repair is made in the network, not in the file, and counts only if it clears the finding that asks
for it. It claims another finding only if it vanishes when the rules of such findings judge the repaired
network, and if its evidence names the repaired place. A source or diode that is reversed concerns
every place.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import Assessment, Consequence, Finding
from reviewer.network.graph import bare
from reviewer.rulebook import trial_repairs as made
from reviewer.rulebook.causes import Tried, neighbours, repairs_of
from reviewer.rulebook.magneto_leads import grounded
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules
from reviewer.rulebook.second_feeds import second_feed
from reviewer.rulebook.source_joints import kept_apart
from reviewer.rulebook.trial_repairs import Change

#: repairs that are tried alone, and then all of them together. A trial takes about a third of the time of
#: the review, as most rules rest on the same engines: all of them together at most twice that time
MOST = 6
#: contacts that are exchanged or leads that are moved, in turn, in one of them
_MOST_WAYS = 3
Place = frozenset[str]


@record
class _TrialRepair:
    """A repair, where it shows (None: everywhere), and the findings that it puts right by their evidence."""

    repair: str
    place: Place | None
    members: tuple[Finding, ...]
    #: ways to make it, of which the first counts that clears what asks for it and anything else, or of
    #: ``equal`` ones that which clears the most and shows the least
    ways: tuple[Change, ...]
    #: what a finding must be about that is claimed, where it names nothing of the place
    about: Place = frozenset()
    equal: bool = False

    @property
    def change(self) -> Change:
        """The first of the ways."""
        return self.ways[0]

    def may_clear(self, finding: Finding) -> bool:
        """Whether a finding of another cause names the repaired place."""
        evidence = finding.evidence
        about = {finding.subject, *evidence.elements}
        named = about | {*evidence.path, *(f"functions/{f}" for f in evidence.functions)}
        told = self.place is None or not (self.place.isdisjoint(named) and self.about.isdisjoint(about))
        return told and finding not in self.members


@record
class _Judged:
    """What a trial has cleared, and what is seen only then."""

    trial: _TrialRepair
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
    trials: list[_TrialRepair] = []
    left, tries = found, 0
    for trial in _trials(found, chosen, facts):
        if all(member.identity in claimed for member in trial.members):
            continue
        if not any(trial.may_clear(finding) for finding in left):
            continue
        if tries == MOST:
            break
        tries += 1
        first = _first(trial, left, found, facts, rules)
        if first is not None:
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
    trial: _TrialRepair,
    left: Sequence[Finding],
    found: Sequence[Finding],
    facts: Facts,
    rules: Sequence[Rule],
) -> _Judged | None:
    """What the way to make a repair clears that counts."""
    best: _Judged | None = None
    for way in trial.ways:
        judged = _judged([replace(trial, ways=(way,))], left, found, facts, rules)
        if judged is not None and (best is None or judged.worth > best.worth):
            best = judged
        if best is not None and best.gone and not trial.equal:
            break
    return best


def _trials(found: Sequence[Finding], chosen: Sequence[str], facts: Facts) -> Iterator[_TrialRepair]:
    """The repairs that can be made in the network, those that concern every place before the others,
    and then the gravest first."""
    repairs: dict[str, list[Finding]] = {}
    for finding, repair in zip(found, chosen, strict=True):
        repairs.setdefault(repair, []).append(finding)
    ways = (_turned, _isolated, _driven, _grounded, _strapped, _fed, _thicker, _sensed, _rated, _exchanged)
    for way in ways:
        for repair, members in repairs.items():
            trial = None
            with suppress(NotAssessable):  # what it takes to make it is not known
                trial = way(repair, tuple(members), facts)
            if trial is not None:
                yield trial


def _turned(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """A source or a diode that is reversed is turned round."""
    element, _, what = repair.rpartition("/")
    if what == "polarity":
        change = made.exchanged_poles(element, facts)
        return None if change is None else _TrialRepair(repair, None, members, (change,))
    diode = isinstance(facts.design.parts.get(bare(element)), p.Diode) and element.startswith("parts/")
    if diode and f"{element}/duty" in {change for m in members for change in m.evidence.changes}:
        return _TrialRepair(repair, None, members, (made.turned(bare(element), facts.design),))
    return None


def _isolated(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """Two sources are kept apart; where no path joins two, the wire that leads on is parted."""
    element, _, what = repair.rpartition("/")
    paths = [m.evidence.path for m in members if element in m.evidence.path]
    if what != "isolation" or not paths or _turned(repair, members, facts):
        return None
    common = frozenset.intersection(*(frozenset(path) for path in paths))
    beside = neighbours(facts.design)
    place = common.union(*(beside.get(e, ()) for e in (element, *common)))
    for tie in (m for m in members if element in m.evidence.path and len(_joined_sources(m, facts)) > 1):
        ways = kept_apart(tie.evidence.path, common, tie.state, facts)
        return _TrialRepair(repair, place, members, ways, _joined_sources(tie, facts)) if ways else None
    on = paths[0][paths[0].index(element) :]
    wire = next((bare(step) for step in on if step.startswith("wires/")), "")
    if not wire or all(member.subject != element for member in members):
        return None  # it is not known where to part them
    change = made.parted(wire, facts.design.wires[wire].to, facts.design)
    return _TrialRepair(repair, place, members, (change,))


def _joined_sources(finding: Finding, facts: Facts) -> frozenset[str]:
    """The source where the path of a finding begins, and those to which it leads."""
    sources = {source.element for source in facts.network.sources}
    path, elements = finding.evidence.path, finding.evidence.elements
    return frozenset(sources & {path[0], path[-1], *elements}) if path[0] in sources else frozenset()


def _fed(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """One of some loads has another feed."""
    element, _, what = repair.rpartition("/")
    if what != "feed":
        return None
    loads = bare(element).split(" or ")
    change = second_feed(loads, members[0].state, facts)
    if change is None:
        return None
    place = {f"functions/{f}" for m in members for f in m.evidence.functions} | {m.subject for m in members}
    relieved = {m.evidence.path[0] for m in members if m.evidence.path and loads[1:]}
    about = relieved | {f"parts/{load}" for load in loads}
    return _TrialRepair(repair, frozenset(place), members, (change,), frozenset(about))


def _thicker(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """A wire that is too thin is exchanged."""
    asked = {change for m in members for change in m.evidence.changes}
    if not {f"{repair}/gauge", f"{repair}/current"} & asked:
        return None
    wires = {repair, *(m.subject for m in members if {f"{m.subject}/gauge", f"{m.subject}/current"} & asked)}
    change = made.thicker(sorted(bare(wire) for wire in wires), facts.design)
    users = (user.element for user in facts.network.consumers)
    fed = {user for user in users if wires & {*facts.states.path_to(members[0].state, user)}}
    return _TrialRepair(repair, frozenset(wires), members, (change,), frozenset(fed))


def _sensed(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """One of some monitors senses at the terminal of a battery."""
    battery = bare(members[0].subject)
    watch = facts.design.watch
    if not repair.endswith("/senses") or not isinstance(facts.design.parts.get(battery), p.Battery):
        return None
    changes = members[0].evidence.changes
    moves = [made.sensed_at(change.split("/")[2], battery, facts.design) for change in changes]
    ways = tuple(way for way in moves if way is not None)
    moved = {name for way in ways for name in way.senses}
    read = {f"watch/checks/{n}" for n, check in watch.checks.items() if moved.intersection(check.watch)}
    place = frozenset(read | {f"watch/monitors/{name}" for name in moved})
    own = frozenset({members[0].subject})
    return _TrialRepair(repair, place, members, ways, own, equal=True) if ways else None


def _driven(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """The wire of a coil is moved to an output of the unit that drives it."""
    element, _, what = repair.rpartition("/")
    load = facts.design.parts.get(bare(element))
    if what != "driver" or not isinstance(load, p.Load) or load.driver is None:
        return None
    asking = next(m for m in members if repair in m.evidence.changes)
    change = made.driven(load.driver, facts.states.path_back(asking.state, element), facts.design)
    if change is None:
        return None
    ends = {f"parts/{made.part_of(end)}" for moved in change.moved.values() for end in moved}
    place = {element, f"parts/{load.driver}", *ends, *(f"wires/{wire}" for wire in change.moved)}
    functions = facts.design.functions
    place |= {f"functions/{f}" for f in functions if bare(element) in facts.states.loads_of(f)}
    return _TrialRepair(repair, frozenset(place), members, (change,))


def _grounded(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """A magneto that fires where it should be silent has another lead or a ground for its switch."""
    element, _, what = repair.rpartition("/")
    magnetos = facts.design.of_kind(p.Magneto)
    if what != "ground" or bare(element) not in magnetos:
        return None
    ways = tuple(grounded(bare(element), facts.design))[:_MOST_WAYS]
    beside, at = neighbours(facts.design), {f"parts/{name}" for name in magnetos}
    leads = {wire for part in at for wire in beside.get(part, ())}
    functions = (f for f in facts.design.functions if bare(element) in facts.design.function_tree.loads[f])
    place = at.union(leads, *(beside[w] for w in leads), (f"functions/{f}" for f in functions))
    own = frozenset(place | {m.subject for m in members})
    return _TrialRepair(repair, own, members, ways) if ways else None


def _strapped(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """A body of metal has a strap to a battery; returns from every place go through it."""
    element, _, what = repair.rpartition("/")
    ends = [bare(m.evidence.path[-1]) for m in members if m.evidence.path]
    battery = next((end for end in ends if isinstance(facts.design.parts.get(end), p.Battery)), None)
    if what != "strap" or battery is None:
        return None
    change = made.strapped(bare(element), battery, facts.design)
    return None if change is None else _TrialRepair(repair, None, members, (change,))


def _rated(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """A breaker, fuse or current limiter that is too large for its wires has the rating that they allow."""
    name, wrong = bare(repair), {change for m in members for change in m.evidence.changes}
    part = facts.design.parts.get(name)
    if not isinstance(part, p.Protector) or part.rating is None or f"{repair}/rating" not in wrong:
        return None
    allowed = facts.protection.rating_allowed(name)
    if allowed is None or allowed >= part.rating:
        return None
    carried = (facts.protection.worst_continuous(name, allowed), facts.protection.worst_peak(name, allowed))
    least = max((allowed * c.amps / c.most for c in carried if c is not None), default=allowed)
    ways = tuple(made.rated(name, amps, facts.design) for amps in (allowed, min(least, allowed)))
    return _TrialRepair(repair, frozenset({repair}), members, ways)


def _exchanged(repair: str, members: tuple[Finding, ...], facts: Facts) -> _TrialRepair | None:
    """A contact that is closed where it should be open is exchanged, where the evidence shows it and no
    change of a key."""
    if any(member.evidence.changes for member in members):
        return None
    shown = dict.fromkeys(e for m in members for e in (*m.evidence.path, *m.evidence.elements))
    made_of = {e: made.contact_exchanged(bare(e), facts.design) for e in shown if e.startswith("parts/")}
    ways = {e: change for e, change in made_of.items() if change is not None}
    beside = neighbours(facts.design)
    place = {m.subject for m in members}.union(ways, *(beside.get(e, ()) for e in ways))
    tried = tuple(ways.values())[:_MOST_WAYS]
    return _TrialRepair(repair, frozenset(place), members, tried) if tried else None


def _judged(
    trials: Sequence[_TrialRepair],
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
    judging = {finding.rule for finding in (*candidates, *asking)}
    design = facts.as_written
    for trial in trials:
        design = trial.change.made_in(design)
    assessments, _ = run_rules([rule for rule in rules if rule.name in judging], Facts(design))
    remain = {(a.rule, subject) for a in assessments for subject in _not_cleared(a)}
    if len(trials) == 1 and (asking[0].rule, asking[0].subject) in remain:
        return None
    gone = tuple(f for f in candidates if (f.rule, f.subject) not in remain and (f.rule, "") not in remain)
    before = {(finding.rule, finding.subject) for finding in found}
    new = [f for a in assessments for f in a.findings if (f.rule, f.subject) not in before and not f.conceded]
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
