"""Findings gathered under causes: what one repair puts right.

Each finding has the changes that would put it right, each alone. A repair is chosen where a finding
has no other; then the fewest for what is left, as far as a short search finds them. No rule is known by name
here, and no word of a sentence is looked at.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from types import MappingProxyType
from typing import Any

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import Breakdown, Cause, Finding, HazardClass
from reviewer.network.graph import bare

#: the last step of a change that is made beside a part or to it, and not by another part
_BESIDE = frozenset(
    {"feed", "return", "check", "protection", "second", "spare", "isolation", "current", "polarity"}
    | {"connection", "removal"}
    | {
        "battery",
        "label",
        "accessible",
        "guard",
        "zone",
        "unused",
        "bundle",
        "through",
        "mounted-on",
        "shield",
    }
)

#: what is exchanged as a whole, whatever key of it is wrong
_BOUGHT = (p.Protector, p.Electromagnet, p.Converter)

#: sets of repairs that are looked at for one that is smaller
_MOST_TRIES = 2_000

Repairs = frozenset[str]


def _nothing() -> Mapping[str, Any]:
    return MappingProxyType({})


@record
class Tried:
    """What trial repairs have shown.

    ``claimed`` is the repair, by identity of a finding, with which it vanishes; those of ``shared``
    vanish only when the repairs given there are made as well. ``hidden`` is, by repair, what is seen only
    with it made, ``solved`` what still runs short then, ``words`` how it was made, and ``searched`` are
    those that no evidence names. ``broken`` are the rules that failed in a trial, which was dropped.
    """

    claimed: Mapping[str, str] = field(default_factory=_nothing)
    shared: Mapping[str, tuple[str, ...]] = field(default_factory=_nothing)
    hidden: Mapping[str, tuple[Finding, ...]] = field(default_factory=_nothing)
    solved: Mapping[str, tuple[Finding, ...]] = field(default_factory=_nothing)
    words: Mapping[str, str] = field(default_factory=_nothing)
    searched: frozenset[str] = frozenset()
    broken: tuple[Breakdown, ...] = ()


def causes_of(findings: Sequence[Finding], design: Design, tried: Tried | None = None) -> tuple[Cause, ...]:
    """The causes of some findings, each finding in one of them; the same for every order of either.

    ``tried`` is what trial repairs have shown. The worst consequence comes first, then the worst class,
    then what loses the most loads, then what makes the most findings; causes of which every finding is
    conceded come last.
    """
    found, repairs = repairs_of(findings, design)
    tried = tried or Tried()
    members: dict[str, list[int]] = {}
    #: the gravest class of what no trial has joined elsewhere, by its repair
    standing: dict[str, HazardClass] = {}
    open_ones = [finding for finding in found if finding.identity not in tried.claimed]
    again = dict(zip((f.identity for f in open_ones), repairs_of(open_ones, design)[1], strict=True))
    for number, (finding, repair) in enumerate(zip(found, repairs, strict=True)):
        if finding.identity in again:
            if repair not in tried.words:  # it may need that only for what is joined elsewhere
                repairs[number] = repair = again[finding.identity]
            standing[repair] = max(finding.hazard, standing.get(repair, finding.hazard))
    for number, repair in enumerate(repairs):
        claimed = tried.claimed.get(found[number].identity, repair)
        rests = repair in standing and standing[repair] >= found[number].hazard
        certain = rests and len(_repairs(found[number], design)) == 1
        members.setdefault(repair if certain else claimed, []).append(number)
    listed = {id(finding): number for number, finding in enumerate(findings)}
    identities = {repair: found[numbers[0]].identity for repair, numbers in members.items()}
    causes = []
    for repair, numbers in members.items():
        _, told = min((_against(repair, tried, found[n]), n) for n in numbers)
        own = tuple(found[n] for n in numbers)
        shared = tuple(f.identity for f in own if f.identity in tried.shared)
        needed = (other for one in shared for other in tried.shared[one])
        # of a repair whose own findings all go with another one there is no cause
        others = dict.fromkeys(identities[other] for other in needed if other in identities)
        behind = tried.hidden.get(repair, ()), tried.solved.get(repair, ())
        words = tried.words.get(repair, "") if repair in tried.claimed.values() else ""
        causes.append(
            Cause(own, found[told], shared, tuple(others), *behind, words, repair in tried.searched)
        )
    return tuple(sorted(causes, key=lambda c: (*_gravity(c), listed[id(c.gravest)])))


def with_second_figures(finding: Finding, tried: Tried) -> Finding:
    """A finding of a time that is too short, with the time that it is with each repair that was tried
    and does not clear it, in its sentence."""
    places: dict[str, list[str]] = {}
    for repair, solved in tried.solved.items():
        for again in solved:
            if again.identity == finding.identity and _other_time(finding, again):
                places.setdefault(again.numbers[0][1], []).append(_place_name(repair))
    if not places:
        return finding
    words = "; ".join(f"at {' or '.join(dict.fromkeys(names))}: {time}" for time, names in places.items())
    return replace(finding, sentence=f"{finding.sentence} With the repair {words}.")


def _place_name(repair: str) -> str:
    """The name of what is repaired, or of what a finding is about that names no change."""
    subject, colon, _ = repair.partition(": ")
    changed = not colon and subject.count("/") > 1
    return (subject.rpartition("/")[0] if changed else subject).rpartition("/")[2]


def _other_time(finding: Finding, again: Finding) -> bool:
    """Whether the first figure of both is a time, and another one."""
    first, second = finding.numbers[:1], again.numbers[:1]
    return (
        first != second
        and [what for what, _ in first] == [what for what, _ in second]
        and all(value.endswith((" min", " h")) for _, value in (*first, *second))
    )


def _against(repair: str, tried: Tried, finding: Finding) -> tuple[bool, ...]:
    """What speaks against making a finding the headline of a repair, the gravest first: it is conceded,
    a trial alone has joined it, or it is about another place than the one that is repaired."""
    at = finding.subject
    there = at in (repair, repair.rpartition("/")[0])
    only = all(change.startswith(f"{at}/") for change in finding.evidence.changes)
    return bool(finding.conceded), finding.identity in tried.claimed, not (there and only)


def _gravity(cause: Cause) -> tuple[int, ...]:
    """The gravest first: what comes of it, the class, how many loads are lost, how many findings it makes."""
    lost = {load for finding in cause.standing for load in finding.evidence.lost}
    return not cause.standing, -cause.consequence, -cause.hazard, -len(lost), -len(cause.standing)


def repairs_of(findings: Sequence[Finding], design: Design) -> tuple[list[Finding], list[str]]:
    """The findings, the gravest first, and the repair that is chosen for each by their evidence."""
    found = sorted(findings, key=lambda finding: _order(finding, design))
    return found, _chosen(_joined(found, [_repairs(finding, design) for finding in found], design))


def _order(finding: Finding, design: Design) -> tuple[object, ...]:
    """The gravest first; no place in the file, so that its order says nothing. Of what does the
    same to several sources, a battery is told before an alternator."""
    others = (design.parts.get(element.removeprefix("parts/")) for element in finding.evidence.elements)
    machine = any(isinstance(part, p.Alternator) for part in others)
    return (
        *(-finding.hazard, -finding.consequence, finding.rule, finding.subject),
        *(machine, finding.state, finding.extent),
    )


def _repairs(finding: Finding, design: Design) -> Repairs:
    """The repairs each of which alone puts a finding right."""
    repairs = frozenset(_repair(change, design) for change in finding.evidence.changes)
    # what names no change is one thing to do, whatever the state in which it shows
    return repairs or frozenset({f"{finding.subject}: {finding.rule}"})


def _repair(change: str, design: Design) -> str:
    """The change, or that the thing is exchanged: several keys of one breaker or wire are one repair."""
    element, _, what = change.rpartition("/")
    kind, _, name = element.partition("/")
    part = design.parts.get(name) if kind == "parts" else None
    if isinstance(part, p.Diode) and what == "duty":  # it is turned round or put elsewhere
        return f"{element}/isolation"
    fitted = kind == "wires" or isinstance(part, _BOUGHT)
    return element if fitted and what not in _BESIDE else change


def _joined(found: Sequence[Finding], repairs: list[Repairs], design: Design) -> list[Repairs]:
    """The repairs of each finding, with those of findings that are one with it."""
    repairs = _upstream(found, repairs)
    keys = [_alike(finding, design) for finding in found]
    groups: dict[object, list[Repairs]] = {}
    for key, own in zip(keys, repairs, strict=True):
        groups.setdefault(key, []).append(own)
    same: dict[str, str] = {}  # what is done at each of several places alike is one repair
    for group in (*groups.values(), *_runs(found, design)):
        apart = frozenset().union(*group) - frozenset.intersection(*group)
        for what in sorted({_done(repair) for repair in apart}):
            alike = sorted(repair for repair in apart if _done(repair) == what)
            same.update(dict.fromkeys(alike, same.get(alike[0], alike[0])))
    joined = [frozenset(same.get(repair, repair) for repair in own) for own in repairs]
    beside = design.neighbours
    for number, finding in enumerate(found):
        for repair in sorted(repairs[number]):
            element, _, what = repair.rpartition("/")
            if what == "second":
                for other, one in enumerate(found):
                    near = beside.get(element, frozenset())
                    if other != number and (_one_stretch(one, finding, near) or _passes(one, element, near)):
                        joined[other] = joined[other] | {repair}
    return joined


def _done(repair: str) -> str:
    """What a repair does where it is made, the last step of a change; "" where a part or wire is new."""
    element, _, what = repair.rpartition("/")
    return what if "/" in element else ""


def _upstream(found: Sequence[Finding], repairs: Sequence[Repairs]) -> list[Repairs]:
    """The repairs of each finding, those of unprotected wires seen from where they are energised.

    Protection is fitted at a wire that was found without it, which serves those behind it too; nor do
    these need any where what must not conduct no longer does.
    """
    own_ends = ((f"{finding.subject}/protection", finding.evidence.changes) for finding in found)
    unprotected = {protection for protection, changes in own_ends if protection in changes}
    certain = {repair for own in repairs if len(own) == 1 for repair in own if repair.endswith("/isolation")}
    result = []
    for finding, own in zip(found, repairs, strict=True):
        protected = {repair for repair in own if repair.endswith("/protection")}
        if protected:
            passed = {f"{element}/isolation" for element in finding.evidence.path}
            own = (own - protected) | (protected & unprotected) | (passed & certain) or own
        result.append(own)
    return result


def _runs(found: Sequence[Finding], design: Design) -> list[list[Repairs]]:
    """The wires to be made thicker that one finding names and that have one size, or that it is about: they
    are one run."""
    thin = {c.removesuffix("/gauge") for f in found for c in f.evidence.changes if c.endswith("/gauge")}
    runs = []
    for finding in found:
        named = sorted(e for e in finding.evidence.named & thin if e.startswith("wires/"))
        own = {c.removesuffix("/gauge") for c in finding.evidence.changes} & set(named)
        for size in sorted({design.wires[bare(e)].size for e in own}):
            about = finding.evidence.elements
            run = [frozenset({e}) for e in named if e in about or design.wires[bare(e)].size == size]
            if len(run) > 1:
                runs.append(run)
    return runs


def _alike(finding: Finding, design: Design) -> object:
    """What findings share that differ in the last step of their path alone, in which of some monitors with
    the same figures they are about, or in which of some switches of the wrong kind."""
    monitor = design.watch.monitors.get(finding.subject.removeprefix("watch/monitors/"))
    if monitor is not None and finding.field and not finding.path:
        figures = {k: v for k, v in monitor.model_dump().items() if isinstance(v, float)}
        return finding.rule, finding.field, finding.state, tuple(sorted(figures.items()))
    if _of_the_wrong_kind(finding, design):
        return finding.rule, finding.field
    if len(finding.path) < 2:
        return finding.rule, finding.subject, finding.state, finding.extent
    return finding.rule, finding.field, finding.state, finding.numbers, finding.evidence.path[:-1]


def _of_the_wrong_kind(finding: Finding, design: Design) -> bool:
    """Whether a switch is to be another one whatever it switches: no state, path or failure shows it."""
    part = design.parts.get(finding.subject.removeprefix("parts/"))
    bought = isinstance(part, p.Switch) and finding.field and finding.field not in _BESIDE
    solved = finding.state or finding.path or finding.failure or finding.extent or finding.evidence.elements
    return bool(bought and not solved)


def _one_stretch(one: Finding, of: Finding, beside: frozenset[str]) -> bool:
    """Whether what fails in one finding lies next to the device of another and loses no other channels,
    or is one of two latent failures next to it."""
    if one.subject not in beside:
        return False
    mine, others = set(one.evidence.lost), set(of.evidence.lost)
    if mine and others:
        return mine <= others or others <= mine
    return not mine and not beside.isdisjoint(one.evidence.elements)


def _passes(one: Finding, element: str, beside: frozenset[str]) -> bool:
    """Whether what is joined in a finding is joined through an element or at one of its terminals, so that
    two of them part it; ``beside`` are its wires."""
    kinds = {change.rpartition("/")[2] for change in one.evidence.changes}
    through = element in one.evidence.path[1:] or len(beside.intersection(one.evidence.path)) > 1
    return kinds in ({"isolation"}, {"return"}) and one.subject != element and through


def _chosen(repairs: Sequence[Repairs]) -> list[str]:
    """One repair for each finding, as few as a simple search finds."""
    holders = _holders(repairs)
    chosen: dict[int, str] = {}
    for own in repairs:  # no other repair puts it right
        if len(own) == 1:
            (repair,) = own
            for number in holders[repair]:
                chosen.setdefault(number, repair)
    left = set(range(len(repairs))) - chosen.keys()
    for group in _linked(left, holders):
        most = _most_first(group, holders)
        for repair in _fewer(group, repairs, holders, len(most) - 1) or most:
            for number in holders[repair] & group:
                chosen.setdefault(number, repair)
    return [chosen[number] for number in range(len(repairs))]


def _holders(repairs: Sequence[Repairs]) -> dict[str, set[int]]:
    """Each repair -> the numbers of the findings that it puts right."""
    holders: dict[str, set[int]] = {}
    for number, own in enumerate(repairs):
        for repair in own:
            holders.setdefault(repair, set()).add(number)
    return holders


def _linked(left: set[int], holders: Mapping[str, set[int]]) -> list[set[int]]:
    """Some findings in groups of which no repair puts right findings of two."""
    groups: list[set[int]] = [{number} for number in sorted(left)]
    for held in holders.values():
        touched = [group for group in groups if group & held]
        if len(touched) > 1:
            groups = [g for g in groups if not g & held] + [set[int]().union(*touched)]
    return sorted(groups, key=min)


def _most_first(group: set[int], holders: Mapping[str, set[int]]) -> list[str]:
    """The repairs of some findings, always the one that puts right the most of what is left."""
    left, chosen = set(group), []
    while left:
        repair = min(holders, key=lambda r: (-len(holders[r] & left), min(holders[r] & left, default=0), r))
        chosen.append(repair)
        left -= holders[repair]
    return chosen


def _fewer(
    group: set[int], repairs: Sequence[Repairs], holders: Mapping[str, set[int]], most: int
) -> list[str]:
    """The fewest repairs that put right all of some findings, ``most`` or less of them; none where there
    are none so few, or where the search would be long."""
    tries = 0

    def search(left: frozenset[int], allowed: int) -> list[str] | None:
        nonlocal tries
        tries += 1
        if not left:
            return []
        if allowed == 0 or tries > _MOST_TRIES:
            return None
        number = min(left, key=lambda n: (len(repairs[n]), n))
        for repair in sorted(repairs[number], key=lambda r: (-len(holders[r] & left), r)):
            rest = search(left - holders[repair], allowed - 1)
            if rest is not None:
                return [repair, *rest]
        return None

    fewest: list[str] = []
    while most > 0 and (found := search(frozenset(group), most)) is not None:
        fewest, most = found, len(found) - 1
    return fewest
