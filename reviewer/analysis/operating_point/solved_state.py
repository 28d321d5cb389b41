"""One operating point of a state, by name: terminal volts, currents, and the reading of each
monitor."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from functools import cached_property
from types import MappingProxyType
from typing import Any

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.propagation import AnyOf
from reviewer.analysis.operating_point.assumptions import Assumed
from reviewer.analysis.operating_point.circuit_build import Scenario
from reviewer.analysis.operating_point.meter_readings import amperes_read, dark, volts_read
from reviewer.analysis.operating_point.points import Figures, Points, solve_points
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network
from reviewer.network.meters import Meter
from reviewer.tables.practice import practice
from reviewer.tables.typical import typical

#: volts that a voltmeter of tenths shows as none: what insulation and blocking diodes leak
LEAK_V = practice("volts", "voltmeter-step").high / 2


@record
class Reading:
    """What a monitor reads: volts or amperes, or for one that shows only that something is live 1
    or 0. ``blank`` where the unit that shows it has no power; a ``lamp`` is dark then.

    A current counts from the line to the load terminal of the shunt; it is None where what is
    sensed is no shunt and has more than one path. Any value is None where no lead is drawn.
    """

    monitor: str
    shows: str
    value: float | None
    blank: bool
    lamp: bool = False


class OperatingPoint:
    """One solved point by name; each mapping is made when it is first asked for.

    ``volts`` by terminal and bar, from the negative of the main battery (see Points); what no
    live source reaches is not in it. ``amps`` by element: of a wire from its from to its to end, of
    a part from line to load or from anode to cathode; elements of more than one path, such as
    buses, are not in it but in ``contacts``. ``balance`` is the worst imbalance of currents at any
    node, amperes.

    ``assumed`` are the typical values it rests on; ``unsized`` and ``undrawn`` elements -> the key
    that the file lacks, for wires and protective devices solved as ideal joints and loads solved as
    drawing nothing.
    """

    def __init__(self, design: Design, scenario: Scenario, points: Points, wires: Wiring):
        self._design, self._scenario, self._points, self._wires = design, scenario, points, wires
        self.state, self.speed, self.phases = scenario.state.name, scenario.state.speed, scenario.phases
        self.balance = float(points.balance[0])
        self.unsized: Mapping[str, str] = MappingProxyType(points.unsized)
        self.undrawn: Mapping[str, str] = MappingProxyType(points.undrawn)

    @property
    def assumed(self) -> tuple[Assumed, ...]:
        """See above."""
        return self._points.assumed

    @cached_property
    def volts(self) -> Mapping[str, float]:
        """See above."""
        found = self._points.all_volts()
        return MappingProxyType({name: round(volts, 9) or 0.0 for name, volts in found.items()})

    @cached_property
    def dead(self) -> frozenset[str]:
        """Terminals and bars that no source feeds and by which no current returns, with no more volts
        than leaks leave there; those that no source reaches at all too."""
        network, now = self._points.network, self._scenario.conduction
        back = AnyOf(tuple(now.returned.values()))
        return frozenset(
            name
            for node, name in enumerate(network.names)
            if abs(self.volts.get(name, 0.0)) < LEAK_V and not now.live(node) and not back[node]
        )

    @cached_property
    def amps(self) -> Mapping[str, float]:
        """See above."""
        found = self._points.all_amps()
        return MappingProxyType({element: round(amps, 9) or 0.0 for element, amps in found.items()})

    @cached_property
    def contacts(self) -> Mapping[tuple[str, str], float]:
        """Amperes of each closed or open contact and pin of a switch, relay or connector of more
        than one path, by its two terminals, counted from the first to the second."""
        points = self._points
        pairs = _contacts(self._design, points.network, points.only_link)
        return MappingProxyType({pair: told(points.link_amps(i)[0]) for pair, i in pairs})

    @cached_property
    def given(self) -> Mapping[str, float]:
        """Amperes by source, less than 0 for a battery that takes current."""
        points = self._points
        return MappingProxyType({s.element: told(points.amps(s.element)[0]) for s in points.network.sources})

    @cached_property
    def taken(self) -> Mapping[str, float]:
        """Amperes by load; of a reversible motor either way round."""
        points = self._points
        taken = points.taken_amps()
        return MappingProxyType(
            {c.element: told(taken.get(c.element, 0.0)) for c in points.network.consumers}
        )

    @cached_property
    def across(self) -> Mapping[str, float]:
        """Volts by load from supply to return, 0 where no live source reaches it; of a reversible
        motor either way round."""
        across = self._points.load_volts()
        return MappingProxyType({element: _known(told(volts)) for element, volts in across.items()})

    @cached_property
    def coils(self) -> Mapping[str, float]:
        """Amperes by relay."""
        points = self._points
        return MappingProxyType(
            {element: told(points.coil_amps(element)[0]) for element in points.built.coils}
        )

    @cached_property
    def supplying(self) -> Mapping[str, float]:
        """Amperes through the fields of alternators, and the inputs of converters and chargers: what
        sources take."""
        points = self._points
        taking = {**points.built.fields, **points.built.inlets}
        return MappingProxyType({element: told(points.device_amps(i)[0]) for element, i in taking.items()})

    @cached_property
    def readings(self) -> Mapping[str, Reading]:
        """By monitor."""
        own, points = self._scenario, self._points
        return MappingProxyType(
            {name: _reading(self._design, own, points, meter) for name, meter in self._wires.meters.items()}
        )

    @cached_property
    def shields(self) -> Mapping[str, float]:
        """Amperes through the shield of a wire that is grounded at two terminals, from the first to
        the second."""
        points = self._points
        return MappingProxyType(
            {
                link.element: float(points.link_amps(i)[0])
                for i, link in enumerate(points.network.links)
                if link.gate is Gate.SHIELD
            }
        )

    @cached_property
    def reversed(self) -> frozenset[str]:
        """The reversible motors that run in reverse."""
        return self._points.reversed_loads

    def turned(self, load: str) -> int:
        """-1 for a reversible motor that runs in reverse, 1 for any other load."""
        return -1 if load in self.reversed else 1

    def coil_volts(self, relay: str, one: str, other: str) -> float:
        """Volts between the two terminals of a relay's coil, either way round; 0 where no live
        source reaches it. Against a diode inside the relay they are no more than its drop."""
        volts = self.volts.get(f"{relay}.{one}", 0.0) - self.volts.get(f"{relay}.{other}", 0.0)
        if volts < 0.0 and self._design.part(relay, p.Electromagnet).suppression == "diode":
            return min(-volts, typical("volts", "silicon").value)
        return abs(volts)


def scenario_of(
    design: Design,
    network: Network,
    state: ResolvedState,
    healthy: Conduction,
    phase: str | None = None,
    case: tuple[Failure, ...] = (),
    starting: Collection[str] = (),
    charges: Mapping[str, float] = MappingProxyType({}),
) -> Scenario:
    """A state under no failure or some, with the figures of a phase; without one, of the phases
    that are flown in the state, or of the phase that the state names; ``charges`` as of
    :class:`Scenario`."""
    conduction = conduct(network, state, (case,), healthy) if case else healthy
    phases = phases_of(design, state, phase)
    return Scenario(state, conduction, case, phases, starting, charges=charges)


def phases_of(design: Design, state: ResolvedState, phase: str | None = None) -> tuple[str, ...]:
    """The phases whose load currents hold in a state: the one that is asked for, that which the
    state names, or those that are flown in it; () for the largest current of each load."""
    chosen = phase if phase is not None else state.currents_of
    if chosen is not None:
        return (chosen,)
    phases = design.operation.phases if design.operation else {}
    return tuple(name for name, one in phases.items() if one.state == state.name)


def solve_state(
    design: Design,
    network: Network,
    scenario: Scenario,
    figures: Figures | None = None,
    wiring: Wiring | None = None,
) -> OperatingPoint:
    """The operating point of a scenario. ``wiring`` serves all scenarios of a design. The engine
    idles or runs as in flight, as the state has it, unless ``figures`` say otherwise.

    Raises NotAssessable, with the missing figure or with the node and part at which no operating
    point was found, and OutsideTable.
    """
    wires = wiring or Wiring(design, network)
    return OperatingPoint(design, scenario, solved_points(design, network, scenario, figures, wires), wires)


def without_loads(point: OperatingPoint, loads: Collection[str]) -> OperatingPoint:
    """A point with some of its loads (elements) that take nothing: its circuit serves again, and it is
    looked for from there. Raises as :func:`solve_state` does."""
    design, wires, scenario = point._design, point._wires, point._scenario
    figures = Figures(speed=point.speed, loads=dict.fromkeys(loads, 0.0))
    points = solve_points(design, wires.network, scenario, figures, wiring=wires, like=point._points)
    points.require_found()
    return OperatingPoint(design, scenario, points, wires)


def solved_points(
    design: Design,
    network: Network,
    scenario: Scenario,
    figures: Figures | None = None,
    wiring: Wiring | None = None,
) -> Points:
    """What :func:`solve_state` gathers: one point. Raises as it does."""
    given = figures or Figures(speed=scenario.state.speed)
    points = solve_points(design, network, scenario, given, wiring=wiring)
    points.require_found()
    return points


def _contacts(
    design: Design, network: Network, only_link: Mapping[str, int]
) -> Iterator[tuple[tuple[str, str], int]]:
    """The contacts and pins of parts of more than one path, by their two terminals, with their
    links."""
    for name in design.of_kind((p.Switch, p.Electromagnet, p.Connector, p.Regulator, p.Potentiometer)):
        if f"parts/{name}" not in only_link:
            for i in network.links_of.get(f"parts/{name}", ()):
                if network.links[i].mounting:
                    continue
                yield (network.names[network.links[i].a], network.names[network.links[i].b]), i


def _reading(design: Design, scenario: Scenario, points: Points, meter: Meter) -> Reading:
    blank = bool(dark(design, points, meter)[0])
    if meter.unknown:
        return Reading(meter.name, meter.shows, None, blank)
    if meter.shows == "live" and meter.lamp:
        return Reading(meter.name, "live", float(not blank), blank, lamp=True)
    if meter.shows == "live":
        return Reading(meter.name, "live", float(bool(scenario.conduction.live(meter.ends[0]))), blank)
    read = amperes_read(points, meter) if meter.shows == "current" else volts_read(points, meter)
    return Reading(meter.name, meter.shows, None if read is None else told(read[0]), blank)


def told(value: Any) -> float:
    """Less than a nanoampere is noise that would decide between equals; no minus zero."""
    return round(float(value), 9) or 0.0


def _known(volts: float) -> float:
    return volts if volts == volts else 0.0
