"""The path to what excites an alternator: its protection, and what a regulator that senses there
does not see."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, feed_path
from reviewer.analysis.sources.alternators import source_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.regulators import regulation

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown


def unprotected_feed(design: Design, network: Network, answer: StateAnswer, fed: int) -> tuple[str, ...]:
    """The unprotected path to a node, as the field of an alternator, from the last bus on it (from the
    source where there is none); () where it is protected."""
    for source in answer.fed_by(fed):
        path = feed_path(network, answer, source, fed)
        buses = [
            i
            for i, e in enumerate(path)
            if e.startswith("parts/") and isinstance(design.parts[bare(e)], p.Bus)
        ]
        last = path[buses[-1] if buses else 0 :]
        if last and not any(
            e.startswith("parts/") and isinstance(design.parts[bare(e)], p.Protector) for e in last
        ):
            return last
    return ()


@record
class SenseRise:
    """The volts between the first bus on the path from an alternator to what its regulator senses
    and that, and the elements between."""

    flown: Flown
    volts: float
    path: tuple[str, ...]


def sense_start(design: Design, network: Network, answer: StateAnswer, element: str) -> int:
    """The node of the first bus on the path from an alternator to what its regulator senses, of its
    output where there is none."""
    path = _to_sensed(design, network, answer, element)
    buses = (bare(e) for e in path if e.startswith("parts/") and isinstance(design.parts[bare(e)], p.Bus))
    return next((network.index[name] for name in buses), source_of(network, element).positive)


def sense_path(design: Design, network: Network, answer: StateAnswer, element: str) -> tuple[str, ...]:
    """The elements between that node and what is sensed, the bus left out; () where the alternator
    does not feed that."""
    return _past_bus(design, _to_sensed(design, network, answer, element))


def sense_carries_current(design: Design, network: Network, answer: StateAnswer, element: str) -> bool:
    """Whether the sense lead of a separate regulator begins, behind the first bus, on the feed of its supply
    or of loads, whose current drops the voltage that it senses."""
    own = set(sense_path(design, network, answer, element))
    supply = network.node(f"{regulation(design, bare(element)).owner}.supply")
    fed = [supply, *(c.plus[0] for c in network.consumers if answer.healthy.powered[c.element])]
    buses = {f"parts/{name}" for name in design.of_kind(p.Bus)}
    for node in fed if own else ():
        path = feed_path(network, answer, element, node)
        # without a bus both share the lead of the output
        if buses & set(path) and own & set(_past_bus(design, path)):
            return True
    return False


def _past_bus(design: Design, path: tuple[str, ...]) -> tuple[str, ...]:
    """What of a path comes after its first bus, after its first element where there is none."""
    parts = [design.parts.get(bare(e)) if e.startswith("parts/") else None for e in path]
    return path[next((i for i, part in enumerate(parts) if isinstance(part, p.Bus)), 0) + 1 :]


def _to_sensed(design: Design, network: Network, answer: StateAnswer, element: str) -> tuple[str, ...]:
    return feed_path(network, answer, element, network.node(regulation(design, bare(element)).plus))
