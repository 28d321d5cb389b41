"""Operating points of a design: volts and amperes of every terminal, wire and part in one scenario,
for one set of figures or for thousands."""

from __future__ import annotations

import math
from collections.abc import Collection, Hashable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property, partial
from types import MappingProxyType
from typing import Any

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.not_assessable import NoOperatingPoint
from reviewer.analysis.operating_point.assumptions import Assumed, AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.circuit_build import Built, Scenario, built_once
from reviewer.analysis.operating_point.devices import (
    alternator_figures,
    battery_figures,
    resistance_figures,
)
from reviewer.analysis.operating_point.failure_lanes import (
    by_lane,
    counted_from,
    held,
    lanes_array,
    on_alternators_alone,
    regulating,
)
from reviewer.analysis.operating_point.remote_sensing import as_sensed, sensing, uncontrolled
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.analysis.solver.circuit import (
    ConstantPowerBranch,
    Device,
    InletBranch,
    LoadBranch,
    RegulatedBranch,
)
from reviewer.analysis.solver.circuit_shape import CircuitShapes
from reviewer.analysis.solver.circuit_solution import CircuitSolution, NotConverged
from reviewer.analysis.solver.numpy_threads import load_numpy
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.regulators import own_trip
from reviewer.tables.typical import typical, unregulated_volts

#: resistance of a battery whose terminals are held at a voltage: a hundred amperes take a hundredth
#: of a volt
HELD_OHMS = 1e-4
#: cases from which on those with one set of figures are solved by themselves
CASES_APART = 50
#: share of the nominal volts below which a load that is off takes next to nothing, whatever it is;
#: a value of our own
LEAST_SHARE = 0.01
#: in :attr:`Points.only_link`
SOURCE, LOAD = -1, -2


def _nothing() -> Mapping[str, Any]:
    return MappingProxyType({})


@record
class Figures:
    """What differs between operating points; each value is one number or (points,). What is left
    out is that of the scenario, the file's, or typical.

    ``loads`` element -> amperes at nominal voltage, of loads, coils and the fields of alternators;
    ``held_volts`` battery element -> volts that it
    holds at its terminals whatever it gives or takes; ``charged_from`` battery element ->
    open-circuit volts of one whose charge only its resistance limits, as at first;
    ``state_of_charge`` battery element -> state of charge, 0 to 1; ``ageing`` battery element ->
    factor on its resistance (1 for a new, warm one); ``set_point`` alternator element -> volts;
    ``failed_full_on`` alternator element -> volts up to which its output goes when its regulator
    fails full on, where its loads and batteries let it; ``tripping`` the same in volts at the point
    that is sensed, where a trip ends it; ``speed`` of the engine, 0 at idle to 1 in flight;
    ``temperature`` of the conductors in degrees Celsius: one factorisation is made for each
    distinct one. Without ``sensing`` the inputs of instruments take nothing. ``unlimited``
    alternators and chargers hold their set point whatever is asked of them. ``fault_ohms`` are the
    ohms of what is degraded or leaks in the scenario, where they are not those of its failures.
    """

    loads: Mapping[str, Any] = field(default_factory=_nothing)
    state_of_charge: Mapping[str, Any] = field(default_factory=_nothing)
    ageing: Mapping[str, Any] = field(default_factory=_nothing)
    set_point: Mapping[str, Any] = field(default_factory=_nothing)
    speed: Any = 1.0
    temperature: Any = None
    failed_full_on: Mapping[str, Any] = field(default_factory=_nothing)
    tripping: Mapping[str, Any] = field(default_factory=_nothing)
    held_volts: Mapping[str, Any] = field(default_factory=_nothing)
    charged_from: Mapping[str, Any] = field(default_factory=_nothing)
    sensing: bool = True
    unlimited: Collection[str] = ()
    fault_ohms: Any = None


def one_at_a_time(usual: Mapping[str, float], own: Mapping[str, float]) -> dict[str, Any]:
    """Currents of loads for as many points as there are loads: in each point one of them has its
    ``own`` current and all others the ``usual`` one."""
    import numpy as np

    loads = {}
    for column, (load, amps) in enumerate(own.items()):
        loads[load] = np.full(len(own), usual[load])
        loads[load][column] = amps
    return loads


@record
class Unsolved:
    """A point that did not converge: its index, the terminal with the worst current balance, the
    imbalance in amperes, and the part concerned; where the currents balance, which figure of that
    part is ``unsettled``."""

    point: int
    terminal: str
    amps: float
    element: str
    unsettled: str = ""

    def __str__(self) -> str:
        if self.unsettled:
            where = f"the {self.unsettled} of {bare(self.element)}"
            return f"no operating point was found: {where} does not settle"
        return (
            f"no operating point was found: the currents at {self.terminal} "
            f"miss by {quantity(self.amps, 'A')}, at {bare(self.element)}"
        )


@record
class Points:
    """Operating points. Every answer is a read-only array (points,); a point that is in
    ``unsolved`` is NaN everywhere. Of several cases of failure, or states, point i is of lane i modulo
    their number.

    Volts count from the negative terminal of the first live battery of the island, or of another
    source where there is none. ``balance`` is the worst imbalance of currents at any node, amperes:
    the proof of the point. ``unsized`` and ``undrawn`` are elements -> the key that is missing:
    wires and protective devices solved as ideal joints, loads solved as drawing nothing.
    """

    network: Network
    built: Built
    parts: tuple[tuple[Any, CircuitSolution], ...]
    count: int
    balance: Any
    rounds: int
    unsolved: tuple[Unsolved, ...]
    assumptions: Assumptions
    unsized: Mapping[str, str]
    undrawn: Mapping[str, str]
    #: lanes in which each load has power
    powered: Mapping[str, int]

    def require_found(self) -> None:
        """Raises NoOperatingPoint with the first point that is ``unsolved``: its NaN passes every limit."""
        if self.unsolved:
            raise NoOperatingPoint(str(self.unsolved[0]))

    @cached_property
    def assumed(self) -> tuple[Assumed, ...]:
        """The typical values that the points rest on."""
        return self.assumptions.assumed()

    def _gather(self, ask: Any) -> Any:
        import numpy as np

        if self.count == 1:
            found = np.array(ask(self.parts[0][1]), float).reshape(1)
            found.setflags(write=False)
            return found
        found = np.empty(self.count)
        if len(self.parts) == 1:
            found[:] = ask(self.parts[0][1])
        else:
            for some, solved in self.parts:
                found[some] = ask(solved)
        found.setflags(write=False)
        return found

    def volts(self, terminal: str) -> Any:
        """Volts of ``part.terminal`` or of a bar; NaN where no live source reaches it. Raises
        KeyError."""
        return self.volts_of(self.network.node(terminal))

    def volts_of(self, node: int) -> Any:
        """Volts of a node of the network; NaN where no live source holds it."""
        found = self._gather(lambda solved: solved.volts(node))
        return found if self.built.width == 1 else self._of_lanes(node, found)

    def _of_lanes(self, node: int, found: Any) -> Any:
        """Volts in each lane, from the node that its island counts from."""
        import numpy as np

        def where(lanes: int) -> Any:
            return lanes_array(lanes, self.built.width, self.count)

        for anchor, island in self._counted_from:
            if node in island:
                beginning = self._gather(lambda solved, start=anchor: solved.volts(start))
                found = np.where(where(island[node]), found - beginning, found)
        return np.where(where(self._held[node]), found, np.nan)

    @cached_property
    def _held(self) -> Sequence[int]:
        return held(self.built)

    @cached_property
    def _counted_from(self) -> Sequence[tuple[int, Mapping[int, int]]]:
        return counted_from(self.built)

    def all_volts(self) -> dict[str, float]:
        """Where there is one point: the volts of all that a live source reaches, by terminal."""
        _, solved = self.parts[0]
        joined = solved.all_volts()[:, 0].tolist()
        return {
            name: joined[at]
            for name, at in zip(self.network.names, solved.islands.merged, strict=False)
            if at >= 0
        }

    def all_amps(self) -> dict[str, float]:
        """Where there is one point: the amperes through each element that has one link, from its a
        end to its b end."""
        import numpy as np

        _, solved = self.parts[0]
        wires, merged = self.built.circuit.wires, np.array(solved.islands.merged)
        volts = np.append(solved.all_volts()[:, 0], 0.0)  # the last one for what no source reaches
        ohms = wires.ohms_at(solved.temperature)
        a, b = merged[wires.a], merged[wires.b]
        through = np.where(a >= 0, (volts[a] - volts[b]) / np.where(ohms > 0, ohms, 1.0), 0.0).tolist()
        simple = (ohms > 0).tolist()
        found, resistors, diodes = {}, self.built.resistors, self.built.diodes
        for element, link in self.only_link.items():
            if link < 0:
                continue
            index = resistors.get(link)
            if index is not None and simple[index] and link not in diodes:
                found[element] = through[index]
            else:
                found[element] = float(self.link_amps(link)[0])
        return found

    def taken_amps(self) -> dict[str, float]:
        """Where there is one point: the amperes of each load that the circuit has, by element."""
        return self._of_loads(self.parts[0][1].each_amps(), 0.0)

    def load_volts(self) -> dict[str, float]:
        """Where there is one point: the volts across each load that the circuit has, by element; NaN where
        no live source reaches it."""
        return self._of_loads(self.parts[0][1].each_across(), math.nan)

    def _of_loads(self, by_device: Mapping[int, float], dead: float) -> dict[str, float]:
        found = {element: by_device.get(index, dead) for element, index in self.built.loads.items()}
        for element in self.reversible:
            if element in found:
                found[element] = abs(found[element])
        return found

    def link_amps(self, link: int) -> Any:
        """Amperes through a link of the network from its a end to its b end; NaN where ideal joints
        in a ring leave it open how they share."""
        devices = [self.built.diodes[link]] if link in self.built.diodes else []
        devices += [self.built.contacts[link][0]] if link in self.built.contacts else []
        index = self.built.resistors.get(link)
        if devices:
            beside = 0.0 if index is None else self._gather(lambda solved: solved.resistor_amps(index))
            return sum(map(self.device_amps, devices)) + beside
        return self._gather(lambda solved: 0.0 if index is None else solved.resistor_amps(index))

    def link_ohms(self, link: int) -> float:
        """Ohms of a link at 20 C that conducts both ways; 0 for an ideal joint."""
        if link in self.built.contacts:
            return self.built.contacts[link][1].ohms
        index = self.built.resistors.get(link)
        return 0.0 if index is None else self.built.circuit.resistors[index].ohms

    def amps(self, element: str) -> Any:
        """Amperes through an element: of a wire from its from to its to end; of a protective
        device, switch, shunt, one-pin connector or one-contact relay from line to load; of a diode
        from anode to cathode; drawn by a load, by a reversible motor either way round; given by a
        source, less than 0 for a battery that takes current.

        Raises KeyError for an element of more than one path, such as a bus: ask :meth:`link_amps`.
        """
        if element in self.built.loads:
            amps = self.device_amps(self.built.loads[element])
            return abs(amps) if element in self.reversible else amps
        link = self.only_link.get(element)
        if link == SOURCE:
            index = self.built.sources.get(element)
            return self._gather(lambda solved: 0.0 if index is None else -solved.device_amps(index))
        return self._gather(lambda solved: 0.0) if link == LOAD else self.link_amps(self.only_link[element])

    @cached_property
    def only_link(self) -> Mapping[str, int]:
        """The index of the link of each element that has one, SOURCE or LOAD for a source or a
        load; others are not in it."""
        known = self.network.searched.get("only link")
        if known is None:
            users = {c.element: LOAD for c in self.network.consumers} | {
                s.element: SOURCE for s in self.network.sources
            }
            known = self.network.searched["only link"] = {**self.network.lone, **users}
        return known

    def coil_amps(self, element: str) -> Any:
        """Amperes through the coil of a relay or contactor, from its first to its second terminal.
        Raises KeyError."""
        return self.device_amps(self.built.coils[element])

    def across(self, element: str) -> Any:
        """Volts across a load (behind the diodes of its supplies, where it has several), a coil or
        a source, plus less minus; of a reversible motor either way round. Raises KeyError."""
        index = self._places[element]
        source = self._ends_of_sources.get(element)
        if source is not None:  # a degraded battery has a resistance between its device and its terminal
            plus, minus = source
            return self._gather(lambda solved: solved.volts(plus) - solved.volts(minus))
        volts = self._gather(lambda solved: solved.across(index))
        return abs(volts) if element in self.reversible else volts

    @cached_property
    def _places(self) -> Mapping[str, int]:
        return {**self.built.coils, **self.built.sources, **self.built.loads}

    @cached_property
    def _ends_of_sources(self) -> Mapping[str, tuple[int, int]]:
        return {s.element: (s.positive, s.minus) for s in self.network.sources}

    @cached_property
    def reversible(self) -> frozenset[str]:
        """The motors that run either way round."""
        return frozenset(c.element for c in self.network.consumers if c.either_way)

    @property
    def reversed_loads(self) -> frozenset[str]:
        """Where there is one point: the reversible motors that run in reverse."""
        loads = self.built.loads
        return frozenset(e for e in self.reversible if e in loads and self.device_amps(loads[e])[0] < 0)

    def device_amps(self, index: int) -> Any:
        """Amperes through a device of the circuit, plus to minus."""
        return self._gather(lambda solved: solved.device_amps(index))


def solve_points(
    design: Design,
    network: Network,
    scenario: Scenario,
    figures: Figures | None = None,
    points: int = 1,
    wiring: Wiring | None = None,
    like: Points | None = None,
    built: Built | None = None,
) -> Points:
    """Solve ``points`` operating points of one scenario, or so many for each of its cases or states;
    ``wiring`` serves all scenarios of a design; ``like`` is one point of the same scenario: its
    circuit serves again, as ``built`` does, the circuit by itself, and others are looked for from there.

    Raises NotAssessable where the file lacks a figure that a source needs or the relays do not
    settle, and OutsideTable for a state of charge without a published open-circuit voltage. A point
    that does not converge is in ``unsolved`` and NaN, never a number.
    """
    given = figures or Figures()
    varied = given.fault_ohms is not None
    # the circuit of many cases comes once: what is worked out for it is not kept for others
    shapes = wiring.shapes if wiring else None
    if scenario.many:
        shapes = CircuitShapes(shapes)
    if like is not None:
        built = like.built
    elif built is None:
        built = built_once(design, network, scenario, frozenset(given.loads), wiring, given.sensing, varied)
    load_numpy()  # not before: what cannot be solved needs none
    import numpy as np

    temperature = given.temperature
    if temperature is None:
        temperature = conductor_temperature(design, built)
    free = uncontrolled(design, network, scenario.conduction, scenario.cases or (scenario.case,))
    ceilings = _full_on_volts(design, network, built, free)
    if ceilings and not scenario.many:
        given = replace(given, failed_full_on={**ceilings, **given.failed_full_on})
    changed = _changed(design, built, given, scenario.charges)
    idle: dict[int, Any] = {}
    full_on: dict[int, Any] = {}
    if scenario.many:
        points *= built.width
        by_lane(built, changed, points, float(temperature))
        idle = {i: lanes_array(lanes, built.width, points) for i, lanes in built.idle.items()}
        for element, lanes in free.items():
            index = built.sources[element]
            full_on[index] = lanes_array(lanes, built.width, points)
            changed[index]["volts"] = np.where(full_on[index], ceilings[element], changed[index]["volts"])
    _start_cold(network, scenario.conduction, built, idle, points)
    senses = sensing(design, network, built, frozenset(given.failed_full_on))
    most = dict.fromkeys(senses, unregulated_volts(design.aircraft.scale).value)
    distinct, place = _apart(temperature, points, built.width)
    parts, balance, unsolved, rounds = [], np.empty(points), [], 0
    for which, degrees in enumerate(distinct):
        some = np.flatnonzero(place == which)
        mine = changed if len(some) == points else _at(changed, some)
        still = {i: mask[some] for i, mask in idle.items()}
        before = like.parts[0][1] if like is not None else None
        if before is not None and before.temperature != degrees:
            before = None
        near = None
        if before is not None and not still:  # the one point of the state is near to all others
            near = replace(before, x=np.repeat(before.x, len(some), axis=1))
        live = None
        if scenario.many:
            live = {
                i: (there & ~full_on[i])[some] if i in full_on else there[some]
                for i, there in regulating(built, senses, points).items()
            }
        solve = partial(
            as_sensed,
            senses,
            mine,
            built.circuit,
            len(some),
            float(degrees),
            still,
            live,
            before,
            shapes,
            near,
            most,
        )
        solved = (
            solve()
            if wiring is None or scenario.case or scenario.many
            else wiring.solved_once(
                (id(built.circuit), float(degrees), len(some), tuple(senses), _written({**mine, -1: still})),
                solve,
            )
        )
        for i in senses:
            if np.any(np.asarray(solved.figures[i]["volts"]) == most[i]):
                _unregulated(design, built, senses[i].element)
        parts.append((some, solved))
        balance[some], rounds = solved.balance, max(rounds, solved.rounds)
        unsolved += [_unsolved(network, built, int(some[lost.point]), lost) for lost in solved.lost]
    balance.setflags(write=False)
    assumptions = built.assumptions
    found = Points(
        network,
        built,
        tuple(parts),
        points,
        balance,
        rounds,
        tuple(unsolved),
        assumptions.copied(),
        dict(assumptions.unsized),
        dict(assumptions.undrawn),
        scenario.conduction.powered,
    )
    if built.unstated:
        found = replace(found, undrawn={**found.undrawn, **dict(_passed(design, found))})
    return found


def _at(changed: Mapping[int, Mapping[str, Any]], some: Any) -> dict[int, dict[str, Any]]:
    """Figures of devices for some of the points, by index."""
    import numpy as np

    return {
        i: {n: v if type(v) is float or np.ndim(v) == 0 else np.asarray(v)[some] for n, v in own.items()}
        for i, own in changed.items()
    }


def _apart(temperature: Any, points: int, width: int) -> tuple[Any, Any]:
    """The temperatures of the sets of points that are each solved by themselves, and the set of each
    point."""
    import numpy as np

    # cases with one set of figures lie near to each other, and farther from those with another
    many = width >= CASES_APART
    if not many and not np.ndim(temperature):
        return np.array([temperature], float), np.zeros(points, int)
    heat = np.broadcast_to(np.asarray(temperature, float), (points,))
    sets = np.arange(points) // width if many else np.zeros(points, int)
    (distinct, _), place = np.unique(np.stack([heat, sets]), axis=1, return_inverse=True)
    return distinct, place


def _passed(design: Design, points: Points) -> Iterator[tuple[str, str]]:
    """Loads that are off and of which the file gives no current, with the missing key, where another
    path puts volts across them all the same: no others need a figure."""
    import numpy as np

    for element, (key, supplies, negative) in points.built.unstated.items():
        volts = [points.volts_of(plus) - points.volts_of(negative) for plus in supplies]
        if np.any(np.abs(volts) > LEAST_SHARE * design.nominal_volts(bare(element))):
            yield element, key


def _written(figures: Mapping[int, Any]) -> Hashable:
    """Figures by device, one number or an array each, to be compared."""
    import numpy as np

    return tuple((i, n, np.asarray(v).tobytes()) for i, own in figures.items() for n, v in own.items())


def _unsolved(network: Network, built: Built, point: int, lost: NotConverged) -> Unsolved:
    device = built.circuit.devices[lost.device]
    terminal = network.names[lost.node] if lost.node < len(network.names) else device.element
    return Unsolved(point, terminal, lost.amps, device.element, _figure(device) if lost.unsettled else "")


def _figure(device: Device) -> str:
    """The figure of a device that its search changes."""
    if isinstance(device, InletBranch):
        return "power at the input"
    return "output voltage" if isinstance(device, RegulatedBranch) else "voltage"


def conductor_temperature(design: Design, built: Built) -> float:
    """The temperature of the conductors of an aircraft where no other one is given, degrees Celsius."""
    if design.aircraft.ambient is not None:
        return design.aircraft.ambient
    return built.assumptions.use(
        AssumedQuantity.TEMPERATURE,
        "temperature of the conductors",
        typical("celsius", "conductor"),
        "aircraft",
    )


def _full_on_volts(design: Design, network: Network, built: Built, free: Collection[str]) -> dict[str, float]:
    """Up to which volts each alternator goes that nothing regulates: to its trip, where it has
    one that stops it. One that works on although an overvoltage relay is drawn was not tripped."""
    found = {}
    drawn = {source.element for source in network.sources if source.relay}
    for element in free:
        trip = None if element in drawn else own_trip(design, bare(element))
        if trip is not None:
            found[element] = min(trip, unregulated_volts(design.aircraft.scale).value)
        else:
            found[element] = _unregulated(design, built, element)
    return found


def _unregulated(design: Design, built: Built, element: str) -> float:
    """The volts of an alternator at full field, noted as an assumption."""
    words, most = "voltage of an alternator that nothing regulates", unregulated_volts(design.aircraft.scale)
    built.assumptions.use(AssumedQuantity.SOURCE_VOLTAGE, words, most, element)
    return most.value


def _start_cold(
    network: Network, conduction: Conduction, built: Built, idle: dict[int, Any], points: int
) -> None:
    """Of two operating points the one that is reached from 0 V is looked for, which holds fewer
    volts."""
    if cold := on_alternators_alone(network, conduction, built):
        start = lanes_array(cold, conduction.width, points)
        for i in range(len(built.circuit.devices)):
            idle[i] = idle[i] | start if i in idle else start


def _changed(
    design: Design, built: Built, given: Figures, charges: Mapping[str, float]
) -> dict[int, dict[str, Any]]:
    """Index of device -> the figures that are not those it was built with."""
    changed: dict[int, dict[str, Any]] = {}
    quiet = Assumptions()
    for element, index in built.sources.items():
        part = design.parts[element.partition("/")[2]]
        if element in given.held_volts:
            changed[index] = {
                "open_circuit": given.held_volts[element],
                "ohms": HELD_OHMS,
                "charge_ohms": HELD_OHMS,
            }
        elif isinstance(part, p.Battery) and element in given.charged_from:
            ohms = battery_figures(design, element, None, given.ageing.get(element, 1.0), quiet)["ohms"]
            changed[index] = {
                "open_circuit": given.charged_from[element],
                "ohms": ohms,
                "charge_ohms": ohms,
            }
        elif isinstance(part, p.Battery) and (element in given.state_of_charge or element in given.ageing):
            charge = given.state_of_charge.get(element, charges.get(element, part.state_of_charge))
            changed[index] = battery_figures(design, element, charge, given.ageing.get(element, 1.0), quiet)
        elif isinstance(part, p.Alternator):
            volts = {**given.set_point, **given.tripping, **given.failed_full_on}.get(element)
            changed[index] = alternator_figures(design, element, volts, given.speed, built.assumptions)
            if element in given.unlimited:
                changed[index]["limit"] = math.inf
        elif isinstance(part, p.Charger) and element in given.unlimited:
            changed[index] = {"limit": math.inf}
    for index in built.faults:
        changed[index] = resistance_figures(given.fault_ohms)
    drawing = {**built.coils, **built.fields, **built.loads}
    for element, amps in given.loads.items():
        if element in drawing:
            changed[drawing[element]] = _load_figures(
                built.circuit.devices[drawing[element]], amps, design.nominal_volts(bare(element))
            )
    return changed


def _load_figures(device: Device, amps: Any, nominal: float) -> dict[str, Any]:
    if isinstance(device, ConstantPowerBranch):
        return {"watts": amps * nominal}
    assert isinstance(device, LoadBranch)
    return {"amps": amps}
