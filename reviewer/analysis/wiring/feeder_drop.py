"""The voltage lost in the wires between an alternator and the first bus that it feeds, at its full
output."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import set_point_of
from reviewer.analysis.operating_point.resistances import resistor
from reviewer.analysis.solver.two_point_resistance import two_point_resistance
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.biconnected import BlockTree
from reviewer.network.graph import Network, bare
from reviewer.network.search import shortest

if TYPE_CHECKING:
    from reviewer.network.graph import Link, Source


@record
class FeederDrop:
    """Volts between an alternator and the nearest bus at ``amperes``, ``regulated`` the volts that
    it holds; ``wires`` lie on the shortest way there, ``missing`` are those of them without a
    resistance -> the key."""

    alternator: str
    bus: str
    state: str
    amperes: float
    volts: float
    regulated: float
    wires: tuple[str, ...]
    missing: tuple[tuple[str, str], ...]


def feeder_drop(
    design: Design, network: Network, answers: Sequence[StateAnswer], alternator: str
) -> FeederDrop | None:
    """The feeder of an alternator in the first of some states in which it feeds a bus; None where
    it feeds none or its rating is not given. Only the wires count; contacts, circuit protection
    and shunts are left to the drop of the loads."""
    part = design.part(bare(alternator), p.Alternator)
    source = next(s for s in network.sources if s.element == alternator)
    if part.rating is None:
        return None
    for answer in answers:
        if answer.healthy.alive[alternator]:
            found = _in_state(design, network, answer, source, part)
            if found is not None:
                return found
    return None


def _in_state(
    design: Design, network: Network, answer: StateAnswer, source: Source, part: p.Alternator
) -> FeederDrop | None:
    buses = {network.index[n]: n for n in design.of_kind(p.Bus) if n in network.index}

    def onward(node: int) -> Iterator[tuple[int, str]]:
        for i, other, leaving in network.around[node]:
            if not network.links[i].oneway and conducts(network, answer, i, leaving):
                yield other, network.links[i].element

    assumptions, tree = Assumptions(), BlockTree(network)
    links = [
        (i, link) for i, link in enumerate(network.links) if not link.oneway and conducts(network, answer, i)
    ]
    ohms: dict[int, float] = {}
    for bus in buses:
        between = tree.between((source.positive, bus))
        joined = [(e.a, e.b, _ohms(design, e, assumptions)) for i, e in links if i in between]
        found = two_point_resistance(joined, source.positive, bus)
        if found is not None:
            ohms[bus] = found
    if not ohms:
        return None
    nearest = min(ohms, key=lambda bus: (ohms[bus], buses[bus]))
    way = shortest(source.positive, {nearest}, onward)
    assert way is not None
    wires = tuple(e for e in way[1] if _is_wire(e))
    amperes = part.rating or 0.0
    return FeederDrop(
        source.element,
        buses[way[0]],
        answer.state.name,
        amperes,
        amperes * ohms[nearest],
        set_point_of(design, bare(source.element)),
        wires,
        tuple((e, assumptions.unsized[e]) for e in wires if e in assumptions.unsized),
    )


def _ohms(design: Design, link: Link, assumptions: Assumptions) -> float:
    return resistor(design, link, assumptions).ohms if _is_wire(link.element) else 0.0


def _is_wire(element: str) -> bool:
    return element.startswith("wires/")
