"""What a trial repair must not do at contacts and to loads at rest: leave a contact with nothing behind it,
or run what a state is declared without."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.network.graph import Link
from reviewer.network.search import reachable

#: what a contact may lead to
_ENDS = (
    *(p.Consumer, p.Sensor, p.Battery, p.Alternator, p.Regulator, p.Magneto, p.Converter, p.Charger),
    *(p.Bus, p.GroundBlock, p.Airframe, p.ExternalPower),
)
_NONE: frozenset[str] = frozenset()
_CONTACTS = (p.Switch, p.BreakerSwitch, p.Electromagnet)


def idles_a_contact(facts: Facts, repaired: Facts) -> bool:
    """Whether a terminal of a switch or relay that led to a load, a coil, a source, a bus, a ground or a
    contact leads to none with a repair, and no other terminal of that part does in its place: the part then
    switches nothing there. A lead moved from one terminal of a part to another one leaves it its use, and so
    does one of two leads taken off what the part switches by the other."""
    after = _leading(repaired)
    for name, was in _leading(facts).items():
        now = after.get(name)
        if now is None or sum(map(bool, now.values())) >= sum(map(bool, was.values())):
            continue
        for terminal, ends in was.items():
            others = (other for other in was if other != terminal)
            if ends and not now.get(terminal) and not any(ends <= was[o] & now.get(o, _NONE) for o in others):
                return True
    return False


def _leading(facts: Facts) -> Mapping[str, Mapping[str, frozenset[str]]]:
    """Switch or relay -> each of its terminals, and the terminals of what that leads to."""
    network, design = facts.network, facts.design
    known: Mapping[str, Mapping[str, frozenset[str]]] | None = network.searched.get("leading terminals")
    if known is not None:
        return known
    contacts = {f"parts/{name}": name for name in design.of_kind(_CONTACTS)}
    ends = {node for name in design.of_kind(_ENDS) for node in network.nodes_of.get(f"parts/{name}", ())}
    ends |= {node for coil in network.coils for node in (*coil.plus, *coil.minus)}
    of = {node: element for element in contacts for node in network.nodes_of.get(element, ())}

    def passes(link: Link, leaving: bool) -> bool:
        return link.element not in contacts

    def led(node: int) -> frozenset[str]:
        there = reachable(network, [node], passes) - {node}
        return frozenset(
            network.names[other] for other in there if other in ends or of.get(other, of[node]) != of[node]
        )

    found = {
        name: {network.names[node]: led(node) for node in network.nodes_of.get(element, ())}
        for element, name in contacts.items()
    }
    network.searched["leading terminals"] = found
    return found


def runs_unasked(facts: Facts, repaired: Facts) -> bool:
    """Whether a load that rests in a state with nothing failed runs there with a repair, though the state
    is declared without all functions of the load, or the load is a motor or heater of intermittent duty and
    the state is the normal one. A load with its `current` by phase may be stopped by a switch inside."""
    return any(repaired.states.answer(state).healthy.powered.get(load, 0) for state, load in _resting(facts))


def _resting(facts: Facts) -> Sequence[tuple[str, str]]:
    """The declared states and the loads (elements) that are to rest and do so in them."""
    design, searched = facts.design, facts.network.searched
    if not design.operation:
        return ()
    known: Sequence[tuple[str, str]] | None = searched.get("loads that rest")
    if known is None:
        functions = {
            name: {f for f in design.functions if name in facts.states.loads_of(f)}
            for name in design.of_kind((p.Load, p.Instrument))
        }
        known = [
            (answer.state.name, f"parts/{name}")
            for answer in facts.states.answers()
            if answer.state.name not in design.made
            for name, of in functions.items()
            if not answer.healthy.powered.get(f"parts/{name}", 0)
            if (of and of <= set(answer.state.without))
            or (answer.state.name == design.operation.normal and _intermittent(design.parts[name]))
        ]
        searched["loads that rest"] = known
    return known


def _intermittent(part: p.Load | p.Instrument) -> bool:
    """Whether a load is of intermittent duty, and no switch inside may stop it."""
    return part.duty == "intermittent" and not isinstance(part.current, Mapping)
