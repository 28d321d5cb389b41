"""The repairs that can be tried in the network: which finding asks for one, how it is made and where it
shows.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import partial
from itertools import islice
from math import inf

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.review import Finding
from reviewer.network.graph import bare
from reviewer.network.work_count import work_done
from reviewer.rulebook import rewirings, source_joints
from reviewer.rulebook import trial_exchanges as exchanges
from reviewer.rulebook import trial_repairs as made
from reviewer.rulebook import trial_switches as switches
from reviewer.rulebook.asked_repairs import AskedRepair, TrialRepair, circuit_place, names_no_key
from reviewer.rulebook.crossed_leads import crossed
from reviewer.rulebook.loose_terminals import loose_terminal_wired
from reviewer.rulebook.magneto_leads import crossed_behind_ground, freed, grounded
from reviewer.rulebook.second_feeds import second_feeds
from reviewer.rulebook.trial_protection import protected
from reviewer.rulebook.trial_repairs import Change
from reviewer.rulebook.wiring_mistakes import WiringMistakes, share_of

#: contacts that are exchanged or leads that are moved, in turn, in one of them
_MOST_WAYS = 3
#: changes of one kind of which it is solved whether they turn a load on or off
_MOST_SOLVED = 6


def repairs_to_try(
    found: Sequence[Finding], chosen: Sequence[str], facts: Facts, most: float = inf
) -> Iterator[AskedRepair]:
    """The repairs that may be made in the network, a mistake at a contact that leaves declared states other
    than they say first, those that concern every place before the others, and
    those that are searched for last; of each the gravest first, then what puts right the most. What a
    lead turns is solved up to ``most`` work."""
    repairs: dict[str, list[Finding]] = {}
    for finding, repair in zip(found, chosen, strict=True):
        repairs.setdefault(repair, []).append(finding)
    ways = (
        # little is judged where a source is reversed or an alternator gives nothing
        *(exchanges.dead_coil_moved, _source_turned, exchanges.coil_leads_exchanged, _p_lead_freed),
        *(_excited, _diode_turned, _controlled),
        exchanges.diode_of_tie_turned,
        *(switches.taken_off, switches.switched_off, switches.magneto_freed),
        *(_isolated, _driven, _grounded, _strapped, _connected),
        *(
            exchanges.coil_moved,
            _fed,
            _thicker,
            _sensed,
            switches.lead_to_declared,
            switches.tie_taken_off,
            exchanges.rated,
            exchanges.converter,
        ),
        *(exchanges.set_lower, exchanges.set_higher, exchanges.larger_battery, exchanges.diode_turned),
        protected,
    )
    mistakes = WiringMistakes(most).trial
    searched = (switches.throws_exchanged, exchanges.exchanged, _charged_apart, partial(_rewired, [], most))
    by_evidence = sorted(  # what puts right the most of the gravest has the least room to be wrong
        repairs.items(), key=lambda one: (-one[1][0].hazard, -one[1][0].consequence, -len(one[1]))
    )
    first = (mistakes, partial(loose_terminal_wired, share_of(most)))
    for way in (*first, *ways, *searched):
        for repair, members in by_evidence:
            make = partial(way, repair, tuple(members), facts)
            yield AskedRepair(repair, tuple(members), make, way in searched, way in first)


def _source_turned(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A source that is reversed is turned round."""
    element, _, what = repair.rpartition("/")
    change = made.exchanged_poles(element, facts) if what == "polarity" else None
    return None if change is None else TrialRepair(repair, None, members, (change,))


def _diode_turned(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A diode that is reversed is turned round."""
    element, _, what = repair.rpartition("/")
    diode = isinstance(facts.design.parts.get(bare(element)), p.Diode) and element.startswith("parts/")
    asking = tuple(m for m in members if f"{element}/duty" in m.evidence.changes)
    if what == "polarity" or not diode or not asking:
        return None
    others = tuple(m for m in members if m not in asking)  # another path may do as well for graver ones
    change = made.turned(bare(element), facts.design)
    return TrialRepair(repair, None, (*asking, *others), (change,))


def _isolated(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """Two sources are kept apart; where no path joins two, the wire that leads on is parted."""
    element, _, what = repair.rpartition("/")
    paths = [m.evidence.path for m in members if element in m.evidence.path]
    if what != "isolation" or not paths or _diode_turned(repair, members, facts):
        return None
    common = frozenset.intersection(*(frozenset(path) for path in paths))
    beside = facts.design.neighbours
    place = common.union(*(beside.get(e, ()) for e in (element, *common)))
    for tie in (m for m in members if element in m.evidence.path):
        sources = _joined_sources(tie, facts)
        if len(sources) < 2:
            continue
        ways = source_joints.kept_apart(tie.evidence.path, common, tie.state, facts)
        others = source_joints.contacts_apart(tie.evidence.path, tie.state, facts)
        others += _charging_leads(sources, tie.evidence.path, facts)
        if not ways and not others:
            return None
        return TrialRepair(repair, place, members, ways or others, sources, otherwise=others if ways else ())
    loop = next((m for m in members if _joined_sources(m, facts) == {m.subject}), None)
    if ended := next(filter(None, (switches.short_parted(m, facts) for m in members)), ()):
        if loop and loop.state:  # it has no volts left there for anything, so that any way shows all
            return TrialRepair(repair, None, members, ended)
        at = frozenset(f"parts/{name}" for way in ended for name in way.parts)
        return TrialRepair(repair, at, members, ended, equal=True)
    if moved := switches.short_lead_moved(loop, facts) if loop else ():
        return TrialRepair(repair, None, members, moved, equal=True)
    on = paths[0][paths[0].index(element) :]
    wire = next((bare(step) for step in on if step.startswith("wires/")), "")
    if not wire or all(member.subject != element for member in members):
        return None  # it is not known where to part them
    change = made.parted(wire, facts.design.wires[wire].to, facts.design)
    return TrialRepair(repair, place, members, (change,))


def _charging_leads(sources: Collection[str], path: Collection[str], facts: Facts) -> tuple[made.Change, ...]:
    """Diodes in the leads of a path by which one of some sources is charged and feeds another."""
    every = (source_joints.charged_apart(one, facts).values() for one in sorted(sources))
    found = _different(way for found in every for several in found for way in several)
    return tuple(way for way in found if {f"wires/{wire}" for wire in way.moved} <= set(path))


def _different(ways: Iterable[made.Change]) -> list[made.Change]:
    """Ways in their order, each once; they cannot be hashed."""
    found: list[made.Change] = []
    for way in ways:
        if way not in found:
            found.append(way)
    return found


def _charged_apart(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A battery that another feeds through the lead by which that is charged is kept apart from it."""
    battery = members[0].subject
    part = facts.design.parts.get(bare(battery))
    if not isinstance(part, p.Battery) or facts.design.operation is None:
        return None
    if not names_no_key(members):
        return None
    found = source_joints.charged_apart(battery, facts)
    ways = _different(way for several in found.values() for way in several)[:_MOST_WAYS]
    place = frozenset(element for path in found for element in path)
    return TrialRepair(repair, place, members, tuple(ways), equal=True, searched=True) if ways else None


def _joined_sources(finding: Finding, facts: Facts) -> frozenset[str]:
    """The source where the path of a finding begins, and those to which it leads."""
    sources = {source.element for source in facts.network.sources}
    path, elements = finding.evidence.path, finding.evidence.elements
    return frozenset(sources & {path[0], path[-1], *elements}) if path[0] in sources else frozenset()


def _fed(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """One of some loads has another feed."""
    element, _, what = repair.rpartition("/")
    if what != "feed":
        return None
    loads = bare(element).split(" or ")
    state = members[0].state
    ways = second_feeds(loads, state, facts)[:_MOST_WAYS]
    if not ways:
        return None
    returned = second_feeds(loads, state, facts, returns=True)  # where the return fails too
    place = {f"functions/{f}" for m in members for f in m.evidence.functions} | {m.subject for m in members}
    relieved = {m.evidence.path[0] for m in members if m.evidence.path and loads[1:]}
    own = relieved | {f"parts/{load}" for load in loads}
    at, about = frozenset(place), frozenset(own)
    return TrialRepair(repair, at, members, ways, about, equal=True, otherwise=returned)


def _thicker(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A wire that is too thin is exchanged."""
    asked = {change for m in members for change in m.evidence.changes}
    if not {f"{repair}/gauge", f"{repair}/current"} & asked:
        return None
    wires = {repair, *(m.subject for m in members if {f"{m.subject}/gauge", f"{m.subject}/current"} & asked)}
    change = made.thicker(sorted(bare(wire) for wire in wires), facts.design)
    users = (user.element for user in facts.network.consumers)
    fed = {user for user in users if wires & {*facts.states.path_to(members[0].state, user)}}
    return TrialRepair(repair, frozenset(wires), members, (change,), frozenset(fed))


def _sensed(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
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
    return TrialRepair(repair, place, members, ways, own, equal=True) if ways else None


def _connected(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A fuse or breaker of which nothing is on one terminal is joined to a source or bus; to one of which
    no monitor shows the voltage before others."""
    asked, design = repair.endswith("/connection"), facts.design
    name = bare(repair.removesuffix("/connection") if asked else members[0].subject)
    part = design.parts.get(name)
    if not (asked or names_no_key(members)) or not isinstance(part, p.Protector):
        return None
    posts = part.posts(name)
    open_ends = [post for post in posts if not any(made.wires_at(design, post))]
    like = next((wire for post in posts for wire, _ in made.wires_at(design, post)), "")
    if len(open_ends) != 1 or not like:
        return None
    poles = [f"{n}.positive" for n in design.of_kind(p.Battery)]
    poles += [f"{n}.{name}" for n in design.of_kind(p.Bus)]
    read = {e for m in design.watch.monitors.values() for e in _read_by(m.senses, facts)}
    poles.sort(key=lambda pole: made.part_of(pole) in read)
    lead = made.unused_name(design, f"{name} lead")
    ways = [Change(wires={lead: made.short_lead(design, like, pole, open_ends[0])}) for pole in poles]
    monitors = {n for n, m in design.watch.monitors.items() if made.part_of(m.senses) == name}
    place = {f"parts/{name}", *(f"watch/monitors/{n}" for n in monitors)}
    place |= {f"watch/checks/{n}" for n, c in design.watch.checks.items() if monitors.intersection(c.watch)}
    sources = {f"parts/{made.part_of(pole)}" for pole in poles[:_MOST_WAYS]}
    return TrialRepair(
        repair,
        frozenset(place),
        members,
        tuple(ways[:_MOST_WAYS]),
        frozenset(sources),
        equal=True,
        searched=True,
    )


def _read_by(terminal: str, facts: Facts) -> Iterator[str]:
    """The part at which a monitor senses, of a fuse there what is beyond it, and the source that is nearest
    to each in the normal state."""
    part, ends = facts.design.parts.get(made.part_of(terminal)), [terminal]
    for post in part.posts(made.part_of(terminal)) if isinstance(part, p.Protector) else ():
        ends += [far for _, far in made.wires_at(facts.design, post)]
    held = (*facts.design.of_kind(p.Bus), *facts.design.of_kind(p.Battery))
    for name in (n for n in map(made.part_of, ends) if n in held):
        path = facts.states.path_to("", f"parts/{name}") if facts.design.operation else ()
        yield from (name, *(bare(source) for source in path[:1]))


def _driven(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """The wire of a coil is moved to an output of the unit that drives it."""
    element, _, what = repair.rpartition("/")
    load = facts.design.parts.get(bare(element))
    if what != "driver" or not isinstance(load, p.Load) or load.driver is None:
        return None
    # what is found of the coil asks, and not what a failure of another unit loses with it
    members = tuple(sorted(members, key=lambda m: (repair not in m.evidence.changes, m.subject != element)))
    asking = members[0]
    change = made.driven(load.driver, facts.states.path_back(asking.state, element), facts.design)
    if change is None:
        return None
    ends = {f"parts/{made.part_of(end)}" for moved in change.moved.values() for end in moved}
    place = {element, f"parts/{load.driver}", *ends, *(f"wires/{wire}" for wire in change.moved)}
    functions = facts.design.functions
    place |= {f"functions/{f}" for f in functions if bare(element) in facts.states.loads_of(f)}
    return TrialRepair(repair, frozenset(place), members, (change,))


def _grounded(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A magneto that fires where it should be silent has another lead or a ground for its switch."""
    magnetos, asking = facts.design.of_kind(p.Magneto), bare(members[0].subject)
    if asking not in magnetos:
        return None
    if f"{members[0].subject}/ground" == repair:
        ways = tuple(grounded(asking, facts))[:_MOST_WAYS]
    elif repair.startswith("wires/"):
        behind = crossed_behind_ground(asking, facts)
        ways = tuple(filter(None, [crossed(asking, facts) or (behind and behind[0])]))
    else:
        return None
    element = members[0].subject
    beside, at = facts.design.neighbours, {f"parts/{name}" for name in magnetos}
    leads = {wire for part in at for wire in beside.get(part, ())}
    functions = (f for f in facts.design.functions if bare(element) in facts.design.function_tree.loads[f])
    place = at.union(leads, *(beside[w] for w in leads), (f"functions/{f}" for f in functions))
    own = frozenset(place | {m.subject for m in members})
    return TrialRepair(repair, own, members, ways, behind_others=True) if ways else None


def _p_lead_freed(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """What feeds the p-lead of a magneto is taken off it."""
    name, path = bare(members[0].subject), members[0].evidence.path
    if name not in facts.design.of_kind(p.Magneto) or not path:
        return None
    live = facts.detection.live_lead(name)
    if live is None or live.path != path:
        return None
    ways = tuple(islice(freed(name, path, facts), _MOST_WAYS))
    return TrialRepair(repair, None, members, ways, equal=True) if ways else None


def _strapped(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A body of metal has a strap to a battery; returns from every place go through it."""
    asked = dict.fromkeys(c for m in members for c in m.evidence.changes if c.endswith("/strap"))
    if repair not in asked and not repair.startswith("wires/"):
        return None  # it may be the lead of the body that is exchanged
    element = next((change.rpartition("/")[0] for change in asked), "")
    ends = [bare(e) for m in members for e in (*m.evidence.path[-1:], *m.evidence.elements)]
    battery = next((end for end in ends if isinstance(facts.design.parts.get(end), p.Battery)), None)
    if not element or battery is None:
        return None
    heavy = [bare(wire) for wire in facts.grounds.heavy_wires]
    ways = made.strapped(bare(element), battery, heavy, facts.design)
    return TrialRepair(repair, None, members, ways) if ways else None


def _excited(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """An alternator that gives nothing has what it lacks."""
    element, _, what = repair.rpartition("/")
    source = next((s for s in facts.network.sources if s.element == element), None)
    if what != "excitation" or source is None:
        return None
    state = next((m.state for m in members if m.state), facts.states.flight_answers()[0].state.name)
    ways: list[Change] = []
    for change in rewirings.excited(source, state, facts):
        ways += [] if change in ways else [change]
    return TrialRepair(repair, None, members, tuple(ways[:_MOST_WAYS])) if ways else None


def _controlled(repair: str, members: tuple[Finding, ...], facts: Facts) -> TrialRepair | None:
    """A lead by which alternators are controlled or sense is moved to a live terminal on which nothing is."""
    element, _, what = repair.rpartition("/")
    names = bare(element).split(" or ") if what in ("control", "feed") else []
    if not names or not all(isinstance(facts.design.parts.get(name), p.Alternator) for name in names):
        return None
    ways = tuple(islice(rewirings.control_leads(names, facts), _MOST_WAYS))
    return TrialRepair(repair, None, members, ways, equal=True, searched=True) if ways else None


def _rewired(
    known: list[tuple[Change, rewirings.Turned]],
    most: float,
    repair: str,
    members: tuple[Finding, ...],
    facts: Facts,
) -> TrialRepair | None:
    """A lead of a load is moved, or a contact exchanged, where that turns the load on or off; ``known`` is
    filled with what changes turn."""
    about = dict.fromkeys(user for member in members for user in _users(member, facts))
    if not about or facts.design.operation is None:
        return None
    state = next((m.state for m in members if m.state), facts.states.operation.normal)
    users = rewirings.with_coils(about, state, facts)
    found = list(islice(rewirings.on_loose_ends(users, state, facts), _MOST_SOLVED))
    moved = len(found)  # these may change a voltage and turn nothing
    ways = (rewirings.missing_leads, rewirings.exchanged_contacts, rewirings.ahead, rewirings.on_another_bus)
    for way in ways:
        found += [c for c in islice(way(users, state, facts), _MOST_SOLVED) if c not in found]
    solved = [change for change, _ in known]
    for change in (c for c in found if c not in solved):
        if work_done() >= most:
            return None
        known.append((change, rewirings.turned_by(change, facts)))
    turned = [next(done for change, done in known if change == c) for c in found]
    order = sorted(
        (i for i in range(len(found)) if _repairs(turned[i], users, i < moved)),
        key=lambda i: (len(turned[i].any.difference(users)), turned[i].any.isdisjoint(users)),
    )
    loose = [i for i in order[_MOST_WAYS:] if i < moved]  # a terminal without a wire is a sign of its own
    order = order[:_MOST_WAYS] + (loose[:1] if min(order[:_MOST_WAYS], default=0) >= moved else [])
    if not order:
        return None
    made_ways = tuple(found[i] for i in order)
    reached = set(about).union(*(turned[i].any | turned[i].sources for i in order))
    return TrialRepair(
        repair, circuit_place(made_ways, reached, facts), members, made_ways, equal=True, searched=True
    )


def _repairs(turned: rewirings.Turned, users: Collection[str], moved: bool) -> bool:
    """Whether a change may repair the circuit of some users: it turns one on or off, or is a lead that is
    moved and turns nothing, and turns off no more others than it turns of them."""
    own = turned.any.intersection(users)
    others = turned.off.difference(users)
    return len(others) <= len(own) if own else moved and not turned.any


def _users(finding: Finding, facts: Facts) -> Iterator[str]:
    """The loads and coils that a finding is about."""
    design, users = facts.design, facts.network.users
    _, _, name = finding.subject.partition("/")
    about = [finding.subject, *finding.evidence.elements]
    about += [f"parts/{n}" for f in finding.evidence.functions for n in facts.states.loads_of(f)]
    if finding.subject.startswith("watch/monitors/"):
        monitor = design.watch.monitors[name.partition("/")[2]]
        about += [f"parts/{monitor.displayed_on}"] if monitor.displayed_on else []
    yield from (element for element in about if element in users)
