"""The current of each pin of a connector, from the wires on it; pins that the same conductors join
on both sides carry theirs together."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantities import Gauge
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Network
from reviewer.network.search import conductors, reachable
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.practice import practice
from reviewer.tables.wire_tables import contact_most

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: less than this is leakage
LEAST_A = 1e-3


@record
class PinLoad:
    """Pins in parallel (mostly one) where they are loaded worst: ``amperes`` of all together;
    ``full`` where every pin of the connector carries current then and there are more than two;
    ``thickest`` the largest wire on them, None where one has no gauge."""

    pins: tuple[str, ...]
    flown: Flown
    amperes: float
    full: bool
    thickest: Gauge | None

    @property
    def factor(self) -> float:
        """The share of its rating that a pin may carry: in a full connector the low end of the
        trade's range, else all of it."""
        return practice("factors", "pins-in-a-full-connector").low if self.full else 1.0

    @property
    def shares(self) -> int:
        """How many pins may be counted: of pins in parallel one is taken to make no contact."""
        return max(1, len(self.pins) - 1)

    @property
    def alone(self) -> float:
        """Amperes of each pin where all of them make contact."""
        return self.amperes / len(self.pins)

    @property
    def weight(self) -> float:
        """What must not exceed the rating of one pin, in A."""
        return self.amperes / self.shares / self.factor


def pin_groups(design: Design, network: Network, connector: str) -> tuple[tuple[str, ...], ...]:
    """The pins of a connector by groups in parallel: the plug sides are joined by plain conductors
    outside the connector, and so are the socket sides."""
    own = f"parts/{connector}"

    def side(terminal: str) -> frozenset[int]:
        return frozenset(
            reachable(
                network,
                [network.node(terminal)],
                lambda link, leaving: conductors(link, leaving) and link.element != own,
            )
        )

    groups: dict[tuple[frozenset[int], frozenset[int]], list[str]] = {}
    for pin in design.part(connector, p.Connector).pins:
        groups.setdefault((side(f"{connector}.{pin}-plug"), side(f"{connector}.{pin}-socket")), []).append(
            pin
        )
    return tuple(map(tuple, groups.values()))


def pin_loads(
    design: Design, network: Network, connector: str, points: Sequence[tuple[Flown, OperatingPoint]]
) -> tuple[PinLoad, ...]:
    """For each group of pins in parallel, where it carries most in some solved points; a group that
    carries nothing is left out."""
    groups = pin_groups(design, network, connector)
    wires: dict[str, list[tuple[str, int]]] = {}
    for name, sign in design.wire_ends.get(connector, ()):
        end = design.wires[name].from_ if sign < 0 else design.wires[name].to
        wires.setdefault(end.partition(".")[2], []).append((f"wires/{name}", sign))
    thickest = {group: _thickest(design, connector, group) for group in groups}
    worst: dict[tuple[str, ...], PinLoad] = {}
    for flown, point in points:
        amps = {}
        for group in groups:
            amps[group] = abs(
                sum(sign * point.amps[wire] for pin in group for wire, sign in wires.get(f"{pin}-plug", ()))
            )
        full = len(design.part(connector, p.Connector).pins) > 2 and all(a > LEAST_A for a in amps.values())
        for group, amperes in amps.items():
            load = PinLoad(group, flown, amperes, full, thickest[group])
            if amperes > LEAST_A and (group not in worst or load.weight > worst[group].weight):
                worst[group] = load
    return tuple(worst.values())


def _thickest(design: Design, connector: str, pins: Sequence[str]) -> Gauge | None:
    ends = {f"{connector}.{pin}-{side}" for pin in pins for side in ("plug", "socket")}
    sizes = [wire.copper_gauge for wire in design.wires.values() if {wire.from_, wire.to} & ends]
    known = [size for size in sizes if size is not None]
    return max(known, key=lambda size: size.area_mm2) if known and len(known) == len(sizes) else None


def beyond_contact(loads: Sequence[PinLoad]) -> tuple[PinLoad, float] | None:
    """The load that exceeds most what any contact with its wire carries, and that in amperes; None
    where none does, or no table says."""
    beyond: list[tuple[PinLoad, float]] = []
    for load in loads:
        with suppress(OutsideTable):
            if load.thickest is not None:
                beyond.append((load, contact_most(load.thickest).value))
    worst = max(beyond, key=lambda one: one[0].alone / one[1], default=None)
    return worst if worst is not None and exceeds(worst[0].alone, worst[1]) else None
