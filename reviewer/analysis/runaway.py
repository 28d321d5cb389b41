"""What an alternator whose regulator fails full on does to the loads: its current limit holds, its voltage goes up to the trip, or to what takes it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import TYPE_CHECKING

from reviewer.analysis.bits import served
from reviewer.analysis.electrical.devices import nominal_volts
from reviewer.analysis.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.tables.typical import typical

if TYPE_CHECKING:
    from reviewer.analysis.electrical.points import Points


@record
class Beyond:
    """A load or coil that a runaway takes above the voltage that it endures."""

    element: str
    flown: str
    state: str
    volts: float
    endures: float


@record
class Exposed:
    """What an alternator powers in a state: ``endures`` by element, volts, and what does not say what it endures."""

    endures: Mapping[str, float]
    unsaid: tuple[str, ...]


def unregulated(design: Design) -> tuple[float, str]:
    """Volts that an alternator without regulation goes up to when nothing takes its current, and what that rests on."""
    figure = typical("volts", "alternator-unregulated" + ("-28" if nominal_volts(design) > 14 else ""))
    return figure.value, figure.origin.note


def exposed(design: Design, network: Network, answer: StateAnswer, alternator: str) -> Exposed:
    """The loads and coils that an alternator powers in a state."""
    fed, returned = answer.healthy.fed[alternator], answer.healthy.returned[alternator]
    endures, unsaid = {}, []
    for user in (*network.consumers, *network.coils):
        if not served(user, fed, returned):
            continue
        part = design.parts[bare(user.element)]
        most = part.coil_most if isinstance(part, p.Electromagnet) else part.maximum
        if most is not None:
            endures[user.element] = most
        elif isinstance(part, p.Consumer):
            unsaid.append(bare(user.element))
    return Exposed(endures, tuple(unsaid))


def beyond(points: Points, flown: str, state: str, endures: Mapping[str, float], asked: Collection[str]) -> tuple[Beyond, ...]:
    """Those of some elements that have more at their terminals than they endure, at the one point of a runaway."""
    found = []
    for user in (*points.network.consumers, *points.network.coils):
        if user.element in asked:
            low = _volts(points, user.minus[0])
            volts = max(abs(_volts(points, node) - low) for node in user.plus)
            if volts > endures[user.element]:
                found.append(Beyond(user.element, flown, state, volts, endures[user.element]))
    return tuple(found)


def _volts(points: Points, node: int) -> float:
    volts = float(points.volts(points.network.names[node])[0])
    return volts if volts == volts else 0.0
