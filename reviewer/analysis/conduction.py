"""What is live in one operating state, in the healthy system and under many failures at once.

Each failure is one bit. A Python integer per node holds, for every failure, whether a source feeds the node; currents
spread along the links until nothing changes. *Powered* means that one live source both feeds a supply terminal and gets the
return terminal back. Relays and alternators are loads of their own coil and field: the healthy state is the least fixed point
from cold; under a failure they start from the healthy state and drop out.

A short to ground takes everything from which current can flow into it without passing a protector: that zone is dead and a
source inside it is lost. The protectors round the zone open; what is outside them lives on.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from reviewer.analysis.failures import DIODE_SHORT, OPEN, SHORT, Failure
from reviewer.model.operating import ResolvedState
from reviewer.network.graph import Consumer, Gate, Network


@dataclass(frozen=True)
class Conduction:
    """The answer for one state. In every integer, bit i belongs to ``failures[i]``; with no failures, bit 0 is the healthy system.

    ``fed[source][node]`` and ``returned[source][node]``: the source feeds the node, gets the node back. ``powered[element]`` for loads and
    instruments, ``energised[element]`` for relays, ``alive[element]`` for sources, ``zone[node]`` dead by a short, ``unsettled`` the failures
    under which the relays hunt.
    """

    failures: tuple[Failure, ...]
    fed: Mapping[str, tuple[int, ...]]
    returned: Mapping[str, tuple[int, ...]]
    powered: Mapping[str, int]
    energised: Mapping[str, int]
    alive: Mapping[str, int]
    zone: tuple[int, ...]
    unsettled: int

    def live(self, node: int) -> int:
        """The failures under which any source feeds a node."""
        mask = 0
        for reach in self.fed.values():
            mask |= reach[node]
        return mask


def conduct(
    network: Network, state: ResolvedState, failures: Sequence[Failure] = (), before: Conduction | None = None, extra: Sequence[int] = ()
) -> Conduction:
    """Solve one state.

    ``failures`` are solved all at once from ``before``, the healthy state; without failures the healthy state is solved from cold.
    ``extra`` are indexes of switch links that conduct besides those of the positions (contacts that overlap in transit).
    """
    width = len(failures) or 1
    every = (1 << width) - 1
    solver = _Solver(network, state, failures, every, frozenset(extra))
    energised = {c.element: _spread(before.energised[c.element], every) if before else 0 for c in network.coils}
    alive = {s.element: _spread(before.alive[s.element], every) if before else 0 for s in network.sources}
    rounds = 2 * (len(network.coils) + len(network.sources)) + 4
    changed = every
    for _ in range(rounds):
        answer = solver.spread(energised, alive)
        relays, sources = solver.settle(answer)
        changed = 0
        for key, mask in (*relays.items(), *sources.items()):
            changed |= mask ^ (energised.get(key, 0) if key in energised else alive[key])
        energised, alive = relays, sources
        if not changed:
            break
    else:
        answer = solver.spread(energised, alive)
    fed, returned, zone = answer
    powered = {c.element: solver.powered(c, fed, returned) for c in network.consumers}
    frozen = MappingProxyType
    return Conduction(
        tuple(failures), frozen({k: tuple(v) for k, v in fed.items()}), frozen({k: tuple(v) for k, v in returned.items()}),
        frozen(powered), frozen(energised), frozen(alive), tuple(zone), changed,
    )  # fmt: skip


def _spread(mask: int, every: int) -> int:
    return every if mask & 1 else 0


class _Solver:
    def __init__(self, network: Network, state: ResolvedState, failures: Sequence[Failure], every: int, extra: frozenset[int]):
        self.network, self.state, self.every = network, state, every
        self.open: dict[str, int] = {}
        self.grounded: dict[int, int] = {}
        both_ways: dict[str, int] = {}
        for i, failure in enumerate(failures):
            bit = 1 << i
            if failure.mode == OPEN:
                self.open[failure.element] = self.open.get(failure.element, 0) | bit
            elif failure.mode == DIODE_SHORT:
                both_ways[failure.element] = both_ways.get(failure.element, 0) | bit
            elif failure.mode == SHORT:
                for node in failure.nodes:
                    self.grounded[node] = self.grounded.get(node, 0) | bit
        self.nobody = [0] * len(network.names)
        self.dead = self.nobody
        self.relays: tuple[int, ...] | None = None
        self.fed: dict[str, tuple[int, list[int]]] = {}
        self.returned: dict[str, list[int]] = {}
        self.forward: list[int] = []
        self.backward: list[int] = []
        self.relayed: list[tuple[int, str, bool]] = []
        for i, link in enumerate(network.links):
            name = link.element.partition("/")[2]
            mask = every & ~self.open.get(link.element, 0)
            if (link.gate is Gate.SWITCH and state.switches.get(name) not in link.positions and i not in extra) or (
                link.gate is Gate.PROTECTOR and (name in state.pulled or (link.positions and state.switches.get(name) not in link.positions))
            ):
                mask = 0
            elif link.gate in (Gate.ENERGISED, Gate.AT_REST):
                self.relayed.append((i, link.element, link.gate is Gate.ENERGISED))
            self.forward.append(mask)
            self.backward.append(mask & both_ways.get(link.element, 0) if link.oneway else mask)
        self.protectors = frozenset(i for i, link in enumerate(network.links) if link.gate is Gate.PROTECTOR)

    def spread(self, energised: dict[str, int], alive: dict[str, int]):
        """Where every source reaches, with relays and sources as given. What cannot have changed since the last time is not done again."""
        relays = tuple(energised[element] for _, element, _ in self.relayed)
        if relays != self.relays:
            self.relays = relays
            self.along, self.against = list(self.forward), list(self.backward)
            for i, element, when in self.relayed:
                mask = energised[element] if when else self.every & ~energised[element]
                self.along[i] &= mask
                self.against[i] &= mask
            self.fed.clear()
            self.returned = {s.element: self._reach({s.negative: self.every}, self.against, self.along, self.nobody) for s in self.network.sources}
            if self.grounded:
                # against the current: which nodes can feed the short without passing a protector
                zone = self._reach(self.grounded, self.against, self.along, self.nobody, self.protectors)
                # a source that was shorted stays lost and a burned zone stays dead, even when a relay then lets go
                self.dead = [now | ever for now, ever in zip(zone, self.dead, strict=True)]
        fed = {}
        for source in self.network.sources:
            seed = alive[source.element] & ~self.dead[source.positive]
            known = self.fed.get(source.element)
            if known is None or known[0] != seed:
                known = self.fed[source.element] = (seed, self._reach({source.positive: seed}, self.along, self.against, self.dead))
            fed[source.element] = known[1]
        return fed, self.returned, self.dead

    def _reach(
        self, seeds: dict[int, int], along: list[int], against: list[int], blocked: list[int], barred: frozenset[int] = frozenset()
    ) -> list[int]:
        reach = [0] * len(self.network.names)
        todo = []
        for node, mask in seeds.items():
            if mask:
                reach[node] = mask
                todo.append(node)
        around = self.network.around
        fresh = {n: reach[n] for n in todo}
        while todo:
            node = todo.pop()
            mask = fresh.pop(node, 0)
            if not mask:
                continue
            for i, other, leaving in around[node]:
                new = mask & (along[i] if leaving else against[i]) & ~reach[other] & ~blocked[other]
                if new and i not in barred:
                    reach[other] |= new
                    if other in fresh:
                        fresh[other] |= new
                    else:
                        fresh[other] = new
                        todo.append(other)
        return reach

    def powered(self, consumer: Consumer, fed: dict[str, list[int]], returned: dict[str, list[int]]) -> int:
        mask = 0
        for source, feed in fed.items():
            back = returned[source]
            mask |= _any(feed, consumer.plus) & _any(back, consumer.minus)
            if consumer.either_way:
                mask |= _any(feed, consumer.minus) & _any(back, consumer.plus)
        return mask & ~self.open.get(consumer.element, 0)

    def settle(self, answer) -> tuple[dict[str, int], dict[str, int]]:
        fed, returned, zone = answer
        relays = {coil.element: self.powered(coil, fed, returned) for coil in self.network.coils}
        sources = {}
        for source in self.network.sources:
            mask = self.every & ~self.open.get(source.element, 0) & ~zone[source.positive]
            if source.kind == "ground-power" and not self.state.ground_power:
                mask = 0
            elif source.kind == "alternator":
                mask = mask if self.state.engine == "running" else 0
                if source.field is not None:
                    field = Consumer(source.element, (source.field,), (source.negative,))
                    mask &= self.powered(field, fed, returned)
            sources[source.element] = mask
        return relays, sources


def _any(reach: list[int], nodes: tuple[int, ...]) -> int:
    mask = 0
    for node in nodes:
        mask |= reach[node]
    return mask
