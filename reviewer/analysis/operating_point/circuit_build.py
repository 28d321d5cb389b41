"""A design in one scenario -> the circuit that is solved: only links that conduct there, only
sources that are alive there.

Several cases of failure of one state make one circuit, a lane each. What conducts in some lanes
only is a device, and ``Built.present`` says in which; what is not in it is there in all.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import field, replace
from operator import itemgetter

from reviewer.analysis.conduction.failure_modes import BY_OHMS, Failure, Mode
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, link_masks
from reviewer.analysis.conduction.masks import at_any, join
from reviewer.analysis.conduction.scenarios import (
    Case,
    Lanes,
    failures_of,
    lanes_of_cases,
    lanes_of_states,
    mask_of,
)
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point import devices as made_of
from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.resistances import Wiring
from reviewer.analysis.solver.circuit import (
    SOURCES,
    Device,
    NodalCircuit,
    RegulatedBranch,
    Resistor,
)
from reviewer.analysis.solver.trunk import Trunk
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, PoweredDevice, bare
from reviewer.tables.typical import typical


@record
class Built:
    """A circuit whose first nodes are those of the network. ``resistors`` by index of link,
    ``diodes`` by index of link, with the joints across resistors that are shorted,
    ``sources``, ``loads``, ``coils`` and ``fields`` by element:
    indexes into the circuit's resistors and devices. What is not there carries nothing.

    ``present`` has the lanes in which a device is there, by index, where these are not all;
    ``contacts`` by index of link, less than 0 for shorts to ground, the devices that stand for
    resistors of some lanes, and these;
    ``amps`` by index of device those of loads that are off in some lanes, one a lane; ``inputs`` by
    index of resistor the lanes in which the input of an instrument senses something; ``idle`` by
    index of device those in which a load has no power. Of ``width`` lanes.
    """

    circuit: NodalCircuit
    resistors: Mapping[int, int]
    diodes: Mapping[int, int]
    sources: Mapping[str, int]
    loads: Mapping[str, int]
    coils: Mapping[str, int]
    fields: Mapping[str, int]
    assumptions: Assumptions
    width: int = 1
    present: Mapping[int, int] = field(default_factory=dict)
    contacts: Mapping[int, tuple[int, Resistor]] = field(default_factory=dict)
    amps: Mapping[int, Sequence[float]] = field(default_factory=dict)
    inputs: Mapping[int, int] = field(default_factory=dict)
    idle: Mapping[int, int] = field(default_factory=dict)
    #: the devices that stand for the resistances of what is degraded or leaks, where these are varied
    faults: tuple[int, ...] = ()
    #: loads that are off and of which the file gives no current -> the missing key, the nodes of
    #: the supplies, that of the return
    unstated: Mapping[str, tuple[str, Sequence[int], int]] = field(default_factory=dict)
    #: the inputs of converters and chargers, by element
    inlets: Mapping[str, int] = field(default_factory=dict)


@record
class Scenario:
    """A state, the failures in it (none in the healthy system), what conducts then, and which loads
    are just starting (motors) or cold (lamps).

    ``phases`` are those whose figures the loads take; ``conduction`` has one lane, or one for each
    of ``cases``, or of ``states`` that differ in what is switched on alone, ``state`` the first of
    them. ``charges`` are the states of charge of batteries (elements) that are not as full as the file
    says, else full. An alternator that is open gives nothing, and its field draws on where it is fed: the
    worse of the ways in which one is lost.
    """

    state: ResolvedState
    conduction: Conduction
    case: tuple[Failure, ...] = ()
    phases: tuple[str, ...] = ()
    starting: Collection[str] = ()
    cases: tuple[Case, ...] = ()
    charges: Mapping[str, float] = field(default_factory=dict)
    states: tuple[ResolvedState, ...] = ()

    @property
    def many(self) -> bool:
        """Whether it has a lane for each of some cases or states."""
        return bool(self.cases or self.states)

    def phases_of(self, part: p.Consumer, element: str, sound: Callable[[], Conduction]) -> Sequence[str]:
        """The phases whose figures a load takes. None where what failed turns on a load that is off in
        the state (``sound`` gives it with nothing failed) and has no current in its phases: it then draws
        its largest, and not nothing."""
        phases, amps = self.phases, part.current
        if not (self.case or self.cases) or not isinstance(amps, Mapping) or any(map(amps.get, phases)):
            return phases
        if not self.conduction.powered[element] or sound().powered[element]:
            return phases
        return ()


#: what the joint of a short to ground is named by
SHORT_ELEMENT = "short to ground"
#: links that no resistance of a degraded part lies in
_NOT_WORN = (Gate.SHIELD, Gate.COIL_DIODE)


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
        cases = scenario.cases or ((scenario.case,) if scenario.case else ())
        self.lanes: Lanes = (
            lanes_of_states(network, scenario.states)
            if scenario.states
            else lanes_of_cases(network, scenario.state, cases)
        )
        self.every, self.zone = self.lanes.every, scenario.conduction.zone
        self.shorted_anywhere = any(self.zone)
        self.assumptions = Assumptions()
        self.count = len(network.names)
        self.trunk: Trunk | None = None
        self._sound: Conduction | None = None
        self.resistors: list[Resistor] = []
        self.devices: list[Device] = []
        self.present: dict[int, int] = {}
        self.contacts: dict[int, tuple[int, Resistor]] = {}
        self.amps: dict[int, Sequence[float]] = {}
        self.sensing: dict[int, int] = {}
        self.idle: dict[int, int] = {}
        self.unstated: dict[str, tuple[str, Sequence[int], int]] = {}
        #: the degraded ones and those that leak; ``varied`` where points have ohms of their own
        self.worn = [f for f in scenario.case if f.mode in BY_OHMS]
        self.varied = varied
        self.faults: list[int] = []
        self.strings = {s.element for s in network.sources if s.string}

    def fault(self, failure: Failure, a: int, b: int) -> None:
        """The resistance of a failure from one node to another."""
        if self.varied:
            self.faults.append(
                self.add(made_of.resistance_device(failure.element, a, b, failure.ohms), self.every)
            )
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
                    if not self.dead(a):
                        self.fault(failure, a, b)

    def works(self, element: str) -> int:
        """The lanes in which an element is not open."""
        return self.every & ~self.lanes.opened.get(element, 0)

    def shorted(self, element: str) -> int:
        """The lanes in which a resistor has lost its resistance."""
        cases = self.scenario.cases or (self.scenario.case,)
        wanted = (element, Mode.DIODE_SHORT)
        lanes = (
            i
            for i, case in enumerate(cases)
            if wanted in [(f.element, f.mode) for f in failures_of(case) if not f.nodes]
        )
        return mask_of(lanes, self.lanes.width)

    def dead(self, *nodes: int) -> int:
        """The lanes in which any of some nodes is in a fault zone."""
        return at_any(self.scenario.conduction.zone, nodes)

    def usable(self, plus: int, minus: int, either_way: bool = False) -> int:
        """The lanes in which a device is left: neither end is in a fault zone, or a source feeds the
        one and the short at the other is its return."""
        if not self.shorted_anywhere:
            return self.every
        live, dead = self.scenario.conduction.live, self.dead
        lanes = ~dead(plus) & (~dead(minus) | live(plus))
        return lanes | (dead(plus) & ~dead(minus) & live(minus)) if either_way else lanes

    def shorts(self) -> None:
        """Resistances from what is shorted to the negatives of the sources whose current returns there: from
        a fault zone that no source feeds, on the return side of a load or coil."""
        shorted: dict[int, int] = {}
        for nodes in self.lanes.grounded.values():
            for node, lanes in nodes.items():
                shorted[node] = shorted.get(node, 0) | lanes
        if not shorted:
            return
        network, zone = self.network, self.scenario.conduction.zone
        fields = [
            PoweredDevice(s.element, (s.field,), (s.negative,))
            for s in network.sources
            if s.field is not None
        ]
        users = [
            (inlet, zone[outlet] & ~zone[inlet])
            for user in (*network.consumers, *network.coils, *fields)
            for inlets, outlets in user.directions
            for inlet in inlets
            for outlet in outlets
            if zone[outlet] & ~zone[inlet]
        ]
        joined: dict[tuple[int, int], int] = {}
        for source in network.sources:
            fed = self.scenario.conduction.fed[source.element]
            lanes = join(mask & fed[inlet] for inlet, mask in users) & ~zone[source.negative]
            for node, mask in shorted.items():
                key = node, network.pieces[source.negative]
                if mask := mask & lanes & ~joined.get(key, 0):
                    joined[key] = joined.get(key, 0) | mask
                    self.join(node, source.negative, mask)

    def join(self, node: int, negative: int, lanes: int) -> None:
        """A short to ground in some lanes."""
        made = Resistor(node, negative, made_of.SHORT_OHMS)
        if lanes == self.every:
            self.resistors.append(made)
        else:
            device = made_of.contact_device(SHORT_ELEMENT, made)
            self.contacts[-1 - len(self.contacts)] = self.add(device, lanes), made

    def add(self, device: Device, lanes: int) -> int:
        """A device that is there in some lanes."""
        index = len(self.devices)
        self.devices.append(device)
        if lanes != self.every:
            self.present[index] = lanes
        return index

    def sound(self) -> Conduction:
        """The state with nothing failed, solved when it is first asked for."""
        if self._sound is None:
            self._sound = conduct(self.network, self.scenario.state)
        return self._sound

    def links(self) -> tuple[dict[int, int], dict[int, int]]:
        along, against = link_masks(self.lanes, self.scenario.conduction.energised)
        every, network = self.every, self.network
        resistors, apart = self.lasting(along, against)
        diodes: dict[int, int] = {}
        noted = [one for one in self.wiring.lasting.assumptions if one[0] in resistors]
        for i in apart:
            link = network.links[i]
            forth, back = along[i], against[i]
            any_way, near, far = forth | back, link.a, link.b
            one, other = self.zone[near], self.zone[far]
            # what is in a fault zone with both ends may conduct: nothing feeds it
            stays = any_way & ~(one ^ other)
            if not stays or near == far:
                continue
            worn = self.worn and link.gate not in _NOT_WORN  # the shield of a wire is not its conductor
            a = self.degraded(link.element, near, far) if worn else near
            if link.element in self.strings:  # its own device passes what those below give
                continue
            both = forth & back & stays
            own = Assumptions()
            noted.append((i, own))
            if both:
                made = self.wiring.resistor(i, own)
                made = made if a == near else replace(made, a=a)
            if both == every:
                resistors[i] = len(self.resistors)
                self.resistors.append(made)
            elif both:
                contact = made_of.contact_device(link.element, made)
                self.contacts[i] = self.add(contact, both), made
            if link.resistive and (shorted := both & self.shorted(link.element)):
                joint = made_of.contact_device(link.element, replace(made, ohms=0.0))
                diodes[i] = self.add(joint, shorted)
            if stays & ~both:
                diode = made_of.diode_device(self.design, link.element, a, far, own)
                diodes[i] = self.add(diode, stays & ~both)
        self.assumptions.add_each(own for _, own in sorted(noted, key=itemgetter(0)))
        return resistors, diodes

    def lasting(self, along: Sequence[int], against: Sequence[int]) -> tuple[dict[int, int], Sequence[int]]:
        """The resistors of lasting links that are there in all lanes, by link; and the links that are to be
        looked at each by itself, all where anything is degraded."""
        links, zone, every, lasting = self.network.links, self.zone, self.every, self.wiring.lasting
        if self.worn:
            return {}, range(len(links))
        parted = {i for i in lasting.links if not along[i] == against[i] == every}
        if self.shorted_anywhere:
            parted.update(i for i in lasting.links if zone[links[i].a] != zone[links[i].b])
        if not parted:
            self.trunk = lasting.trunk
            self.resistors.extend(lasting.trunk.resistors)
            return dict(lasting.places), lasting.beside
        whole = [i for i in lasting.links if i not in parted]
        if not self.scenario.many:
            self.trunk = self.wiring.trunk_without(frozenset(parted))
        self.resistors.extend(lasting.trunk.resistors[lasting.places[i]] for i in whole)
        return {i: n for n, i in enumerate(whole)}, sorted((*parted, *lasting.beside))

    def inputs(self) -> None:
        """The inputs that sense what is live."""
        for resistor, own in self.wiring.inputs:
            if lanes := self.scenario.conduction.live(resistor.a):
                self.assumptions.add(own)
                self.sensing[len(self.resistors)] = lanes
                self.resistors.append(resistor)

    def sources(self) -> tuple[dict[str, int], dict[str, int], dict[str, int]]:
        sources, fields, inlets = {}, {}, {}
        for source in self.network.sources:
            alive = self.scenario.conduction.alive[source.element]
            if alive := alive & ~self.dead(source.positive):
                device = made_of.source_device(self.design, source, self.assumptions, self.scenario.charges)
                if self.worn and source.kind == "battery":
                    device = replace(device, plus=self.degraded(source.element, source.positive))
                sources[source.element] = self.add(device, alive)
                if source.inlet is not None:
                    assert isinstance(device, RegulatedBranch)
                    own = sources[source.element]
                    inlet = made_of.inlet_device(self.design, source, own, device, self.assumptions)
                    inlets[source.element] = self.add(inlet, alive)
            if source.field is None:
                continue
            if drawing := self.every & self.usable(source.field, source.negative):
                winding = made_of.field_device(self.design, source, self.assumptions)
                fields[source.element] = self.add(winding, drawing)
        return sources, fields, inlets

    def coils(self) -> dict[str, int]:
        found = {}
        for coil in self.network.coils:
            plus, minus = coil.plus[0], coil.minus[0]
            if lanes := self.works(coil.element) & self.usable(plus, minus, coil.either_way):
                device = made_of.coil_device(self.design, coil.element, plus, minus, self.assumptions)
                found[coil.element] = self.add(device, lanes)
        return found

    def loads(self) -> dict[str, int]:
        found, conduction = {}, self.scenario.conduction
        for consumer in self.network.consumers:
            element, name = consumer.element, bare(consumer.element)
            part = self.design.parts[name]
            several = len(consumer.plus) > 1
            supplied = {
                n: lanes
                for n in consumer.plus
                if (
                    lanes := (conduction.live(n) if several else self.every)
                    & self.usable(n, consumer.minus[0], consumer.either_way)
                )
            }
            # one that is turned off by a switch of its own takes nothing, whatever reaches it
            off = self.lanes.off.get(element, 0)
            lanes = self.works(element) & ~off & join(supplied.values())
            if not lanes:
                continue
            # a load that is off takes no current of a phase: what sneaks through it meets its largest
            on = conduction.powered[element]
            off_amps = self.file_amps(part, element, ()) if lanes & ~on else 0.0
            phases = self.scenario.phases_of(part, element, self.sound) if lanes & on else ()
            on_amps = self.file_amps(part, element, phases) if lanes & on else off_amps
            amps = max(on_amps, off_amps)
            starting = name in self.scenario.starting
            known = element in self.drawing or (starting and part.peak is not None)
            if known:
                self.assumptions.undrawn.pop(element, None)
            elif not lanes & on and (key := self.assumptions.undrawn.pop(element, None)):
                self.unstated[element] = key, tuple(supplied), consumer.minus[0]
            if amps > 0 or known:
                plus = self.inlet(part, consumer, supplied, amps)
                device = self.wiring.load_device(
                    element, plus, consumer.minus[0], amps, starting, self.assumptions
                )
                found[element] = self.add(device, lanes)
                self.idle[found[element]] = self.every & ~on
                if on_amps != off_amps and lanes & on and lanes & ~on:
                    self.amps[found[element]] = [
                        on_amps if on >> i & 1 else off_amps for i in range(self.lanes.width)
                    ]
        return found

    def file_amps(self, part: p.Consumer, element: str, phases: Sequence[str]) -> float:
        """What the file gives as the current of a load."""
        return made_of.amps_of(part, element, phases, self.assumptions)

    def inlet(
        self, part: p.Consumer, consumer: PoweredDevice, supplied: Mapping[int, int], amps: float
    ) -> int:
        """The node behind the supply terminals, with the lanes in which each is live: several
        supplies do not feed each other, each has a diode inside the unit."""
        if len(consumer.plus) == 1:
            return consumer.plus[0]
        node, self.count = self.count, self.count + 1
        drop = self.assumptions.use(
            AssumedQuantity.DIODE_DROP,
            "drop of the diodes inside a load of several supplies",
            typical("volts", "ideal"),
            consumer.element,
        )
        emission = typical("shares", "ideal-emission").value
        for supply, lanes in supplied.items():
            full = part.peak or amps or 1.0
            self.add(
                made_of.curve_through(consumer.element, supply, node, drop, full, emission),
                lanes & self.works(consumer.element),
            )
        return node


def built_once(
    design: Design,
    network: Network,
    scenario: Scenario,
    drawing: Collection[str],
    wiring: Wiring | None,
    sensing: bool,
    varied: bool,
) -> Built:
    """:func:`build`, once for all points of a state in which nothing failed. Raises as it does."""
    if wiring is None or scenario.case or scenario.many:
        return build(design, network, scenario, drawing, wiring, sensing, varied)
    own = scenario.state, scenario.conduction
    key = (
        *map(id, own),
        _drawn_in_phases(design, scenario, wiring),
        frozenset(scenario.starting),
        frozenset(scenario.charges.items()),
        frozenset(drawing),
        sensing,
        varied,
    )
    if key not in wiring.circuits:  # with what stands in it by identity, so that no other takes its place
        wiring.circuits[key] = own, build(design, network, scenario, drawing, wiring, sensing, varied)
    found = wiring.circuits[key][1]
    return replace(found, assumptions=found.assumptions.copied())


def _drawn_in_phases(design: Design, scenario: Scenario, wiring: Wiring) -> tuple[object, ...]:
    """The currents by phase of what has power: phases in which these are the same leave one circuit."""
    notes, powered = Assumptions(), scenario.conduction.powered
    amps = [
        made_of.amps_of(design.parts[bare(e)], e, scenario.phases, notes) if powered[e] else None
        for e in wiring.differing_by_phase
    ]
    return *amps, *notes.undrawn.items()


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
    NotAssessable, naming the missing figure; of several cases or states those whose relays do not
    settle are for the caller to leave out."""
    if scenario.conduction.unsettled and not scenario.many:
        raise NotAssessable(f"relays that settle in state {scenario.state.name}")
    for source in network.sources:  # a figure that one lacks is told before all the rest is made
        if scenario.conduction.alive[source.element] & ~scenario.conduction.zone[source.positive]:
            made_of.source_device(design, source, Assumptions(), scenario.charges)
    builder = _CircuitBuilder(design, network, scenario, drawing, wiring or Wiring(design, network), varied)
    resistors, diodes = builder.links()
    builder.leaks()
    builder.shorts()
    if sensing:
        builder.inputs()
    sources, fields, inlets = builder.sources()
    coils, loads = builder.coils(), builder.loads()
    # in the order of sources batteries come first; one that stands on another is no place to count from
    lowest = {s.element for s in network.sources if not s.stands_on_another}
    anchors = tuple(d.minus for d in builder.devices if isinstance(d, SOURCES) and d.element in lowest)
    circuit = NodalCircuit(
        builder.count, tuple(builder.resistors), tuple(builder.devices), anchors, builder.trunk
    )
    return Built(
        circuit,
        resistors,
        diodes,
        sources,
        loads,
        coils,
        fields,
        builder.assumptions,
        builder.lanes.width,
        builder.present,
        builder.contacts,
        builder.amps,
        builder.sensing,
        builder.idle,
        tuple(builder.faults),
        builder.unstated,
        inlets,
    )
