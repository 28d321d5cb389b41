"""Trials at the contacts of switches and relays: a lead moved behind an open contact, the positions of a
switch exchanged that grounds a magneto, a position that shorts a source."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.review import Consequence, Finding
from reviewer.network.graph import bare
from reviewer.rulebook import rewirings
from reviewer.rulebook.asked_repairs import TrialRepair, names_no_key
from reviewer.rulebook.trial_repairs import Change, oriented, wires_at

#: ways of one repair that are tried
_MOST_WAYS = 3


def switched_off(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A load that runs unasked has its lead behind a contact that is open then. What it draws shows
    everywhere."""
    asking = members[0]
    if asking.consequence is not Consequence.ON_WHEN_NOT_WANTED or not names_no_key(members):
        return None
    if asking.state not in facts.states.declared or asking.subject not in facts.network.users:
        return None
    ways = tuple(_behind(asking.subject, asking.state, facts))[:_MOST_WAYS]
    return TrialRepair(repair, None, members, ways, equal=True) if ways else None


def _behind(user: str, state: str, facts: Facts) -> Iterator[Change]:
    """A lead that feeds a user in a state moved to the other side of an open contact ahead of which it is
    joined, with others that stay there; the nearest to the user first."""
    network, answer = facts.network, facts.states.answer(state)
    if not answer.healthy.powered.get(user):
        return
    for wire, end in rewirings.along(facts.states.path_to(state, user)[::-1], facts.design):
        node = network.index[end]
        if sum(1 for _ in wires_at(facts.design, end)) < 2:
            continue
        for i, other, _ in network.around[node]:
            if not answer.closed[i] and rewirings.idle(other, answer):
                at = network.names[other]
                yield Change({wire: {end: at if "." in at else f"{at}.{wire}"}})


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
            turned = {own: part.positions[other], other: part.positions[own]}
            ways.append(_with_positions(switch, part, turned))
    return TrialRepair(repair, None, members, tuple(ways[:_MOST_WAYS]), equal=True) if ways else None


def short_parted(finding: Finding, facts: Facts) -> tuple[Change, ...]:
    """Ways to end a short through a position of a switch: of a pair of its terminals that is on the path
    one end is another terminal on which nothing is joined there, or the pair is left apart."""
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
        used = {terminal for pair in pairs for terminal in pair}
        free = [t for t in part.terminals() if t not in used]
        for pair in pairs if len(pairs) > 1 else ():
            if ends.isdisjoint(f"{name}.{terminal}" for terminal in pair):
                continue
            rest = tuple(other for other in pairs if other != pair)
            for kept in pair:
                moved += [_with_positions(name, part, {position: (*rest, (kept, other))}) for other in free]
            apart.append(_with_positions(name, part, {position: rest}))
    return (*moved, *apart)


def _with_positions(name: str, part: p.Switch, other: Mapping[str, Sequence[tuple[str, str]]]) -> Change:
    """A switch with other pairs joined in some of its positions."""
    positions = MappingProxyType({**part.positions, **other})
    return Change(parts={name: part.model_copy(update={"positions": positions})})
