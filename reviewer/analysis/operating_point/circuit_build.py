"""A design in one scenario -> the circuit that is solved: only links that conduct there, only
sources that are alive there."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import BY_OHMS, Failure, Mode
from reviewer.analysis.conduction.fixed_point import Conduction, link_masks
from reviewer.analysis.conduction.scenarios import Lanes, lanes_of_cases
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point import devices as made_of
from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.analysis.solver.circuit import (
    BatteryBranch,
    Device,
    NodalCircuit,
    RegulatedBranch,
    Resistor,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, PoweredDevice, bare
from reviewer.tables.typical import typical


@record
class Built:
    """A circuit whose first nodes are those of the network. ``resistors`` by index of link,
    ``diodes`` by index of link, ``sources``, ``loads``, ``coils`` and ``fields`` by element:
    indexes into the circuit's resistors and devices. What is not there carries nothing."""

    circuit: NodalCircuit
    resistors: Mapping[int, int]
    diodes: Mapping[int, int]
    sources: Mapping[str, int]
    loads: Mapping[str, int]
    coils: Mapping[str, int]
    fields: Mapping[str, int]
    assumptions: Assumptions
    #: the devices that stand for the resistances of what is degraded or leaks, where these are varied
    faults: tuple[int, ...] = ()


@record
class Scenario:
    """A state, the failures in it (none in the healthy system), what conducts then, and which loads
    are just starting (motors) or cold (lamps).

    ``phases`` are those whose figures the loads take; ``conduction`` has one lane. ``undriven`` are
    alternators among what failed that give nothing because nothing turns them: where their field is
    fed it draws on.
    """

    state: ResolvedState
    conduction: Conduction
    case: tuple[Failure, ...] = ()
    phases: tuple[str, ...] = ()
    starting: Collection[str] = ()
    undriven: Collection[str] = ()


class _CircuitBuilder:
    def __init__(
        self,
        design: Design,
        network: Network,
        scenario: Scenario,
        drawing: Collection[str],
        wiring: Wiring,
        varied: bool,
    ):
        self.design, self.network, self.scenario, self.drawing, self.wiring = (
            design,
            network,
            scenario,
            drawing,
            wiring,
        )
        self.lanes: Lanes = lanes_of_cases(network, scenario.state, (scenario.case,) if scenario.case else ())
        self.assumptions = Assumptions()
        self.count = len(network.names)
        self.resistors: list[Resistor] = []
        self.devices: list[Device] = []
        #: the degraded ones and those that leak; ``varied`` where points have ohms of their own
        self.worn = [f for f in scenario.case if f.mode in BY_OHMS]
        self.varied = varied
        self.faults: list[int] = []

    def fault(self, failure: Failure, a: int, b: int) -> None:
        """The resistance of a failure from one node to another."""
        if self.varied:
            self.faults.append(self.add(made_of.resistance_device(failure.element, a, b, failure.ohms)))
        else:
            self.resistors.append(Resistor(a, b, failure.ohms))

    def degraded(self, element: str, node: int, *others: int) -> int:
        """The node behind the resistances in series with an element at a node; the node itself where
        there is none. A part of several terminals is degraded at one, one of ``others`` too."""
        for failure in self.worn:
            place = f"{bare(element)}.{failure.position}"
            if (
                failure.mode is Mode.DEGRADED
                and failure.element == element
                and (not failure.position or place in [self.network.names[n] for n in (node, *others)])
            ):
                behind, self.count = self.count, self.count + 1
                self.fault(failure, node, behind)
                node = behind
        return node

    def leaks(self) -> None:
        """The resistances across what leaks: a diode, or an alternator from output to ground."""
        for failure in self.worn:
            if failure.mode is Mode.LEAKING:
                ends = [
                    (s.positive, s.negative) for s in self.network.sources if s.element == failure.element
                ]
                ends += [
                    (self.network.links[i].a, self.network.links[i].b)
                    for i in self.network.links_of.get(failure.element, ())
                    if self.network.links[i].oneway
                ]
                for a, b in ends:
                    if not self.dead(a, b):
                        self.fault(failure, a, b)

    def works(self, element: str) -> bool:
        return not self.lanes.opened.get(element, 0)

    def dead(self, *nodes: int) -> bool:
        return any(self.scenario.conduction.zone[n] for n in nodes)

    def add(self, device: Device) -> int:
        self.devices.append(device)
        return len(self.devices) - 1

    def links(self) -> tuple[dict[int, int], dict[int, int]]:
        along, against = link_masks(self.lanes, self.scenario.conduction.energised)
        resistors, diodes, zone = {}, {}, self.scenario.conduction.zone
        for i, link in enumerate(self.network.links):
            if not along[i] | against[i] or link.a == link.b or zone[link.a] | zone[link.b]:
                continue
            # the shield of a wire is not its conductor
            worn = self.worn and link.gate is not Gate.SHIELD
            a = self.degraded(link.element, link.a, link.b) if worn else link.a
            if along[i] and against[i]:
                resistors[i] = len(self.resistors)
                made = self.wiring.resistor(i, self.assumptions)
                self.resistors.append(made if a == link.a else replace(made, a=a))
            else:
                diodes[i] = self.add(
                    made_of.diode_device(self.design, link.element, a, link.b, self.assumptions)
                )
        return resistors, diodes

    def inputs(self) -> None:
        """The inputs that sense what is live."""
        for resistor, own in self.wiring.inputs:
            if self.scenario.conduction.live(resistor.a) and not self.dead(resistor.a, resistor.b):
                self.assumptions.add(own)
                self.resistors.append(resistor)

    def sources(self) -> tuple[dict[str, int], dict[str, int]]:
        sources, fields = {}, {}
        for source in self.network.sources:
            if self.scenario.conduction.alive[source.element] and not self.dead(
                source.positive, source.negative
            ):
                made = made_of.source_device(self.design, source, self.assumptions)
                if self.worn and source.kind == "battery":
                    made = replace(made, plus=self.degraded(source.element, source.positive))
                sources[source.element] = self.add(made)
            if (
                source.field is not None
                and (self.works(source.element) or source.element in self.scenario.undriven)
                and not self.dead(source.field, source.negative)
            ):
                fields[source.element] = self.add(made_of.field_device(self.design, source, self.assumptions))
        return sources, fields

    def coils(self) -> dict[str, int]:
        found = {}
        for coil in self.network.coils:
            if self.works(coil.element) and not self.dead(coil.plus[0], coil.minus[0]):
                found[coil.element] = self.add(
                    made_of.coil_device(
                        self.design, coil.element, coil.plus[0], coil.minus[0], self.assumptions
                    )
                )
        return found

    def loads(self) -> dict[str, int]:
        found = {}
        for consumer in self.network.consumers:
            part = self.design.parts[bare(consumer.element)]
            live = [n for n in consumer.plus if self.scenario.conduction.live(n) and not self.dead(n)]
            supplied = live if len(consumer.plus) > 1 else [n for n in consumer.plus if not self.dead(n)]
            if not self.works(consumer.element) or not supplied or self.dead(consumer.minus[0]):
                continue
            # a load that is off takes no current of a phase: what sneaks through it meets its largest
            phases = self.scenario.phases if self.scenario.conduction.powered[consumer.element] else ()
            amps = made_of.amps_of(part, consumer.element, phases, self.assumptions)
            starting = bare(consumer.element) in self.scenario.starting
            known = consumer.element in self.drawing or (starting and part.peak is not None)
            if known:
                self.assumptions.undrawn.pop(consumer.element, None)
            if amps > 0 or known:
                plus = self.inlet(part, consumer, supplied, amps)
                found[consumer.element] = self.add(
                    made_of.load_device(
                        self.design,
                        consumer.element,
                        plus,
                        consumer.minus[0],
                        amps,
                        starting,
                        self.assumptions,
                    )
                )
        return found

    def inlet(self, part: p.Consumer, consumer: PoweredDevice, supplied: Sequence[int], amps: float) -> int:
        """The node behind the supply terminals: several supplies do not feed each other, each has a
        diode inside the unit."""
        if len(consumer.plus) == 1:
            return supplied[0]
        node, self.count = self.count, self.count + 1
        drop = self.assumptions.use(
            AssumedQuantity.DIODE_DROP,
            "drop of the diodes inside a load of several supplies",
            typical("volts", "ideal"),
            consumer.element,
        )
        emission = typical("shares", "ideal-emission").value
        for supply in supplied:
            self.add(
                made_of.curve_through(
                    consumer.element, supply, node, drop, part.peak or amps or 1.0, emission
                )
            )
        return node


def build(
    design: Design,
    network: Network,
    scenario: Scenario,
    drawing: Collection[str] = (),
    wiring: Wiring | None = None,
    sensing: bool = True,
    varied: bool = False,
) -> Built:
    """The circuit of a scenario; ``drawing`` are elements of loads whose current the caller gives;
    ``wiring`` serves all scenarios of a design; without ``sensing`` the inputs of instruments take
    nothing; ``varied`` where the points have their own ohms of what is degraded. Raises
    NotAssessable, naming the missing figure."""
    if scenario.conduction.unsettled:
        raise NotAssessable(f"relays that settle in state {scenario.state.name}")
    builder = _CircuitBuilder(design, network, scenario, drawing, wiring or Wiring(design, network), varied)
    resistors, diodes = builder.links()
    builder.leaks()
    if sensing:
        builder.inputs()
    sources, fields = builder.sources()
    coils, loads = builder.coils(), builder.loads()
    kinds = {BatteryBranch: 0, RegulatedBranch: 1}
    anchors = sorted(
        (d for d in builder.devices if isinstance(d, tuple(kinds))), key=lambda d: kinds[type(d)]
    )
    circuit = NodalCircuit(
        builder.count, tuple(builder.resistors), tuple(builder.devices), tuple(d.minus for d in anchors)
    )
    found = (resistors, diodes, sources, loads, coils, fields)
    return Built(circuit, *found, builder.assumptions, tuple(builder.faults))
