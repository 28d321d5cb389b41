"""Which loads the current of each contact goes to, from solved operating points.

At a node the current that comes in is taken to share among the links out in proportion, so that the
part of each load that goes through a contact is known. A contact in a return is followed against
the current to the loads that it comes from. The contact nearest to a load makes and breaks its
current; one further up, with another contact between, only carries it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import islice
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.exclusions import ways_along
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.moves import positions_in_flight
from reviewer.analysis.operating_point.carried import CARRIERS
from reviewer.analysis.wiring.circuits import circuit
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: amperes below which a current is not followed; a value of our own
LEAST = 1e-5


@record
class Through:
    """The share (0 to 1) of the current of ``element`` that goes through a contact.

    The element is a load, a coil, a field, the input of a converter or charger, or a battery under
    charge; its current is ``amperes`` in
    all. ``switched`` where no other contact lies between, so that this one makes and breaks the
    current.
    """

    element: str
    share: float
    amperes: float
    switched: bool


@record
class ContactUse:
    """What a contact from terminal ``a`` to ``b`` carries in one operating point.

    ``amperes`` in all, and what it goes ``through`` to.
    """

    element: str
    a: str
    b: str
    amperes: float
    through: tuple[Through, ...]


@dataclass
class _Edge:
    """Current from one merged node to another, by one link.

    Against or along the link, so that ``amperes`` is positive.
    """

    start: int
    end: int
    amperes: float
    contact: bool


class Joined:
    """The network with bars, blocks and what is joined inside units as one node each.

    ``home`` of every node, and the ``paths`` for current that are left, as (link, its two
    terminals, element, whether it is a contact).
    """

    def __init__(self, design: Design, network: Network):
        self.design, self.network = design, network
        self._root = list(range(len(network.names)))
        self.paths: list[tuple[int, tuple[str, str], str, bool]] = []
        dimmers = {one.element for one in network.dimmers}
        for i, link in enumerate(network.links):
            if link.gate in (Gate.SHIELD, Gate.COIL_DIODE) or i in network.bridges:
                continue
            if link.element.startswith("parts/") and not isinstance(
                design.parts[bare(link.element)], CARRIERS
            ):
                self._root[self._find(link.a)] = self._find(link.b)
            else:
                moved = link.gate in (Gate.ENERGISED, Gate.DE_ENERGISED) and link.element not in dimmers
                pair = network.names[link.a], network.names[link.b]
                self.paths.append((i, pair, link.element, bool(link.positions) or moved))
        self.home = tuple(self._find(node) for node in range(len(network.names)))

    def _find(self, node: int) -> int:
        while self._root[node] != node:
            self._root[node] = self._root[self._root[node]]
            node = self._root[node]
        return node

    def uses(self, point: OperatingPoint) -> tuple[ContactUse, ...]:
        """The use of every contact that carries current in a point."""
        return tuple(_Flows(self, point).uses())


class _Flows:
    def __init__(self, joined: Joined, point: OperatingPoint):
        self.network, self.point, self.home = joined.network, point, joined.home
        self.edges = {path[0]: edge for path in joined.paths if (edge := self._edge(*path))}
        #: node -> what is taken there (element, amperes), and what is given back there by the
        #: returns of loads
        self.taken: dict[int, list[tuple[str, float]]] = {}
        self.given: dict[int, list[tuple[str, float]]] = {}
        self._sinks()
        self.out: dict[int, list[_Edge]] = {}
        self.into: dict[int, list[_Edge]] = {}
        for edge in self.edges.values():
            self.out.setdefault(edge.start, []).append(edge)
            self.into.setdefault(edge.end, []).append(edge)
        self._down: dict[int, dict[tuple[str, bool], float]] = {}
        self._up: dict[int, dict[tuple[str, bool], float]] = {}

    def _edge(self, i: int, pair: tuple[str, str], element: str, contact: bool) -> _Edge | None:
        amps = self.point.contacts.get(pair, self.point.amps.get(element))
        if amps is None or not abs(amps) > LEAST:
            return None
        link = self.network.links[i]
        start, end = (link.a, link.b) if amps > 0 else (link.b, link.a)
        return _Edge(self.home[start], self.home[end], abs(amps), contact)

    def _sinks(self) -> None:
        """What loads, coils, fields, charged batteries and resistors across a source take and give back
        at their nodes.

        Of a load of several supplies each takes what comes in there.
        """
        balance: dict[int, float] = {}
        for edge in self.edges.values():
            balance[edge.end] = balance.get(edge.end, 0.0) + edge.amperes
            balance[edge.start] = balance.get(edge.start, 0.0) - edge.amperes
        for consumer in self.network.consumers:
            amps = self.point.taken[consumer.element]
            inlets, outlets = consumer.directions[consumer.element in self.point.reversed]
            for n in inlets:
                self._sink(
                    consumer.element,
                    self.home[n],
                    amps if len(inlets) == 1 else min(amps, max(0.0, balance.get(self.home[n], 0.0))),
                )
            self._back(consumer.element, self.home[outlets[0]], amps)
        for coil in self.network.coils:
            amps = self.point.coils.get(coil.element, 0.0)
            plus, minus = (coil.plus[0], coil.minus[0]) if amps >= 0 else (coil.minus[0], coil.plus[0])
            self._sink(coil.element, self.home[plus], abs(amps))
            self._back(coil.element, self.home[minus], abs(amps))
        for i in self.network.bridges:
            link = self.network.links[i]
            pair = (self.network.names[link.a], self.network.names[link.b])
            amps = self.point.contacts.get(pair, self.point.amps.get(link.element, 0.0))
            into, out = (link.a, link.b) if amps >= 0 else (link.b, link.a)
            self._sink(link.element, self.home[into], abs(amps))
            self._back(link.element, self.home[out], abs(amps))
        for source in self.network.sources:
            if source.kind == "battery" and self.point.given[source.element] < 0:
                self._sink(source.element, self.home[source.positive], -self.point.given[source.element])
                self._back(source.element, self.home[source.negative], -self.point.given[source.element])
            if source.field is not None:
                self._sink(
                    source.element,
                    self.home[source.field],
                    max(0.0, balance.get(self.home[source.field], 0.0)),
                )
            if source.inlet is not None:
                plus, minus = self.home[source.inlet.plus[0]], self.home[source.inlet.minus[0]]
                taken = max(0.0, balance.get(plus, 0.0))
                self._sink(source.element, plus, taken)
                self._back(source.element, minus, taken)

    def _sink(self, element: str, node: int, amps: float) -> None:
        if amps > LEAST:
            self.taken.setdefault(node, []).append((element, amps))

    def _back(self, element: str, node: int, amps: float) -> None:
        if amps > LEAST:
            self.given.setdefault(node, []).append((element, amps))

    def uses(self) -> Iterator[ContactUse]:
        for i, edge in self.edges.items():
            link = self.network.links[i]
            if edge.contact and link.gate is not Gate.PROTECTOR:
                found = self._shares(edge.end, True, self._down) or self._shares(edge.start, False, self._up)
                through = []
                for (element, switched), share in found.items():
                    whole = self._whole.get(element, 0.0)
                    through.append(Through(element, min(1.0, share * edge.amperes / whole), whole, switched))
                yield ContactUse(
                    link.element,
                    self.network.names[link.a],
                    self.network.names[link.b],
                    edge.amperes,
                    tuple(through),
                )

    @cached_property
    def _whole(self) -> Mapping[str, float]:
        """What each element takes at all of its nodes, in A."""
        whole: dict[str, float] = {}
        for own in self.taken.values():
            for name, amps in own:
                whole[name] = whole.get(name, 0.0) + amps
        return whole

    def _shares(
        self, node: int, down: bool, done: dict[int, dict[tuple[str, bool], float]]
    ) -> Mapping[tuple[str, bool], float]:
        """The shares of one ampere through a node that go to (or come from) each element.

        By element and whether the contact switches it.
        """
        if node in done:
            return done[node]
        done[node] = {}  # a current does not come back to a node; noise in an ideal ring might
        edges = self.out.get(node, []) if down else self.into.get(node, [])
        own = self.taken.get(node, []) if down else self.given.get(node, [])
        total = sum(edge.amperes for edge in edges) + sum(amps for _, amps in own)
        found: dict[tuple[str, bool], float] = {}
        for element, amps in own:
            found[element, True] = found.get((element, True), 0.0) + amps / total
        for edge in edges:
            for (element, switched), share in self._shares(
                edge.end if down else edge.start, down, done
            ).items():
                key = (element, switched and not edge.contact)
                found[key] = found.get(key, 0.0) + share * edge.amperes / total
        done[node] = found
        return found


def untried_positions(
    design: Design, network: Network, states: Iterable[ResolvedState], base: ResolvedState
) -> tuple[ResolvedState, ...]:
    """The base state with switches at positions that join something and that no state of flight
    sets, nor an abnormal one.

    As many at once as may be set, and then each alone that stands in the circuit of a load with
    another: beside that it would carry a part of the current. Where the switches exclude a
    combination, others of the exclusion move along, as under a bar, if they are still as in the
    base state.
    """
    flown = positions_in_flight(design, network, states, base)
    left: dict[str, list[str]] = {}
    for name in design.set_switches:
        joining = [at for at, pairs in design.parts[name].positions.items() if pairs]
        left[name] = [at for at in joining if (name, at) not in flown]
    rounds = []
    while any(left.values()):
        moved: dict[str, str] = {}
        for name, positions in left.items():
            if positions and name not in moved:
                at = {**base.switches, **moved, name: positions[0]}
                along = (dict(way) for way in ways_along(design, at, name))
                free = next((way for way in along if moved.keys().isdisjoint(way)), None)
                if free is None:
                    positions.append(positions.pop(0))
                else:
                    moved |= {name: positions.pop(0), **free}
        if not moved:
            break
        rounds.append(moved)
    alone = [
        {name: moved[name], **dict(way)}
        for moved in rounds
        for name in _together(design, network, moved)
        for way in islice(ways_along(design, {**base.switches, name: moved[name]}, name), 1)
    ]
    tried = (replace(base, switches=MappingProxyType({**base.switches, **m})) for m in [*rounds, *alone])
    return tuple(tried)


def _together(design: Design, network: Network, switches: Collection[str]) -> Iterator[str]:
    """Those of some switches that stand in the circuit of one load with another of them."""
    users = (*network.consumers, *network.coils) if len(switches) > 1 else ()
    circuits = [circuit(design, network, (*user.plus, *user.minus)).elements for user in users]
    for name in switches:
        others = {f"parts/{other}" for other in switches if other != name}
        if any(f"parts/{name}" in own and not others.isdisjoint(own) for own in circuits):
            yield name


def serves(answer: StateAnswer, use: ContactUse) -> bool:
    """Whether a contact serves anything that has power in a state: what leaks into a dead circuit
    is no use of it."""
    healthy = answer.healthy
    coils = {coil.element for coil in answer.network.coils}
    return any(
        bool(
            healthy.powered.get(one.element)
            or (healthy.energised[one.element] if one.element in coils else healthy.alive.get(one.element))
        )
        for one in use.through
    )


def started_by(design: Design, network: Network, base: StateAnswer, moved: StateAnswer) -> tuple[str, ...]:
    """The motors and lamps, by name, that a move starts and of which the file gives a peak alone."""
    return tuple(
        bare(c.element)
        for c in network.consumers
        if moved.healthy.powered[c.element]
        and not base.healthy.powered[c.element]
        and getattr(design.parts[bare(c.element)], "type", None) in ("motor", "starter", "lamp")
        and has_peak_alone(design.parts[bare(c.element)])
    )


def has_peak_alone(part: p.Part) -> bool:
    """Whether the file gives a peak of a part and no current."""
    return getattr(part, "peak", None) is not None and getattr(part, "current", None) is None
