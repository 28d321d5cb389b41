"""The single failures that are tried.

Each part and wire open, each energized one shorted to ground, diodes shorted, bundles severed,
contacts welded closed or failed open, switches that stay where they are.
"""

from __future__ import annotations

from collections.abc import Collection, Set
from enum import StrEnum

from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.kinds import UnknownKind
from reviewer.network.regulators import regulating


class Mode(StrEnum):
    """How an element fails; the value is what a person reads in a finding.

    Of the contacts of a relay :func:`mode_words` says it by what they do.
    """

    OPEN = "open"
    SHORT = "shorted to ground"
    #: a diode that conducts both ways, of a relay the one inside it; a resistor in line that has lost
    #: its resistance
    DIODE_SHORT = "shorted"
    #: all contacts of a relay or contactor stand as if it were energised, or were not
    HELD = "contacts welded closed"
    DROPPED = "contacts failed open"
    #: a regulator that gives full field: common practice (no published source)
    FULL_ON = "failed full on"
    #: a driver of a unit that conducts whatever the unit does: common practice (no published source)
    STUCK_ON = "output stuck on"
    #: a switch that does not leave a position
    STAYS = "stays"
    #: all wires of a bundle; p-leads of magnetos that fire touch ground there
    SEVERED = "severed"
    #: more resistance in series than it should have: a joint, terminal, contact or battery
    DEGRADED = "degraded"
    #: a diode, or the rectifier of an alternator, that conducts where it should block
    LEAKING = "leaking"


OPEN, SHORT, DIODE_SHORT = Mode.OPEN, Mode.SHORT, Mode.DIODE_SHORT
HELD, DROPPED, STAYS, SEVERED = Mode.HELD, Mode.DROPPED, Mode.STAYS, Mode.SEVERED
DEGRADED, LEAKING = Mode.DEGRADED, Mode.LEAKING
#: modes that have a resistance; in logic they change nothing, and no enumeration tries them
BY_OHMS = (DEGRADED, LEAKING)
FULL_ON, STUCK_ON = Mode.FULL_ON, Mode.STUCK_ON
#: a relay with a make and a break contact, or a change-over contact, that stands as if energised,
#: or not
_STUCK = {
    HELD: "contacts stuck in the energised position",
    DROPPED: "contacts stuck in the de-energised position",
}
#: the diode inside a relay, in words
COIL_DIODE_SHORT = "coil diode shorted"
#: parts whose terminals are separate circuits, so that a short is tried at one terminal at a time
_SEPARATE = (
    p.Switch,
    p.Electromagnet,
    p.Connector,
    p.Consumer,
    p.Protector,
    p.Diode,
    p.Regulator,
    p.Charger,
    p.Converter,
    p.Magneto,
    p.FixedResistor,
    p.Potentiometer,
    p.Capacitor,
    p.Dimmer,
)
#: parts of which a short grounds all hot terminals at once
_TOGETHER = (
    p.Battery,
    p.Alternator,
    p.ExternalPower,
    p.Bus,
    p.GroundBlock,
    p.Stud,
    p.Splice,
    p.Airframe,
    p.Shunt,
    p.Sensor,
)


@record
class Failure:
    """One failure of an element (a pointer: ``parts/x``, ``wires/x``, ``bundles/x``; ``bolts/x``
    is the bolt at a terminal of structure).

    ``nodes`` are those that a short grounds, or contacts that are stuck, or a diode across a supply
    that is shorted; ``passes`` the protectors
    that do not open first, so that the short is cleared further upstream; ``opened`` those further
    upstream that open as well; ``position`` is where a switch stays, or the terminal at which a
    part of several is degraded, or which output of a unit is stuck; ``ohms`` is how much the
    resistance in series of a degraded one has risen, or the resistance through which one leaks.
    """

    element: str
    mode: Mode
    nodes: tuple[int, ...] = ()
    position: str = ""
    passes: frozenset[str] = frozenset()
    opened: frozenset[str] = frozenset()
    ohms: float = 0.0

    @property
    def grounds(self) -> bool:
        """Whether it is a short to ground, or a diode across a supply that is shorted, and no more."""
        return self.mode == SHORT or (self.mode == DIODE_SHORT and bool(self.nodes))

    def words(self, network: Network) -> str:
        """The failure in words, naming the terminal where a short can be at more than one."""
        if self.mode == STAYS:
            return f"stays at {self.position}"
        if self.mode == STUCK_ON:
            return f"output {self.position} stuck on{self.clearing}"
        if self.mode in BY_OHMS:
            at = f" at {bare(self.element)}.{self.position}" if self.position else ""
            return f"{self.mode}, {self.ohms:g} ohm {'more' if self.mode == DEGRADED else 'across it'}{at}"
        several_terminals = (
            self.mode == SHORT and len(self.nodes) == 1 and len(network.nodes_of[self.element]) > 1
        )
        at = f" at {network.names[self.nodes[0]]}" if several_terminals else ""
        return f"{mode_words(network, self.element, self.mode)}{at}{self.clearing}"

    @property
    def clearing(self) -> str:
        """How a short is cleared otherwise than by the nearest protectors, to be put behind the
        mode; else ""."""
        if not self.passes and not self.opened:
            return ""
        late = " and ".join(sorted(map(bare, self.passes), key=name_order))
        if late:
            return f", and {late} {'does' if len(self.passes) == 1 else 'do'} not open first"
        as_well = " and ".join(sorted(map(bare, self.opened), key=name_order))
        return f", and {as_well} {'opens' if len(self.opened) == 1 else 'open'} as well" if as_well else ""


def mode_words(network: Network, element: str, mode: Mode) -> str:
    """A mode in words, of the contacts of a relay by what they do.

    Make contacts that stand as if energised are welded closed, break contacts are open then.
    """
    if mode == DIODE_SHORT and element in network.coil_diodes:
        return COIL_DIODE_SHORT
    if mode not in (HELD, DROPPED):
        return mode.value
    gates = {network.links[i].gate for i in network.links_of.get(element, ())}
    if {Gate.ENERGISED, Gate.DE_ENERGISED} <= gates:
        return _STUCK[mode]
    return (DROPPED if mode == HELD else HELD).value if Gate.DE_ENERGISED in gates else mode.value


def mode_key(network: Network, element: str, mode: Mode) -> str:
    """A mode as one word, as in ``welded-closed``: for the command line and tables."""
    return _key(mode_words(network, element, mode))


def _key(words: str) -> str:
    words = words.removeprefix("contacts ").replace(" in the ", " ").removesuffix(" position")
    return words.replace(" ", "-")


#: what else a mode is called
_MORE = {DROPPED: tuple(_STUCK.values()), DIODE_SHORT: (COIL_DIODE_SHORT,)}
#: every mode as it is written on the command line
MODE_KEYS = tuple(dict.fromkeys(_key(words) for mode in Mode for words in (mode.value, *_MORE.get(mode, ()))))


def single_failures(
    design: Design,
    network: Network,
    hot: Collection[int],
    held_up: Collection[int] = (),
    p_leads: Collection[int] = (),
    across: Collection[int] = (),
) -> tuple[Failure, ...]:
    """Every single failure that is tried in a state whose nodes ``hot`` are fed by a live source, or
    are on the p-lead of a magneto that fires.

    A short is tried only where it changes something: at hot nodes, and at those ``held_up`` by a
    source through a load or coil that has no return. A battery shorted at its
    positive terminal is a battery without voltage. A capacitor that is shorted through grounds its
    live terminal; so does a resistor that lies across a source. Metal structure does not open as a
    whole; the wires and mountings that connect it do, and a bolt that comes loose releases all wires
    on it. Where a bundle is severed, its wires that are among ``p_leads``, nodes at which a magneto
    fires, touch ground: that stops the magneto. ``across`` are the links of diodes that lie across
    a supply, as those across a coil do: one that is shorted joins its supply to the negative.
    """
    structure = {f"parts/{n}" for n in design.of_kind(p.Airframe)}
    failures = [Failure(element, OPEN) for element in network.elements if element not in structure]
    failures += [Failure(f"bolts/{name}", OPEN) for name in network.bolts]
    for i, element in network.diodes:
        failures.append(Failure(element, DIODE_SHORT, (network.links[i].b,) if i in across else ()))
    for element, i in network.coil_diodes.items():
        if i in across:
            failures.append(Failure(element, DIODE_SHORT, (network.links[i].b,)))
    for name in design.of_kind(p.FixedResistor):
        if network.bridges.isdisjoint(network.links_of[f"parts/{name}"]):
            failures.append(Failure(f"parts/{name}", DIODE_SHORT))
    for element in network.elements:
        failures += _shorts(design, network, element, hot, held_up)
    for name, wires in network.bundles.items():
        if len(wires) > 1:
            touching = dict.fromkeys(n for wire in wires for n in network.nodes_of[wire] if n in p_leads)
            failures.append(Failure(f"bundles/{name}", SEVERED, tuple(touching)))
    return tuple(failures)


def _shorts(
    design: Design, network: Network, element: str, hot: Collection[int], held_up: Collection[int]
) -> list[Failure]:
    """The shorts of an element that :func:`single_failures` tries."""
    nodes = tuple(n for n in network.nodes_of[element] if n in hot or n in held_up)
    if not nodes:
        return []
    part = design.parts.get(element.partition("/")[2]) if element.startswith("parts/") else None
    if isinstance(part, _SEPARATE):
        return [Failure(element, SHORT, (n,)) for n in nodes]
    if part is None or isinstance(part, _TOGETHER):
        return [Failure(element, SHORT, nodes)]
    raise UnknownKind(part, "the failures that are tried")


def shorts_at(
    design: Design, network: Network, nodes: Set[int], hot: Collection[int], held_up: Collection[int]
) -> tuple[Failure, ...]:
    """Those of :func:`single_failures` that short one of some nodes to ground."""
    return tuple(
        short
        for element in network.elements
        if not nodes.isdisjoint(network.nodes_of[element])
        for short in _shorts(design, network, element, hot, held_up)
        if not nodes.isdisjoint(short.nodes)
    )


def stuck_relays(design: Design) -> tuple[Failure, ...]:
    """Every relay and contactor with its contacts as if energised, and as if not, every switch that
    no hand moves in each of its positions, and every output of a unit that conducts whatever the
    unit does."""
    relays = tuple(
        Failure(f"parts/{name}", mode) for name in design.of_kind(p.Electromagnet) for mode in (HELD, DROPPED)
    ) + tuple(
        Failure(f"parts/{name}", STAYS, position=at)
        for name in design.of_kind(p.Switch)
        if not design.parts[name].by_hand
        for at in design.parts[name].positions
    )
    return relays + tuple(
        Failure(f"parts/{name}", STUCK_ON, position=output)
        for name in design.of_kind(p.Consumer)
        for output in design.parts[name].outputs
    )


def stuck_contacts(design: Design, switches: dict[str, str]) -> tuple[Failure, ...]:
    """:func:`stuck_relays`, every switch of the crew that stays elsewhere than in ``switches``, and
    every regulator that fails full on."""
    failures = list(stuck_relays(design))
    for name in design.hand_switches:
        failures += [
            Failure(f"parts/{name}", STAYS, position=at)
            for at in design.parts[name].positions
            if at != switches.get(name)
        ]
    for name in design.of_kind(p.BreakerSwitch):
        failures += [
            Failure(f"parts/{name}", STAYS, position=at)
            for at in ("open", "closed")
            if at != switches.get(name)
        ]
    failures += [Failure(f"parts/{name}", FULL_ON) for name in regulating(design)]
    return tuple(failures)
