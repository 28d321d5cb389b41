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
    path = _to_sensed(design, network, answer, element)
    buses = [
        i for i, e in enumerate(path) if e.startswith("parts/") and isinstance(design.parts[bare(e)], p.Bus)
    ]
    return path[buses[0] + 1 if buses else 1 :]


def _to_sensed(design: Design, network: Network, answer: StateAnswer, element: str) -> tuple[str, ...]:
    return feed_path(network, answer, element, network.node(regulation(design, bare(element)).plus))
