"""Capacitors: which way round they lie, and whether one that smooths an alternator is across it."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.network.search import conductors, conductors_and_protectors, reachable


def reversed_in(network: Network, answers: Iterable[StateAnswer], name: str) -> str:
    """The first state in which a source feeds the negative of a capacitor and has its positive
    back; "" for none."""
    plus, minus = (network.node(f"{name}.{pole}") for pole in p.Capacitor.fixed)
    for answer in answers:
        healthy = answer.healthy
        if any(fed[minus] and healthy.returned[source][plus] for source, fed in healthy.fed.items()):
            return answer.state.name
    return ""


def reversed_at(design: Design, network: Network, name: str) -> str:
    """The alternator (name) that names a capacitor as its own and is wired to it the wrong way round,
    its output to the negative and its ground to the positive; "" for none."""
    for machine in design.of_kind(p.Alternator):
        if design.part(machine, p.Alternator).smoothing_capacitor == name:
            plus, minus = (network.node(f"{machine}.{own}") for own in ("output", "ground"))
            at_plus = reachable(network, [network.node(f"{name}.positive")], conductors)
            at_minus = reachable(network, [network.node(f"{name}.negative")], conductors_and_protectors)
            if minus in at_plus and plus in at_minus:
                return machine
    return ""


def apart(design: Design, network: Network, alternator: str) -> tuple[tuple[str, str], ...]:
    """(terminal of the smoothing capacitor, terminal of an alternator) where nothing but a contact
    or diode joins the two, or nothing at all.

    Circuit protection may lie between the positive and the output.
    """
    machine = bare(alternator)
    capacitor = design.part(machine, p.Alternator).smoothing_capacitor
    if capacitor is None:
        return ()
    found = []
    for pole, own, passes in (
        ("positive", "output", conductors_and_protectors),
        ("negative", "ground", conductors),
    ):
        one, other = f"{capacitor}.{pole}", f"{machine}.{own}"
        if network.node(other) not in reachable(network, [network.node(one)], passes):
            found.append((one, other))
    return tuple(found)
