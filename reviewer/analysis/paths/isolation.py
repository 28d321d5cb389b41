"""Isolation: what keeps a bus alive that must be dead, which way diodes point, and what a single-throw switch ties."""

from __future__ import annotations

from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network
from reviewer.network.search import anything_against, come_to, conductors, conductors_and_protectors


@record
class DiodeStand:
    """How an isolation diode stands to the part it protects: ``right``, ``reversed``, ``beside`` it (on neither or both sides)."""

    diode: str
    protects: str
    stands: str


def diode_stand(design: Design, network: Network, name: str) -> DiodeStand:
    """Which side of a diode is joined to the positive of the part it protects, with the diode taken away."""
    diode = design.parts[name]
    part = design.parts[diode.protects]
    terminals = (
        part.supplies
        if isinstance(part, p.Consumer)
        else [t for t in part.terminals() if t in ("positive", "output")]
    )
    goals = {network.node(f"{diode.protects}.{t}") for t in terminals} or set(
        network.nodes_of[f"parts/{diode.protects}"]
    )
    cathode = _joined(network, network.node(f"{name}.cathode"), goals)
    anode = _joined(network, network.node(f"{name}.anode"), goals)
    stands = "right" if cathode and not anode else "reversed" if anode and not cathode else "beside"
    return DiodeStand(f"parts/{name}", f"parts/{diode.protects}", stands)


def _joined(network: Network, start: int, goals: set[int]) -> bool:
    """Whether conductors and protectors, but no diode, switch or relay contact, join a node to a goal."""
    return not goals.isdisjoint(come_to(network, [start], conductors_and_protectors))


def coil_diodes(design: Design, network: Network, coil: str) -> dict[str, bool]:
    """Diodes wired straight across a coil -> whether they stand the right way, cathode on the side that is fed.

    The fed side is the one that a source can feed with the contacts at hand; a coil fed from neither side counts as right.
    """
    names = design.parts[coil].coil
    plus, minus = (network.node(f"{coil}.{t}") for t in names)
    sides = [_plain(network, plus), _plain(network, minus)]
    found = {}
    for name in design.of_kind(p.Diode):
        cathode, anode = network.node(f"{name}.cathode"), network.node(f"{name}.anode")
        for fed, other in (sides, sides[::-1]):
            if cathode in fed and anode in other:
                found[name] = _can_be_fed(network, cathode, name) or not _can_be_fed(network, anode, name)
    return found


def _plain(network: Network, start: int) -> set[int]:
    return come_to(network, [start], conductors)


def _can_be_fed(network: Network, node: int, without: str) -> bool:
    near = come_to(
        network,
        [node],
        lambda link, leaving: link.element != f"parts/{without}" and anything_against(link, leaving),
    )
    return not near.isdisjoint(s.positive for s in network.sources)


@record
class Tie:
    """Two contacts of a single-throw switch that bring two sources to one place."""

    switch: str
    sources: tuple[str, str]


def single_throw_ties(design: Design, network: Network, name: str) -> Tie | None:
    """For a switch with one throw whose closed contacts join feeds of two different sources: those sources, else None.

    One throw: in no position does a terminal meet another partner than in the rest.
    """
    switch = design.parts[name]
    partners: dict[str, set[str]] = {}
    for pairs in switch.positions.values():
        for one, other in pairs:
            partners.setdefault(one, set()).add(other)
            partners.setdefault(other, set()).add(one)
    if any(len(v) > 1 for v in partners.values()) or len(partners) < 4:
        return None
    element = f"parts/{name}"
    poles = {
        tuple(sorted((network.node(f"{name}.{a}"), network.node(f"{name}.{b}"))))
        for a in partners
        for b in partners[a]
    }
    sides = []
    for pole in sorted(poles):
        behind = [_sources_behind(network, node, element, contacts=False) for node in pole]
        if not any(behind):
            behind = [_sources_behind(network, node, element, contacts=True) for node in pole]
        if bool(behind[0]) != bool(behind[1]):
            fed = 0 if behind[0] else 1
            sides.append((behind[fed], _without_contacts(network, pole[1 - fed], element)))
    for i, (one, reach) in enumerate(sides):
        for other, reach_too in sides[i + 1 :]:
            if reach & reach_too and one != other:
                return Tie(element, (min(one - other or one), min(other - one or other)))
    return None


def _sources_behind(network: Network, node: int, without: str, contacts: bool) -> set[str]:
    positives = {s.positive: s.element for s in network.sources if s.kind != "alternator"}
    return {positives[n] for n in _without_contacts(network, node, without, contacts) if n in positives}


def _without_contacts(network: Network, start: int, without: str, contacts: bool = False) -> set[int]:
    """Nodes joined to one by conductors and protectors alone, or by the contacts of relays too."""
    gates = {Gate.ALWAYS, Gate.PROTECTOR} | ({Gate.ENERGISED, Gate.AT_REST} if contacts else set())
    return come_to(
        network,
        [start],
        lambda link, leaving: link.element != without and not link.oneway and link.gate in gates,
    )


def senses_at_post(network: Network, terminal: str, post: int) -> bool:
    """Whether a sense point is joined to a battery's post by conductors alone, or through a protector that serves nothing but the sense lead."""
    near = _plain(network, network.node(terminal))
    if post in near:
        return True
    supplies = {n for c in network.consumers for n in c.plus}
    edges = {(i, other) for n in near for i, other, _ in network.around[n] if other not in near}
    across = [other for i, other in edges if network.links[i].gate is Gate.PROTECTOR]
    return len(edges) == len(across) == 1 and not near & supplies and post in _plain(network, across[0])


def live_path(network: Network, answer: StateAnswer, node: int) -> tuple[str, tuple[str, ...]] | None:
    """A source that feeds a node in the healthy state and the way it takes, or None where the node is dead."""
    for source in answer.fed_by(node):
        return source, feed_path(network, answer, source, node)
    return None
