"""The plain evaluator: what one failure case does to one state of a design, written as the definition of the answer.

It is slow on purpose and shares nothing with ``reviewer.network`` or ``reviewer.analysis``: names instead of numbers, sets instead
of bits, one scenario at a time. Whoever doubts the engine reads this file, not the engine.

Nodes and ways for current, and the elements that they belong to, are told in :mod:`tests.oracle.circuit`.

**A state** gives the position of each switch, the protectors that are pulled, what the engine does, whether ground power is connected,
and the *sneak currents*: each energises one coil and flows in series through it and the loads and other coils that it names, in their order.

**A case** is a tuple of none, one or two failures:

=============================  ==========================================================================================================
open                           all ways of the element are gone; a source, a consumer or a coil of that element does nothing
shorted to ground              the nodes given are grounded; ``passes`` are protectors that do not stop the zone of this short
shorted through                the diode conducts both ways; with a node given it grounds that instead: its other end is at the negative
contacts stuck as energised    all contacts of the relay stand as if it were energised, whatever its coil does
contacts stuck at rest         all contacts of the relay stand as if it were not; the coil still answers whether it is powered
stays at another position      the switch or breaker-switch stands at ``position`` instead of where the state has it
failed full on                 a regulator, or an alternator with one inside; where a trip of the alternator's own or of the regulator stops the alternator, and no relay
                               is drawn for that, the alternator is open; else nothing changes
severed                        all wires of the bundle ``bundles/NAME`` are open
open, of ``bolts/TERMINAL``    the bolt at a terminal of the airframe has let go of all wires on it: they are open
any of the three of contacts   with nodes given: these contacts join the nodes to the negative of their own source; they are grounded as by a short
output stuck on                the output of a unit, ``position``, conducts whatever the unit does
=============================  ==========================================================================================================

What a case has both open and shorted counts as shorted: the opening is left out.

**Rounds**, all of it at once, from the relays that are pulled in and the sources that are alive. The healthy system begins cold: none and
none, but machines whose control is wired are alive while the engine runs, which was started with a battery. A case begins with the healthy answer of the same state, without the sources that are open. In each round:

1. Which ways conduct follows from the state, the case and the relays that are pulled in now.
2. The *zone* of the shorts is what current can flow from into a grounded node without crossing a protector. It is dead, and what
   was dead once stays dead. A diode that leads from a node which a source gets back, as one across a coil does, brings it no current.
3. A source that is alive and whose positive is not dead *feeds* what its current can reach without entering a dead node. Any source *gets
   back* the nodes from which current can flow to its negative, whether they are dead or not, and the zone of the shorts as it is now: it is
   joined to the structure, and so are the negatives. A short on the return of a coil that is switched there pulls the relay in.
   An output of a unit conducts while the unit was powered in the last round, or while it was not, as the output says; a commanded one
   only in a state that has it on. A protector inside a unit that is open without supply conducts only while the unit was powered so;
   whatever is inside a unit is open when the unit is. One that an input of the unit commands conducts only while the unit was powered
   and, in the last round too, the input was commanded: one source fed a supply of the unit and got back the input that is closed to ground, or
   fed the one that is closed to supply and got back a return of the unit. Cold, no unit is powered; a case begins with those that are in the healthy answer.
4. A consumer is *powered* when one and the same source feeds a supply of it and gets back a return of it, and the state does not
   turn it off by a switch of its own. A coil and a
   reversible motor may be fed either way round. A coil, a dimmer and an input of a unit take their current from a live plus: what a source feeds only
   by what wires, bars and joints alone join to its own negative, where a short brings it, is none for them.
   In the next round a relay is pulled in when its coil is powered, or a sneak current of the state flows through it. A source is alive when its positive is not dead; ground power only when
   connected; an alternator only when the engine runs, of several the one that drives it, and one with a field winding only when one and the same source feeds its field and gets
   back its ground. With a regulator that is a part of its own, its leads must hold too: that part is not open, and one and the same source
   feeds its sense lead and gets back its ground. A lead does not count where it is said that without it the field is driven full on, and the
   alternator has no overvoltage trip of its own that stops it then. Where it has one, its own current, alive or not, must besides be able to
   reach what the regulator senses, and it must get back the ground of the regulator: a regulator that only another source serves senses less
   than its set point and drives the field full on. For a lead that does not count stand the supply of the regulator and the
   ground of the alternator. One of permanent magnets whose ``control`` is wired has that and its ground for leads. One that names a
   smoothing capacitor needs that, not open, its positive reached by its own current, alive or not, and its negative got back; or a
   battery that feeds its output and gets back its ground. While it gives nothing, its ``lamp`` is joined to its ground, open or not:
   like a relay, it takes its new state in the next round, and is told as energised while it is alive.
   The overvoltage relay (``trips``) of an alternator that gave current in the round before, or in the healthy system, stands from the next round
   on where it does after a trip, for good, unless it stays elsewhere: when its output is not dead, the field is fed, and the regulator has failed full on, or without a lead that it has
   lost it drives the field so and without none of those it turns the field off, or only another source serves what it senses. One that
   has a ground lead of its own needs that got back by some source in the round in which it trips; one that the state has tripped stands so
   as long as it is, else at rest. Where it stays elsewhere, or has not tripped and has no such ground, nothing stops the alternator, which
   then needs only the leads that it would need with no trip of its own.
   Of the channels of functions that are no loads, a bus works when any source feeds it, a source when it powers a
   consumer or coil (whether that is open or not), and what is mechanical while the engine runs, of several the one that drives it or else any, or always where a hand drives it; none of them when it is open itself.
   A unit with a battery inside that lasts as long as the operation asks for works on without any feed, unless it is open or shorted
   itself, or turned off by a switch of its own. A function counts it among those that work; it is not *powered*, for it takes no current.
   A magneto is powered, which is to say that it fires, while its engine runs or is cranked, unless current can go from its p-lead to its
   ground or into a grounded node without crossing a protector.
   A switch that follows something stands in the next round at its moved position when the consumer that it follows is powered, any source
   feeds the bar of its bus, its alternator is alive, or the engine runs where it follows that; else at rest. One that measures
   against a ground of its own stands at rest while no source gets back that terminal.
   A charger from the mains or the sun lives only in the states that list it. One that is fed from a bus, and a converter, live when one and the same source feeds its
   input and gets back its input return; that source must not live by the charger itself: it is one that has no input, or one of which the same was found before.
5. When that changes no relay and no source and no such switch, it is the answer. When that has not come about after ``2 * (relays + switches + sources) + 4``
   rounds, the case is *unsettled*, and nothing else of its answer means anything.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from reviewer.model.design import Design
from reviewer.model.load_parts import Instrument
from reviewer.model.resolved_states import ResolvedState, SneakCurrent
from tests.oracle.circuit import Circuit, Following, Supply, Taker, Way

STUCK_ON = "output stuck on"
OPEN, SHORT, THROUGH, FULL_ON = "open", "shorted to ground", "shorted through", "failed full on"
HELD, DROPPED, STAYS, SEVERED = (
    "contacts stuck as energised",
    "contacts stuck at rest",
    "stays at another position",
    "severed",
)

#: from each node: the nodes one step away, with the element of the protector that the step crosses, or "", and whether it
#: crosses a diode
Steps = Mapping[str, list[tuple[str, str, bool]]]


@dataclass(frozen=True)
class Fault:
    """One failure of a case. ``nodes`` are those a short or a closed contact grounds, ``passes`` the elements of protectors that do not stop its zone."""

    element: str
    mode: str
    nodes: tuple[str, ...] = ()
    position: str = ""
    passes: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Answer:
    """What one case does. ``fed`` and ``returned`` give for each source the nodes it feeds, the nodes it gets back."""

    powered: dict[str, bool]
    energised: dict[str, bool]
    alive: dict[str, bool]
    fed: dict[str, set[str]]
    returned: dict[str, set[str]]
    dead: set[str]
    unsettled: bool
    rounds: int


def solve(
    circuit: Circuit, state: ResolvedState, case: Collection[Fault] = (), before: Answer | None = None
) -> Answer:
    """The answer of one case. ``before`` is the healthy answer of the same state; without it the system begins cold."""
    upset = _Upset(circuit, case)
    lamps = [way.element for way in circuit.changing if way.when == "dark"]
    energised = {
        moving: before is not None and before.energised[moving]
        for moving in (*(coil.element for coil in circuit.coils), *circuit.followers, *lamps)
    }
    energised |= {
        relay: before is not None and before.energised[relay] for relay, _ in circuit.trips.values()
    }
    followed = {way.unit for way in circuit.changing}
    units = [c for c in circuit.consumers if c.element in followed]
    energised |= {u.element: before is not None and before.powered[u.element] for u in units}
    alive = {
        s.element: (
            before.alive[s.element]
            if before
            else (s.excites_itself or (bool(s.leads) and not s.field))
            and state.engines.get(s.engine, state.engine) == "running"
        )
        for s in circuit.sources
    }
    gave = alive
    alive = {element: lives and element not in upset.opened for element, lives in alive.items()}
    dead: set[str] = set()
    rounds, settled = 0, False
    # ways that no round alters are asked once
    lasting = [w for w in circuit.lasting if _conducts(circuit, w, state, upset, energised)]
    throughout = _flow([*(w for w in circuit.metal if w.element not in upset.opened), *lasting], upset)
    while not settled and rounds < 2 * (len(energised) + len(circuit.sources)) + 4:
        rounds += 1
        changing = [w for w in circuit.changing if _conducts(circuit, w, state, upset, energised)]
        onward, back = _flow(changing, upset, throughout)
        got_back = {s.element: _reached(s.negative, back) for s in circuit.sources}
        home = set[str]().union(*got_back.values())
        grounded = set[str]().union(*(_zone(short, back, home) for short in upset.shorts))
        dead |= grounded
        fed = {
            s.element: _reached(s.positive, onward, dead)
            if alive[s.element] and s.positive not in dead
            else set()
            for s in circuit.sources
        }
        returned = {element: reached | grounded for element, reached in got_back.items()}
        sneaking = {
            sneak.relay
            for sneak in state.sneaks
            if any(_passes(sneak, fed[s], returned[s], onward, dead, upset.opened) for s in fed)
        }
        live = {
            s.element: _reached(s.positive, onward, dead | circuit.grounds[s.element])
            if fed[s.element]
            else set()
            for s in circuit.sources
        }
        pulled_in = {
            c.element: c.element not in upset.opened and (_taking(live, returned, c) or c.element in sneaking)
            for c in circuit.coils
        }
        supplied = _supplied(circuit.sources, fed, returned)
        pulled_in |= {u.element: _powered(u, state, upset, fed, returned) for u in units}
        free = {
            s.element
            for s in circuit.sources
            if s.tripped in circuit.trips
            and (
                circuit.trips[s.tripped][0] in upset.stays
                or not (_grounds_relay(circuit, s, returned) or energised[circuit.trips[s.tripped][0]])
            )
        }
        living = {
            s.element: s.element not in upset.opened
            and s.positive not in dead
            and (not s.inlet or s.element in supplied)
            and _driven(s, state, not s.field or _complete(fed, returned, [s.field], [s.negative]))
            and (
                not (leads := s.leads if s.element not in free or not s.held else s.untripped)
                or (s.regulator not in upset.opened and _complete(fed, returned, leads[:1], leads[1:]))
            )
            and (
                not s.held
                or s.element in free
                or (s.leads[0] in _own(s, fed, onward, dead) and s.leads[1] in returned[s.element])
            )
            and (not s.smoothing or _steady(circuit, s, upset, _own(s, fed, onward, dead), fed, returned))
            for s in circuit.sources
        }
        for follower in circuit.followers.values():
            pulled_in[follower.element] = _works(follower, circuit, state, upset, fed, returned, living)
        pulled_in |= {element: living[element] for element in lamps}
        for s in circuit.sources:
            if s.tripped in circuit.trips:
                relay = circuit.trips[s.tripped][0]
                put = _put(circuit, state, relay)
                over = (
                    gave[s.element]
                    and s.positive not in dead
                    and _over(s, state, upset, fed, returned, _own(s, fed, onward, dead))
                )
                pulled_in[relay] = (energised[relay] and not put) or (
                    (over or put) and _grounds_relay(circuit, s, returned)
                )
        gave = living
        settled = pulled_in == energised and living == alive
        energised, alive = pulled_in, living
    powered = {c.element: _powered(c, state, upset, fed, returned) for c in circuit.consumers}
    for taker in circuit.consumers:
        if taker.lasts:
            name = taker.element.partition("/")[2]
            off = taker.own_switch and state.switches.get(name) == "off"
            powered[f"own-battery/{name}"] = not off and taker.element not in upset.failed
    for element, kind in circuit.channels.items():
        powered[element] = element not in upset.opened and _working(
            circuit, state, element, kind, fed, returned
        )
    for magneto in circuit.magnetos:
        powered[magneto.element] = (
            magneto.element not in upset.opened
            and magneto.lead not in _reached(magneto.case, back) | grounded
            and state.engines.get(magneto.engine, state.engine) in ("running", "cranking")
        )
    return Answer(powered, energised, alive, fed, returned, dead, not settled, rounds)


def _grounds_relay(circuit: Circuit, source: Supply, returned: Mapping[str, set[str]]) -> bool:
    """Whether some source gets back the ground of the overvoltage relay of an alternator, where that has one."""
    ground, _ = circuit.trip_grounds.get(circuit.trips[source.tripped][0], ("", ""))
    return not ground or any(ground in reached for reached in returned.values())


def _put(circuit: Circuit, state: ResolvedState, relay: str) -> bool:
    """Whether a state has an overvoltage relay with a ground of its own tripped."""
    at = state.switches.get(relay.partition("/")[2])
    return relay in circuit.trip_grounds and (relay, at) in circuit.trips.values()


def _over(
    source: Supply,
    state: ResolvedState,
    upset: _Upset,
    fed: Mapping[str, set[str]],
    returned: Mapping[str, set[str]],
    own: Collection[str],
) -> bool:
    """Whether an alternator that gave current is driven to full field: its regulator fails so, or has lost a lead without which
    it does so and none without which it turns the field off, or senses what ``own`` does not reach, and its leads are whole."""
    if not _driven(
        source, state, not source.field or _complete(fed, returned, [source.field], [source.negative])
    ):
        return False
    whole = [does for does, ends in source.without if not _complete(fed, returned, ends[:1], ends[1:])]
    if source.tripped in upset.full_on or ("full-field" in whole and "no-output" not in whole):
        return True
    apart = source.held and not (source.leads[0] in own and source.leads[1] in returned[source.element])
    return (
        apart
        and source.regulator not in upset.opened
        and _complete(fed, returned, source.leads[:1], source.leads[1:])
    )


def _powered(
    consumer: Taker,
    state: ResolvedState,
    upset: _Upset,
    fed: Mapping[str, set[str]],
    returned: Mapping[str, set[str]],
) -> bool:
    """Whether a consumer has its circuit, is whole, and is not turned off by a switch of its own."""
    off = consumer.own_switch and state.switches.get(consumer.element.partition("/")[2]) == "off"
    return consumer.element not in upset.opened and not off and _taking(fed, returned, consumer)


def _working(
    circuit: Circuit,
    state: ResolvedState,
    element: str,
    kind: str,
    fed: Mapping[str, set[str]],
    returned: Mapping[str, set[str]],
) -> bool:
    """Whether a channel that is no load works."""
    if kind == "mechanical":
        engine = circuit.driven[element]
        does = {state.engines[engine]} if engine in state.engines else {state.engine, *state.engines.values()}
        return engine == "hand" or "running" in does
    if kind == "bus":
        return any(element.partition("/")[2] in reached for reached in fed.values())
    own = {element: fed[element]}
    return any(_taking(own, returned, taker) for taker in (*circuit.consumers, *circuit.coils))


def working(design: Design, powered: Mapping[str, bool]) -> dict[str, bool]:
    """Which functions work: those of whose channels enough are powered, work on a battery inside them, or work
    themselves; and in the place of one that does not work, an instrument that takes it over."""

    instruments = ((name, part) for name, part in design.parts.items() if isinstance(part, Instrument))
    instead = [(name, part.takes_over) for name, part in instruments if part.takes_over]

    def on(channel: str) -> bool:
        return powered[f"parts/{channel}"] or powered.get(f"own-battery/{channel}", False)

    def works(channel: str) -> bool:
        function = design.functions.get(channel)
        if function is None:
            return on(channel) or any(on(other) for other, lost in instead if channel in lost)
        return sum(map(works, function.of)) >= function.any

    return {name: works(name) for name in design.functions}


class _Upset:
    """What a case does to the circuit, sorted by what it changes."""

    def __init__(self, circuit: Circuit, case: Collection[Fault]):
        self.shorts = [f for f in case if f.nodes]
        self.through = {f.element for f in case if f.mode == THROUGH and not f.nodes}
        self.held = {f.element for f in case if f.mode == HELD}
        self.dropped = {f.element for f in case if f.mode == DROPPED}
        self.full_on = {f.element for f in case if f.mode == FULL_ON}
        self.stays = {f.element: f.position for f in case if f.mode == STAYS}
        self.opened = {f.element for f in case if f.mode == OPEN}
        self.stuck_on = {(f.element, f.position) for f in case if f.mode == STUCK_ON}
        for fault in case:
            if fault.mode == SEVERED:
                self.opened.update(circuit.bundles[fault.element])
            elif fault.mode == OPEN:
                self.opened.update(circuit.bolts.get(fault.element, ()))
                self.opened.update(circuit.inside.get(fault.element, ()))
            elif fault.mode == FULL_ON:
                drawn = fault.element in circuit.trips
                self.opened.update(
                    s.element for s in circuit.sources if s.tripped == fault.element and not drawn
                )
        self.failed = self.opened | {f.element for f in case if f.mode == SHORT}
        self.opened.difference_update(f.element for f in case if f.mode == SHORT)


def _flow(
    ways: Iterable[Way], upset: _Upset, besides: tuple[Steps, Steps] | None = None
) -> tuple[Steps, Steps]:
    """Where current can flow by ways that conduct, and by the steps ``besides``: from each node onward, and from each node back
    to where it can come from."""
    onward, back = (dict(steps) for steps in besides) if besides else ({}, {})
    for way in ways:
        barrier = way.element if way.when == "protector" else ""
        diode = way.when == "forward" and way.element not in upset.through
        onward[way.one] = [*onward.get(way.one, ()), (way.other, barrier, diode)]
        back[way.other] = [*back.get(way.other, ()), (way.one, barrier, diode)]
        if not diode:
            onward[way.other] = [*onward.get(way.other, ()), (way.one, barrier, diode)]
            back[way.one] = [*back.get(way.one, ()), (way.other, barrier, diode)]
    return onward, back


def _conducts(
    circuit: Circuit, way: Way, state: ResolvedState, upset: _Upset, energised: Mapping[str, bool]
) -> bool:
    if way.when == "dark":
        return not energised[way.element]
    if way.element in upset.opened:
        return False
    if way.when == "plugged":
        return state.external_power
    name = way.element.partition("/")[2]
    if way.output and (way.element, way.output) in upset.stuck_on:
        return True
    if way.unit:
        commanded = not way.command or way.command in state.outputs_on
        if not commanded or energised[way.unit] != (way.when != "unit dead"):
            return False
    if way.by_input and not energised[way.element]:
        return False
    if way.when in ("energised", "at rest"):
        drawn = way.element in upset.held or (energised[way.element] and way.element not in upset.dropped)
        return drawn == (way.when == "energised")
    if way.when == "protector" and name in state.pulled:
        return False
    if way.positions:
        stands = state.switches.get(name)
        if way.element in circuit.followers:
            follower = circuit.followers[way.element]
            stands = follower.moved if energised[way.element] else follower.rest
        tripped = dict(circuit.trips.values())
        if way.element in tripped and energised[way.element]:
            stands = tripped[way.element]
        elif way.element in tripped and way.element in circuit.trip_grounds:
            stands = circuit.trip_grounds[way.element][1]
        return upset.stays.get(way.element, stands) in way.positions
    return True


def _works(
    follower: Following,
    circuit: Circuit,
    state: ResolvedState,
    upset: _Upset,
    fed: Mapping[str, set[str]],
    returned: Mapping[str, set[str]],
    living: Mapping[str, bool],
) -> bool:
    """Whether what a switch follows works, and it has its own ground where it measures against one."""
    if follower.ground and not any(follower.ground in reached for reached in returned.values()):
        return False
    if not follower.followed:
        return state.engine == "running"
    if follower.followed in living:
        return living[follower.followed]
    for consumer in circuit.consumers:
        if consumer.element == follower.followed:
            return _powered(consumer, state, upset, fed, returned)
    bus = f"parts/{follower.followed}"
    return bus not in upset.opened and any(follower.followed in reached for reached in fed.values())


def _zone(short: Fault, back: Steps, home: Collection[str]) -> set[str]:
    """The nodes whose current can flow into a short without crossing a protector that stops it, nor a diode that leads from
    one of the nodes ``home``."""
    zone = set(short.nodes)
    todo = list(zone)
    while todo:
        for node, barrier, diode in back.get(todo.pop(), ()):
            if node not in zone and (not barrier or barrier in short.passes) and not (diode and node in home):
                zone.add(node)
                todo.append(node)
    return zone


def _reached(start: str, steps: Steps, dead: Collection[str] = ()) -> set[str]:
    """The nodes that can be reached from ``start`` by ``steps`` without entering ``dead``; protectors that conduct are crossed."""
    reached = {start}
    todo = [start]
    while todo:
        for node, _, _ in steps.get(todo.pop(), ()):
            if node not in reached and node not in dead:
                reached.add(node)
                todo.append(node)
    return reached


def _own(source: Supply, fed: Mapping[str, set[str]], onward: Steps, dead: Collection[str]) -> set[str]:
    """What the current of a source can reach, alive or not."""
    return fed[source.element] or _reached(source.positive, onward, dead)


def _complete(
    fed: Mapping[str, set[str]], returned: Mapping[str, set[str]], plus: Iterable[str], minus: Iterable[str]
) -> bool:
    """Whether one and the same source feeds any of ``plus`` and gets back any of ``minus``."""
    return any(not fed[s].isdisjoint(plus) and not returned[s].isdisjoint(minus) for s in fed)


def _taking(fed: Mapping[str, set[str]], returned: Mapping[str, set[str]], taker: Taker) -> bool:
    """Whether a consumer or coil has its circuit: from its plus to its minus, or either way where it takes both."""
    return _complete(fed, returned, taker.plus, taker.minus) or (
        taker.either_way and _complete(fed, returned, taker.minus, taker.plus)
    )


def _passes(
    sneak: SneakCurrent,
    fed: Collection[str],
    returned: Collection[str],
    onward: Steps,
    dead: Collection[str],
    opened: Collection[str],
) -> bool:
    """Whether a sneak current flows from one source through each of its loads and coils in turn.

    It does not where one of them is open, nor where a conductor between two of them is joined to the source by
    either pole: what the current should pass next then has its own circuit, or the same voltage at both ends.
    """
    reached: Collection[str] = fed
    for number, (element, entry, leaving) in enumerate(sneak.hops, 1):
        if element in opened or entry not in reached:
            return False
        if number < len(sneak.hops) and (leaving in returned or leaving in fed):
            return False
        reached = _reached(leaving, onward, dead)
    return sneak.hops[-1][2] in returned


def _supplied(
    sources: Iterable[Supply], fed: Mapping[str, set[str]], returned: Mapping[str, set[str]]
) -> set[str]:
    """The sources that need an input and have it from a source that does not live by them."""
    found: set[str] = set()
    own = {s.element for s in sources if not s.inlet}
    while True:
        known = own | found
        by = {e: fed[e] for e in known}
        more = {
            s.element
            for s in sources
            if s.inlet and s.element not in found and _complete(by, returned, s.inlet[:1], s.inlet[1:])
        }
        if not more:
            return found
        found |= more


def _steady(
    circuit: Circuit,
    source: Supply,
    upset: _Upset,
    reached: set[str],
    fed: Mapping[str, set[str]],
    returned: Mapping[str, set[str]],
) -> bool:
    """Whether an alternator that needs a battery or its capacitor has one of them."""
    positive, negative, capacitor = source.smoothing
    if capacitor not in upset.opened and positive in reached and negative in returned[source.element]:
        return True
    batteries = [s.element for s in circuit.sources if s.kind == "battery"]
    return any(source.positive in fed[b] and source.negative in returned[b] for b in batteries)


def _driven(source: Supply, state: ResolvedState, excited: bool) -> bool:
    """Whether a source has what it needs besides being whole: a connection, or a running engine and its field."""
    if source.kind == "external-power":
        return state.external_power
    if source.kind == "charger" and not source.inlet:
        return source.element.removeprefix("parts/") in state.chargers
    return source.kind != "alternator" or (
        state.engines.get(source.engine, state.engine) == "running" and excited
    )
