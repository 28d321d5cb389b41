"""The network of a design: terminals as numbered nodes, and the links that join them.

Every part and every wire is an *element*, named by its pointer (``parts/main-bus``, ``wires/W12``). Each link belongs to
one element; when the element fails open, all of its links go. A bus, block, stud, splice or airframe is a star of links round
a node of its own, so that losing the bar separates everything on it while one of its terminals is still a place of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import Enum
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.network.contraction import Trunk


class Gate(Enum):
    """What decides whether a link conducts."""

    ALWAYS = "always"
    SWITCH = "switch"
    ENERGISED = "energised"
    AT_REST = "at rest"
    PROTECTOR = "protector"
    SHIELD = "shield"


@record
class Link:
    """One way for current between nodes ``a`` and ``b``; ``oneway`` lets it flow from a to b only.

    ``positions`` are the switch positions in which a SWITCH link conducts.
    """

    a: int
    b: int
    element: str
    gate: Gate = Gate.ALWAYS
    oneway: bool = False
    positions: frozenset[str] = frozenset()


@record
class Source:
    """A source and its two nodes; ``field`` is the node that must be fed for it to give current, or None."""

    element: str
    kind: str
    positive: int
    negative: int
    field: int | None = None


@record
class Consumer:
    """Something that is powered through any of ``plus`` and any of ``minus``; a coil may be fed either way round."""

    element: str
    plus: tuple[int, ...]
    minus: tuple[int, ...]
    either_way: bool = False


@record
class Network:
    """All of it, frozen. ``around[n]`` lists (link index, other node, True when the link is left by its a end)."""

    names: tuple[str, ...]
    index: Mapping[str, int]
    links: tuple[Link, ...]
    around: tuple[tuple[tuple[int, int, bool], ...], ...]
    sources: tuple[Source, ...]
    consumers: tuple[Consumer, ...]
    coils: tuple[Consumer, ...]
    elements: tuple[str, ...]
    nodes_of: Mapping[str, tuple[int, ...]]
    #: bundle -> the elements of its wires
    bundles: Mapping[str, tuple[str, ...]]

    @cached_property
    def trunk(self) -> Trunk:
        """What is left when chains are drawn as one line and dead ends are cut off."""
        from reviewer.network.contraction import build_trunk

        return build_trunk(self)

    @cached_property
    def links_of(self) -> Mapping[str, tuple[int, ...]]:
        """Element -> indexes of its links."""
        found: dict[str, list[int]] = {}
        for i, link in enumerate(self.links):
            found.setdefault(link.element, []).append(i)
        return MappingProxyType({element: tuple(links) for element, links in found.items()})

    @cached_property
    def lone(self) -> Mapping[str, int]:
        """Element -> the index of its link, for each that has one; the shield of a wire is not counted."""
        found: dict[str, list[int]] = {}
        for i, link in enumerate(self.links):
            if link.gate is not Gate.SHIELD:
                found.setdefault(link.element, []).append(i)
        return MappingProxyType({element: own[0] for element, own in found.items() if len(own) == 1})

    @cached_property
    def switched(self) -> tuple[tuple[int, str, frozenset[str]], ...]:
        """(link, name of the switch, positions in which it conducts) for every link of a switch or breaker-switch."""
        return tuple(
            (i, bare(link.element), link.positions) for i, link in enumerate(self.links) if link.positions
        )

    @cached_property
    def relayed(self) -> tuple[tuple[int, str, bool], ...]:
        """(link, element, True where it conducts when energised) for every contact of a relay."""
        gates = (Gate.ENERGISED, Gate.AT_REST)
        return tuple(
            (i, link.element, link.gate is Gate.ENERGISED)
            for i, link in enumerate(self.links)
            if link.gate in gates
        )

    @cached_property
    def diodes(self) -> tuple[tuple[int, str], ...]:
        """(link, element) for every link that conducts one way."""
        return tuple((i, link.element) for i, link in enumerate(self.links) if link.oneway)

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


def bare(element: str) -> str:
    """The name of an element without ``parts/`` or ``wires/``."""
    return element.partition("/")[2]


def build_network(design: Design) -> Network:
    """The network of a design. The design's references must resolve, as those of one that was read do."""
    index: dict[str, int] = {}
    links: list[Link] = []

    def node(name: str) -> int:
        return index.setdefault(name, len(index))

    for name, part in design.parts.items():
        for terminal in part.terminals():
            node(f"{name}.{terminal}")
        links.extend(_inside(design, name, part, node))
    for name, wire in design.wires.items():
        links.append(Link(node(wire.from_), node(wire.to), f"wires/{name}"))
        if wire.shield and len(wire.shield) == 2:
            links.append(Link(node(wire.shield[0]), node(wire.shield[1]), f"wires/{name}", Gate.SHIELD))
        elif wire.shield:
            node(wire.shield[0])
    for monitor in design.watch.monitors.values():
        if "." in monitor.senses:
            node(monitor.senses)  # a bar may be sensed where no wire is drawn
    for terminal in list(index):
        owner = terminal.partition(".")[0]
        part = design.parts[owner]
        if part.open_ended and "." in terminal and _conducts(design, part):
            links.append(Link(node(owner), index[terminal], f"parts/{owner}"))
    return _freeze(design, index, links)


def _inside(design: Design, name: str, part: p.Part, node) -> Iterator[Link]:
    element = f"parts/{name}"

    def at(terminal: str) -> int:
        return node(f"{name}.{terminal}")

    if isinstance(part, p.BreakerSwitch):
        yield Link(at("line"), at("load"), element, Gate.PROTECTOR, positions=frozenset({"on"}))
    elif isinstance(part, p.Protector):
        yield Link(at("line"), at("load"), element, Gate.PROTECTOR)
    elif isinstance(part, p.Switch):
        joined: dict[tuple[str, ...], set[str]] = {}
        for position, pairs in part.positions.items():
            for pair in pairs:
                joined.setdefault(tuple(sorted(pair)), set()).add(position)
        for (one, other), positions in joined.items():
            yield Link(at(one), at(other), element, Gate.SWITCH, positions=frozenset(positions))
    elif isinstance(part, p.Electromagnet):
        for contact in part.contacts.values():
            if isinstance(contact, p.ChangeoverContact):
                yield Link(at(contact.common), at(contact.at_rest), element, Gate.AT_REST)
                yield Link(at(contact.common), at(contact.energised), element, Gate.ENERGISED)
            else:
                gate = Gate.ENERGISED if isinstance(contact, p.MakeContact) else Gate.AT_REST
                yield Link(at(contact.joins[0]), at(contact.joins[1]), element, gate)
    elif isinstance(part, p.Diode):
        yield Link(at("anode"), at("cathode"), element, oneway=True)
    elif isinstance(part, p.Shunt):
        yield Link(at("line"), at("load"), element)
    elif isinstance(part, p.Connector):
        for pin in part.pins:
            yield Link(at(f"{pin}-plug"), at(f"{pin}-socket"), element)
    elif isinstance(part, p.Consumer):
        for other in part.returns[1:]:
            yield Link(at(part.returns[0]), at(other), element)
        if part.mounted_on:
            yield Link(at(part.returns[0]), node(part.mounted_on), element)
        if isinstance(part, p.Instrument) and part.signal_returns == "joined":
            for signal in part.inputs.values():
                if signal.return_ and signal.return_ not in part.returns:
                    yield Link(at(signal.return_), at(part.returns[0]), element)
    elif isinstance(part, p.Sensor) and part.mounted_on:
        yield Link(at("return"), node(part.mounted_on), element)


def _conducts(design: Design, part: p.Part) -> bool:
    return not isinstance(part, p.Airframe) or (part.material or design.aircraft.airframe) == "metal"


def _freeze(design: Design, index: dict[str, int], links: list[Link]) -> Network:
    around: list[list[tuple[int, int, bool]]] = [[] for _ in index]
    nodes_of: dict[str, list[int]] = {
        element: []
        for element in (*(f"parts/{n}" for n in design.parts), *(f"wires/{n}" for n in design.wires))
    }
    for i, link in enumerate(links):
        around[link.a].append((i, link.b, True))
        around[link.b].append((i, link.a, False))
    for terminal, number in index.items():
        nodes_of["parts/" + terminal.partition(".")[0]].append(number)
    for name, wire in design.wires.items():
        nodes_of[f"wires/{name}"] = [index[wire.from_], index[wire.to]]
    bundles: dict[str, tuple[str, ...]] = {}
    for name, wire in design.wires.items():
        if wire.bundle:
            bundles[wire.bundle] = (*bundles.get(wire.bundle, ()), f"wires/{name}")
    sources, consumers, coils = [], [], []
    for name, part in design.parts.items():
        at = lambda t, name=name: index[f"{name}.{t}"]  # noqa: E731
        element = f"parts/{name}"
        if isinstance(part, (p.Battery, p.GroundPower)):
            sources.append(Source(element, part.kind, at("positive"), at("negative")))
        elif isinstance(part, p.Alternator):
            field = at("field") if part.excitation == "field" else None
            sources.append(Source(element, part.kind, at("output"), at("ground"), field))
        elif isinstance(part, p.Consumer):
            consumers.append(Consumer(element, tuple(map(at, part.supplies)), tuple(map(at, part.returns))))
        elif isinstance(part, p.Electromagnet):
            coils.append(Consumer(element, (at(part.coil[0]),), (at(part.coil[1]),), either_way=True))
    return Network(
        tuple(index), MappingProxyType(index), tuple(links), tuple(map(tuple, around)), tuple(sources), tuple(consumers), tuple(coils),
        tuple(nodes_of), MappingProxyType({k: tuple(v) for k, v in nodes_of.items()}), MappingProxyType(bundles),
    )  # fmt: skip
