"""A repair that findings ask for, and how it is tried."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from reviewer.analysis.facts import Facts
from reviewer.model.record import record
from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.rulebook.trial_repairs import Change, part_of

Place = frozenset[str]


@record
class TrialRepair:
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
    #: whether a finding must be about the place itself
    itself: bool = False
    #: whether it was searched for, so that it counts only if it clears more than what asks for it
    searched: bool = False
    #: whether it is tried once more with those made that its finding names, where alone it does not serve
    behind_others: bool = False
    #: ways that are tried where none of ``ways`` clears what asks for it
    otherwise: tuple[Change, ...] = ()

    def is_named_by(self, finding: Finding) -> bool:
        """Whether a finding of another cause names the place; where it shows everywhere, what its own
        findings name."""
        if self.place is not None:
            return self.may_clear(finding)
        own = {e for m in self.members for e in (m.subject, *m.evidence.named)}
        return finding not in self.members and not own.isdisjoint({finding.subject, *finding.evidence.named})

    @property
    def change(self) -> Change:
        """The first of the ways."""
        return self.ways[0]

    def may_clear(self, finding: Finding) -> bool:
        """Whether a finding of another cause names the repaired place."""
        if self.place is None or finding in self.members:
            return finding not in self.members
        if self.itself:
            return finding.subject in self.place
        evidence = finding.evidence
        about = {finding.subject, *evidence.elements, *(f"parts/{name}" for name in evidence.lost)}
        named = about | {*evidence.path, *(f"functions/{f}" for f in evidence.functions)}
        return not (self.place.isdisjoint(named) and self.about.isdisjoint(about))


@record
class AskedRepair:
    """A repair that some findings ask for, and what works out how to try it."""

    repair: str
    members: tuple[Finding, ...]
    make: Callable[[], TrialRepair | None]
    #: whether its way is one that is searched for, and asked for by no evidence
    searched: bool = False
    #: whether it is tried before others are made at once, as what is found follows from it alone
    first: bool = False


def names_no_key(members: Iterable[Finding]) -> bool:
    """Whether some findings name nothing to change but a terminal on which nothing is, or that a check is
    lacking of what they are about."""
    changes = ((m.subject, c) for m in members for c in m.evidence.changes)
    return all(c.endswith("/connection") or c == f"{subject}/check" for subject, c in changes)


def circuit_place(changes: Sequence[Change], users: Iterable[str], facts: Facts) -> Place:
    """The leads and parts that some changes touch, the users, and what rests on them or watches them."""
    design, users = facts.design, set(users)
    place = set(users)
    for change in changes:
        place |= {f"parts/{name}" for name in change.parts} | {f"wires/{name}" for name in change.moved}
        ends = [end for moved in change.moved.values() for pair in moved.items() for end in pair]
        ends += [end for wire in change.wires.values() for end in (wire.from_, wire.to)]
        place |= {f"parts/{part_of(end)}" for end in ends}
        beside = design.neighbours
        leads = {wire for name in change.parts for wire in beside.get(f"parts/{name}", ())}
        place = place.union(leads, *(beside[wire] for wire in leads))
    strings = [s.string for s in facts.network.sources if s.element in place]
    place |= {
        source.element for source in facts.network.sources if source.string and source.string in strings
    }
    names = {bare(user) for user in users}
    feeds = (facts.states.path_to(state, user)[:1] for state in facts.states.declared for user in users)
    sources = {bare(source) for feed in feeds for source in feed}  # a function may rest on those that work
    functions = {f for f in design.functions if names.intersection(facts.states.loads_of(f))}
    functions |= {f for f, function in design.functions.items() if sources.intersection(function.of)}
    monitors = {n for n, m in design.watch.monitors.items() if m.displayed_on in names}
    watched = names | functions | monitors
    place |= {f"functions/{f}" for f in functions} | {f"watch/monitors/{m}" for m in monitors}
    touched = {bare(element) for element in place}
    place |= {
        f"watch/checks/{n}"
        for n, check in design.watch.checks.items()
        if watched.intersection(check.watch) or touched.intersection(check.proves)
    }
    return frozenset(place)
