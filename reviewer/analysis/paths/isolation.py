"""Isolation: what feeds a bus that must be dead, the polarity of diodes, and single-throw switches
that parallel two sources."""

from __future__ import annotations

from itertools import combinations

from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network
from reviewer.network.search import anything_against, conductors, conductors_and_protectors, reachable


@record
class DiodePlacement:
    """How an isolation diode is placed to the part that it protects.

    ``stands`` is ``right``, ``reversed``, or ``beside`` it (joined to it on neither or on both
    sides).
    """

    diode: str
    protects: str
    stands: str


def diode_placement(design: Design, network: Network, name: str) -> DiodePlacement:
    """Which side of a diode is joined to the positive of its part, without the diode."""
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
    return DiodePlacement(f"parts/{name}", f"parts/{diode.protects}", stands)


def _joined(network: Network, start: int, goals: set[int]) -> bool:
    """Whether conductors and protectors alone join a node to a goal."""
    return not goals.isdisjoint(reachable(network, [start], conductors_and_protectors))


def coil_diodes(design: Design, network: Network, coil: str) -> dict[str, bool]:
    """Diodes wired straight across a coil -> whether the cathode is on the side that is fed.

    The fed side is the one that a source can reach through any contacts; where it reaches neither
    side the diode counts as right.
    """
    names = design.parts[coil].coil
    plus, minus = (network.node(f"{coil}.{t}") for t in names)
    sides = [_one_conductor(network, plus), _one_conductor(network, minus)]
    found = {}
    for name in design.of_kind(p.Diode):
        cathode, anode = network.node(f"{name}.cathode"), network.node(f"{name}.anode")
        for fed, other in (sides, sides[::-1]):
            if cathode in fed and anode in other:
                found[name] = _can_be_fed(network, cathode, name) or not _can_be_fed(network, anode, name)
    return found


def _one_conductor(network: Network, start: int) -> set[int]:
    """The nodes joined to one by plain conductors."""
    return reachable(network, [start], conductors)


def _can_be_fed(network: Network, node: int, without: str) -> bool:
    """Whether any source reaches a node through any contacts, but not through one part."""
    near = reachable(
        network,
        [node],
        lambda link, leaving: link.element != f"parts/{without}" and anything_against(link, leaving),
    )
    return not near.isdisjoint(s.positive for s in network.sources)


@record
class Tie:
    """Two poles of a single-throw switch that bring two sources to one place."""

    switch: str
    sources: tuple[str, str]


def single_throw_ties(design: Design, network: Network, name: str) -> Tie | None:
    """The two sources of a switch with one throw whose closed contacts join feeds of both; else
    None.

    One throw: in no position does a terminal meet another partner than in the others.
    """
    poles = _single_throw_poles(design, network, name)
    fed = [side for pole in poles if (side := _fed_side(network, pole, f"parts/{name}"))]
    for (one, reach), (other, reach_of_other) in combinations(fed, 2):
        if reach & reach_of_other and one != other:
            return Tie(f"parts/{name}", (min(one - other or one), min(other - one or other)))
    return None


def _single_throw_poles(design: Design, network: Network, name: str) -> list[tuple[int, int]]:
    """The nodes of each pole of a switch; none where it has two throws or a single pole."""
    partners: dict[str, set[str]] = {}
    for pairs in design.parts[name].positions.values():
        for one, other in pairs:
            partners.setdefault(one, set()).add(other)
            partners.setdefault(other, set()).add(one)
    if any(len(v) > 1 for v in partners.values()) or len(partners) < 4:
        return []
    poles = set()
    for one, others in partners.items():
        for other in others:
            low, high = sorted((network.node(f"{name}.{one}"), network.node(f"{name}.{other}")))
            poles.add((low, high))
    return sorted(poles)


def _fed_side(network: Network, pole: tuple[int, int], switch: str) -> tuple[set[str], set[int]] | None:
    """The sources on the one side of a pole that has any, and the nodes joined to its other side.

    None where neither or both sides have a source. Relay contacts are passed where no source is
    found without them.
    """
    sources = [_sources_behind(network, node, switch, contacts=False) for node in pole]
    if not any(sources):
        sources = [_sources_behind(network, node, switch, contacts=True) for node in pole]
    if bool(sources[0]) == bool(sources[1]):
        return None
    fed = 0 if sources[0] else 1
    return sources[fed], _without_contacts(network, pole[1 - fed], switch)


def _sources_behind(network: Network, node: int, without: str, contacts: bool) -> set[str]:
    """The batteries and external power that reach a node by :func:`_without_contacts`."""
    positives = {s.positive: s.element for s in network.sources if s.kind != "alternator"}
    return {positives[n] for n in _without_contacts(network, node, without, contacts) if n in positives}


def _without_contacts(network: Network, start: int, without: str, contacts: bool = False) -> set[int]:
    """The nodes joined to one by conductors and protectors, and relay contacts if ``contacts``."""
    gates = {Gate.ALWAYS, Gate.PROTECTOR} | ({Gate.ENERGISED, Gate.DE_ENERGISED} if contacts else set())
    return reachable(
        network,
        [start],
        lambda link, leaving: link.element != without and not link.oneway and link.gate in gates,
    )


def senses_at_terminal(network: Network, terminal: str, post: int) -> bool:
    """Whether a sense point is joined to the terminal of a battery by conductors alone, or through
    a protector that serves the sense lead only."""
    near = _one_conductor(network, network.node(terminal))
    if post in near:
        return True
    supplies = {n for c in network.consumers for n in c.plus}
    edges = {(i, other) for n in near for i, other, _ in network.around[n] if other not in near}
    across = [other for i, other in edges if network.links[i].gate is Gate.PROTECTOR]
    return (
        len(edges) == len(across) == 1 and not near & supplies and post in _one_conductor(network, across[0])
    )


def live_path(network: Network, answer: StateAnswer, node: int) -> tuple[str, tuple[str, ...]] | None:
    """A source that feeds a node in the healthy state, and its path; None if it is dead."""
    for source in answer.fed_by(node):
        return source, feed_path(network, answer, source, node)
    return None
