"""Trials in which circuit protection is put in where a wire has none."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import replace
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.review import Finding
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Gate, Link, bare
from reviewer.network.search import anything_along, reachable
from reviewer.rulebook import trial_repairs as made
from reviewer.rulebook.asked_repairs import TrialRepair
from reviewer.rulebook.trial_repairs import Change

#: the ends of a wire
_ENDS = 2


def protected(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A breaker at each end at which a wire is energised unprotected, of the largest rating that all wires
    allow which it then protects, where it carries what it feeds; what is behind it as far as the paths of
    the findings lead is put right with it."""
    element, _, what = repair.rpartition("/")
    own = tuple(m for m in members if m.subject == element)
    if what != "protection" or not own or element not in facts.protection.energised_wires:
        return None
    change: Change | None = Change()
    with ExitStack() as tried:
        after = facts
        for _ in range(_ENDS):
            found = after.protection.unprotected_end(element)
            if found is None or change is None:
                break
            if after.protection.at_other_end(bare(element), found.feed.end):
                return None  # that device is brought nearer
            change = _with_breaker(change, element, found.feed.end, members, after)
            after = facts if change is None else tried.enter_context(Facts(change.made_in(facts.as_written)))
        if not change or not change.parts or not all(_carries(name, after) for name in change.parts):
            return None
    behind = {e for m in members if element in m.evidence.path for e in _from(element, m.evidence.path)}
    place = behind | {m.subject for m in members}
    others = tuple(m for m in members if m not in own)
    return TrialRepair(repair, frozenset(place), (*own, *others), (change,), itself=True)


def _from(element: str, path: tuple[str, ...]) -> tuple[str, ...]:
    return path[path.index(element) :]


def _with_breaker(
    change: Change, element: str, end: str, members: tuple[Finding, ...], facts: Facts
) -> Change | None:
    """A change with a breaker between a terminal and a wire on it; ``facts`` are those with the change. None
    where Table 11-3 prints no breaker for a wire; where no wire has a size yet, it has no rating."""
    design, wire = facts.design, bare(element)
    wires = dict.fromkeys(bare(m.subject) for m in members if m.subject.startswith("wires/"))
    sized = [name for name in wires if design.wires[name].size]
    ratings = [facts.protection.ratings_of(name).get("breaker") for name in sized]
    if None in ratings:
        return None
    name = made.unused_name(design, f"{wire} breaker")
    zone = getattr(design.parts[made.part_of(end)], "zone", None)
    new = p.Breaker(kind="breaker", label=name, reset="trip-free", zone=zone)
    moved = change.with_moved({wire: {end: f"{name}.load"}})
    line = made.short_lead(design, wire, end, f"{name}.line")

    def of(amps: float | None) -> Change:
        parts: dict[str, Any] = {**change.parts, name: new.model_copy(update={"rating": amps})}
        return replace(moved, wires={**change.wires, f"{name} line": line}, parts=parts)

    most = min((amps for amps in ratings if amps is not None), default=None)
    if most is None:
        return of(None)
    with Facts(of(most).made_in(facts.as_written)) as after:
        allowed = after.protection.rating_allowed(name)
    return of(most if allowed is None else min(most, allowed))


def _carries(breaker: str, facts: Facts) -> bool:
    """Whether a breaker, by name, carries what passes it in the declared states, and all loads together that
    it can feed in any position of the switches; one without a rating will have one that does.
    Raises NotAssessable."""
    network, rating = facts.network, facts.design.part(breaker, p.Protector).rating
    if rating is None:
        return True

    def onward(link: Link, leaving: bool) -> bool:
        own = link.element == f"parts/{breaker}"
        return not own and link.gate is not Gate.SHIELD and anything_along(link, leaving)

    reached = reachable(network, [network.index[f"{breaker}.load"]], onward)
    loads = (facts.design.parts[bare(c.element)] for c in network.consumers if reached.intersection(c.plus))
    amps = sum(max(part.currents, default=0.0) for part in loads if isinstance(part, p.Consumer))
    return not exceeds(max(amps, facts.protection.least_rating(breaker, rating)), rating)
