"""Trial repairs: what vanishes from the review when a source that is reversed is turned round, or sources
that must not feed each other are parted.

The repair is made in the network, not in the file. A trial claims a finding only if it vanishes when
the rules of such findings judge the repaired network, and if its evidence names the repaired place. A
source that is reversed concerns every place.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, replace
from types import MappingProxyType
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.parts import Wire
from reviewer.model.record import record
from reviewer.model.review import Assessment, Finding
from reviewer.rulebook.causes import Tried, neighbours, repairs_of
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules

#: repairs that are tried alone, and then all of them together. A trial judges some of the rules in about a
#: fifth of the time of the review
MOST = 4
_ISOLATION, _POLARITY = "/isolation", "/polarity"
#: the terminals of sources between which wires are exchanged
_POLES: Mapping[object, tuple[str, str]] = {
    p.Battery: ("positive", "negative"),
    p.Alternator: ("output", "ground"),
}


@record
class _TrialRepair:
    """A repair, where it shows (None: everywhere), and the findings that it puts right by their evidence."""

    repair: str
    place: frozenset[str] | None
    members: tuple[Finding, ...]
    #: the wires that are exchanged at a source, each with (terminal as it is, terminal as it must be)
    exchanged: Mapping[str, Mapping[str, str]] = field(default_factory=dict)

    def may_clear(self, finding: Finding) -> bool:
        """Whether a finding of another cause names the repaired place."""
        named = finding.evidence.named | {finding.subject}
        told = self.place is None or not self.place.isdisjoint(named)
        return told and finding not in self.members


def tried_repairs(findings: Sequence[Finding], facts: Facts, rules: Sequence[Rule]) -> Tried:
    """What the gravest repairs put right that their evidence does not tell; nothing without such repairs."""
    found, chosen = repairs_of(findings, facts.design)
    trials = list(_trials(found, chosen, facts))
    claimed: dict[str, str] = {}
    hidden: dict[str, tuple[Finding, ...]] = {}
    for trial in trials:
        if all(member.identity in claimed for member in trial.members):
            continue
        gone, new = _judged([trial], _open(found, claimed), facts, rules)
        claimed.update({finding.identity: trial.repair for finding in gone})
        hidden[trial.repair] = new
    shared = frozenset[str]()
    if len(trials) > 1:
        gone, _ = _judged(trials, _open(found, claimed), facts, rules)
        shared = frozenset(finding.identity for finding in gone)
        for finding in gone:
            claimed[finding.identity] = next(t.repair for t in trials if t.may_clear(finding))
    return Tried(claimed, shared, hidden)


def _open(found: Sequence[Finding], claimed: Mapping[str, str]) -> list[Finding]:
    return [finding for finding in found if finding.identity not in claimed]


def _trials(found: Sequence[Finding], chosen: Sequence[str], facts: Facts) -> Iterator[_TrialRepair]:
    beside = neighbours(facts.design)
    repairs: dict[str, list[Finding]] = {}
    for finding, repair in zip(found, chosen, strict=True):
        if repair.endswith((_ISOLATION, _POLARITY)):
            repairs.setdefault(repair, []).append(finding)
    known = [
        _TrialRepair(repair, None, tuple(members), exchanged)
        for repair, members in repairs.items()
        if repair.endswith(_POLARITY) and (exchanged := _exchanged(repair.removesuffix(_POLARITY), facts))
    ]
    known += [
        _TrialRepair(repair, _place(element, members) | beside.get(element, frozenset()), tuple(members))
        for repair, members in repairs.items()
        for element in [repair.removesuffix(_ISOLATION)]
        if element != repair
        and any(member.subject == element for member in members)  # else it is not known where to part them
    ]
    yield from known[:MOST]


def _exchanged(element: str, facts: Facts) -> Mapping[str, Mapping[str, str]]:
    """The wires that belong to the other terminal of a source that is reversed."""
    source = facts.sources.reversed_sources.get(element)
    if source is None:
        return MappingProxyType({})
    name = element.partition("/")[2]
    terminals = _POLES[type(facts.design.parts[name])]
    plus, minus = (f"{name}.{terminal}" for terminal in terminals)
    moved = [(wire, {minus: plus}) for wire in source.to_plus] + [(w, {plus: minus}) for w in source.to_minus]
    return MappingProxyType({wire.partition("/")[2]: ends for wire, ends in moved})


def _place(element: str, members: Sequence[Finding]) -> frozenset[str]:
    """The element, and what all current through it passes where it flows as it must not."""
    paths = [frozenset(m.evidence.path[1:-1]) for m in members if element in m.evidence.path]
    return frozenset({element}).union(frozenset.intersection(*paths) if paths else ())


def _judged(
    trials: Sequence[_TrialRepair], findings: Sequence[Finding], facts: Facts, rules: Sequence[Rule]
) -> tuple[list[Finding], tuple[Finding, ...]]:
    """The findings that some repairs together put right, and what is seen only with them made."""
    members = {member.identity for trial in trials for member in trial.members}
    candidates = [
        f for f in findings if f.identity not in members and any(trial.may_clear(f) for trial in trials)
    ]
    judging = {finding.rule for finding in candidates}
    if not judging:
        return [], ()
    design = facts.as_written
    for trial in trials:
        design = _repaired(design, trial)
    assessments, _ = run_rules([rule for rule in rules if rule.name in judging], Facts(design))
    left = {(a.rule, subject) for a in assessments for subject in _not_cleared(a)}
    gone = [f for f in candidates if (f.rule, f.subject) not in left and (f.rule, "") not in left]
    before = {(finding.rule, finding.subject) for finding in findings} | {
        (member.rule, member.subject) for trial in trials for member in trial.members
    }
    new = (f for a in assessments for f in a.findings if (f.rule, f.subject) not in before)
    return gone, tuple(f for f in new if not f.conceded)


def _not_cleared(assessment: Assessment) -> Iterator[str]:
    """The subjects with a finding, and those that could no longer be judged."""
    for found in (assessment.findings, assessment.gaps, assessment.breakdowns):
        yield from (one.subject for one in found)


def _repaired(design: Design, trial: _TrialRepair) -> Design:
    """A source or diode that is reversed is turned round; elsewhere the wire that leads on from the place is
    parted."""
    if trial.exchanged:
        wires = {n: _ended(wire, trial.exchanged.get(n, {})) for n, wire in design.wires.items()}
        return replace(design, wires=MappingProxyType(wires))
    element = trial.repair.removesuffix(_ISOLATION)
    name = element.partition("/")[2]
    if isinstance(design.parts.get(name), p.Diode) and element.startswith("parts/"):
        turned = {f"{name}.anode": f"{name}.cathode", f"{name}.cathode": f"{name}.anode"}
        wires = {n: _ended(wire, turned) for n, wire in design.wires.items()}
        return replace(design, wires=MappingProxyType(wires))
    paths = (member.evidence.path for member in trial.members if element in member.evidence.path)
    for path in paths:
        on = path[path.index(element) :]
        cut = next((step.partition("/")[2] for step in on if step.startswith("wires/")), "")
        if cut:
            return _parted(design, cut)
    return design


def _parted(design: Design, cut: str) -> Design:
    """The design with one end of a wire on a splice of its own, where nothing else is."""
    end = next(
        name for i in range(len(design.parts) + 1) if (name := f"{cut} parted {i}") not in design.parts
    )
    wire = design.wires[cut]
    wires: dict[str, Wire] = {**design.wires, cut: _ended(wire, {wire.to: f"{end}.open"})}
    parts: dict[str, Any] = {**design.parts, end: p.Splice(kind="splice")}
    return replace(design, parts=MappingProxyType(parts), wires=MappingProxyType(wires))


def _ended(wire: Wire, ends: Mapping[str, str]) -> Wire:
    """A wire with some of its ends at other terminals."""
    return wire.model_copy(
        update={"from_": ends.get(wire.from_, wire.from_), "to": ends.get(wire.to, wire.to)}
    )
