"""Sneak paths: current that reaches a circuit which is off, through a load, a lamp or a coil.

Loads are taken as conductors here: a lamp, heater, motor or coil both ways, electronics from supply to return only. Current
ends where a source gets it back; past a return that is lost it goes on into whatever else hangs there. Each switch is moved alone
from the dispatch state, and in each of these settings every conductor of the return side is opened once.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import OPEN, Failure, stuck_contacts
from reviewer.analysis.conduction.fixed_point import Conduction, conduct_lanes, link_masks
from reviewer.analysis.conduction.propagation import Propagator, Reached
from reviewer.analysis.conduction.scenarios import Case, lanes_of_pairs
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Consumer, Link, Network, bare
from reviewer.network.search import shortest

_BOTH_WAYS = ("lamp", "resistive", "heater", "motor", "inductive", "starter")


@record
class Sneak:
    """``victim`` gets current from ``source`` though it is off. ``through`` are the loads and coils that pass it, ``moved`` the (switch, position)
    that differs from the dispatch state or None, ``lost`` the conductor of the return side that is open or ""."""

    victim: str
    source: str
    through: tuple[str, ...]
    moved: tuple[str, str] | None
    lost: str
    path: tuple[str, ...]


def sneaks(design: Design, network: Network, answer: StateAnswer) -> Iterator[Sneak]:
    """One sneak path for each victim: with nothing lost if there is one, else with the first return whose loss opens it."""
    moves: list[Case] = [(), *(f for f in stuck_contacts(design, dict(answer.state.switches)) if f.position)]
    structure = {f"parts/{n}" for n in design.of_kind(p.Airframe)}
    losses: list[Case] = [()]
    for element in network.elements:
        nodes = network.nodes_of[element]
        if (
            element not in structure
            and not any(answer.healthy.live(n) for n in nodes)
            and any(_returned(answer.healthy, n) for n in nodes)
        ):
            losses.append(Failure(element, OPEN))
    lanes = lanes_of_pairs(network, answer.state, moves, losses)
    solved = conduct_lanes(network, lanes, answer.healthy)
    wider, first = _with_loads(design, network)
    along, against = link_masks(lanes, solved.energised)
    for link in wider.links[first:]:
        mask = lanes.every & ~lanes.opened.get(link.element, 0)
        along.append(mask)
        against.append(0 if link.oneway else mask)
    found: dict[str, tuple[int, str]] = {}
    for source in network.sources:
        # what the source gets back is the end of the way
        ends = [solved.returned[source.element][n] for n in range(len(network.names))]
        reach = Propagator(wider.trunk, along, against, ends).from_node(
            source.positive, solved.alive[source.element] & ~ends[source.positive]
        )
        for consumer in (*network.consumers, *network.coils):
            sneaked = _sneaked(consumer, source.element, solved, reach, lanes.opened.get(consumer.element, 0))
            if sneaked:
                lane = _first(sneaked, len(losses))
                if consumer.element not in found or _rank(lane, len(losses)) < _rank(
                    found[consumer.element][0], len(losses)
                ):
                    found[consumer.element] = (lane, source.element)
    for victim, (lane, name) in found.items():
        path = _path(wider, first, name, victim, solved, along, against, lane)
        move, loss = moves[lane // len(losses)], losses[lane % len(losses)]
        yield Sneak(
            victim,
            name,
            tuple(dict.fromkeys(e for e, passed in path if passed)),
            (bare(move.element), move.position) if isinstance(move, Failure) else None,
            loss.element if isinstance(loss, Failure) else "",
            tuple(dict.fromkeys([name, *(e for e, _ in path)])),
        )


def _returned(answer: Conduction, node: int) -> bool:
    return any(back[node] for back in answer.returned.values())


def _sneaked(consumer: Consumer, source: str, solved: Conduction, reach: Reached, opened: int) -> int:
    """The lanes in which a consumer that nothing powers gets current by a sneak path and gives it back."""
    solid, back = solved.fed[source], solved.returned[source]
    into = ends = 0
    for node in consumer.plus:
        into |= reach[node] & ~solid[node]
    for node in consumer.minus:
        ends |= back[node]
    return (
        into
        & ends
        & ~opened
        & ~(solved.powered.get(consumer.element, 0) | solved.energised.get(consumer.element, 0))
    )


def _first(lanes: int, losses: int) -> int:
    """The lane that is easiest to tell: nothing lost, then nothing moved, then the first."""
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


def _with_loads(design: Design, network: Network) -> tuple[Network, int]:
    """The network with a link through every load, instrument and coil; and the index of the first of these links."""
    links = list(network.links)
    for consumer in (*network.consumers, *network.coils):
        part = design.parts[bare(consumer.element)]
        both = consumer.either_way or (isinstance(part, p.Load) and part.type in _BOTH_WAYS)
        for plus in consumer.plus:
            links.append(Link(plus, consumer.minus[0], consumer.element, oneway=not both))
    around: list[list[tuple[int, int, bool]]] = [list(ways) for ways in network.around]
    for i in range(len(network.links), len(links)):
        around[links[i].a].append((i, links[i].b, True))
        around[links[i].b].append((i, links[i].a, False))
    return replace(network, links=tuple(links), around=tuple(map(tuple, around))), len(network.links)


def _path(
    wider: Network,
    first: int,
    source: str,
    victim: str,
    solved: Conduction,
    along: list[int],
    against: list[int],
    lane: int,
) -> list[tuple[str, bool]]:
    """(element, True where the current passes a load) along the shortest sneak path in one lane."""
    start = next(s.positive for s in wider.sources if s.element == source)
    consumer = next(c for c in (*wider.consumers, *wider.coils) if c.element == victim)
    goals = {n for n in consumer.plus if not solved.fed[source][n] >> lane & 1}

    def onward(node: int) -> Iterator[tuple[int, tuple[str, bool]]]:
        for i, other, leaving in wider.around[node]:
            if (along[i] if leaving else against[i]) >> lane & 1 and not solved.returned[source][
                other
            ] >> lane & 1:
                yield other, (wider.links[i].element, i >= first)

    found = shortest(start, goals, onward)
    return list(dict.fromkeys(found[1])) if found else []
