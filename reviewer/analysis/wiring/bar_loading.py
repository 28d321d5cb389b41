"""The current of what is rated as a whole: bus bars, shunts and sockets for external power."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


@record
class BarLoad:
    """``amperes`` through a bar, shunt, dimmer or socket in one point."""

    flown: Flown
    amperes: float


def worst_load(
    design: Design, network: Network, name: str, points: Sequence[tuple[Flown, OperatingPoint]]
) -> BarLoad | None:
    """Where a bar, shunt or socket carries most in some solved points; None where there are none.

    Of a bar, all that comes in by its wires: no section of it carries more. Raises NotAssessable
    where a current is not known because a size is missing.
    """
    loads = []
    for flown, point in points:
        amperes = _amperes(design, network, name, point)
        if amperes != amperes:
            element, key = next(iter(point.unsized.items()))
            lacks = f"{key} of {element.partition('/')[2]}"
            raise NotAssessable(f"{lacks}: without it the current of {name} is not known")
        loads.append(BarLoad(flown, amperes))
    return max(loads, key=lambda load: load.amperes, default=None)


def _amperes(design: Design, network: Network, name: str, point: OperatingPoint) -> float:
    part = design.parts[name]
    if isinstance(part, p.ExternalPower):
        return _taken_from(design, network, name, point)
    if isinstance(part, (p.Shunt, p.Dimmer)):
        return abs(point.amps[f"parts/{name}"])
    into = 0.0
    for wire, sign in design.wire_ends.get(name, ()):
        amps = sign * point.amps[f"wires/{wire}"]
        into += amps if not amps <= 0 else 0.0  # what is left open stays open
    return into


def _taken_from(design: Design, network: Network, socket: str, point: OperatingPoint) -> float:
    """What the aircraft takes from a socket, with what batteries give beside it at its limit.

    In a point a socket gives no more than its rating. What is short then comes from the batteries;
    where one of them takes current, it is its charge that is limited, and nothing is short. Batteries
    in series pass one current.
    """
    given, rating = point.given[f"parts/{socket}"], design.part(socket, p.ExternalPower).rating
    strings = [s.element for s in network.sources if s.kind == "battery" and not s.stands_on_another]
    batteries = [point.given[element] for element in strings]
    at_limit = rating is not None and given >= rating * (1 - 1e-6)
    return given + sum(batteries) if at_limit and all(amps >= 0 for amps in batteries) else given
