"""What is live in an operating state, in the healthy system and under many failures at once.

Each scenario is a lane, one bit of a Python integer. *Powered* means that one live source both
feeds a supply terminal and has the return of the return terminal. Relay coils and alternator fields
are loads themselves: the healthy state is the least fixed point from all de-energised; under a
failure they start from the healthy state and drop out. A sneak current of the state, found in volts,
energises its coil as long as it flows through each load and coil on its way. A relay that senses
volts picks up and stays energised by what has these volts alone.

The fault zone of a short to ground is everything from which current can flow into the short without
passing a protector. The zone is dead and a source inside it is lost. The protectors around the zone
open; what is outside them stays powered. The zone is joined to the structure, and so it is a return
of every source: a short on the return of a coil that is switched there energises the coil.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType

from reviewer.analysis.conduction.masks import LanePicker, PickedMasks, join, served
from reviewer.analysis.conduction.propagation import (
    AnyOf,
    EitherOf,
    OneLane,
    Propagator,
    Reached,
    SomeLanes,
    chain_masks,
    turned,
    zone_of,
)
from reviewer.analysis.conduction.scenarios import (
    Case,
    Lanes,
    blocks_of,
    lanes_of_cases,
    lanes_of_pairs,
    lanes_of_states,
    lanes_of_states_failed,
)
from reviewer.analysis.conduction.voltage_sensing import voltage_sensing
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState, SneakCurrent
from reviewer.network.graph import CHARGES, Channel, Network, PoweredDevice, Source, holder
from reviewer.network.negative_metal import negative_metal
from reviewer.network.work_count import ROUNDS_OF_A_SOLVE, STATE_LANE, add_work


@record
class Conduction:
    """The answer for some lanes; in every integer, bit i is lane i.

    ``fed[source][node]``: the source feeds the node. ``returned[source][node]``: the node is joined
    to the return of the source, or shorted to ground. ``powered[element]`` is for loads and
    instruments (and for the other channels of functions, batteries inside units among them), and
    for magnetos, which have it while they fire; ``energised[element]`` for coils, for units whose
    power something follows, for what an input of a unit commands, and for switches that follow
    something where they have left their rest;
    ``alive[element]`` for sources; ``zone[node]`` are the lanes in which a node is dead by a short,
    ``unsettled`` those in which relays chatter. ``tripped`` has the alternators that are lost by
    their trip, as other sources alone serve their regulator. ``hot[element]`` are the lanes in
    which a magneto is whole and not grounded: it fires as soon as its engine is turned.
    ``uncharged`` is what comes of the lanes once nothing charges, where a relay senses that.
    """

    width: int
    fed: Mapping[str, Sequence[int]]
    returned: Mapping[str, Sequence[int]]
    powered: Mapping[str, int]
    energised: Mapping[str, int]
    alive: Mapping[str, int]
    zone: Sequence[int]
    unsettled: int
    tripped: Mapping[str, int]
    hot: Mapping[str, int]
    uncharged: Conduction | None

    @cached_property
    def lives(self) -> Sequence[int]:
        """For each node, the lanes in which any source feeds it."""
        return AnyOf(tuple(self.fed.values()))

    def live(self, node: int) -> int:
        """The lanes in which any source feeds a node."""
        return self.lives[node]

    def some(self, lanes: Sequence[int]) -> Conduction:
        """Some lanes by themselves, in their order."""
        picker = LanePicker(lanes)

        def those(masks: Mapping[str, int]) -> Mapping[str, int]:
            return PickedMasks(masks, picker)

        def reach(reaches: Mapping[str, Sequence[int]]) -> Mapping[str, Sequence[int]]:
            return MappingProxyType({key: SomeLanes(each, picker) for key, each in reaches.items()})

        return Conduction(
            width=len(lanes),
            fed=reach(self.fed),
            returned=reach(self.returned),
            powered=those(self.powered),
            energised=those(self.energised),
            alive=those(self.alive),
            zone=SomeLanes(self.zone, picker) if any(self.zone) else self.zone,
            unsettled=picker.pick(self.unsettled),
            tripped=those(self.tripped),
            hot=those(self.hot),
            uncharged=self.uncharged and self.uncharged.some(lanes),
        )

    def lane(self, lane: int) -> Conduction:
        """One lane by itself, as a conduction of one lane."""

        def bit(masks: Mapping[str, int]) -> Mapping[str, int]:
            return MappingProxyType({key: mask >> lane & 1 for key, mask in masks.items()})

        def one(reaches: Mapping[str, Sequence[int]]) -> Mapping[str, Sequence[int]]:
            each = {id(reach): OneLane(reach, lane) for reach in reaches.values()}
            return MappingProxyType({key: each[id(reach)] for key, reach in reaches.items()})

        return OfMany(
            width=1,
            fed=one(self.fed),
            returned=one(self.returned),
            powered=bit(self.powered),
            energised=bit(self.energised),
            alive=bit(self.alive),
            zone=tuple([mask >> lane & 1 for mask in self.zone]) if any(self.zone) else self.zone,
            unsettled=self.unsettled >> lane & 1,
            tripped=bit(self.tripped),
            hot=bit(self.hot),
            uncharged=self.uncharged and self.uncharged.lane(lane),
            many=self,
            place=lane,
        )


@record
class OfMany(Conduction):
    """One lane (``place``) of ``many``, which shares what was worked out for them."""

    many: Conduction
    place: int

    @cached_property
    def lives(self) -> Sequence[int]:
        """For each node, 1 where any source feeds it."""
        return OneLane(self.many.lives, self.place)


def conduct(
    network: Network, state: ResolvedState, cases: Sequence[Case] = (), before: Conduction | None = None
) -> Conduction:
    """Solve one state, a lane for each case: a failure, or a tuple of failures at once.

    The cases start from ``before``, the healthy state; without cases the healthy state is solved
    from all de-energised, in one lane.
    """
    return conduct_lanes(network, lanes_of_cases(network, state, cases), before)


def conduct_pairs(
    network: Network,
    state: ResolvedState,
    firsts: Sequence[Case],
    seconds: Sequence[Case],
    before: Conduction,
) -> Conduction:
    """Solve one state under every pair of failures.

    Lane ``i * len(seconds) + j`` has ``firsts[i]`` and ``seconds[j]``.
    """
    return conduct_lanes(network, lanes_of_pairs(network, state, firsts, seconds), before)


def conduct_states(network: Network, states: Sequence[ResolvedState]) -> Conduction:
    """Solve many states at once in the healthy system, each from all de-energised.

    Lane i is ``states[i]``.
    """
    add_work(STATE_LANE * len(states))
    return conduct_lanes(network, lanes_of_states(network, states))


def conduct_failed_states(
    network: Network,
    states: Sequence[ResolvedState],
    cases: Sequence[Sequence[Case]],
    before: Sequence[Conduction],
) -> Conduction:
    """Solve many states at once, each under cases of its own that start from its healthy state, one of
    ``before``: the lanes of the first state, then those of the second, and so on."""
    add_work(STATE_LANE * sum(map(len, cases)))
    lanes_of = blocks_of([len(own) for own in cases])

    def all_of(masks: Sequence[Mapping[str, int]], elements: Iterable[str]) -> dict[str, int]:
        return {e: lanes_of(i for i, mask in enumerate(masks) if mask[e] & 1) for e in elements}

    energised = all_of([healthy.energised for healthy in before], network.moved)
    alive = all_of([healthy.alive for healthy in before], [s.element for s in network.sources])
    return conduct_lanes(network, lanes_of_states_failed(network, states, cases), start=(energised, alive))


def conduct_from(
    network: Network, lanes: Lanes, energised: Mapping[str, int], alive: Mapping[str, int]
) -> Conduction:
    """Solve lanes, each from its own relays (``energised``) and sources (``alive``), by element."""
    others = {element: alive[element] for element in network.lamp_contacts}
    others |= {d.element: energised.get(d.element, 0) for d in (*network.dimmers, *network.commands)}
    others |= {relay: energised.get(relay, 0) for relay, _ in network.overvoltage_relays}
    return conduct_lanes(network, lanes, start=({**energised, **others}, dict(alive)))


def conduct_lanes(
    network: Network,
    lanes: Lanes,
    before: Conduction | None = None,
    start: tuple[dict[str, int], dict[str, int]] | None = None,
) -> Conduction:
    """Solve lanes: all from the one lane of ``before``, or each from the coils and sources of
    ``start`` (energised, alive), or from all de-energised."""
    solver = _Solver(network, lanes)
    energised, alive = start or _start(network, lanes, before)
    solver.latched = energised, alive
    alive = {element: mask & ~lanes.opened.get(element, 0) for element, mask in alive.items()}
    changed = lanes.every
    for _ in range(2 * (len(network.moved) + len(network.sources)) + 4):
        solver.propagate(energised, alive)
        relays, sources = solver.settle()
        changed = 0
        for key, mask in relays.items():
            changed |= mask ^ energised[key]
        for key, mask in sources.items():
            changed |= mask ^ alive[key]
        energised, alive = solver.latched = relays, sources
        if not changed:
            break
    else:
        solver.propagate(energised, alive)
    frozen, hot = MappingProxyType, solver.hot()
    solver.rest()
    return Conduction(
        width=lanes.width,
        fed=frozen(dict(solver.fed)),
        returned=frozen(solver.returns_of()),
        powered=_Powered(solver, {m.element: hot[m.element] & lanes.turns(m) for m in network.magnetos}),
        energised=frozen(energised),
        alive=frozen(alive),
        zone=tuple(solver.dead),
        unsettled=changed,
        tripped=frozen({element: mask & ~alive[element] for element, mask in solver.tripped.items()}),
        hot=frozen(hot),
        uncharged=_uncharged(solver, energised, alive),
    )


def _uncharged(solver: _Solver, energised: Mapping[str, int], alive: Mapping[str, int]) -> Conduction | None:
    """The lanes once every alternator, charger and external source has stopped; None where no relay
    would drop out for that."""
    charging = [s.element for s in solver.network.sources if s.kind in (*CHARGES, "external-power")]
    if not any(alive[e] for e in charging) or not any(energised[e] for e, *_ in solver.sensing):
        return None
    opened = {**solver.lanes.opened, **dict.fromkeys(charging, solver.every)}
    return conduct_lanes(
        solver.network, replace(solver.lanes, opened=opened), start=(dict(energised), dict(alive))
    )


def _start(
    network: Network, lanes: Lanes, before: Conduction | None
) -> tuple[dict[str, int], dict[str, int]]:
    """Coils and sources as they are in the one lane of ``before``; all off without it, but machines
    whose own output may keep their control fed: the engine was started with a battery."""
    every = lanes.every
    energised = {e: every if before and before.energised[e] & 1 else 0 for e in network.moved}
    alive = {s.element: every if before and before.alive[s.element] & 1 else 0 for s in network.sources}
    if before is None:
        own = (s for s in network.sources if s.excites_itself or (s.leads and s.field is None))
        alive |= {s.element: lanes.driven(s) for s in own}
    return energised, alive


def link_masks(lanes: Lanes, energised: Mapping[str, int]) -> tuple[list[int], list[int]]:
    """The lanes in which each link conducts from a to b and from b to a, by the coils given."""
    along, against = list(lanes.forward), list(lanes.backward)
    for i, element, when in lanes.relayed:
        mask = (energised[element] & ~lanes.dropped.get(element, 0)) | lanes.held.get(element, 0)
        mask = (mask if when else lanes.every & ~mask) | lanes.stuck_on.get(i, 0)
        along[i] &= mask
        against[i] &= mask
    for i, relay, closed in lanes.tripping:
        mask = energised[relay] & ~lanes.stays.get(relay, 0) & ~lanes.opened.get(relay, 0)
        for links in (along, against):
            links[i] = links[i] | mask if closed else links[i] & ~mask
    return along, against


def carriers(network: Network, solved: Conduction) -> Iterator[tuple[int, int]]:
    """(link, lanes) for each protector that carries the current of a short, where it conducts.

    One end is in the fault zone, the other is fed by a source outside it.
    """
    for i in sorted(network.protectors):
        a, b = network.links[i].a, network.links[i].b
        border = solved.zone[a] ^ solved.zone[b]
        if border and (mask := border & (solved.zone[a] & solved.live(b) | solved.zone[b] & solved.live(a))):
            yield i, mask


class _Powered(Mapping[str, int]):
    """``powered`` of a conduction: most callers ask for few of all loads, so that each is worked out
    when it is first asked for. ``known`` are the lanes of magnetos."""

    __slots__ = ("_known", "_solver")

    def __init__(self, solver: _Solver, known: dict[str, int]):
        self._solver, self._known = solver, known

    def __getitem__(self, element: str) -> int:
        known = self._known.get(element)
        if known is None:
            one = self._solver.network.working[element]
            known = self._solver.working(one) if isinstance(one, Channel) else self._solver.powered(one)
            self._known[element] = known
        return known

    def __iter__(self) -> Iterator[str]:
        return iter(self._solver.network.working)

    def __len__(self) -> int:
        return len(self._solver.network.working)


class _Solver:
    def __init__(self, network: Network, lanes: Lanes):
        self.network, self.lanes, self.every = network, lanes, lanes.every
        self.sensing = voltage_sensing(network)
        self.dead = [0] * len(network.names)
        #: the fault zones with the relays as they are now; a node that was dead once stays dead
        self.grounded = [0] * len(network.names)
        self.contacts = frozenset(i for i, _, _ in (*lanes.relayed, *lanes.tripping))
        self.relays: tuple[int, ...] | None = None
        self.chains: list[int] = []
        self.feeds: Propagator
        self.returns: Propagator
        self.seeds: dict[str, int] = {}
        self.fed: dict[str, Reached] = {}
        #: where the output of each alternator reaches that a trip ends otherwise, alive or not
        self.joined: dict[str, Reached] = {}
        self.tripped: dict[str, int] = {}
        #: the coils and sources of the round before
        self.latched: tuple[dict[str, int], dict[str, int]]
        self.returned: dict[str, Reached] = {}
        self.returned_by_short: dict[str, Sequence[int]] = {}
        self.positives = {source.element: source.positive for source in network.sources}
        #: by source what it feeds and what is joined to its return, on the contracted graph
        self.kept: list[tuple[str, Sequence[int], Sequence[int]]] = []

    def propagate(self, energised: dict[str, int], alive: dict[str, int]) -> None:
        """Find where every source reaches, with relays and sources as given.

        Only the lanes in which something changed since the last time are done again.
        """
        add_work(len(self.network.links) // (1 if self.relays is None else ROUNDS_OF_A_SOLVE))
        contacts = (*self.lanes.relayed, *self.lanes.tripping)
        relays = tuple(energised[element] for _, element, _ in contacts)
        changed = 0
        if relays != self.relays:
            changed = self._move_contacts(*link_masks(self.lanes, energised))
            self.relays = relays
        for source in self.network.sources:
            seed = alive[source.element] & ~self.dead[source.positive]
            again = changed | (seed ^ self.seeds.get(source.element, ~seed) & self.every)
            if again or source.element not in self.fed:  # of no lanes nothing changes
                self.seeds[source.element] = seed
                self.fed[source.element] = self.feeds.update(
                    source.positive, seed, again, self.fed.get(source.element)
                )
            if (source.held or source.smoothing is not None) and (
                changed or source.element not in self.joined
            ):
                self.joined[source.element] = self.feeds.update(
                    source.positive,
                    self.every & ~self.dead[source.positive],
                    changed,
                    self.joined.get(source.element),
                )
        self.kept = [(source, feed.kept, self.returned[source].kept) for source, feed in self.fed.items()]

    def _move_contacts(self, along: list[int], against: list[int]) -> int:
        """Take new positions of relay contacts; gives the lanes in which any contact moved."""
        lanes, contracted = self.lanes, self.network.contracted
        first = self.relays is None
        changed = self.every if first else self._moved(along)
        chains = [self.every] * (2 * len(contracted.chains)) if first else self.chains
        moved = frozenset(self._not_in_all(along, against)) if first else self.contacts
        self.chains = chain_masks(contracted, along, against, chains, moved)
        self.returns = Propagator(contracted, against, along, None, turned(self.chains))
        by_negative: dict[int, Reached] = {}
        for s in self.network.sources:
            if s.negative not in by_negative:
                by_negative[s.negative] = self.returns.update(
                    s.negative, self.every, changed, self.returned.get(s.element)
                )
            self.returned[s.element] = by_negative[s.negative]
        self._mark_zones(along, against, changed)
        dead = self.dead if lanes.grounded else None
        before = None if first else self.feeds
        self.feeds = Propagator(contracted, along, against, dead, self.chains, before, self.contacts)
        self.returned_by_short = self.returns_of()
        return changed

    def returns_of(self) -> dict[str, Sequence[int]]:
        """For each source the lanes in which each node is joined to its negative or to a short."""
        if not self.lanes.grounded:
            return dict(self.returned)
        joined = {id(reached): EitherOf(reached, self.grounded) for reached in self.returned.values()}
        return {source: joined[id(reached)] for source, reached in self.returned.items()}

    def _not_in_all(self, along: list[int], against: list[int]) -> list[int]:
        """The links that do not conduct both ways in all lanes."""
        both = self.every, self.every
        return [i for i, masks in enumerate(zip(along, against, strict=True)) if masks != both]

    def _moved(self, along: list[int]) -> int:
        changed = 0
        for i in self.contacts:
            changed |= along[i] ^ self.feeds.along[i]
        return changed

    def _mark_zones(self, along: list[int], against: list[int], changed: int) -> None:
        """Mark the fault zones as dead, for good: a source that was shorted stays lost even when a
        relay drops out afterwards."""
        dead: list[int] | None = None
        if not self.lanes.grounded:
            return
        along = self._from_positives(along, against)
        unusual, lane = self._unusual(along)
        bit = 1 << lane
        usual = [bool(mask & bit) for mask in along], [bool(mask & bit) for mask in against]
        same = self.every & ~changed
        self.grounded = [mask and mask & same for mask in self.grounded] if same else [0] * len(self.grounded)
        protectors = self.network.protectors
        for shorted, passed, passing in self._shorts:
            nodes = shorted
            if same:
                nodes = {node: now for node, mask in shorted.items() if (now := mask & changed)}
            zone = zone_of(self.network, nodes, along, against, protectors, unusual | passing, usual, passed)
            for node, mask in zone.items():
                self.grounded[node] |= mask
                if mask & ~self.dead[node]:
                    dead = list(self.dead) if dead is None else dead
                    dead[node] |= mask
        if dead is not None:
            self.dead = dead

    def _from_positives(self, along: list[int], against: list[int]) -> list[int]:
        """``along``, without the diodes that lead from what is joined to a negative: from there, as
        through the diode across a coil, no current flows into a short."""
        along = list(along)
        by_negative = list({id(reached): reached for reached in self.returned.values()}.values())
        for i in self.network.one_way:
            for returned in by_negative:
                along[i] &= ~returned[self.network.links[i].a] | against[i]
        return along

    def _unusual(self, along: list[int]) -> tuple[int, int]:
        """The lanes in which some link conducts otherwise than usual, and one usual lane."""
        unusual = self.lanes.touched
        lane = (~unusual & (unusual + 1)).bit_length() - 1
        lane = lane if lane < self.lanes.width else 0
        for i in self.contacts:
            unusual |= self.every ^ along[i] if along[i] >> lane & 1 else along[i]
        return unusual, lane

    @cached_property
    def _shorts(self) -> list[tuple[dict[int, int], dict[int, int], int]]:
        """The shorts of all lanes, those of one lane that different protectors do not stop apart:
        by node, the lanes in which it is shorted; by protector, those in which it does not stop the
        short; and all lanes in which any does not."""
        found: list[tuple[dict[int, int], dict[int, int], int]] = []
        taken: list[int] = []
        for passes, nodes in self.lanes.grounded.items():
            lanes = 0
            for mask in nodes.values():
                lanes |= mask
            place = next((i for i, mask in enumerate(taken) if not mask & lanes), len(taken))
            if place == len(taken):
                found.append(({}, {}, 0))
                taken.append(0)
            shorted, passed, passing = found[place]
            for node, mask in nodes.items():
                shorted[node] = shorted.get(node, 0) | mask
            for element in passes:
                for i in self.network.links_of.get(element, ()):
                    passed[i] = passed.get(i, 0) | lanes
            found[place] = shorted, passed, passing | (lanes if passes else 0)
            taken[place] |= lanes
        return found

    def rest(self) -> None:
        """Drop what only the search needs, as the answer stays in memory after it."""
        del self.feeds, self.returns
        self.chains = []

    def powered(
        self,
        consumer: PoweredDevice,
        without: Collection[str] = (),
        live: Mapping[str, Sequence[int]] | None = None,
    ) -> int:
        """The lanes in which one source feeds a consumer and has its return; some sources left out.
        ``live`` is what each source feeds, where it is not all that it reaches."""
        mask = 0
        if len(consumer.plus) == len(consumer.minus) == 1 and not consumer.either_way and live is None:
            # as most are: what is powered stays on the contracted graph
            (plus,), (minus,) = consumer.plus, consumer.minus
            for source, fed, returned in self.kept:
                if fed[plus] and source not in without:
                    mask |= fed[plus] & (returned[minus] | self.grounded[minus])
        else:
            for source, feed in (self.fed if live is None else live).items():
                if source not in without:
                    mask |= served(consumer, feed, self.returned_by_short[source])
        mask &= ~self.lanes.opened.get(consumer.element, 0)
        return mask & ~self.lanes.off[consumer.element] if consumer.element in self.lanes.off else mask

    def working(self, channel: Channel) -> int:
        """The lanes in which a channel that is no load works: a source that powers something, a bus
        that is live, something mechanical while the engine turns."""
        opened = self.lanes.opened.get(channel.element, 0)
        if channel.kind == "own battery":
            return self._on_own_battery(holder(channel.element))
        if channel.node is None:
            return self.lanes.driven(channel) & ~opened if channel.kind == "mechanical" else 0
        if channel.kind == "bus":
            return join(reach[channel.node] for reach in self.fed.values()) & ~opened
        reach, returned = self.fed[channel.element], self.returned_by_short[channel.element]
        users = (*self.network.consumers, *self.network.acting)
        return join(served(user, reach, returned) for user in users) & ~opened

    def _on_own_battery(self, unit: str) -> int:
        """The lanes in which a unit can work on the battery inside it."""
        lost = 0
        for lanes in (self.lanes.opened, self.lanes.shorted, self.lanes.off):
            lost |= lanes.get(unit, 0)
        return self.every & ~lost

    def hot(self) -> dict[str, int]:
        """The lanes in which each magneto is whole, and no current can go from its p-lead to its
        ground or into a short to ground."""
        found = {}
        for magneto in self.network.magnetos:
            joined = self.returns.from_node(magneto.ground, self.every)[magneto.p_lead]
            joined |= self.grounded[magneto.p_lead]
            found[magneto.element] = self.every & ~joined & ~self.lanes.opened.get(magneto.element, 0)
        return found

    def sneaking(self, sneak: SneakCurrent, lanes: int) -> int:
        """Those of some lanes in which a sneak current flows through each of its loads and coils.

        It does not where a conductor between two of them is joined to the source by either pole.
        """
        found, node = 0, self.network.node
        for source, feed in self.fed.items():
            returned = self.returned_by_short[source]
            mask, reach = lanes, feed
            for element, entry, leaving in sneak.hops:
                mask &= reach[node(entry)] & ~self.lanes.opened.get(element, 0)
                if (element, entry, leaving) == sneak.hops[-1]:
                    mask &= returned[node(leaving)]
                else:
                    mask &= ~(returned[node(leaving)] | feed[node(leaving)])
                    reach = self.feeds.from_node(node(leaving), mask)
            found |= mask
        return found

    def apart(self, source: Source, leads: PoweredDevice, lanes: int) -> int:
        """The lanes in which the output of a source does not reach the leads of its regulator; of
        these, those ``lanes`` in which it was driven, now or before, are noted as tripped."""
        reach, returned = self.joined[source.element], self.returned_by_short[source.element]
        apart = self.every & ~served(leads, reach, returned)
        self.tripped[source.element] = apart & (lanes | self.tripped.get(source.element, 0))
        return apart

    def supplied(self) -> dict[str, int]:
        """For each source that needs a supply, the lanes in which one that does not live by it
        gives it: a source that needs none, or one found here before it."""
        found: dict[str, int] = {s.element: 0 for s in self.network.sources if s.supply is not None}
        fresh = bool(found)
        while fresh:
            fresh = False
            for source in self.network.sources:
                if source.supply is None:
                    continue
                mask = 0
                for other, feed in self.fed.items():
                    lanes = found.get(other, -1)
                    if lanes and other != source.element:
                        mask |= lanes & served(source.supply, feed, self.returned_by_short[other])
                mask &= ~self.lanes.opened.get(source.element, 0)
                if mask & ~found[source.element]:
                    found[source.element] |= mask
                    fresh = True
        return found

    def trips(self, source: Source, relay: str) -> int:
        """The lanes in which the overvoltage relay of an alternator has tripped: where that gave current
        and its field is fed, and its regulator fails full on, loses a lead without which it drives the
        field so, or senses what others alone feed."""
        energised, alive = self.latched
        excited = alive[source.element] & self.lanes.driven(source) & ~self.dead[source.positive]
        if source.field is not None:
            excited &= self.powered(PoweredDevice("", (source.field,), (source.negative,)))
        lost, off = (
            join(self.every & ~self.powered(lead) for lead in leads)
            for leads in (source.full_without, source.off_without)
        )
        full = self.lanes.full_on.get(source.tripped, 0) | lost & ~off | self.tripped.get(source.element, 0)
        put, grounded = self.lanes.put.get(relay, 0), self.grounds_relay(source)
        return energised[relay] & ~put | (excited & full | put) & grounded

    def grounds_relay(self, source: Source) -> int:
        """The lanes in which the overvoltage relay of an alternator has its ground, where it needs one."""
        if source.relay_ground is None:
            return self.every
        return join(each[source.relay_ground] for each in self.returned_by_short.values())

    def stays_closed(self, source: Source) -> int:
        """The lanes in which the drawn overvoltage relay of an alternator does not trip whatever the volts
        are: it has no ground, or stays where it is."""
        if not source.relay:
            return 0
        relay = source.relay[0]
        stays = self.lanes.stays.get(relay, 0)
        return self.every & (stays | ~self.grounds_relay(source) & ~self.latched[0][relay])

    def tripped_relays(self) -> dict[str, int]:
        """By overvoltage relay the lanes in which it has tripped."""
        found: dict[str, int] = {}
        for source in self.network.sources:
            if source.relay:
                found[source.relay[0]] = found.get(source.relay[0], 0) | self.trips(source, source.relay[0])
        return found

    def regulated(self, source: Source, leads: PoweredDevice, lanes: int) -> int:
        """Those of some lanes in which the leads of its regulator, or its control, let an alternator give
        current: whether a trip stops it without them, or nothing does."""
        stopped = lanes & self.powered(leads)
        if not source.held:
            return stopped
        free = self.stays_closed(source)
        stopped &= ~self.apart(source, leads, stopped & ~free)
        if not free:
            return stopped
        return stopped & ~free | lanes & free & (self.powered(source.untripped) if source.untripped else -1)

    def steady(self, source: Source, capacitor: PoweredDevice) -> int:
        """The lanes in which a battery or its capacitor steadies an alternator."""
        reach, returned = self.joined[source.element], self.returned_by_short[source.element]
        mask = served(capacitor, reach, returned) & ~self.lanes.opened.get(capacitor.element, 0)
        for other in self.network.sources:
            if other.kind == "battery":
                feeds = self.fed[other.element][source.positive]
                mask |= feeds & self.returned_by_short[other.element][source.negative]
        return mask

    def living(self) -> dict[str, int]:
        """The sources that are alive, by what sources reach."""
        supplied = self.supplied()
        sources = {}
        for source in self.network.sources:
            mask = self.every & ~self.lanes.opened.get(source.element, 0) & ~self.dead[source.positive]
            if source.kind == "external-power":
                mask &= self.lanes.outside
            elif source.kind == "alternator":
                mask &= self.lanes.driven(source)
                if source.field is not None:
                    mask &= self.powered(PoweredDevice(source.element, (source.field,), (source.negative,)))
                if source.leads is not None:
                    mask = self.regulated(source, source.leads, mask)
                if source.smoothing is not None:
                    mask &= self.steady(source, source.smoothing)
            elif source.supply is not None:
                mask &= supplied[source.element]
            elif source.listed:
                mask &= self.lanes.listed.get(source.element, 0)
            sources[source.element] = mask
        return sources

    def short_of_negatives(self) -> dict[str, Sequence[int]] | None:
        """What each source feeds by ways that do not pass the metal of its own negative: a coil takes its
        current from a live plus, and not from a ground into which a shorted source feeds. None where
        no source feeds its own."""
        live: dict[str, Sequence[int]] = {}
        for source, metal in negative_metal(self.network).items():
            feed = self.fed[source]
            if lanes := join(feed[node] for node in metal.border):
                shut = [mask | lanes if n in metal.nodes else mask for n, mask in enumerate(self.dead)]
                along, against = self.feeds.along, self.feeds.against
                feeds = Propagator(self.network.contracted, along, against, shut, self.chains)
                start = self.positives[source]
                around = feeds.from_node(start, self.seeds[source] & lanes)
                live[source] = [around[n] | feed[n] & ~lanes for n in range(len(shut))]
        return {**self.fed, **live} if live else None

    def settle(self) -> tuple[dict[str, int], dict[str, int]]:
        """The coils that are energised and the sources that are alive, by what sources reach."""
        live = self.short_of_negatives()
        relays = {driver.element: self.powered(driver, live=live) for driver in self.network.acting}
        relays |= {unit.element: self.powered(unit) for unit in self.network.units}
        for element, device, weak, holding in self.sensing:
            held = self.latched[0][element] & self.powered(device, weak - holding, live)
            relays[element] = self.powered(device, weak, live) | held
        for sneak, lanes in self.lanes.sneaks:
            relays[sneak.relay] |= self.sneaking(sneak, lanes)
        sources = self.living()
        relays |= {e: sources[e] for e in self.network.lamp_contacts}
        relays |= self.tripped_relays()
        for follower in self.network.followers:
            if follower.device is not None:
                relays.setdefault(follower.element, self.powered(follower.device))
            else:
                relays[follower.element] = sources.get(follower.source, self.lanes.running)
            if follower.ground is not None:
                returned = (each[follower.ground] for each in self.returned_by_short.values())
                relays[follower.element] &= join(returned)
        return relays, sources
