"""Trials in which a part is exchanged for one with another figure, or its contacts or coil are wired
otherwise: a breaker, a converter, a battery, a set point, a relay.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.review import Consequence, Finding
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare
from reviewer.network.regulators import regulator_of
from reviewer.rulebook import rewirings
from reviewer.rulebook import trial_repairs as made
from reviewer.rulebook.asked_repairs import TrialRepair, circuit_place, names_no_key
from reviewer.rulebook.own_bus_coils import coil_leads
from reviewer.rulebook.trial_repairs import Change

#: contacts or coils that are exchanged in turn
_MOST_WAYS = 3
#: what a converter gives at most and a battery holds in a trial, as multiples of what they do
_LARGER_CONVERTER, _LARGER_BATTERY = 4.0, (2.0, 4.0)
#: V by which a stand-by alternator holds less than the one for which it stands by, in turn
_BELOW_V = (0.5, 1.0)


def rated(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A breaker, fuse or current limiter that is too large for its wires has the rating that they allow."""
    name, wrong = bare(repair), {change for m in members for change in m.evidence.changes}
    part = facts.design.parts.get(name)
    if not isinstance(part, p.Protector) or part.rating is None or f"{repair}/rating" not in wrong:
        return None
    allowed = facts.protection.rating_allowed(name)
    if allowed is None or allowed >= part.rating:
        return None
    least = facts.protection.least_rating(name, allowed) or allowed
    if exceeds(least, allowed):
        return None  # what it carries asks for thicker wire, and not for a smaller device
    ways = tuple(made.rated(name, amps, facts.design) for amps in (allowed, least))
    return TrialRepair(repair, frozenset({repair}), members, ways)


def exchanged(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A contact that is closed where it should be open is exchanged, where the evidence shows it and no
    change of a key."""
    if not names_no_key(members):
        return None
    shown = dict.fromkeys(e for m in members for e in (m.subject, *m.evidence.path, *m.evidence.elements))
    shown |= dict.fromkeys(e for relay in list(shown) for e in _coil_circuit(relay, facts))
    made_of = {e: made.contact_exchanged(bare(e), facts.design) for e in shown if e.startswith("parts/")}
    ways = {e: change for e, change in made_of.items() if change is not None}
    # a heavy contact that opens when energised is seldom made, and runs its load once its control is lost
    relays = facts.design.of_kind(p.Electromagnet)
    tried = tuple(ways[e] for e in sorted(ways, key=lambda e: bare(e) in relays))[:_MOST_WAYS]
    if not tried:
        return None
    turned = frozenset[str]().union(*(rewirings.turned_by(way, facts).any for way in tried))
    place = circuit_place(tried, {*ways, *turned}, facts).union(m.subject for m in members)
    return TrialRepair(repair, place, members, tried, searched=True)


def _coil_circuit(relay: str, facts: Facts) -> tuple[str, ...]:
    """What the coil of a relay is fed and returned by in the first state in which it is energised."""
    for answer in facts.states.answers() if relay in {c.element for c in facts.network.coils} else ():
        if answer.healthy.energised.get(relay):
            name = answer.state.name
            return (*facts.states.path_to(name, relay), *facts.states.path_back(name, relay))
    return ()


def converter(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A converter that feeds a load with too low a voltage gives more."""
    load, _, what = repair.rpartition("/")
    elements = [bare(e) for m in members for e in m.evidence.elements]
    name = next((e for e in elements if isinstance(facts.design.parts.get(e), p.Converter)), None)
    if what != "minimum" or name is None:
        return None
    part = facts.design.part(name, p.Converter)
    if part.rating is None:
        return None
    larger = part.model_copy(update={"rating": part.rating * _LARGER_CONVERTER})
    place = frozenset({f"parts/{name}", load})
    return TrialRepair(repair, place, members, (Change(parts={name: larger}),), searched=True)


def larger_battery(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A battery that does not last as long as it is to holds more."""
    at = members[0].subject
    part = facts.design.parts.get(bare(at))
    short = "endurance" in dict(members[0].numbers)
    if not isinstance(part, p.Battery) or not short or part.capacity is None:
        return None
    held = [part.capacity * times for times in _LARGER_BATTERY]
    ways = tuple(Change(parts={bare(at): part.model_copy(update={"capacity": one})}) for one in held)
    return TrialRepair(repair, frozenset({at}), members, ways, itself=True, searched=True)


def set_lower(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A stand-by alternator that does not wait is set below the one for which it stands by."""
    element, _, what = repair.rpartition("/")
    part = facts.design.parts.get(bare(element))
    if what not in ("standby-for", "set-point") or not isinstance(part, p.Alternator):
        return None
    own, *others = (regulator_of(facts.design, n) or n for n in (bare(element), *part.standby_for))
    held = [facts.design.parts[name].set_point for name in others]
    if not held or any(volts is None for volts in held):
        return None
    lower = [facts.design.parts[own].model_copy(update={"set_point": min(held) - v}) for v in _BELOW_V]
    ways = tuple(Change(parts={own: part}) for part in lower)
    # it changes the voltage everywhere
    return TrialRepair(repair, None, members, ways, equal=True, searched=True)


def set_higher(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A regulator that charges a battery at too low a voltage is set higher: by what this one lacks, and by
    what the one lacks of its batteries that lacks the most."""
    at, charged = members[0].subject, facts.sources.charged
    if not names_no_key(members) or members[0].consequence is not Consequence.RUNS_SHORT:
        return None
    machines = {c.giver for c in charged.get(at, ()) if bare(c.giver) in facts.design.of_kind(p.Alternator)}
    if len(machines) != 1:
        return None
    (machine,) = machines
    owner = regulator_of(facts.design, bare(machine)) or bare(machine)
    part = facts.design.parts[owner]
    others = [battery for battery, every in charged.items() if machine in {c.giver for c in every}]
    lacking = {battery: _lacks_v(battery, facts) for battery in others}
    if part.set_point is None or not lacking[at]:
        return None
    held = [round(part.set_point + volts, 1) for volts in sorted({lacking[at], max(lacking.values())})]
    ways = tuple(Change(parts={owner: part.model_copy(update={"set_point": volts})}) for volts in held)
    return TrialRepair(repair, frozenset(others), members, ways, equal=True, itself=True, searched=True)


def _lacks_v(battery: str, facts: Facts) -> float:
    """V by which a battery (an element) is charged below its range, to the next tenth; 0 where it is not, or
    where what charges it gives all its current."""
    try:
        window, points = facts.sources.window(bare(battery)), facts.sources.charging_points(battery)
    except NotAssessable:
        return 0.0
    low = [window.low - point.volts for point in points if not point.overloaded]
    return math.ceil(max(low, default=0.0) * 10) / 10 if max(low, default=0.0) > 0 else 0.0


def coil_moved(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """The coil of a relay is fed from the other side of its contact, where the evidence shows the relay and
    no change of a key; or its lead is moved to the bus there."""
    relay = members[0].subject
    if not names_no_key(members) or relay not in {c.element for c in facts.network.coils}:
        return None
    leads = tuple(islice(coil_leads(members[0], facts), _MOST_WAYS))
    part = facts.design.part(bare(relay), p.Electromagnet)
    ends = rewirings.coil_ends(bare(relay), part, facts)
    solved = [(way, rewirings.turned_by(way, facts)) for way in ends]
    picks_up = any(answer.healthy.energised.get(relay) for answer in facts.states.answers())
    if picks_up:
        # it picks up when it is to, and still where it did: with both ends on one side it never would
        solved = [(way, turned) for way, turned in solved if not turned.on and relay not in turned.off]
    else:  # with its coil between two live ends it would still never pick up
        solved = [(way, turned) for way, turned in solved if relay in turned.on]
    turning = [(way, turned.any) for way, turned in solved if turned.any and relay not in turned.always]
    turning = turning[:_MOST_WAYS]
    if not turning and not leads:
        return None
    ways = tuple(way for way, _ in turning)
    turned = {relay}.union(*(users for _, users in turning))
    # what a relay joins that never picks up, as a battery that it is to charge, shows everywhere
    place = circuit_place((*ways, *leads), turned, facts) if picks_up else None
    otherwise = leads if ways else ()
    return TrialRepair(repair, place, members, ways or leads, equal=True, searched=True, otherwise=otherwise)


def dead_coil_moved(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """The coil of a relay that only its own contact would energise is fed from the other side of it, before
    anything else: what is dead behind it says nothing of itself."""
    if members[0].subject not in facts.switches.never_energised.behind_own_contact:
        return None
    trial = coil_moved(repair, members, facts)
    return replace(trial, searched=False, place=None) if trial else None


def coil_leads_exchanged(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """The leads at a coil exchanged, whose diode inside shorts its supply: a short shows everywhere."""
    asking = tuple(m for m in members if f"{m.subject}/coil" in m.evidence.changes)
    relay = asking[0].subject if asking else ""
    part = facts.design.parts.get(bare(relay))
    if not isinstance(part, p.Electromagnet) or part.suppression != "diode":
        return None
    if not relay.startswith("parts/") or facts.paths.inner_diode_is_right(bare(relay)):
        return None
    plus, minus = part.coil
    exchanged = Change(parts={bare(relay): part.model_copy(update={"coil": (minus, plus)})})
    others = tuple(m for m in members if m not in asking)
    return TrialRepair(repair, None, (*asking, *others), (exchanged,))


def diode_turned(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A diode of which the file does not say what it protects, so that no rule judges how it stands, is
    turned round: the nearest to the battery, load or coil, or the loads of the function, of which the
    evidence shows no change of a key."""
    asking, unsaid = members[0], _unsaid_diodes(facts)
    users = {s.element for s in facts.network.sources} | set(facts.network.users)
    loads = (f"parts/{n}" for f in asking.evidence.functions for n in facts.states.loads_of(f))
    about = [element for element in (asking.subject, *loads) if element in users]
    if not unsaid or not about or not names_no_key(members):
        return None
    near = dict.fromkeys(e for one in about for e in _outward(one, facts) if e in unsaid)
    return _turned(repair, members, list(near), facts)


def diode_of_tie_turned(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """Such a diode is turned round in the path by which sources are joined that are to be kept apart."""
    unsaid = _unsaid_diodes(facts) if repair.endswith("/isolation") else frozenset()
    passed = dict.fromkeys(element for m in members for element in m.evidence.path)
    return _turned(repair, members, [element for element in passed if element in unsaid], facts)


def _turned(repair: str, members: tuple[Finding, ...], diodes: list[str], facts: Facts) -> TrialRepair | None:
    """Each of the first of some diodes turned round, which shows everywhere."""
    ways = tuple(made.turned(bare(diode), facts.design) for diode in diodes[:_MOST_WAYS])
    return TrialRepair(repair, None, members, ways, equal=True, searched=True) if ways else None


def _unsaid_diodes(facts: Facts) -> frozenset[str]:
    """The diodes of which the file does not say what they protect, but those across a coil."""
    diodes = {n: facts.design.part(n, p.Diode) for n in facts.design.of_kind(p.Diode)}
    return frozenset(
        f"parts/{n}"
        for n, diode in diodes.items()
        if diode.protects is None and diode.duty in (None, "isolation") and not facts.paths.suppresses(n)
    )


def _outward(start: str, facts: Facts) -> Iterator[str]:
    """The parts and wires from one outward, those alike near by their names."""
    beside, seen, level = facts.design.neighbours, {start}, [start]
    while level:
        yield from level
        level = sorted({other for element in level for other in beside.get(element, ())} - seen)
        seen.update(level)
