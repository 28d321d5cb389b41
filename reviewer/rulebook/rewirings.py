"""Leads as a trial moves them: to a terminal of a device on which nothing is, ahead of a contact that is
open, or one that is missing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Source, bare
from reviewer.network.regulators import regulator_of
from reviewer.rulebook.trial_repairs import (
    Change,
    contact_exchanged,
    feed_of,
    oriented,
    part_of,
    parted,
    short_lead,
    unused_name,
    wires_at,
)

#: devices of which a terminal without a wire is where a lead may belong
_DEVICES = (p.Protector, p.Switch, p.Electromagnet, p.Converter, p.ExternalPower, p.Consumer)


GROUNDS = (p.GroundBlock, p.Airframe)


@record
class LooseEnds:
    """Terminals of devices on which nothing is: those that some source feeds, in one declared state or
    another, and those that lead back to one."""

    fed: tuple[str, ...]
    returned: tuple[str, ...]


def loose_ends(facts: Facts) -> LooseEnds:
    """The terminals of devices without a wire that are live or lead back, by the device, in some state."""
    network, design = facts.network, facts.design
    loose = [
        f"{name}.{terminal}"
        for name, part in design.parts.items()
        if isinstance(part, _DEVICES)
        for terminal in (part.driven if isinstance(part, p.Consumer) else part.terminals())
        if f"{name}.{terminal}" in network.index and not network.wired(f"{name}.{terminal}")
    ]
    answers = facts.states.answers()
    fed = [end for end in loose if any(a.healthy.live(network.index[end]) for a in answers)]
    back = [
        end
        for end in loose
        if end not in fed and any(r[network.index[end]] for a in answers for r in a.healthy.returned.values())
    ]
    return LooseEnds(tuple(sorted(fed)), tuple(sorted(back)))


def on_loose_ends(users: Collection[str], state: str, facts: Facts) -> Iterator[Change]:
    """A lead in the circuit of one of some users moved to a terminal on which nothing is, one that shares
    its terminal with another first, then the nearest to it.

    The users are elements, the circuit is that of a state.
    """
    ends = loose_ends(facts)
    if not (ends.fed or ends.returned):
        return
    found: list[tuple[bool, int, str, str, Change]] = []
    for user in users:
        for far, (wire, near, feeds) in enumerate(_leads(user, state, facts)):
            alone = sum(1 for _ in wires_at(facts.design, near)) < 2
            for end in ends.fed if feeds else ends.returned:
                if part_of(end) not in (bare(user), part_of(_other(facts.design, wire, near))):
                    found.append((alone, far, end, wire, Change({wire: {near: end}})))
    seen: set[tuple[str, str]] = set()
    for _, _, end, wire, change in sorted(found, key=lambda entry: entry[:4]):
        if (wire, end) not in seen:
            seen.add((wire, end))
            yield change


def _other(design: Design, wire: str, end: str) -> str:
    ends = design.wires[wire]
    return ends.to if ends.from_ == end else ends.from_


def _leads(user: str, state: str, facts: Facts) -> Iterator[tuple[str, str, bool]]:
    """The wires by which a user is fed or returned, as far as something reaches them, the nearest first:
    (name, the end away from it, whether it feeds)."""
    device = facts.network.users.get(user)
    if device is None:
        return
    answer = facts.states.answer(state)
    for feeds, nodes in ((True, device.plus), (False, device.minus)):
        way = facts.states.path_to(state, user)[::-1] if feeds else facts.states.path_back(state, user)
        if way:
            yield from ((wire, end, feeds) for wire, end in along(way, facts.design))
        else:
            yield from ((wire, end, feeds) for wire, end in dead_leads(nodes, answer, facts))


def along(way: Sequence[str], design: Design) -> Iterator[tuple[str, str]]:
    """The wires of a path that begins at a user, each with its end away from it."""
    at = bare(way[0])
    for name in (bare(e) for e in way if e.startswith("wires/")):
        wire = design.wires[name]
        far = wire.to if part_of(wire.from_) == at else wire.from_
        yield name, far
        at = part_of(far)


def dead_leads(nodes: Iterable[int], answer: StateAnswer, facts: Facts) -> Iterator[tuple[str, str]]:
    """The wires by which nothing feeds some nodes, the nearest first, each with its end away from them; of
    contacts that are open those are passed behind which nothing is live either."""
    network, seen = facts.network, set(nodes)
    todo = list(seen)
    for node in todo:
        for i, other, _ in network.around[node]:
            link = network.links[i]
            if other in seen or (answer.healthy.live(other) and not answer.closed[i]):
                continue
            seen.add(other)
            if idle(other, answer):
                todo.append(other)
            if link.element.startswith("wires/"):
                wire = facts.design.wires[bare(link.element)]
                end = next((e for e in (wire.from_, wire.to) if network.index.get(e) == other), "")
                if end:
                    yield bare(link.element), end


def missing_leads(users: Collection[str], state: str, facts: Facts) -> Iterator[Change]:
    """The return of a user that has no power in a state moved to ground, or a lead to ground from a terminal
    that has none, of a part on which it depends."""
    network, design, answer = facts.network, facts.design, facts.states.answer(state)
    for user in users:
        device = network.users.get(user)
        if device is None or answer.healthy.powered.get(user):
            continue
        driven = getattr(design.parts[bare(user)], "driver", None)  # on a lead to ground it runs always
        for wire, end in () if driven else dead_leads(device.minus, answer, facts):
            near = nearest_ground(bare(user), design)
            # a return that ends on a bus is on the wrong one of two bars
            wrong = idle(network.index[end], answer) or isinstance(design.parts[part_of(end)], p.Bus)
            if near and wrong and part_of(end) != bare(user):
                yield Change({wire: {end: f"{part_of(near[1])}.{wire}"}})
        for name in _at_the_edge((*device.plus, *device.minus), answer, facts):
            part = design.parts[name]
            known = (f"{name}.{terminal}" for terminal in part.terminals())
            for end in (e for e in known if e in network.index and not network.wired(e)):
                at = network.index[end]
                if idle(at, answer) and (near := nearest_ground(name, design)):
                    lead = unused_name(design, f"{name} lead")
                    yield Change(wires={lead: short_lead(design, near[0], end, near[1])})


def idle(node: int, answer: StateAnswer) -> bool:
    """Whether no source feeds a node in a state or has its return there."""
    return not answer.healthy.live(node) and not any(r[node] for r in answer.healthy.returned.values())


def _at_the_edge(nodes: Iterable[int], answer: StateAnswer, facts: Facts) -> list[str]:
    """The parts that are joined to some nodes by what is idle, contacts that are open among it, and those at
    which that ends."""
    network, seen, found = facts.network, set(nodes), dict[str, None]()
    todo = list(seen)
    for node in todo:
        for i, other, _ in network.around[node]:
            element = network.links[i].element
            if element.startswith("parts/"):
                found[bare(element)] = None
            if other not in seen and idle(other, answer):
                seen.add(other)
                todo.append(other)
    return list(found)


def nearest_ground(name: str, design: Design) -> tuple[str, str] | None:
    """A wire that ends at a ground block or structure in the zone of a part, else in any, and that end."""
    zone = getattr(design.parts[name], "zone", None)
    grounds = [n for n, part in design.parts.items() if isinstance(part, GROUNDS)]
    for block in sorted(grounds, key=lambda n: (design.parts[n].zone != zone, n)):
        for wire, ends in design.wires.items():
            if end := next((e for e in (ends.from_, ends.to) if part_of(e) == block), ""):
                return wire, end
    return None


def ahead(users: Collection[str], state: str, facts: Facts) -> Iterator[Change]:
    """A lead that feeds a user without power moved ahead of a contact behind which it begins."""
    network, answer = facts.network, facts.states.answer(state)
    for user in users:
        device = network.users.get(user)
        if device is None or answer.healthy.powered.get(user):
            continue
        yield from coils_across(device.plus, answer, facts)
        yield from ahead_of(device.plus, answer, facts)


def ahead_of(nodes: Sequence[int], answer: StateAnswer, facts: Facts) -> Iterator[Change]:
    """A lead by which some nodes are dead in a state moved ahead of an open contact, where others stay
    behind it: alone there, it is what the contact is for."""
    network = facts.network
    for wire, end in dead_leads(nodes, answer, facts):
        node = network.index[end]
        if sum(1 for _ in wires_at(facts.design, end)) < 2:
            continue
        for i, other, _ in network.around[node]:
            link = network.links[i]
            if not answer.closed[i] and answer.healthy.live(other) and link.element != f"wires/{wire}":
                at = network.names[other]
                yield Change({wire: {end: at if "." in at else f"{at}.{wire}"}})


def on_another_bus(users: Collection[str], state: str, facts: Facts) -> Iterator[Change]:
    """The feed of a user moved from its bus to another: to one that feeds others of its function, or that is
    dead in the state, where the user has power there."""
    design, answer = facts.design, facts.states.answer(state)
    buses = design.of_kind(p.Bus)
    nodes = facts.network.nodes_of
    dead = {n for n in buses if not any(map(answer.healthy.live, nodes.get(f"parts/{n}", ())))}
    for user in users:
        way = feed_of(user, state, facts)
        at = max((i for i, e in enumerate(way) if bare(e) in buses), default=_forked(way, design))
        if at + 1 >= len(way):
            continue
        on, begins = bare(way[at]), bare(way[at + 1])
        others = (feed_of(f"parts/{like}", state, facts) for like in kin(bare(user), design))
        chosen = {bare(step) for path in others for step in path if bare(step) in buses}
        chosen |= dead if answer.healthy.powered.get(user) else set()
        for bus in sorted(chosen - {on}):
            if change := from_bus(begins, on, bus, design):
                yield change


def from_bus(begins: str, on: str, bus: str, design: Design) -> Change | None:
    """What begins at one bus, a wire or what is plugged on there, moved to another bus; None for neither."""
    if begins in design.wires:
        wire = design.wires[begins]
        end = wire.from_ if part_of(wire.from_) == on else wire.to
        return Change({begins: {end: f"{bus}.{begins}"}})
    if getattr(design.parts[begins], "plugged_on", None) == on:
        return Change(parts={begins: design.parts[begins].model_copy(update={"plugged_on": bus})})
    return None


def _forked(way: Sequence[str], design: Design) -> int:
    """The last part of a path from a terminal of which another wire leads on; its beginning where none is."""
    run = oriented(way, design)
    forks = [part_of(near) for _, near, _ in run if sum(1 for _ in wires_at(design, near)) > 1]
    return max((way.index(f"parts/{name}") for name in forks if f"parts/{name}" in way), default=0)


def kin(load: str, design: Design) -> list[str]:
    """The loads of the least function of which a load is one of several."""
    trees = design.function_tree.loads
    groups = [loads for loads in trees.values() if load in loads and len(loads) > 1]
    return [other for other in min(groups, key=len, default=()) if other != load]


def coils_across(nodes: Collection[int], answer: StateAnswer, facts: Facts) -> Iterator[Change]:
    """The coil of a relay before some dead nodes fed from the other side of its own contact, where it hangs
    on the side that is dead."""
    network, design = facts.network, facts.design
    for name in _at_the_edge(nodes, answer, facts):
        part = design.parts[name]
        if not isinstance(part, p.Electromagnet):
            continue
        for contact in part.contacts.values():
            if isinstance(contact, p.ChangeoverContact):
                continue
            for dead, other in (contact.joins, contact.joins[::-1]):
                live = [answer.healthy.live(network.index[f"{name}.{t}"]) for t in (dead, other)]
                if dead in part.coil and not live[0] and live[1]:
                    coil = tuple(other if t == dead else t for t in part.coil)
                    yield Change(parts={name: part.model_copy(update={"coil": coil})})


def coil_ends(relay: str, part: p.Electromagnet, facts: Facts) -> Iterator[Change]:
    """The end at which the coil of a relay (a name) is fed joined to the live side of one of its make
    contacts, which has power while the relay has not picked up."""
    node = facts.network.index
    answers = [a for a in facts.states.answers() if not a.healthy.energised.get(f"parts/{relay}")]
    makes = [contact.joins for contact in part.contacts.values() if isinstance(contact, p.MakeContact)]
    for joins in makes:
        for live, dead in (joins, joins[::-1]):
            at, behind = node[f"{relay}.{live}"], node[f"{relay}.{dead}"]
            ready = any(a.healthy.live(at) and not a.healthy.live(behind) for a in answers)
            for end in part.coil if ready and live not in part.coil else ():
                coil = tuple(live if terminal == end else terminal for terminal in part.coil)
                if dead not in coil:
                    yield Change(parts={relay: part.model_copy(update={"coil": coil})})


def exchanged_contacts(users: Collection[str], state: str, facts: Facts) -> Iterator[Change]:
    """A contact that no hand moves exchanged, make for break: one that is open before a user without power,
    or closed before one that has it; the contacts of a sensing switch before those of a relay, which closed
    at rest run its load once its control is lost."""
    answer = facts.states.answer(state)
    found = dict[str, Change]()
    for user in users:
        device = facts.network.users.get(user)
        if device is None:
            continue
        if answer.healthy.powered.get(user) or answer.healthy.energised.get(user):
            way = (*facts.states.path_to(state, user), *facts.states.path_back(state, user))
            names = [bare(e) for e in way if e.startswith("parts/")]
        else:
            names = _at_the_edge((*device.plus, *device.minus), answer, facts)
        for name in names:
            if change := contact_exchanged(name, facts.design):
                found[name] = change
    relays = facts.design.of_kind(p.Electromagnet)
    yield from (found[name] for name in sorted(found, key=lambda name: name in relays))


def excited(source: Source, state: str, facts: Facts) -> Iterator[Change]:
    """A ground or feed for what an alternator that gives nothing in a state lacks.

    A feed is moved ahead of an open contact, comes from a terminal of a device on which nothing is, else
    from its own output.
    """
    network, design, answer = facts.network, facts.design, facts.states.answer(state)
    batteries = [s.element for s in network.sources if s.kind == "battery"]
    for node in dict.fromkeys((*(source.leads.minus if source.leads else ()), source.negative)):
        end = network.names[node]
        near = nearest_ground(part_of(end), design)
        if near and not any(answer.healthy.returned[battery][node] for battery in batteries):
            lead = unused_name(design, f"{part_of(end)} lead")
            yield Change(wires={lead: short_lead(design, near[0], end, near[1])})
    wanted = [] if source.field is None else [source.field]
    wanted += [] if source.leads is None else source.leads.plus
    starved = [n for n in wanted if not any(answer.healthy.fed[s.element][n] for s in network.sources)]
    for node in starved:
        yield from coils_across([node], answer, facts)
        yield from ahead_of([node], answer, facts)
        at = network.names[node]
        free = [t for t in _terminals(part_of(at), design) if not network.wired(t)]
        on = [name for name, _ in wires_at(design, at)]
        like = on[0] if on else next(iter(dict(wires_at(design, f"{bare(source.element)}.output"))), "")
        live = [end for end in loose_ends(facts).fed if answer.healthy.live(network.index[end])]
        for end in (*live, f"{bare(source.element)}.output"):
            if not like:
                continue
            lead = unused_name(design, f"{part_of(at)} lead")
            new = Change(wires={lead: short_lead(design, like, end, at)})
            for other in free:
                yield new.with_moved({name: {at: other} for name in on})
            away = Change() if not on else parted(on[0], at, design)
            yield Change(away.moved, new.wires, away.parts)


def control_leads(alternators: Sequence[str], facts: Facts) -> Iterator[Change]:
    """A lead of some alternators (names) or of their regulators, which carries none of their output, moved
    from another part to a terminal of a device that is live and on which nothing is."""
    design = facts.design
    for name in alternators:
        own = [name, *filter(None, [regulator_of(design, name)])]
        ends = [e for part in own for e in _terminals(part, design) if e not in _output(name)]
        for end in ends:
            for wire, far in wires_at(design, end):
                if part_of(far) not in own and not isinstance(design.parts.get(part_of(far)), GROUNDS):
                    yield from (Change({wire: {far: loose}}) for loose in loose_ends(facts).fed)


def _output(alternator: str) -> tuple[str, str]:
    return f"{alternator}.output", f"{alternator}.ground"


def _terminals(name: str, design: Design) -> list[str]:
    part = design.parts[name]
    return [f"{name}.{t}" for t in dict.fromkeys((*part.terminals(), *part.spare_terminals()))]


@record
class Turned:
    """The loads and coils (elements) that a change turns on in some declared state, and off in some, what is
    on in all of them with it, and the sources that give something in some only with it."""

    on: frozenset[str]
    off: frozenset[str]
    always: frozenset[str] = frozenset()
    sources: frozenset[str] = frozenset()

    @property
    def any(self) -> frozenset[str]:
        """All of them."""
        return self.on | self.off


def turned_by(change: Change, facts: Facts) -> Turned:
    """What a change turns on or off."""
    with Facts(change.made_in(facts.as_written)) as changed:
        return _turned(facts, changed.states)


def _turned(facts: Facts, after: States) -> Turned:
    """What is on and off in the states of a changed network and was not before."""
    on, off, always, sources = set[str](), set[str](), set(facts.network.users), set[str]()
    for answer in facts.states.answers():
        other = after.answer(answer.state.name).healthy
        before = {**answer.healthy.energised, **answer.healthy.powered}
        now = {**other.energised, **other.powered}
        always.difference_update([e for e in always if not now.get(e)])
        on.update(e for e in facts.network.users if now.get(e) and not before.get(e))
        off.update(e for e in facts.network.users if before.get(e) and not now.get(e))
        given = ((s.element, answer.healthy.alive, other.alive) for s in facts.network.sources)
        sources.update(
            element for element, was, is_now in given if is_now.get(element) and not was.get(element)
        )
    return Turned(frozenset(on), frozenset(off), frozenset(always), frozenset(sources))


def with_coils(users: Collection[str], state: str, facts: Facts) -> list[str]:
    """Some users, and the coils of the relays whose contacts they are fed through or wait for; of loads
    that a unit drives, the unit after them."""
    answer = facts.states.answer(state)
    coils = {coil.element for coil in facts.network.coils}
    parts = facts.design.parts
    drivers = (getattr(parts.get(bare(user)), "driver", None) for user in users)
    found = dict.fromkeys(users)
    found |= dict.fromkeys(e for e in (f"parts/{n}" for n in drivers if n) if e in facts.network.users)
    for user in list(found):
        device = facts.network.users[user]
        way = [*facts.states.path_to(state, user), *facts.states.path_back(state, user)]
        way += [f"parts/{n}" for n in _at_the_edge((*device.plus, *device.minus), answer, facts)]
        found.update(dict.fromkeys(e for e in way if e in coils))
    return list(found)
