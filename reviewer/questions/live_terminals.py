"""What a hand could meet live in a state."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.network.search import reachable_by


def node_at(design: Design, network: Network, terminal: str) -> int | None:
    """The node of a terminal; of the line of a device that is plugged on a bus, that of the bus."""
    owner, _, end = terminal.partition(".")
    bus = getattr(design.parts[owner], "plugged_on", None) if end == "line" else None
    return network.index.get(terminal, network.index.get(bus) if bus else None)


def live_terminals(design: Design, network: Network, answer: StateAnswer) -> tuple[str, ...]:
    """Those of :func:`terminals_of` that are live."""
    return live_among(terminals_of(design, network), answer)


def live_among(terminals: Mapping[str, int], answer: StateAnswer) -> tuple[str, ...]:
    """Those of some terminals, with their nodes, that are live."""
    return tuple(name for name, node in terminals.items() if answer.healthy.live(node))


def terminals_of(design: Design, network: Network) -> Mapping[str, int]:
    """Battery leads, sockets for external power, outputs of alternators, buses, both ends of circuit
    protection and the posts of contactors, each with its node."""
    names = [f"{n}.positive" for n in design.of_kind((p.Battery, p.ExternalPower))]
    names += [f"{n}.output" for n in design.of_kind(p.Alternator)]
    names += list(design.of_kind(p.Bus))
    names += [f"{n}.{end}" for n in design.of_kind(p.Protector) for end in ("line", "load")]
    for name in design.of_kind(p.Contactor):
        part = design.part(name, p.Contactor)
        names += [f"{name}.{t}" for contact in part.contacts.values() for t in contact.terminals]
    nodes = ((name, node_at(design, network, name)) for name in names)
    return {name: node for name, node in nodes if node is not None}


def hot_magnetos(network: Network, answer: StateAnswer) -> tuple[str, ...]:
    """The magnetos whose lead is not grounded: they fire when the propeller is turned."""
    return tuple(
        bare(magneto.element)
        for magneto in network.magnetos
        if magneto.ground
        not in reachable_by([magneto.p_lead], lambda node: (other for other, _ in answer.onward[node]))
    )


def moving_or_hot(design: Design, network: Network, answers: Iterable[StateAnswer]) -> tuple[str, ...]:
    """The motors, starters and heaters that get power in any of some states."""
    return tuple(
        dict.fromkeys(
            bare(user.element)
            for answer in answers
            for user in network.consumers
            if answer.healthy.powered[user.element]
            and getattr(design.parts[bare(user.element)], "type", None) in ("motor", "starter", "heater")
        )
    )
