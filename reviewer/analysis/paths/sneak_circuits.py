"""Sneak circuits: current that reaches a circuit which is off, through a load, a lamp or a coil.

Here loads are conductors: a lamp, heater, motor or coil in both directions, electronics from supply
to return only. Current ends at the return of its source; past a return that is lost it flows on
into whatever else is connected there. Each switch is moved alone from a declared state, and in each
of these settings every conductor of the return side is opened once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import OPEN, Failure, stuck_contacts
from reviewer.analysis.conduction.fixed_point import Conduction, conduct_lanes, link_masks
from reviewer.analysis.conduction.masks import at_any
from reviewer.analysis.conduction.propagation import Propagator, Reached
from reviewer.analysis.conduction.scenarios import Case, lanes_of_pairs
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Link, Network, PoweredDevice, bare
from reviewer.network.search import shortest

#: types of load that conduct in both directions
_BOTH_DIRECTIONS = ("lamp", "resistive", "heater", "motor", "inductive", "starter")


@record
class Sneak:
    """``victim`` gets current from ``source`` though it is off, in a ``state`` or one move from it.

    ``through`` are the loads and coils that pass the current, ``moved`` the (switch, position) that
    differs from that state or None, ``lost`` the conductor of the return side that is open or
    "".
    """

    victim: str
    source: str
    through: tuple[str, ...]
    moved: tuple[str, str] | None
    lost: str
    path: tuple[str, ...]
    state: str


def sneaks(
    design: Design, network: Network, answer: StateAnswer, wider: tuple[Network, int] | None = None
) -> Iterator[Sneak]:
    """One sneak path for each victim: with nothing lost if there is one, else with the first return
    whose loss opens it. ``wider`` is what :func:`with_loads` gives, where it is known."""
    return _SneakSearch(design, network, answer, wider or with_loads(design, network)).sneaks()


class _SneakSearch:
    """Every single move with every single loss of a return conductor, a lane for each pair."""

    def __init__(self, design: Design, network: Network, answer: StateAnswer, wider: tuple[Network, int]):
        self.network, self.state = network, answer.state.name
        stuck = stuck_contacts(design, dict(answer.state.switches))
        self.moves: list[Case] = [(), *(f for f in stuck if f.position)]
        self.losses: list[Case] = [(), *_return_losses(design, network, answer)]
        self.lanes = lanes_of_pairs(network, answer.state, self.moves, self.losses)
        self.solved = conduct_lanes(network, self.lanes, answer.healthy)
        self.wider, self.first = wider
        self.along, self.against = link_masks(self.lanes, self.solved.energised)
        for link in self.wider.links[self.first :]:
            mask = self.lanes.every & ~self.lanes.opened.get(link.element, 0)
            self.along.append(mask)
            self.against.append(0 if link.oneway else mask)

    def sneaks(self) -> Iterator[Sneak]:
        """One sneak path for each victim."""
        for victim, (lane, source) in self._victims().items():
            path = self._path(source, victim, lane)
            move, loss = self.moves[lane // len(self.losses)], self.losses[lane % len(self.losses)]
            yield Sneak(
                victim,
                source,
                tuple(dict.fromkeys(e for e, passed in path if passed)),
                (bare(move.element), move.position) if isinstance(move, Failure) else None,
                loss.element if isinstance(loss, Failure) else "",
                tuple(dict.fromkeys([source, *(e for e, _ in path)])),
                self.state,
            )

    def _victims(self) -> dict[str, tuple[int, str]]:
        """Victim -> (the simplest lane in which it gets current by a sneak path, the source)."""
        victims: dict[str, tuple[int, str]] = {}
        solved, count = self.solved, len(self.losses)
        for source in self.network.sources:
            # a path ends where it reaches the return of the source
            ends = [solved.returned[source.element][n] for n in range(len(self.network.names))]
            propagator = Propagator(self.wider.contracted, self.along, self.against, ends)
            start = solved.alive[source.element] & ~ends[source.positive]
            reach = propagator.from_node(source.positive, start)
            for consumer in (*self.network.consumers, *self.network.coils):
                opened = self.lanes.opened.get(consumer.element, 0)
                sneaked = _sneaked(consumer, source.element, solved, reach, opened)
                if sneaked:
                    lane = _simplest(sneaked, count)
                    known = victims.get(consumer.element)
                    if known is None or _rank(lane, count) < _rank(known[0], count):
                        victims[consumer.element] = (lane, source.element)
        return victims

    def _path(self, source: str, victim: str, lane: int) -> list[tuple[str, bool]]:
        """(element, True where it is a load) along the shortest sneak path in one lane."""
        wider, solved = self.wider, self.solved
        start = next(s.positive for s in wider.sources if s.element == source)
        consumer = next(c for c in (*wider.consumers, *wider.coils) if c.element == victim)
        goals = {n for n in consumer.plus if not solved.fed[source][n] >> lane & 1}
        returned = solved.returned[source]

        def onward(node: int) -> Iterator[tuple[int, tuple[str, bool]]]:
            for i, other, leaving in wider.around[node]:
                conducts = (self.along[i] if leaving else self.against[i]) >> lane & 1
                if conducts and not returned[other] >> lane & 1:
                    yield other, (wider.links[i].element, i >= self.first)

        nearest = shortest(start, goals, onward)
        return list(dict.fromkeys(nearest[1])) if nearest else []


def _return_losses(design: Design, network: Network, answer: StateAnswer) -> Iterator[Failure]:
    """The opening of each conductor of the return side; metal structure does not open."""
    structure = {f"parts/{n}" for n in design.of_kind(p.Airframe)}
    for element in network.elements:
        nodes = network.nodes_of[element]
        dead = not any(answer.healthy.live(n) for n in nodes)
        if element not in structure and dead and any(_returned(answer.healthy, n) for n in nodes):
            yield Failure(element, OPEN)


def _returned(answer: Conduction, node: int) -> bool:
    return any(back[node] for back in answer.returned.values())


def _sneaked(consumer: PoweredDevice, source: str, solved: Conduction, reach: Reached, opened: int) -> int:
    """The lanes in which a consumer that nothing powers has a sneak path and a return."""
    fed = solved.fed[source]
    into = 0
    for node in consumer.plus:
        into |= reach[node] & ~fed[node]
    ends = at_any(solved.returned[source], consumer.minus)
    on = solved.powered.get(consumer.element, 0) | solved.energised.get(consumer.element, 0)
    return into & ends & ~opened & ~on


def _simplest(lanes: int, losses: int) -> int:
    """The lane that is easiest to explain: nothing lost, then nothing moved, then the first."""
    best = (lanes & -lanes).bit_length() - 1
    rest = lanes
    while rest:
        lane = (rest & -rest).bit_length() - 1
        if _rank(lane, losses) < _rank(best, losses):
            best = lane
        rest &= rest - 1
    return best


def _rank(lane: int, losses: int) -> tuple[bool, bool, int]:
    return (lane % losses != 0, lane // losses != 0, lane)


def with_loads(design: Design, network: Network) -> tuple[Network, int]:
    """The network with a link through every load, instrument and coil; and the index of the first
    of these links."""
    links = list(network.links)
    for consumer in (*network.consumers, *network.coils):
        part = design.parts[bare(consumer.element)]
        both = consumer.either_way or (isinstance(part, p.Load) and part.type in _BOTH_DIRECTIONS)
        for plus in consumer.plus:
            links.append(Link(plus, consumer.minus[0], consumer.element, oneway=not both))
    around: list[list[tuple[int, int, bool]]] = [list(edges) for edges in network.around]
    for i in range(len(network.links), len(links)):
        around[links[i].a].append((i, links[i].b, True))
        around[links[i].b].append((i, links[i].a, False))
    return replace(network, links=tuple(links), around=tuple(map(tuple, around))), len(network.links)
