"""A network: terminals as numbered nodes, and the links that join them.

Every part and every wire is an *element*, named by its pointer (``parts/main-bus``, ``wires/W12``).
Each link belongs to one element; when the element fails open, all of its links go.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field
from enum import Enum
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from reviewer.model.channels import BY_HAND
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.model.parts import Battery
    from reviewer.network.contraction import ContractedGraph


#: kinds of source that charge batteries, but for the socket
CHARGES = ("alternator", "charger")
#: the node of a name: ``part.terminal``, or a bar by its part's name
NodeOf = Callable[[str], int]


class Gate(Enum):
    """What decides whether a link conducts."""

    ALWAYS = "always"
    SWITCH = "switch"
    ENERGISED = "energised"
    DE_ENERGISED = "de-energised"
    PROTECTOR = "protector"
    SHIELD = "shield"
    PLUGGED = "plugged in"
    OUTPUT = "output"
    #: the diode across the coil inside a relay: it conducts always, and is no contact of the relay
    COIL_DIODE = "coil diode"


#: links that move by themselves as something gets its power or loses it
MOVED = (Gate.ENERGISED, Gate.DE_ENERGISED, Gate.OUTPUT)


@record
class Link:
    """A conductor, contact or diode between nodes ``a`` and ``b``; ``oneway`` conducts a to b only.

    ``positions`` are the switch positions in which a SWITCH link conducts. A ``mounting`` joins the
    case of a part to what it is bolted to. A ``resistive`` one may lie between the poles of a source.
    ``unit`` is the unit (an element) whose power the link follows: it conducts while the unit has
    power, or with ``unpowered`` while it has none. An OUTPUT link is the ``output`` of that unit,
    ``unit.output``; where it is ``commanded`` it conducts only in states that have it on. One that is
    ``by_input`` conducts only while an input of its unit commands it (``Network.commands``).
    """

    a: int
    b: int
    element: str
    gate: Gate = Gate.ALWAYS
    oneway: bool = False
    positions: frozenset[str] = frozenset()
    mounting: bool = False
    resistive: bool = False
    unit: str = ""
    unpowered: bool = False
    output: str = ""
    commanded: bool = False
    by_input: bool = False


@record
class Source:
    """A source and its two nodes.

    ``field`` is the node that must be fed for it to give current, or None; ``leads`` the leads of
    a regulator of its own without which it gives none either; where it is ``held``, its own output
    must reach them, as a trip ends it otherwise. ``tripped`` is what regulates it, an element, where a
    trip stops the alternator when it fails full on; else "". ``supply`` is what must be powered by
    a source that does not live by this one: the input of a charger that a bus feeds; ``listed``
    where it lives only in the states that list it. The ``leads`` of an alternator of permanent
    magnets are its control. ``smoothing`` is a capacitor that its own output must reach for it to
    give current without a battery.
    """

    element: str
    kind: str
    positive: int
    negative: int
    field: int | None = None
    #: whether its own output may feed its field from standstill on
    excites_itself: bool = False
    leads: PoweredDevice | None = None
    held: bool = False
    tripped: str = ""
    #: the drawn switch (an element) that trips then, and its position after that; None where none is drawn
    relay: tuple[str, str] | None = None
    #: the node of its own ground lead, without which it cannot trip; None where it has none
    relay_ground: int | None = None
    #: the leads that count where the drawn switch cannot trip
    untripped: PoweredDevice | None = None
    #: of a regulator with a trip apart from it: the leads without which it drives the field full on, and
    #: those without which it turns the field off
    full_without: tuple[PoweredDevice, ...] = ()
    off_without: tuple[PoweredDevice, ...] = ()
    #: of several engines the one that drives it; "" for the only one
    engine: str = ""
    supply: PoweredDevice | None = None
    listed: bool = False
    #: of a battery in series with others: the node of its own negative, of the positive of the
    #: highest one, and all of them
    own_negative: int | None = None
    string_top: int | None = None
    string: tuple[str, ...] = ()
    smoothing: PoweredDevice | None = None
    #: of a battery by itself what its volts at rest go by: the part, and its class of volts
    at_rest: tuple[Battery, str] | None = None
    #: the volts that a charger, a converter or external power holds, where the file says them
    holds: float | None = None

    @property
    def inlet(self) -> PoweredDevice | None:
        """The input of a converter or charger, which takes what the source gives."""
        return None if self.kind == "battery" else self.supply

    @property
    def excited_at(self) -> int | None:
        """The node without whose feed it gives nothing: its field, of permanent magnets their control."""
        own = self.leads is not None and self.leads.element == self.element
        return self.leads.plus[0] if self.field is None and self.leads is not None and own else self.field

    @property
    def stands_on_another(self) -> bool:
        """Whether it is a battery of a string, and not the lowest."""
        return self.kind == "battery" and self.supply is not None

    @property
    def minus(self) -> int:
        """The node of its own negative terminal."""
        return self.negative if self.own_negative is None else self.own_negative

    @property
    def charged_at(self) -> int:
        """The node at which it is charged."""
        return self.positive if self.string_top is None else self.string_top

    @property
    def nodes(self) -> tuple[int, ...]:
        """All of these nodes."""
        field = () if self.field is None else (self.field,)
        both = (lead for lead in (self.leads, self.untripped) if lead is not None)
        leads = tuple(n for lead in both for n in (*lead.plus, *lead.minus))
        leads = leads if self.relay_ground is None else (*leads, self.relay_ground)
        supply = () if self.supply is None else (*self.supply.plus, *self.supply.minus)
        smoothing = () if self.smoothing is None else (*self.smoothing.plus, *self.smoothing.minus)
        lost = [n for lead in (*self.full_without, *self.off_without) for n in (*lead.plus, *lead.minus)]
        return (self.positive, self.negative, *field, *leads, *supply, *smoothing, *lost)


@record
class PoweredDevice:
    """Something powered through any of ``plus`` and any of ``minus``.

    A coil and a reversible motor may be fed either way round.
    """

    element: str
    plus: tuple[int, ...]
    minus: tuple[int, ...]
    either_way: bool = False
    #: whether it has a switch of its own, so that a state may turn it off
    own_switch: bool = False
    #: of a coil, the volts at which it picks up and drops out, where the file says them
    picks_up: float | None = None
    drops_out: float | None = None

    @property
    def directions(self) -> tuple[tuple[tuple[int, ...], tuple[int, ...]], ...]:
        """(where current enters, where it leaves), for each way round in which it may be fed."""
        forward = (self.plus, self.minus)
        return (forward, (self.minus, self.plus)) if self.either_way else (forward,)

    @property
    def inlets(self) -> tuple[int, ...]:
        """The nodes at which it may be fed."""
        return (*self.plus, *self.minus) if self.either_way else self.plus

    @property
    def outlets(self) -> tuple[int, ...]:
        """The nodes at which it may return its current."""
        return (*self.minus, *self.plus) if self.either_way else self.minus


@record
class Channel:
    """What a function rests on that is no load: a source (``node`` is its positive), a bus (its bar),
    or something mechanical, which has no node; or the battery inside a unit (see
    :func:`own_battery`), on which the unit works on."""

    element: str
    kind: str
    node: int | None = None
    #: of several engines the one that drives something mechanical; "" where none is named
    engine: str = ""


@record
class SelfPowered:
    """A magneto with the nodes of its p-lead and of its ground.

    It fires while its engine turns, unless current can go from the one to the other.
    """

    element: str
    p_lead: int
    ground: int
    #: of several engines the one that drives it; "" for the only one
    engine: str = ""


@record
class Follower:
    """A switch that what it follows moves: it leaves its rest while that works.

    ``moved_to`` is its position then. ``device`` is a load, or a bus that some source must feed;
    ``source`` an alternator, an element. One that has neither follows the engine. Its contacts have
    the gates of a relay. ``ground`` is the node of its own ground lead: where no source has its
    return there it rests.
    """

    element: str
    moved_to: str
    device: PoweredDevice | None = None
    source: str = ""
    ground: int | None = None

    @property
    def nodes(self) -> tuple[int, ...]:
        """The nodes at which it follows something, and its ground."""
        device = () if self.device is None else (*self.device.plus, *self.device.minus)
        return device if self.ground is None else (*device, self.ground)


#: (link, node at its other end, True when the link is left by its a end)
Step = tuple[int, int, bool]


@record
class Network:
    """All of it, frozen.

    ``around[n]`` lists (link index, other node, True when the link is left by its a end), but for
    resistors that lie across a source (:mod:`reviewer.network.bridges`).
    """

    names: tuple[str, ...]
    index: Mapping[str, int]
    links: tuple[Link, ...]
    around: tuple[tuple[Step, ...], ...]
    sources: tuple[Source, ...]
    consumers: tuple[PoweredDevice, ...]
    coils: tuple[PoweredDevice, ...]
    #: units that pass current from input to output while they have power themselves
    dimmers: tuple[PoweredDevice, ...]
    #: channels of functions that are no loads
    channels: tuple[Channel, ...]
    elements: tuple[str, ...]
    nodes_of: Mapping[str, tuple[int, ...]]
    #: bundle -> the elements of its wires
    bundles: Mapping[str, tuple[str, ...]]
    #: terminal of structure on which several wires are bolted -> their elements
    bolts: Mapping[str, tuple[str, ...]]
    #: unit (an element) -> the protective devices (elements) inside it, which open when it fails
    inside: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    #: switches that what they follow moves
    followers: tuple[Follower, ...] = ()
    magnetos: tuple[SelfPowered, ...] = ()
    #: the inputs of units that turn on what is inside them, each under the element of that
    commands: tuple[PoweredDevice, ...] = ()

    def opened_by(self, element: str) -> tuple[str, ...]:
        """All that opens when an element, a bundle or a bolt does."""
        return self._opening.get(element) or (element,)

    @cached_property
    def _opening(self) -> Mapping[str, tuple[str, ...]]:
        units = {unit: (unit, *devices) for unit, devices in self.inside.items()}
        return units | {group: elements for group, elements in self.groups.items() if elements}

    @cached_property
    def searched(self) -> dict[str, Any]:
        """What others have found of this network, by what they asked, filled as it is asked."""
        return {}

    @cached_property
    def gated(self) -> tuple[int, ...]:
        """The links that do not always conduct."""
        return tuple(i for i, link in enumerate(self.links) if link.gate is not Gate.ALWAYS)

    @cached_property
    def follower(self) -> Mapping[str, Follower]:
        """Element -> the switch that what it follows moves."""
        return MappingProxyType({one.element: one for one in self.followers})

    @cached_property
    def moved(self) -> tuple[str, ...]:
        """The elements that conduct or not by what a coil, their own power or what they follow does:
        relays, dimmers, what an input commands, units whose power something follows, alternators with
        a charge lamp, switches that follow something, and overvoltage relays."""
        relays = (relay for relay, _ in self.overvoltage_relays)
        return (*(one.element for one in self.drivers), *self.lamp_contacts, *self.follower, *relays)

    @cached_property
    def overvoltage_relays(self) -> tuple[tuple[str, str], ...]:
        """The drawn overvoltage relays (elements), each with its position after a trip."""
        return tuple(dict.fromkeys(s.relay for s in self.sources if s.relay))

    @cached_property
    def measuring(self) -> Mapping[str, str]:
        """Those of the drawn overvoltage relays (elements) that measure against a ground of their own,
        with their position after a trip."""
        own = (s.relay for s in self.sources if s.relay and s.relay_ground is not None)
        return MappingProxyType(dict(own))

    @cached_property
    def tripping(self) -> tuple[tuple[int, str, bool], ...]:
        """(link, relay, whether it conducts after a trip) of each contact of an overvoltage relay."""
        return tuple(
            (i, relay, tripped in self.links[i].positions)
            for relay, tripped in self.overvoltage_relays
            for i in self.links_of[relay]
            if self.links[i].positions
        )

    @cached_property
    def groups(self) -> Mapping[str, tuple[str, ...]]:
        """``bundles/NAME`` and ``bolts/TERMINAL`` -> the elements that open together with it."""
        bundles = {f"bundles/{name}": wires for name, wires in self.bundles.items()}
        return MappingProxyType(bundles | {f"bolts/{name}": wires for name, wires in self.bolts.items()})

    @cached_property
    def engines(self) -> frozenset[str]:
        """The engines that drive a source, a magneto or something mechanical, of several."""
        engines = {s.engine for s in self.sources} | {m.engine for m in self.magnetos}
        engines |= {channel.engine for channel in self.channels}
        return frozenset(engines - {"", BY_HAND})

    @cached_property
    def driving(self) -> frozenset[str]:
        """The engines, and "" and a hand where these drive something mechanical."""
        return self.engines | {c.engine for c in self.channels if c.kind == "mechanical"}

    @cached_property
    def order(self) -> Mapping[str, int]:
        """Element, bundle or bolt -> its number in the order of the design, bundles and bolts last."""
        return MappingProxyType({element: i for i, element in enumerate((*self.elements, *self.groups))})

    @cached_property
    def consumer(self) -> Mapping[str, PoweredDevice]:
        """The loads and instruments by element."""
        return MappingProxyType({c.element: c for c in self.consumers})

    @cached_property
    def working(self) -> Mapping[str, Any]:
        """All that works or not, by element: loads and instruments, magnetos, and other channels."""
        every: tuple[Any, ...] = (*self.consumers, *self.magnetos, *self.channels)
        return MappingProxyType({one.element: one for one in every})

    @cached_property
    def contracted(self) -> ContractedGraph:
        """What is left when chains are drawn as one line and dead ends are cut off."""
        from reviewer.network.contraction import contract

        return contract(self)

    @cached_property
    def links_of(self) -> Mapping[str, tuple[int, ...]]:
        """Element -> indexes of its links, the diode across the coil of a relay left out."""
        found: dict[str, list[int]] = {}
        for i, link in enumerate(self.links):
            if link.gate is not Gate.COIL_DIODE:
                found.setdefault(link.element, []).append(i)
        return MappingProxyType({element: tuple(links) for element, links in found.items()})

    @cached_property
    def coil_diodes(self) -> Mapping[str, int]:
        """Relay (an element) -> the link of the diode across its coil, inside it."""
        links = enumerate(self.links)
        return MappingProxyType({k.element: i for i, k in links if k.gate is Gate.COIL_DIODE})

    def parting(self, element: str) -> tuple[int, ...]:
        """The links that are gone where an element is open."""
        return self._parting.get(element, ())

    @cached_property
    def _parting(self) -> Mapping[str, tuple[int, ...]]:
        links, diodes = dict(self.links_of), self.coil_diodes
        return links | {relay: (*links.get(relay, ()), diode) for relay, diode in diodes.items()}

    @cached_property
    def conductors(self) -> tuple[int, ...]:
        """By link its conductor: the first link of an element whose links meet, as in a bar; else the
        link itself, as a pin of a connector."""
        found = list(range(len(self.links)))
        for own in self.links_of.values():
            for i in own if len(own) > 1 else ():
                ends = {self.links[i].a, self.links[i].b}
                if any(not ends.isdisjoint((self.links[k].a, self.links[k].b)) for k in own if k != i):
                    found[i] = own[0]
        return tuple(found)

    @cached_property
    def returning(self) -> tuple[tuple[tuple[int, int], ...], ...]:
        """For each node the (next node, conductor) pairs by which return current can go on with every
        contact closed."""
        links = self.links
        return tuple(
            tuple(
                (other, self.conductors[i])
                for i, other, _ in steps
                if not links[i].oneway and links[i].gate is not Gate.SHIELD
            )
            for steps in self.around
        )

    @cached_property
    def pieces(self) -> tuple[int, ...]:
        """By node, the first of the nodes that are joined to it in any setting of switches and relays."""
        piece = [-1] * len(self.names)
        for first in range(len(piece)):
            todo = [first] if piece[first] < 0 else []
            for node in todo:
                if piece[node] < 0:
                    piece[node] = first
                    todo += [other for _, other, _ in self.around[node] if piece[other] < 0]
        return tuple(piece)

    @cached_property
    def users(self) -> Mapping[str, PoweredDevice]:
        """Element -> the load, instrument or coil that it is."""
        return MappingProxyType({user.element: user for user in (*self.coils, *self.consumers)})

    @cached_property
    def lone(self) -> Mapping[str, int]:
        """Element -> the index of its link, for each that has one.

        The shield of a wire and the diode inside a relay are not counted.
        """
        found: dict[str, list[int]] = {}
        for i, link in enumerate(self.links):
            if link.gate not in (Gate.SHIELD, Gate.COIL_DIODE):
                found.setdefault(link.element, []).append(i)
        return MappingProxyType({element: own[0] for element, own in found.items() if len(own) == 1})

    @cached_property
    def switched(self) -> tuple[tuple[int, str, frozenset[str]], ...]:
        """(link, name of the switch, positions in which it conducts) for every link of a switch.

        Those of breaker-switches are among them.
        """
        return tuple(
            (i, bare(link.element), link.positions) for i, link in enumerate(self.links) if link.positions
        )

    @cached_property
    def relayed(self) -> tuple[tuple[int, str, bool], ...]:
        """(link, element that moves it, True where it conducts when that has power) for every contact
        of a relay, all that follows the power of a unit, and all that an input of a unit commands:
        that has an entry for each, and conducts where both let it."""
        gates = (Gate.ENERGISED, Gate.DE_ENERGISED)
        commanded = tuple((i, link.element, True) for i, link in enumerate(self.links) if link.by_input)
        return commanded + tuple(
            (
                i,
                link.unit or link.element,
                not link.unpowered if link.unit else link.gate is Gate.ENERGISED,
            )
            for i, link in enumerate(self.links)
            if link.unit or link.gate in gates
        )

    @cached_property
    def acting(self) -> tuple[PoweredDevice, ...]:
        """All whose power makes something conduct: the coils of relays, dimmers, and the inputs that
        command what is inside a unit."""
        return (*self.coils, *self.dimmers, *self.commands)

    @cached_property
    def plugged(self) -> tuple[int, ...]:
        """The links that conduct while external power is connected."""
        return tuple(i for i, link in enumerate(self.links) if link.gate is Gate.PLUGGED)

    @cached_property
    def lamp_contacts(self) -> Mapping[str, int]:
        """Alternator -> the link from its lamp to its ground, which conducts while it gives nothing."""
        sources = {s.element for s in self.sources}
        return MappingProxyType({e: i for i, e, energised in self.relayed if not energised and e in sources})

    @cached_property
    def units(self) -> tuple[PoweredDevice, ...]:
        """The loads and instruments whose power something inside them or in their care follows."""
        named = {link.unit for link in self.links if link.unit}
        return tuple(c for c in self.consumers if c.element in named)

    @cached_property
    def drivers(self) -> tuple[PoweredDevice, ...]:
        """All that moves a contact or makes something conduct: coils, dimmers, inputs and these units."""
        return (*self.acting, *self.units)

    @cached_property
    def self_powered(self) -> frozenset[str]:
        """The units (elements) that work on by a battery inside them, unless they fail themselves."""
        return frozenset(holder(c.element) for c in self.channels if holder(c.element) != c.element)

    @cached_property
    def commanded(self) -> tuple[tuple[int, str], ...]:
        """(link, ``unit.output``) for every commanded output."""
        return tuple((i, link.output) for i, link in enumerate(self.links) if link.commanded)

    @cached_property
    def one_way(self) -> tuple[int, ...]:
        """Every link that conducts one way: those of diodes, and of batteries that stand on another."""
        return tuple(i for i, link in enumerate(self.links) if link.oneway)

    @cached_property
    def diodes(self) -> tuple[tuple[int, str], ...]:
        """(link, element) for every diode that is a part."""
        batteries = {s.element for s in self.sources}
        links = ((i, self.links[i].element) for i in self.one_way)
        inside = self.coil_diodes.values()
        return tuple((i, e) for i, e in links if e not in batteries and i not in inside)

    @cached_property
    def from_sources(self) -> Mapping[int, tuple[int, int] | None]:
        """Node -> the node before it and the link between, on a shortest way from a source; None at a
        source.

        Diodes are passed in their direction, everything else both ways.
        """
        came: dict[int, tuple[int, int] | None] = {s.positive: None for s in self.sources}
        todo = list(came)
        for node in todo:
            for i, other, leaving in self.around[node]:
                if other not in came and (leaving or not self.links[i].oneway):
                    came[other] = (node, i)
                    todo.append(other)
        return MappingProxyType(came)

    @cached_property
    def converters(self) -> tuple[Source, ...]:
        """The sources that only pass on what feeds them."""
        return tuple(s for s in self.sources if s.kind == "converter")

    @cached_property
    def generation(self) -> tuple[str, ...]:
        """The sources on which nobody can rely once the engine stops, or a cloud comes: alternators,
        and chargers that work only in some states."""
        return tuple(s.element for s in self.sources if s.kind == "alternator" or s.listed)

    @cached_property
    def bridges(self) -> frozenset[int]:
        """The resistive links that lie across a source: they draw current and join nothing."""
        return frozenset(
            i
            for i, link in enumerate(self.links)
            if link.resistive and all(i != step[0] for step in self.around[link.a])
        )

    @cached_property
    def protectors(self) -> frozenset[int]:
        """The links of breakers, fuses and limiters."""
        return frozenset(i for i, link in enumerate(self.links) if link.gate is Gate.PROTECTOR)

    def node(self, terminal: str) -> int:
        """The node of ``part.terminal``, or of a bar by its part's name. Raises KeyError."""
        return self.index[terminal]

    def wired(self, terminal: str) -> bool:
        """Whether anything outside the part itself is joined to a terminal."""
        own = "parts/" + terminal.partition(".")[0]
        return (
            any(self.links[i].element != own for i, _, _ in self.around[self.index[terminal]])
            if terminal in self.index
            else False
        )


#: what the element of a battery inside a unit begins with
_OWN_BATTERY = "own-battery/"


def own_battery(element: str) -> str:
    """The element of the battery inside a unit (an element): the lanes in which the unit can work on
    it stand under this name beside those in which it is fed."""
    return _OWN_BATTERY + bare(element)


def holder(element: str) -> str:
    """The element that a person knows: of a battery inside a unit that unit."""
    return "parts/" + bare(element) if element.startswith(_OWN_BATTERY) else element


def works(powered: Mapping[str, int], element: str) -> int:
    """The lanes in which a load or instrument is fed, or works on a battery of its own."""
    return powered[element] | powered.get(own_battery(element), 0)


def bare(element: str) -> str:
    """The name of an element without ``parts/`` or ``wires/``."""
    return element.partition("/")[2]
