"""Wires by which the contact of a relay keeps its own coil energised, and that nothing else needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.wiring.circuits import circuit
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network
from reviewer.network.search import conductors_and_protectors, reachable


def holding_wires(
    design: Design,
    network: Network,
    answers: Sequence[StateAnswer],
    relay: str,
    held: Sequence[tuple[StateAnswer, ResolvedState]],
) -> tuple[str, ...]:
    """The wires (pointers) that are taken off so that a relay (a pointer) drops out; () where none do.

    ``held`` are the states after which it is energised, each with the one that alone does not energise
    it. With any of the wires off it is off in each of these. With all of them off as much is live, powered
    and energised in every declared state as before. They join its coil and its own contact; those at the
    coil come first.
    """
    coil = next(c for c in network.coils if c.element == relay)
    make = (network.links[i] for i in network.links_of.get(relay, ()))
    ends = [end for link in make if link.gate is Gate.ENERGISED for end in (link.a, link.b)]
    joined = reachable(network, ends, conductors_and_protectors)
    own = circuit(design, network, (*coil.plus, *coil.minus)).elements
    wired = [
        link
        for link in network.links
        if link.element in own and link.element.startswith("wires/") and {link.a, link.b} <= joined
    ]
    at_coil = {*coil.plus, *coil.minus}
    near = dict.fromkeys(x.element for x in sorted(wired, key=lambda x: at_coil.isdisjoint((x.a, x.b))))
    wires: tuple[str, ...] = ()
    for wire in near:
        if _drops_out(network, relay, held, (wire,)) and _spared(network, answers, (*wires, wire)):
            wires = (*wires, wire)
    return wires


def _drops_out(
    network: Network, relay: str, held: Sequence[tuple[StateAnswer, ResolvedState]], wires: tuple[str, ...]
) -> bool:
    """Whether a relay is off in each state after the other with some wires away in both."""
    solved = (stays_on(network, answer.state, state, wires) for answer, state in held)
    return not any(after.energised[relay] or after.unsettled for after in solved)


def stays_on(
    network: Network, before: ResolvedState, state: ResolvedState, wires: tuple[str, ...]
) -> Conduction:
    """A state as it is when it is set after another, with some wires away in both."""
    return conduct(network, state, [_open(wires)], _without(network, before, wires))


def _spared(network: Network, answers: Sequence[StateAnswer], wires: tuple[str, ...]) -> bool:
    """Whether all nodes, users, relays and sources of each state are as they are with some wires away."""
    return all(
        all(one == other for one, other in _compared(network, answer.healthy, left))
        for answer, left in ((a, _without(network, a.state, wires)) for a in answers)
    )


def _compared(network: Network, one: Conduction, other: Conduction) -> Iterator[tuple[int, int]]:
    nodes = ((one.live(node), other.live(node)) for node in range(len(network.names)))
    users = ((one.powered[c.element], other.powered[c.element]) for c in network.consumers)
    moved = ((one.energised[element], other.energised[element]) for element in network.moved)
    sources = ((one.alive[s.element], other.alive[s.element]) for s in network.sources)
    return chain(nodes, users, moved, sources)


def _without(network: Network, state: ResolvedState, wires: tuple[str, ...]) -> Conduction:
    return conduct(network, state, [_open(wires)])


def _open(wires: tuple[str, ...]) -> tuple[Failure, ...]:
    return tuple(Failure(wire, OPEN) for wire in wires)
