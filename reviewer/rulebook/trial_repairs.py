"""Repairs made in a network and not in a file: what is turned round, kept apart, fed a second time or
exchanged, each as a change of the design.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import field, replace
from itertools import count
from types import MappingProxyType
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.parts import Wire
from reviewer.model.quantities import thinner
from reviewer.model.record import record
from reviewer.network.graph import bare

#: the terminals of sources between which wires are exchanged
_POLES: Mapping[object, tuple[str, str]] = {
    p.Battery: ("positive", "negative"),
    p.Alternator: ("output", "ground"),
}
#: where the straps of a body lead
_GROUNDED = (p.Airframe, p.GroundBlock, p.Stud, p.Battery)
#: wire sizes by which a wire is made thicker: ten times the area, so that it loses next to nothing
_THICKER = 10
#: length of a lead of a trial, in m: it loses nothing
_SHORT_M = 0.02
Ends = Mapping[str, str]


@record
class Change:
    """What a repair changes in a design.

    ``moved`` gives wires other ends, each as {terminal: terminal}; ``wires`` and ``parts`` are put in
    or take the place of those that are there.
    """

    moved: Mapping[str, Ends] = field(default_factory=dict)
    wires: Mapping[str, Wire] = field(default_factory=dict)
    parts: Mapping[str, Any] = field(default_factory=dict)
    #: monitor -> the terminal that it senses instead
    senses: Mapping[str, str] = field(default_factory=dict)
    #: a source that was chosen for it where others would do; an element
    sources: frozenset[str] = frozenset()
    #: the load that has another feed by it
    feeds: str = ""

    def with_moved(self, moved: Mapping[str, Ends]) -> Change:
        """The change with more ends moved."""
        ends = {wire: {**self.moved.get(wire, {}), **more} for wire, more in moved.items()}
        return replace(self, moved={**self.moved, **ends})

    def made_in(self, design: Design) -> Design:
        """The design with it."""
        wires = {name: _ended(wire, self.moved.get(name, {})) for name, wire in design.wires.items()}
        if self.senses:
            known = design.watch.monitors
            moved = {n: known[n].model_copy(update={"senses": at}) for n, at in self.senses.items()}
            monitors = MappingProxyType({**known, **moved})
            design = replace(design, watch=design.watch.model_copy(update={"monitors": monitors}))
        return replace(
            design,
            wires=MappingProxyType(wires | dict(self.wires)),
            parts=MappingProxyType({**design.parts, **self.parts}),
        )


def exchanged_poles(element: str, facts: Facts) -> Change | None:
    """The wires of a source that is reversed, each on its other terminal."""
    source = facts.sources.reversed_sources.get(element)
    if source is None:
        return None
    name = bare(element)
    plus, minus = (f"{name}.{terminal}" for terminal in _POLES[type(facts.design.parts[name])])
    moved = [(wire, {minus: plus}) for wire in source.to_plus] + [(w, {plus: minus}) for w in source.to_minus]
    return Change({bare(wire): ends for wire, ends in moved})


def turned(diode: str, design: Design) -> Change:
    """A diode the other way round."""
    ends = {f"{diode}.anode": f"{diode}.cathode", f"{diode}.cathode": f"{diode}.anode"}
    return Change({name: ends for name, wire in design.wires.items() if {wire.from_, wire.to} & ends.keys()})


def thicker(wires: Sequence[str], design: Design) -> Change:
    """Some wires of a known gauge, each some sizes thicker."""
    known = {name: design.wires[name] for name in wires}
    return Change(
        wires={
            name: wire.model_copy(update={"gauge": thinner(wire.gauge, -_THICKER)})
            for name, wire in known.items()
            if wire.gauge is not None
        }
    )


def parted(wire: str, end: str, design: Design) -> Change:
    """One end of a wire, a terminal, on a splice of its own, where nothing else is."""
    splice = unused_name(design, f"{wire} parted")
    return Change({wire: {end: f"{splice}.open"}}, parts={splice: p.Splice(kind="splice")})


def removed(wire: str, design: Design) -> Change:
    """A wire with both ends where nothing else is."""
    one, other = design.wires[wire].from_, design.wires[wire].to
    first = parted(wire, one, design)
    splice = unused_name(design, f"{wire} removed")
    ends = {**first.moved[wire], other: f"{splice}.open"}
    return Change({wire: ends}, parts={**first.parts, splice: p.Splice(kind="splice")})


def short_lead(design: Design, like: str, start: str, end: str) -> Wire:
    """A wire like another one, too short to matter and in no bundle."""
    own = design.wires[like]
    short = None if own.length is None else _SHORT_M
    return own.model_copy(
        update={"from_": start, "to": end, "length": short, "bundle": None, "resistance": None}
    )


def feed_of(element: str, state: str, facts: Facts) -> tuple[str, ...]:
    """The path that feeds a load in a state; where it is off, in the first that has it on; or ()."""
    paths = (facts.states.path_to(s, element) for s in (state, *facts.states.declared))
    return next(filter(None, paths), ())


def rated(protector: str, amps: float, design: Design) -> Change:
    """A breaker, fuse or current limiter of another rating, in A."""
    part = design.part(protector, p.Protector)
    return Change(parts={protector: part.model_copy(update={"rating": amps})})


def with_positions(name: str, part: p.Switch, other: Mapping[str, Sequence[Sequence[str]]]) -> Change:
    """A switch with other pairs joined in some of its positions."""
    positions = MappingProxyType({**part.positions, **other})
    return Change(parts={name: part.model_copy(update={"positions": positions})})


def positions_exchanged(name: str, part: p.Switch, one: str, other: str) -> Change:
    """A switch that joins in each of two positions what it joined in the other."""
    return with_positions(name, part, {one: part.positions[other], other: part.positions[one]})


def contact_exchanged(name: str, design: Design) -> Change | None:
    """A relay with make contacts for break contacts, or a switch of two positions with its contacts closed
    in the other one; None where a hand works it."""
    part = design.parts.get(name)
    if isinstance(part, p.Electromagnet):
        return Change(parts={name: part.model_copy(update={"contacts": _other_contacts(part)})})
    if not isinstance(part, p.Switch) or part.by_hand or len(part.positions) != 2:
        return None
    return positions_exchanged(name, part, *part.positions)


def _other_contacts(part: p.Electromagnet) -> Mapping[str, Any]:
    """The contacts of a relay, each closed where it was open."""
    made: dict[str, Any] = {}
    for name, contact in part.contacts.items():
        if isinstance(contact, p.ChangeoverContact):
            ends = {"de_energised": contact.energised, "energised": contact.de_energised}
            made[name] = contact.model_copy(update=ends)
        else:
            opens = isinstance(contact, p.MakeContact)
            made[name] = (
                p.BreakContact(kind="break", joins=contact.joins)
                if opens
                else p.MakeContact(kind="make", joins=contact.joins)
            )
    return MappingProxyType(made)


def strapped(body: str, battery: str, heavy: Collection[str], design: Design) -> tuple[Change, ...]:
    """Ways to strap a body of metal to the negative of a battery by the cable there: in place of its leads
    that are thinner and carry ``heavy`` current (names), by two straps beside them, and by one."""
    at, strap = f"{battery}.negative", unused_name(design, f"{body} strap")
    cable = min((name for name, _ in wires_at(design, at)), default=None)
    if cable is None:
        return ()
    leads = {name: end for name in heavy for end in _ends_at(design, name, body)}
    thin = sorted(name for name in leads if _area(design.wires[name]) < _area(design.wires[cable]))
    instead = {name: short_lead(design, cable, leads[name], at) for name in thin}
    first, second = (
        {name: short_lead(design, cable, f"{body}.{name}", at)} for name in (strap, f"{strap} 2")
    )
    ways = (instead, {**first, **second}, first)
    return tuple(Change(wires=wires) for wires in ways if wires)


def _ends_at(design: Design, wire: str, part: str) -> Iterator[str]:
    """The terminals of a part at which a wire from another ground or a battery ends."""
    ends = (design.wires[wire].from_, design.wires[wire].to)
    for end, far in (ends, ends[::-1]):
        if part_of(end) == part and isinstance(design.parts.get(part_of(far)), _GROUNDED):
            yield end


def _area(wire: Wire) -> float:
    """In mm2; infinite where the gauge is not known."""
    return math.inf if wire.gauge is None else wire.gauge.area_mm2


def driven(driver: str, back: Sequence[str], design: Design) -> Change | None:
    """The end of the wire that leads back from a load, moved to an output of its driver that is free: the
    twin of the terminal where it is, else another."""
    through = (p.Connector, p.Splice)
    ends = (
        step for step in oriented(back, design) if not isinstance(design.parts[part_of(step[2])], through)
    )
    part, (wire, _, end) = design.parts.get(driver), next(ends, ("", "", ""))
    if not wire or not isinstance(part, p.Consumer):
        return None
    free = [output for output in part.driven if not any(wires_at(design, f"{driver}.{output}"))]
    free.sort(key=lambda output: (output != end.rpartition(".")[2], output))
    return Change({wire: {end: f"{driver}.{free[0]}"}}) if free else None


def sensed_at(monitor: str, battery: str, design: Design) -> Change | None:
    """A monitor at the positive terminal of a battery, with the lead that leads to it; None where it
    senses at the terminal of another part."""
    there = f"{battery}.positive"
    senses = design.watch.monitors[monitor].senses
    end, part = senses, design.parts.get(part_of(senses))
    if isinstance(part, p.Protector):  # the lead of its fuse
        end = next(post for post in part.posts(part_of(senses)) if post != senses)
        behind = [far for _, far in wires_at(design, end)]
        end = behind[0] if behind else senses
    if not isinstance(design.parts.get(part_of(end)), p.Bus | p.Stud | p.Splice):
        return None
    leads = {name: {end: there} for name, _ in wires_at(design, end)}
    return Change(leads, senses={monitor: there})


def wires_at(design: Design, terminal: str) -> Sequence[tuple[str, str]]:
    """The wires on a terminal, each as its name and its other end."""
    return design.wires_at.get(terminal, ())


def part_of(terminal: str) -> str:
    return terminal.partition(".")[0]


def unused_name(design: Design, name: str) -> str:
    """A name that no part or wire has."""
    tried = (f"{name}{f' {n}' * (n > 1)}" for n in count(1))
    return next(n for n in tried if n not in design.parts and n not in design.wires)


def _ended(wire: Wire, ends: Ends) -> Wire:
    """A wire with some of its ends at other terminals."""
    return (
        wire.model_copy(update={"from_": ends.get(wire.from_, wire.from_), "to": ends.get(wire.to, wire.to)})
        if ends
        else wire
    )


def oriented(path: Sequence[str], design: Design) -> list[tuple[str, str, str]]:
    """The wires of a path as (name, the terminal where it is entered, the one where it is left)."""
    run: list[tuple[str, str, str]] = []
    before = ""
    for element in path:
        if not element.startswith("wires/"):
            before = bare(element)  # it may be plugged on the one before
            continue
        wire = design.wires[bare(element)]
        ends = (wire.from_, wire.to)
        near, far = ends if part_of(wire.from_) == before else ends[::-1]
        if part_of(near) != before:  # it is joined by something else than a part
            return run
        run.append((bare(element), near, far))
        before = part_of(far)
    return run
