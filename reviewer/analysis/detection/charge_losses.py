"""A main battery that is charged through a diode or by a charger: which voltmeters read its own
voltage, and what ends its charge while the alternators work."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.network.graph import CHARGES, Network
from reviewer.network.meters import Meter


def watching(network: Network, answer: StateAnswer, meters: Mapping[str, Meter], battery: str) -> set[str]:
    """The voltmeters that a battery, by name, alone holds up once its charge is lost: they sense where it is
    joined in the healthy state by what conducts both ways. None where an alternator is joined so too: its
    failure ends that charge; nor where none works, so that the flight is meant to use the battery up; nor
    where nothing charges the battery."""
    positive = network.node(f"{battery}.positive")
    near = _joined(network, answer, positive)
    sources = [s for s in network.sources if s.kind in CHARGES]
    alternators = [s for s in sources if s.kind == "alternator" and answer.healthy.alive[s.element]]
    if not alternators or any(s.positive in near for s in alternators):
        return set()
    if not any(answer.healthy.fed[s.element][positive] for s in sources):
        return set()
    return {n for n, m in meters.items() if m.shows == "voltage" and not m.lamp and m.sensed[0] in near}


def _joined(network: Network, answer: StateAnswer, start: int) -> set[int]:
    seen, todo = {start}, [start]
    while todo:
        for i, other, leaving in network.around[todo.pop()]:
            both = conducts(network, answer, i, leaving) and conducts(network, answer, i, not leaving)
            if both and other not in seen:
                seen.add(other)
                todo.append(other)
    return seen


def charge_losses(network: Network, answer: StateAnswer, battery: str) -> Iterable[Failure]:
    """The openings of parts and wires after which nothing charges a battery, by name, while the alternators
    and chargers still work."""
    positive, failed = network.node(f"{battery}.positive"), answer.failed
    charged, working = 0, -1
    for source in network.sources:
        if source.kind in CHARGES and answer.healthy.alive[source.element]:
            charged |= failed.fed[source.element][positive]
            working &= failed.alive[source.element]
    for i, failure in enumerate(answer.failures):
        if failure.mode == OPEN and working & ~charged & 1 << i and failed.alive[f"parts/{battery}"] >> i & 1:
            yield failure
