"""Trials at the contacts of switches and relays: a lead moved behind an open contact, a tie past it taken
off, the positions exchanged of a switch that grounds a magneto or changes over, a position that shorts a
source; and the lead of a lamp moved to what it is declared to show."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import islice

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.review import Consequence, Finding
from reviewer.network.graph import bare
from reviewer.rulebook import rewirings
from reviewer.rulebook.asked_repairs import TrialRepair, names_no_key
from reviewer.rulebook.source_joints import with_diode
from reviewer.rulebook.trial_repairs import (
    Change,
    oriented,
    part_of,
    parted,
    positions_exchanged,
    removed,
    wires_at,
    with_positions,
)

#: ways of one repair that are tried
_MOST_WAYS = 3
#: wires of a path of which it is solved whether anything needs them; of a short; leads of it that are moved
_MOST_LOOKED_AT, _MOST_OF_SHORT, _MOST_MOVED = 4, 8, 8


def switched_off(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A load that runs unasked, or the coil of the relay through which it does, has its lead behind a contact
    that is open then. What it draws shows everywhere."""
    asking = members[0]
    if asking.consequence is not Consequence.ON_WHEN_NOT_WANTED or not names_no_key(members):
        return None
    if asking.state not in facts.states.declared or asking.subject not in facts.network.users:
        return None
    users = rewirings.with_coils([asking.subject], asking.state, facts)
    found = (change for user in users for change in _behind(user, asking.state, facts))
    ways = tuple(islice(found, _MOST_WAYS))
    return TrialRepair(repair, None, members, ways, equal=True) if ways else None


def _behind(user: str, state: str, facts: Facts) -> Iterator[Change]:
    """A lead that feeds a user in a state moved to the other side of an open contact ahead of which it is
    joined, with others that stay there; the nearest to the user first."""
    network, answer = facts.network, facts.states.answer(state)
    if not (answer.healthy.powered.get(user) or answer.healthy.energised.get(user)):
        return
    for wire, end in rewirings.along(facts.states.path_to(state, user)[::-1], facts.design):
        node = network.index[end]
        if sum(1 for _ in wires_at(facts.design, end)) < 2:
            continue
        for i, other, _ in network.around[node]:
            if not answer.closed[i] and rewirings.idle(other, answer):
                at = network.names[other]
                yield Change({wire: {end: at if "." in at else f"{at}.{wire}"}})


def tie_taken_off(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """Of the wires by which something has power that is to be dead, one that feeds the other way in normal
    flight has a diode, or one is taken off where all that is fed in normal flight stays fed without it: it
    leads past what is open. The only wire of a contact is none: without it the contact, as that of a
    cross-feed, would join nothing."""
    dead = [m for m in members if {c.rpartition("/")[2] for c in m.evidence.changes} == {"isolation"}]
    if not repair.endswith("/isolation") or not facts.design.operation or not dead:
        return None
    asking = dead[0]
    members = (asking, *(m for m in members if m is not asking))
    steps = oriented(asking.evidence.path, facts.design)[:_MOST_LOOKED_AT]
    found = (
        parted(wire, near, facts.design)
        for wire, near, far in steps
        if not (_alone_at_contact(near, facts.design) or _alone_at_contact(far, facts.design))
    )
    against = islice(_diodes_against(asking.evidence.path, facts), 1)
    ways = (*against, *islice((way for way in found if _spared(way, facts)), _MOST_WAYS))
    return TrialRepair(repair, None, members, ways, searched=True) if ways else None


def _diodes_against(path: Sequence[str], facts: Facts) -> Iterator[Change]:
    """A diode in each wire of a path that feeds loads the other way in normal flight and none this way."""
    feeds = {
        step
        for answer in facts.states.flight_answers()
        for user in facts.network.consumers
        for step in oriented(facts.states.path_to(answer.state.name, user.element), facts.design)
    }
    for wire, near, far in oriented(path, facts.design):
        if (wire, far, near) in feeds and (wire, near, far) not in feeds:
            yield with_diode(facts.design, wire, far, near)


def _alone_at_contact(terminal: str, design: Design) -> bool:
    """Whether a terminal of a switch or relay has one wire."""
    contacts = isinstance(design.parts.get(part_of(terminal)), p.Switch | p.Electromagnet)
    return contacts and sum(1 for _ in wires_at(design, terminal)) < 2


def _spared(change: Change, facts: Facts) -> bool:
    """Whether all loads and coils that have power in normal flight have it with a change too."""
    with Facts(change.made_in(facts.as_written)) as after:
        for answer in facts.states.flight_answers():
            now = after.states.answer(answer.state.name).healthy
            powered = {**now.powered, **now.energised}
            before = {**answer.healthy.powered, **answer.healthy.energised}
            if any(on and not powered.get(user) for user, on in before.items()):
                return False
    return True


def taken_off(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A wire that is asked to be removed is taken off. What it feeds shows everywhere."""
    element, _, what = repair.rpartition("/")
    if what != "removal" or not element.startswith("wires/"):
        return None
    return TrialRepair(repair, None, members, (removed(bare(element), facts.design),))


def lead_to_declared(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """The lead of an instrument or lamp that is on another terminal than its monitor declares is moved there:
    what the monitor is to show is shown."""
    asking, design = members[0], facts.design
    name = asking.subject.removeprefix("watch/monitors/")
    run = oriented((f"parts/{_displayed_on(name, facts)}", *asking.evidence.path[::-1]), design)
    if name not in design.watch.monitors or repair != f"{asking.subject}/senses":
        return None
    run = run or oriented((f"parts/{_displayed_on(name, facts)}", *asking.evidence.path), design)
    if not run:
        return None
    (wire, _, far), senses = run[-1], design.watch.monitors[name].senses
    if far == senses:
        return None
    at = {asking.subject, f"parts/{part_of(senses)}", f"parts/{part_of(far)}"}
    checks = design.watch.checks.items()
    at |= {f"watch/checks/{n}" for n, check in checks if name in check.watch}
    return TrialRepair(repair, frozenset(at), members, (Change({wire: {far: senses}}),))


def _displayed_on(monitor: str, facts: Facts) -> str:
    known = facts.design.watch.monitors.get(monitor)
    return (known.displayed_on or "") if known else ""


def magneto_freed(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A magneto that is grounded where it is to fire has two positions exchanged of the switch that grounds
    it. What rests on it shows everywhere."""
    asking = members[0]
    name, design = bare(asking.subject), facts.design
    if name not in design.of_kind(p.Magneto) or not names_no_key(members) or not asking.state:
        return None
    at, ways = dict(facts.states.answer(asking.state).switches), list[Change]()
    for switch in (bare(e) for e in asking.evidence.path if bare(e) in design.hand_switches):
        part = design.part(switch, p.Switch)
        own = at.get(switch, "")
        for other in (o for o in part.positions if o != own and own in part.positions):
            ways.append(positions_exchanged(switch, part, own, other))
    return TrialRepair(repair, None, members, tuple(ways[:_MOST_WAYS]), equal=True) if ways else None


def throws_exchanged(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A check that proves nothing of what it is declared to has the position in which it is made exchanged
    with the normal one, of a switch that changes over from one terminal to another. What that feeds
    shows everywhere."""
    asking, design = members[0], facts.design
    name = asking.subject.removeprefix("watch/checks/")
    if name not in design.watch.checks or not asking.state or not asking.evidence.elements:
        return None
    normal = dict(facts.states.answer(facts.states.operation.normal).switches)
    ways = list[Change]()
    for switch, own in facts.states.answer(asking.state).switches:
        part, other = design.parts.get(switch), normal.get(switch, "")
        if switch not in design.hand_switches or not isinstance(part, p.Switch) or own == other:
            continue
        pairs, others = part.positions.get(own, ()), part.positions.get(other, ())
        joined = [{terminal for pair in each for terminal in pair} for each in (pairs, others)]
        if len(pairs) == len(others) and joined[0] & joined[1] and joined[0] != joined[1]:
            ways.append(with_positions(switch, part, {own: others, other: pairs}))
    return TrialRepair(repair, None, members, tuple(ways[:_MOST_WAYS]), searched=True) if ways else None


def short_parted(finding: Finding, facts: Facts) -> tuple[Change, ...]:
    """Ways to end a short through a position of a switch: of a pair of its terminals that is on the path
    one end is another terminal that is not joined there, or the pair is left apart. Where an end is in two
    pairs it is that; what another position joins is no way."""
    design = facts.design
    own = facts.states.answer(finding.state).switches if finding.state else ()
    at = {**dict(own), **dict(finding.switches)}
    ends = {end for _, *both in oriented(finding.evidence.path, design) for end in both}
    moved, apart = list[Change](), list[Change]()
    for name in (bare(e) for e in finding.evidence.path if e.startswith("parts/")):
        part, position = design.parts[name], at.get(name, "")
        if not isinstance(part, p.Switch) or position not in part.positions:
            continue
        pairs = part.positions[position]
        used = [terminal for pair in pairs for terminal in pair]
        free = [t for t in part.terminals() if t not in used]
        others = [{frozenset(pair) for pair in joined} for joined in part.positions.values()]
        for pair in pairs if len(pairs) > 1 else ():
            if ends.isdisjoint(f"{name}.{terminal}" for terminal in pair):
                continue
            rest = tuple(other for other in pairs if other != pair)
            twice = [terminal for terminal in pair if used.count(terminal) > 1]
            for kept in pair if len(twice) != 1 else (t for t in pair if t not in twice):
                for joined in ((*rest, (kept, other)) for other in free):
                    if {frozenset(one) for one in joined} not in others:
                        moved.append(with_positions(name, part, {position: joined}))
            apart.append(with_positions(name, part, {position: rest}))
    return (*moved, *apart)


def short_lead_moved(finding: Finding, facts: Facts) -> tuple[Change, ...]:
    """Ways to end a short that a lead makes. A lead on its path is moved to a terminal of the same part on
    which nothing is, the one first with which the most has power in normal flight. Else the lead without
    which the most has power is taken off, of equal ones the nearest to the negative; one on the source
    itself only where no other ends the short, as nothing is on the source without it."""
    design = facts.design
    if not finding.evidence.path or not design.operation:
        return ()
    steps = oriented(finding.evidence.path, design)[: -_MOST_OF_SHORT - 1 : -1]
    ways = [parted(wire, far, design) for wire, _, far in steps]
    powered = [_powered(way, facts) for way in ways]
    if not ways or max(powered) < 0:
        return ()
    own = [finding.subject in (f"parts/{part_of(near)}", f"parts/{part_of(far)}") for _, near, far in steps]
    best = max(range(len(ways)), key=lambda k: (powered[k] >= 0 and not own[k], powered[k], -k))
    moved = [Change({wire: {end: to}}) for wire, *ends in steps for end in ends for to in _loose(end, design)]
    after = {k: _powered(way, facts) for k, way in enumerate(moved[:_MOST_MOVED])}
    better = sorted((k for k in after if after[k] >= powered[best]), key=lambda k: -after[k])
    return (*(moved[k] for k in better[:_MOST_WAYS]), ways[best])


def _loose(end: str, design: Design) -> Iterator[str]:
    """The terminals of the part of one on which nothing is."""
    ends = (f"{part_of(end)}.{terminal}" for terminal in design.parts[part_of(end)].terminals())
    return (other for other in ends if not any(wires_at(design, other)))


def _powered(change: Change, facts: Facts) -> int:
    """How often a load or coil has power in the states of normal flight, with a change that ends all shorts;
    -1 where it does not."""
    with Facts(change.made_in(facts.as_written)) as after:
        if after.paths.shorted_sources():
            return -1
        flown = facts.states.flight_answers()
        healthy = (after.states.answer(answer.state.name).healthy for answer in flown)
        return sum(sum(map(bool, (*one.powered.values(), *one.energised.values()))) for one in healthy)
