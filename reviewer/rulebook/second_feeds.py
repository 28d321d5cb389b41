"""Another feed for a load, as a trial gives it: a breaker and wires of its own at a battery or bus, or a
battery inside it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import count
from typing import Any

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.rulebook.rewirings import kin
from reviewer.rulebook.trial_repairs import (
    Change,
    feed_of,
    oriented,
    part_of,
    short_lead,
    unused_name,
    wires_at,
)

#: how long a battery inside an instrument lasts in a trial where the operation asks for no time, in s
_INSIDE_S = 1800.0


def second_feeds(
    loads: Sequence[str], state: str, facts: Facts, *, returns: bool = False
) -> tuple[Change, ...]:
    """Ways to give one of some loads another feed, the better first; with ``returns`` those from batteries
    alone, each with a return of its own.

    Of several loads one is moved to another source behind what it shares; one alone has it besides its
    own. A source that is dedicated to a load is the one that it gets; else there are another battery, the
    bus that suits best, a battery inside an instrument, and last a battery that is dedicated to others.
    """
    design = facts.design
    paths = {load: feed_of(f"parts/{load}", state, facts) for load in loads}
    used = {path[0] for path in paths.values() if path}
    used |= {source.element for source in facts.network.sources if source.string}  # a part of the voltage
    batteries = {n: design.part(n, p.Battery) for n in design.of_kind(p.Battery) if f"parts/{n}" not in used}
    pairs = [(load, b) for load in loads for b in batteries if isinstance(design.parts[load], p.Consumer)]
    wanted = [(load, b) for load, b in pairs if load in batteries[b].dedicated_to]
    others = [(load, b) for load, b in pairs if batteries[b].dedicated_to]
    free = [pair for pair in pairs if pair not in others]
    first, last = (_from_batteries(some, paths, facts, returns) for some in (wanted or free, others))
    if first and wanted:
        return (first,)
    if returns:
        return tuple(change for change in (first, last) if change is not None)
    buses = (_from_bus(load, bus, paths, facts) for load, bus in _buses(paths, state, facts))
    found = (first, next(filter(None, buses), None), _inside(loads, facts), last)
    ways: list[Change] = []
    for change in (one for one in found if one is not None):
        same = [way for way in ways if (way.moved, way.wires) == (change.moved, change.wires)]
        ways += [] if same else [change]  # the bus may be that of the battery
    return tuple(ways)


def _from_batteries(
    pairs: Sequence[tuple[str, str]], paths: Mapping[str, Sequence[str]], facts: Facts, returns: bool
) -> Change | None:
    """The first feed that can be made of some loads from some batteries, with a return if ``returns``."""
    design = facts.design
    for load, battery in pairs:
        path = paths[load]
        tap = partial(_tap, battery, path, design=design)
        moved = load in design.part(battery, p.Battery).dedicated_to and not _feeds(battery, load, facts)
        change = _fed(load, tap, path, _shared(load, paths), design, moved=moved)
        if change is not None:
            at = f"{load}.{design.parts[load].returns[0]}" if returns else ""
            back = {wire: {far: f"{battery}.negative"} for wire, far in wires_at(design, at)}
            return replace(change.with_moved(back), sources=frozenset({f"parts/{battery}"}))
    return None


def _feeds(battery: str, load: str, facts: Facts) -> bool:
    """Whether a battery feeds a load in a declared state."""
    user = facts.network.users[f"parts/{load}"]
    return any(f"parts/{battery}" in a.fed_by(node) for a in facts.states.answers() for node in user.plus)


def _from_bus(load: str, bus: str, paths: Mapping[str, Sequence[str]], facts: Facts) -> Change | None:
    return _fed(load, lambda name: f"{bus}.{name}", paths[load], _shared(load, paths), facts.design)


def _shared(load: str, paths: Mapping[str, Sequence[str]]) -> frozenset[str]:
    """What feeds other loads too."""
    return frozenset(e for other, path in paths.items() if other != load for e in path)


def _buses(paths: Mapping[str, Sequence[str]], state: str, facts: Facts) -> list[tuple[str, str]]:
    """The loads with each bus that is live in a state, does not feed them, and feeds them on the ground only
    where they have power now: first those that feed others of the least function, or loads of the same kind,
    and no critical function to which a load does not belong.
    """
    design = facts.design
    if design.operation is None:
        return []
    answer = facts.states.answer(state or facts.states.operation.normal)
    grave = facts.states.critical_functions if design.functions else ()
    critical = {load for function in grave for load in facts.states.loads_of(function)}
    users = {c.element for c in facts.network.consumers}
    fed = {user: frozenset(facts.states.path_to(answer.state.name, user)) for user in users}
    found = []
    for load, path in paths.items():
        part, others = design.parts[load], kin(load, design)
        for bus in design.of_kind(p.Bus) if isinstance(part, p.Consumer) else ():
            at = f"parts/{bus}"
            if at in path or not _live(at, answer, facts) or _drains(at, f"parts/{load}", facts):
                continue
            if _converted(at, answer, facts):
                continue  # it has other volts
            hung = [bare(user) for user, passed in fed.items() if at in passed]
            alike = any(design.parts[name].kind == part.kind for name in hung)
            strange = any(name in critical and name not in others for name in hung)
            order = (not set(others) & set(hung), strange, not alike, bus)
            found.append((order, (load, bus)))
    return [pair for _, pair in sorted(found)]


def _live(bus: str, answer: StateAnswer, facts: Facts) -> bool:
    return any(answer.healthy.live(node) for node in facts.network.nodes_of.get(bus, ()))


def _converted(bus: str, answer: StateAnswer, facts: Facts) -> bool:
    """Whether a converter alone feeds a bus in a state."""
    network = facts.network
    sources = {s for node in network.nodes_of.get(bus, ()) for s in answer.fed_by(node)}
    kinds = {source.element: source.kind for source in network.sources}
    return {kinds[source] for source in sources} <= {"converter"}


def _drains(bus: str, load: str, facts: Facts) -> bool:
    """Whether a bus would feed a load that has no power while the aircraft is parked."""
    try:
        parked = facts.endurance.parked_states()
    except NotAssessable:
        return False
    answers = [facts.states.answer(state) for state in parked]
    return any(not a.healthy.powered.get(load) and _live(bus, a, facts) for a in answers)


def _inside(loads: Sequence[str], facts: Facts) -> Change | None:
    """A battery inside the first of some instruments that has none and drives nothing, as a display does
    not, which lasts as long as is asked."""
    design = facts.design
    lasts = (design.operation.endurance if design.operation else None) or _INSIDE_S
    for name in loads:
        part = design.parts[name]
        if isinstance(part, p.Instrument) and not part.internal_battery and not part.outputs:
            return Change(parts={name: part.model_copy(update={"internal_battery": lasts})})
    return None


def _fed(
    load: str,
    tap: Callable[[str], str],
    path: Sequence[str],
    shared: Collection[str],
    design: Design,
    *,
    moved: bool = False,
) -> Change | None:
    """A load behind a breaker of its own (a name) at ``tap``: moved there, from what it shares if it shares
    anything, or fed besides."""
    guards = [bare(e) for e in path if isinstance(design.parts.get(bare(e)), p.Protector)]
    forks = (isinstance(design.parts.get(bare(e)), p.Bus) or e in shared for e in path)
    unshared = path[max((i for i, fork in enumerate(forks) if fork), default=-1) + 1 :]
    wires = [bare(e) for e in unshared if e.startswith("wires/")]
    entered = {name: near for name, near, _ in oriented(path, design)}
    if not guards or not wires or wires[0] not in entered:
        return None
    like, name = design.parts[guards[-1]], unused_name(design, f"{load} second breaker")
    breaker = p.Breaker(kind="breaker", label=name, reset="trip-free", zone=like.zone)
    parts: dict[str, Any] = {name: breaker.model_copy(update={"rating": like.rating})}
    line = short_lead(design, wires[0], tap(name), f"{name}.line")
    new = {f"{name} line": line}
    if shared or moved:
        return Change({wires[0]: {entered[wires[0]]: f"{name}.load"}}, new, parts, feeds=load)
    part = design.parts[load]
    supply = next(f"supply-{n}" for n in count(2) if f"supply-{n}" not in part.terminals())
    parts[load] = part.model_copy(update={"supplies": (*part.supplies, supply)})
    new[f"{name} load"] = short_lead(design, wires[-1], f"{name}.load", f"{load}.{supply}")
    return Change({}, new, parts, feeds=load)


def _tap(battery: str, path: Collection[str], name: str, *, design: Design) -> str:
    """Where a feed is taken from a battery: at the first bus behind it, else at its terminal."""
    todo, seen = [f"{battery}.positive"], {battery}
    for terminal in todo:
        for wire, far in wires_at(design, terminal):
            part = part_of(far)
            if part in seen or {f"wires/{wire}", f"parts/{part}"} & set(path):
                continue
            seen.add(part)
            if isinstance(design.parts.get(part), p.Bus):
                return f"{part}.{name}"
            if isinstance(design.parts.get(part), p.Protector):
                todo += [post for post in design.parts[part].posts(part) if post != far]
    return f"{battery}.positive"
