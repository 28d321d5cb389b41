"""What is live in an operating state, in the healthy system and under many failures at once.

Each scenario is a lane, one bit of a Python integer. *Powered* means that one live source both feeds a supply terminal and
gets the return terminal back. Relays and alternators are loads of their own coil and field: the healthy state is the least
fixed point from cold; under a failure they start from the healthy state and drop out.

A short to ground takes everything from which current can flow into it without passing a protector: that zone is dead and a
source inside it is lost. The protectors round the zone open; what is outside them lives on.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType

from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.propagation import OneLane, Reached, Spreader, Union, zone_of
from reviewer.analysis.conduction.scenarios import (
    Case,
    Lanes,
    lanes_of_cases,
    lanes_of_pairs,
    lanes_of_states,
)
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Consumer, Network


@record
class Conduction:
    """The answer for some lanes; in every integer, bit i is lane i.

    ``fed[source][node]`` and ``returned[source][node]``: the source feeds the node, gets the node back. ``powered[element]`` for loads and
    instruments, ``energised[element]`` for coils, ``alive[element]`` for sources, ``zone[node]`` dead by a short, ``unsettled`` the lanes
    in which the relays hunt.
    """

    width: int
    fed: Mapping[str, Sequence[int]]
    returned: Mapping[str, Sequence[int]]
    powered: Mapping[str, int]
    energised: Mapping[str, int]
    alive: Mapping[str, int]
    zone: tuple[int, ...]
    unsettled: int

    @cached_property
    def lives(self) -> Sequence[int]:
        """For each node, the lanes in which any source feeds it."""
        return Union(tuple(self.fed.values()))

    def live(self, node: int) -> int:
        """The lanes in which any source feeds a node."""
        return self.lives[node]

    def lane(self, lane: int) -> Conduction:
        """One lane by itself, as a conduction of one lane."""
        pick = lambda masks: MappingProxyType({key: mask >> lane & 1 for key, mask in masks.items()})  # noqa: E731
        one = lambda reaches: MappingProxyType({key: OneLane(reach, lane) for key, reach in reaches.items()})  # noqa: E731
        zone = tuple(mask >> lane & 1 for mask in self.zone)
        return OfMany(
            1, one(self.fed), one(self.returned), pick(self.powered), pick(self.energised), pick(self.alive), zone,
            self.unsettled >> lane & 1, self, lane,
        )  # fmt: skip


@record
class OfMany(Conduction):
    """One lane of many: what was worked out for them serves it too."""

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

    The cases start from ``before``, the healthy state; without cases the healthy state is solved from cold, in one lane.
    """
    return conduct_lanes(network, lanes_of_cases(network, state, cases), before)


def conduct_pairs(
    network: Network,
    state: ResolvedState,
    firsts: Sequence[Case],
    seconds: Sequence[Case],
    before: Conduction,
) -> Conduction:
    """Solve one state under every pair: lane ``i * len(seconds) + j`` has ``firsts[i]`` and ``seconds[j]``."""
    return conduct_lanes(network, lanes_of_pairs(network, state, firsts, seconds), before)


def conduct_states(network: Network, states: Sequence[ResolvedState]) -> Conduction:
    """Solve many states at once in the healthy system, each from cold: lane i is ``states[i]``."""
    return conduct_lanes(network, lanes_of_states(network, states))


def conduct_onward(
    network: Network, lanes: Lanes, energised: Mapping[str, int], alive: Mapping[str, int]
) -> Conduction:
    """Solve lanes of which each starts from relays and sources as they stand in it (``energised[element]``, ``alive[element]``)."""
    return conduct_lanes(network, lanes, start=(dict(energised), dict(alive)))


def conduct_lanes(
    network: Network,
    lanes: Lanes,
    before: Conduction | None = None,
    start: tuple[dict[str, int], dict[str, int]] | None = None,
) -> Conduction:
    """Solve lanes: all from the one lane of ``before``, or each from relays and sources as in ``start``, or from cold."""
    solver = _Solver(network, lanes)
    every = lanes.every
    energised = {c.element: every if before and before.energised[c.element] & 1 else 0 for c in network.coils}
    alive = {s.element: every if before and before.alive[s.element] & 1 else 0 for s in network.sources}
    energised, alive = start or (energised, alive)
    alive = {element: mask & ~lanes.opened.get(element, 0) for element, mask in alive.items()}
    changed = every
    for _ in range(2 * (len(network.coils) + len(network.sources)) + 4):
        solver.spread(energised, alive)
        relays, sources = solver.settle()
        changed = 0
        for key, mask in relays.items():
            changed |= mask ^ energised[key]
        for key, mask in sources.items():
            changed |= mask ^ alive[key]
        energised, alive = relays, sources
        if not changed:
            break
    else:
        solver.spread(energised, alive)
    powered = {c.element: solver.powered(c) for c in network.consumers}
    frozen = MappingProxyType
    return Conduction(
        lanes.width,
        frozen(dict(solver.fed)),
        frozen(dict(solver.returned)),
        frozen(powered),
        frozen(energised),
        frozen(alive),
        tuple(solver.dead),
        changed,
    )


def link_masks(lanes: Lanes, energised: Mapping[str, int]) -> tuple[list[int], list[int]]:
    """The lanes in which each link conducts from a to b and from b to a, with the coils as given."""
    along, against = list(lanes.forward), list(lanes.backward)
    for i, element, when in lanes.relayed:
        mask = (energised[element] & ~lanes.dropped.get(element, 0)) | lanes.held.get(element, 0)
        mask = mask if when else lanes.every & ~mask
        along[i] &= mask
        against[i] &= mask
    return along, against


def carriers(network: Network, solved: Conduction) -> Iterator[tuple[int, int]]:
    """(link, lanes) for each protector that carries the current of a short, where it conducts: one end in the zone, the other fed by what lives on."""
    for i in sorted(network.protectors):
        a, b = network.links[i].a, network.links[i].b
        border = solved.zone[a] ^ solved.zone[b]
        if border and (mask := border & (solved.zone[a] & solved.live(b) | solved.zone[b] & solved.live(a))):
            yield i, mask


class _Solver:
    def __init__(self, network: Network, lanes: Lanes):
        self.network, self.lanes, self.every = network, lanes, lanes.every
        self.dead = [0] * len(network.names)
        self.moving = frozenset(i for i, _, _ in lanes.relayed)
        self.relays: tuple[int, ...] | None = None
        self.forth: Spreader
        self.back: Spreader
        self.seeds: dict[str, int] = {}
        self.fed: dict[str, Reached] = {}
        self.returned: dict[str, Reached] = {}

    def spread(self, energised: dict[str, int], alive: dict[str, int]) -> None:
        """Where every source reaches, with relays and sources as given. Only the lanes in which something changed since the last time are done again."""
        lanes, trunk = self.lanes, self.network.trunk
        relays = tuple(energised[element] for _, element, _ in lanes.relayed)
        changed = 0
        if relays != self.relays:
            along, against = link_masks(lanes, energised)
            first, self.relays = self.relays is None, relays
            changed = self.every if first else self._changed(along)
            self._burn(along, against, changed)
            forth, back = (None, None) if first else (self.forth, self.back)
            moved = frozenset() if first else self.moving
            self.forth = Spreader(trunk, along, against, self.dead if lanes.grounded else None, forth, moved)
            self.back = Spreader(trunk, against, along, None, back, moved)
            ends: dict[int, Reached] = {}
            for s in self.network.sources:
                if s.negative not in ends:
                    ends[s.negative] = self.back.again(
                        s.negative, self.every, changed, self.returned.get(s.element)
                    )
                self.returned[s.element] = ends[s.negative]
        for source in self.network.sources:
            seed = alive[source.element] & ~self.dead[source.positive]
            again = changed | (seed ^ self.seeds.get(source.element, ~seed) & self.every)
            if again:
                self.seeds[source.element] = seed
                self.fed[source.element] = self.forth.again(
                    source.positive, seed, again, self.fed.get(source.element)
                )

    def _changed(self, along: list[int]) -> int:
        changed = 0
        for i in self.moving:
            changed |= along[i] ^ self.forth.along[i]
        return changed

    def _burn(self, along: list[int], against: list[int], changed: int) -> None:
        """Marks the zones of the shorts as dead, for good: a source that was shorted stays lost even when a relay then lets go."""
        if not self.lanes.grounded:
            return
        dead: list[int] | None = None
        unusual = self.lanes.touched
        lane = (~unusual & (unusual + 1)).bit_length() - 1
        lane = lane if lane < self.lanes.width else 0
        for i in self.moving:
            unusual |= self.every ^ along[i] if along[i] >> lane & 1 else along[i]
        usual = [mask >> lane & 1 for mask in along], [mask >> lane & 1 for mask in against]
        for passes, shorted in self.lanes.grounded.items():
            nodes = {node: mask & changed for node, mask in shorted.items() if mask & changed}
            barred = (
                frozenset(i for i in self.network.protectors if self.network.links[i].element not in passes)
                if passes
                else self.network.protectors
            )
            for node, mask in zone_of(self.network, nodes, along, against, barred, unusual, usual).items():
                if mask & ~self.dead[node]:
                    dead = list(self.dead) if dead is None else dead
                    dead[node] |= mask
        if dead is not None:
            self.dead = dead

    def powered(self, consumer: Consumer) -> int:
        """The lanes in which one source feeds a consumer and gets it back."""
        mask = 0
        for source, feed in self.fed.items():
            mask |= served(consumer, feed, self.returned[source])
        return mask & ~self.lanes.opened.get(consumer.element, 0)

    def settle(self) -> tuple[dict[str, int], dict[str, int]]:
        """What relays and sources do, given where the sources reach."""
        relays = {coil.element: self.powered(coil) for coil in self.network.coils}
        sources = {}
        for source in self.network.sources:
            mask = self.every & ~self.lanes.opened.get(source.element, 0) & ~self.dead[source.positive]
            if source.kind == "ground-power":
                mask &= self.lanes.outside
            elif source.kind == "alternator":
                mask &= self.lanes.running
                if source.field is not None:
                    mask &= self.powered(Consumer(source.element, (source.field,), (source.negative,)))
            sources[source.element] = mask
        return relays, sources
