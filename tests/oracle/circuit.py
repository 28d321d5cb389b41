"""A design taken apart into nodes and ways for current, for the plain evaluator; shares nothing with ``reviewer.network``.

**Nodes.** Each ``part.terminal`` is a node; a part that takes any terminal name (bus, ground block, stud, splice, airframe) has one more,
its bar, named like the part. **Ways** for current join two nodes and belong to one element, ``parts/NAME`` or ``wires/NAME``:
a wire from end to end; a shield that is grounded at both ends, from the one to the other; a bar to each of its terminals (an airframe
only where it is of metal); a protector from line to load, its line being a terminal of its name on the bus that it is plugged on, where it is; a switch as its position says, which what it follows may give; the contacts of a relay; a diode from anode to
cathode only, and one inside a relay from the second terminal of its coil to the first; an output of a unit, from its terminal to the return or the supply of the unit; a shunt; a resistor, and a potentiometer from each end to its wiper, but where it lies across a source
(:func:`_across`); a regulator from supply to field; each pin of a connector; the returns of a unit among each other, to what the unit is bolted to, and to those
signal returns that are joined to them, but not to the low side of a shunt, which is the signal of an input; the case of a sensor.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

import networkx as nx

from reviewer.model import parts as p
from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design


@dataclass(frozen=True)
class Way:
    """One way for current between two nodes. ``when`` says on what it depends:

    "always"; "position": the switch stands at one of ``positions``; "energised" or "at rest": the relay's contacts do, or the
    dimmer has power; "protector": not
    pulled and, for a breaker-switch, at one of ``positions``; "forward": from ``one`` to ``other`` only; "dark": while the
    source of its element gives nothing, and whether that is open or not; "plugged": while external power is connected;
    "unit works" and "unit dead": ``unit`` has power, or has none.
    """

    one: str
    other: str
    element: str
    when: str = "always"
    positions: tuple[str, ...] = ()
    #: the unit (an element) whose power the way follows, beside ``when``; or ""
    unit: str = ""
    #: the output of the unit that the way is, or ""; and ``unit.output`` where a state must have it on
    output: str = ""
    command: str = ""
    #: whether an input of the unit commands the way too: the element of the way is among the coils then
    by_input: bool = False


@dataclass(frozen=True)
class Supply:
    """A source. ``field`` is the node that must be fed, or "" where there is none. ``leads`` of a ``regulator`` (an element) are the node that must
    be fed and the one that must be got back besides; () where none must. Where it is
    ``held``, a trip of its own ends it unless its own current can reach them. ``tripped`` is the regulator (an element), or the source itself with one inside, that may fail full on with a
    trip that stops the source then. ``inlet`` are the input and its return of a charger that a bus feeds, or of a converter."""

    element: str
    kind: str
    positive: str
    negative: str
    field: str = ""
    regulator: str = ""
    leads: tuple[str, ...] = ()
    held: bool = False
    #: the leads that count where nothing stops it
    untripped: tuple[str, ...] = ()
    tripped: str = ""
    #: where a trip apart from the regulator stops it: what the loss of a lead of that does, and the ends of the lead
    without: tuple[tuple[str | None, tuple[str, str]], ...] = ()
    #: of several engines the one that drives it
    engine: str = ""
    #: whether its own output may feed its field from standstill on
    excites_itself: bool = False
    inlet: tuple[str, ...] = ()
    #: a capacitor (its positive, its negative, its element) without which it needs a battery; () where none is named
    smoothing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Taker:
    """What is powered through any of ``plus`` and any of ``minus``: a consumer, or a coil. A reversible motor and a coil
    may be fed ``either_way``."""

    element: str
    plus: tuple[str, ...]
    minus: tuple[str, ...]
    either_way: bool = False
    own_switch: bool = False
    #: whether a battery inside it lasts as long as the operation asks for
    lasts: bool = False


@dataclass(frozen=True)
class Following:
    """A switch that what it follows moves. It stands at ``moved`` while that works, else at ``rest``.

    ``followed`` is an alternator or a load (elements), the bar of a bus (a node), or "" for the engine. ``ground`` is the
    node of its own ground lead, or "": where no source gets its current back there it rests.
    """

    element: str
    rest: str
    moved: str
    followed: str = ""
    ground: str = ""


@dataclass(frozen=True)
class Sparks:
    """A magneto: it fires while the engine turns and no current can go from its ``lead`` to its ``case``."""

    element: str
    lead: str
    case: str
    #: of several engines the one that drives it
    engine: str = ""


@dataclass(frozen=True)
class Circuit:
    """A design taken apart into nodes, ways, sources, consumers and coils. ``bundles`` gives the wires of each bundle."""

    nodes: frozenset[str]
    ways: tuple[Way, ...]
    sources: tuple[Supply, ...]
    consumers: tuple[Taker, ...]
    #: coils of relays, dimmers, and inputs of units that command what is inside these
    coils: tuple[Taker, ...]
    bundles: Mapping[str, tuple[str, ...]]
    #: channels of functions that are no loads: element -> "mechanical", or the node of a bus or the source itself
    channels: Mapping[str, str]
    #: terminals of the airframe that hold two wires or more, as ``bolts/TERMINAL`` -> these
    bolts: Mapping[str, tuple[str, ...]]
    #: element -> the switch that what it follows moves
    followers: Mapping[str, Following] = field(default_factory=dict)
    magnetos: tuple[Sparks, ...] = ()
    #: unit (an element) -> the protectors (elements) inside it
    inside: Mapping[str, list[str]] = field(default_factory=dict)
    #: what is mechanical (an element) -> of several engines the one that drives it
    driven: Mapping[str, str] = field(default_factory=dict)
    #: regulator (an element) -> the switch that trips as it drives its alternator full on, and where that stands then
    trips: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    #: such a switch (an element) that measures against a ground of its own -> that terminal, and where it stands at rest
    trip_grounds: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    #: source (an element) -> the nodes that wires, bars and joints join to its negative; none where they join its positive to it
    grounds: Mapping[str, frozenset[str]] = field(default_factory=dict)

    @cached_property
    def metal(self) -> tuple[Way, ...]:
        """The ways that conduct unless they are open."""
        return tuple(w for w in self.ways if w.when in ("always", "forward") and not self._asked(w))

    @cached_property
    def lasting(self) -> tuple[Way, ...]:
        """The others that conduct, or do not, from the first round of a case to the last."""
        metal = {*self.metal}
        return tuple(w for w in self.ways if w not in metal and not self._moves(w))

    @cached_property
    def changing(self) -> tuple[Way, ...]:
        """The ways of which each round decides anew."""
        return tuple(w for w in self.ways if self._moves(w))

    def _asked(self, way: Way) -> bool:
        return bool(way.positions or way.output) or self._moves(way)

    def _moves(self, way: Way) -> bool:
        """Whether a way follows something that is pulled in, alive or powered."""
        moved = way.element in self.followers or any(way.element == relay for relay, _ in self.trips.values())
        by_coil = way.when in ("energised", "at rest", "dark")
        return bool(by_coil or way.unit or way.by_input or (way.positions and moved))


def circuit_of(design: Design) -> Circuit:
    """Take a design apart. Its references must resolve, as those of a design that was read do."""
    nodes = {f"{name}.{terminal}" for name, part in design.parts.items() for terminal in part.terminals()}
    nodes |= {part.mounted_on for part in design.parts.values() if getattr(part, "mounted_on", None)}
    ways: list[Way] = []
    bundles: dict[str, list[str]] = {}
    nodes |= {
        f"{part.plugged_on}.{name}"
        for name, part in design.parts.items()
        if getattr(part, "plugged_on", None)
    }
    for name, part in design.parts.items():
        ways += _inside(name, part)
    for name, wire in design.wires.items():
        nodes |= {wire.from_, wire.to, *(wire.shield or ())}
        ways.append(Way(wire.from_, wire.to, f"wires/{name}"))
        if wire.shield and len(wire.shield) == 2:
            ways.append(Way(wire.shield[0], wire.shield[1], f"wires/{name}"))
        if wire.bundle:
            bundles.setdefault(f"bundles/{wire.bundle}", []).append(f"wires/{name}")
    for name, part in design.parts.items():
        ends = {end for wire in design.wires.values() for end in (wire.from_, wire.to)}
        if isinstance(part, p.Alternator) and f"{name}.lamp" in ends:
            ways.append(_way(name, "lamp", "ground", "dark"))
    for node in sorted(nodes):
        name = node.partition(".")[0]
        part = design.parts[name]
        if part.open_ended and (
            not isinstance(part, p.Airframe) or (part.material or design.aircraft.airframe) == "metal"
        ):
            ways.append(Way(name, node, f"parts/{name}"))
    nodes |= {name for name, part in design.parts.items() if part.open_ended}
    across = [way for way in ways if _resistive(design, way) and _across(design, way, ways)]
    ways = [way for way in ways if way not in across]
    wanted = (design.operation.endurance if design.operation else None) or 0
    consumers = [
        Taker(
            f"parts/{n}",
            tuple(f"{n}.{t}" for t in part.supplies),
            tuple(f"{n}.{t}" for t in part.returns),
            isinstance(part, p.Load) and part.reversible is True,
            part.own_switch is True,
            part.internal_battery is not None and part.internal_battery >= wanted,
        )
        for n, part in design.parts.items()
        if isinstance(part, p.Consumer)
    ]
    coils = [
        Taker(f"parts/{n}", (f"{n}.{part.coil[0]}",), (f"{n}.{part.coil[1]}",), True)
        for n, part in design.parts.items()
        if isinstance(part, p.Electromagnet)
    ]
    coils += [
        Taker(f"parts/{n}", (f"{n}.input",), (f"{n}.ground",))
        for n, part in design.parts.items()
        if isinstance(part, p.Dimmer)
    ]
    coils += [_commanding(n, part, design) for n, part in design.parts.items() if _command_of(part)]
    standing = _standing(design, ways)
    ways += [Way(f"{n}.negative", f"{n}.positive", f"parts/{n}", "forward") for n in standing]
    return Circuit(
        frozenset(nodes), tuple(ways), tuple(_in_series(s, standing) for s in _sources(design)), tuple(consumers), tuple(coils), {k: tuple(v) for k, v in bundles.items()},
        dict(_channels(design)), dict(_bolts(design)), {f.element: f for f in _followers(design)},
        tuple(
            Sparks(f"parts/{n}", f"{n}.p-lead", f"{n}.ground", design.parts[n].driven_by or "")
            for n in design.of_kind(p.Magneto)
        ),
        _inside_of(design),
        {f"parts/{n}": design.parts[n].driven_by or "" for n in design.of_kind(MechanicalChannel)},
        {s.tripped: trip for s in _sources(design) if s.tripped and s.field and (trip := _trip(design, ways, s))},
        {
            f"parts/{n}": (f"{n}.{part.ground}", part.at_rest or "")
            for n, part in design.parts.items()
            if isinstance(part, p.Switch) and part.ground and not part.follows
        },
        {s.element: _grounds(design, ways, _in_series(s, standing)) for s in _sources(design)},
    )  # fmt: skip


def _grounds(design: Design, ways: list[Way], source: Supply) -> frozenset[str]:
    """What wires, bars and joints, and nothing that could be open or resist, join to the negative of a source."""
    joints = nx.Graph(
        (w.one, w.other)
        for w in ways
        if w.when == "always" and not (w.positions or w.output or w.unit or _resistive(design, w))
    )
    joints.add_node(source.negative)
    found = frozenset(nx.node_connected_component(joints, source.negative))
    return frozenset() if source.positive in found else found


def _trip(design: Design, ways: list[Way], own: Supply) -> tuple[str, str] | None:
    """A switch that voltage moves, that follows nothing, and that leaves its field on no source where it does not rest."""
    plus = {source.positive for source in _sources(design)}
    for name in design.of_kind(p.Switch):
        part = design.parts[name]
        if part.operated_by == "voltage" and not part.follows and len(part.positions) == 2:
            (other,) = set(part.positions) - {part.at_rest}
            kept = [w for w in ways if w.element != f"parts/{name}" or other in w.positions]
            whole, parted = (nx.Graph((w.one, w.other) for w in some) for some in (ways, kept))
            if plus & nx.node_connected_component(whole, own.field) and not (
                own.field in parted and plus & nx.node_connected_component(parted, own.field)
            ):
                return f"parts/{name}", other
    return None


def _command_of(part: p.Part) -> str:
    return getattr(part, "commanded_by", None) or ""


def _commanding(name: str, part: p.Part, design: Design) -> Taker:
    """The input that commands a protector: it takes from the supply of the unit what it gives to a return, or the other way."""
    unit, own = design.parts[part.inside], (_command_of(part),)
    (reads,) = {i.reads for i in unit.inputs.values() if f"{part.inside}.{i.signal}" in own}
    if reads == "closed-to-ground":
        return Taker(f"parts/{name}", tuple(f"{part.inside}.{t}" for t in unit.supplies), own)
    return Taker(f"parts/{name}", own, tuple(f"{part.inside}.{t}" for t in unit.returns))


def _inside_of(design: Design) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, part in design.parts.items():
        if getattr(part, "inside", None):
            found.setdefault(f"parts/{part.inside}", []).append(f"parts/{name}")
    return found


def _channels(design: Design) -> Iterator[tuple[str, str]]:
    for function in design.functions.values():
        for name in function.of:
            if name not in design.functions and not isinstance(design.parts[name], p.Consumer | p.Magneto):
                kind = design.parts[name].kind
                yield f"parts/{name}", kind if kind in ("mechanical", "bus") else "source"


def _bolts(design: Design) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Each terminal of metal structure on which two wires or more end; a concept does not say at which bolt."""
    for terminal in sorted(
        {end for wire in design.wires.values() for end in (wire.from_, wire.to) if "." in end}
    ):
        part = design.parts[terminal.partition(".")[0]]
        wires = tuple(f"wires/{n}" for n, wire in design.wires.items() if terminal in (wire.from_, wire.to))
        metal = isinstance(part, p.Airframe) and (part.material or design.aircraft.airframe) == "metal"
        if metal and len(wires) > 1 and design.aircraft.stage != "concept":
            yield f"bolts/{terminal}", wires


def _followers(design: Design) -> Iterator[Following]:
    for name, part in design.parts.items():
        if isinstance(part, p.Switch) and part.follows:
            (moved,) = (at for at in part.positions if at != part.at_rest)
            followed = design.parts.get(part.follows)
            what = part.follows if isinstance(followed, p.Bus) else f"parts/{part.follows}"
            real = isinstance(followed, p.Bus | p.Consumer | p.Alternator)
            ground = f"{name}.{part.ground}" if part.ground else ""
            yield Following(f"parts/{name}", part.at_rest, moved, what if real else "", ground)


def _standing(design: Design, ways: list[Way]) -> dict[str, str]:
    """Each battery of less than the aircraft's volts that stands on another such one, by conductors and protectors -> that one."""
    lower = [
        n
        for n in design.of_kind(p.Battery)
        if (own := design.parts[n].nominal) and own < design.aircraft.volts
    ]
    found = {}
    for name in lower:
        joined = {f"{name}.negative"}
        while (
            more := {
                node
                for way in ways
                if way.when in ("always", "protector") and len({way.one, way.other} & joined) == 1
                for node in (way.one, way.other)
            }
            - joined
        ):
            joined |= more
        on = [n for n in lower if n != name and f"{n}.positive" in joined]
        if len(on) == 1 and f"{on[0]}.negative" not in joined:
            found[name] = on[0]
    return found


def _in_series(supply: Supply, standing: Mapping[str, str]) -> Supply:
    """A battery that stands on another gets its current back at the lowest one, and lives only by those below it."""
    name = lowest = supply.element.partition("/")[2]
    if name not in standing:
        return supply
    passed = set[str]()
    while lowest in standing and lowest not in passed:
        passed.add(lowest)
        lowest = standing[lowest]
    return replace(supply, negative=f"{lowest}.negative", inlet=(f"{name}.negative", f"{lowest}.negative"))


def _sources(design: Design) -> Iterator[Supply]:
    for name, part in design.parts.items():
        if isinstance(part, p.Battery | p.ExternalPower):
            yield Supply(f"parts/{name}", part.kind, f"{name}.positive", f"{name}.negative")
        elif isinstance(part, p.Charger):
            inlet = (f"{name}.input", f"{name}.input-return") if part.from_ == "another-bus" else ()
            yield Supply(f"parts/{name}", part.kind, f"{name}.positive", f"{name}.negative", inlet=inlet)
        elif isinstance(part, p.Converter):
            ends, back = ("output", "ground"), "ground"
            if part.isolated:
                ends, back = ("output", "output-return"), "input-return"
            inlet = (f"{name}.input", f"{name}.{back}")
            yield Supply(f"parts/{name}", part.kind, *(f"{name}.{e}" for e in ends), inlet=inlet)
        elif isinstance(part, p.Alternator):
            field = "" if part.excitation == "permanent-magnet" else f"{name}.field"
            supply = Supply(
                f"parts/{name}",
                part.kind,
                f"{name}.output",
                f"{name}.ground",
                field,
                engine=part.driven_by or "",
                excites_itself=part.excitation == "self",
            )
            if cap := part.smoothing_capacitor:
                supply = replace(supply, smoothing=(f"{cap}.positive", f"{cap}.negative", f"parts/{cap}"))
            if any(f"{name}.control" in (wire.from_, wire.to) for wire in design.wires.values()):
                supply = replace(supply, leads=(f"{name}.control", f"{name}.ground"))
            magnets = part.excitation == "permanent-magnet"
            inside = not supply.leads if magnets else part.regulator == "internal"
            if part.overvoltage_trip not in (None, "none") and not (
                part.trip_acts_on in ("field", "field-short") and inside
            ):
                supply = replace(supply, tripped=f"parts/{name}")
            for other, regulator in design.parts.items():
                if isinstance(regulator, p.Regulator) and regulator.regulates == name:
                    ground = (regulator.without_ground, (f"{other}.supply", f"{other}.ground"))
                    sense = (regulator.without_sense, (f"{other}.sense", f"{name}.ground"))
                    without = (ground, sense) if regulator.senses == "sense" else (ground,)
                    stops = {part.overvoltage_trip, regulator.overvoltage_trip} - {None, "none"}
                    supply = replace(
                        supply,
                        regulator=f"parts/{other}",
                        leads=_leads(name, part.overvoltage_trip not in (None, "none"), other, regulator),
                        untripped=_leads(name, False, other, regulator),
                        held=part.overvoltage_trip not in (None, "none"),
                        without=without if part.overvoltage_trip not in (None, "none") else (),
                        tripped=f"parts/{other}" if stops else "",
                    )
            yield supply


def _leads(alternator: str, stopped: bool, name: str, regulator: p.Regulator) -> tuple[str, ...]:
    """The leads without which a regulator's alternator gives nothing, whether a trip of its own ``stopped`` it or not: what is
    fed, what is got back."""
    sense = regulator.senses == "sense" and not (regulator.without_sense == "full-field" and not stopped)
    ground = not (regulator.without_ground == "full-field" and not stopped)
    if not sense and not ground:
        return ()
    return (
        f"{name}.sense" if sense else f"{name}.supply",
        f"{name}.ground" if ground else f"{alternator}.ground",
    )


def _resistive(design: Design, way: Way) -> bool:
    part = design.parts.get(way.element.removeprefix("parts/"))
    return way.element.startswith("parts/") and isinstance(part, p.FixedResistor | p.Potentiometer)


def _across(design: Design, resistor: Way, ways: list[Way]) -> bool:
    """Whether a resistor lies across a source: one end is reached from a positive by some other trail, and from the other end
    a trail without resistors leads to a negative. A trail passes ways one after another and does not turn back; of the contacts of one change-over it
    does not pass two in a row."""
    others = [way for way in ways if way is not resistor]
    fed = {end for s in _sources(design) for end in _trails(s.positive, others, back=False)}
    plain = [way for way in others if not _resistive(design, way)]
    returned = {end for s in _sources(design) for end in _trails(s.negative, plain, back=True)}
    one, other = resistor.one, resistor.other
    return (one in fed and other in returned) or (other in fed and one in returned)


def _trails(start: str, ways: list[Way], back: bool) -> set[str]:
    """The nodes to which a trail leads from a node; ``back``, those from which one leads to it."""
    ends, todo = {start}, [(start, way) for way in ways if start in (way.one, way.other)]
    passed: list[tuple[str, Way]] = []
    while todo:
        step = todo.pop()
        node, way = step
        if step in passed or (way.when == "forward" and node != (way.other if back else way.one)):
            continue
        passed.append(step)
        far = way.other if node == way.one else way.one
        ends.add(far)
        todo += [
            (far, on)
            for on in ways
            if on is not way and far in (on.one, on.other) and not _never_both(way, on)
        ]
    return ends


def _never_both(one: Way, other: Way) -> bool:
    if one.element != other.element:
        return False
    return {one.when, other.when} == {"energised", "at rest"} or (
        one.when == other.when == "position" and not set(one.positions) & set(other.positions)
    )


#: sources, and bars, whose terminals are joined once all are known
_NO_WAYS_INSIDE = (
    p.Battery,
    p.Charger,
    p.Converter,
    p.Bus,
    p.GroundBlock,
    p.Stud,
    p.Splice,
    p.Airframe,
    p.Capacitor,
    MechanicalChannel,
)


def _relay(name: str, part: p.Electromagnet) -> Iterator[Way]:
    for contact in part.contacts.values():
        yield from _contact(name, contact)
    if part.suppression == "diode":
        yield _way(name, part.coil[1], part.coil[0], "forward")


def _inside(name: str, part: p.Part) -> Iterator[Way]:
    """The ways inside a part that has its own terminals."""
    if isinstance(part, p.Protector):
        positions = ("closed",) if isinstance(part, p.BreakerSwitch) else ()
        line = f"{part.plugged_on}.{name}" if part.plugged_on else f"{name}.line"
        gated = getattr(part, "without_supply", None) == "open" or _command_of(part)
        unit = f"parts/{part.inside}" if gated else ""
        by_input = bool(_command_of(part))
        yield Way(line, f"{name}.load", f"parts/{name}", "protector", positions, unit, by_input=by_input)
    elif isinstance(part, p.Switch):
        for position, pairs in part.positions.items():
            for pair in pairs:
                yield _way(name, pair[0], pair[1], "position", (position,))
    elif isinstance(part, p.Electromagnet):
        yield from _relay(name, part)
    elif isinstance(part, p.Diode):
        yield _way(name, "anode", "cathode", "forward")
    elif isinstance(
        part, p.Shunt | p.Regulator | p.FixedResistor | p.Potentiometer | p.ExternalPower | p.Dimmer
    ):
        yield from _two_terminals(name, part)
    elif isinstance(part, p.Connector):
        for pin in part.pins:
            yield _way(name, f"{pin}-plug", f"{pin}-socket")
    elif isinstance(part, p.Consumer):
        yield from _returns(name, part)
        yield from _outputs(name, part)
    elif isinstance(part, p.Sensor | p.Alternator | p.Magneto):
        if part.mounted_on:
            own = "return" if isinstance(part, p.Sensor) else "ground"
            yield Way(f"{name}.{own}", part.mounted_on, f"parts/{name}")
    elif type(part) not in _NO_WAYS_INSIDE:
        raise TypeError(f"no ways are known inside a part of kind {part.kind}")


def _outputs(name: str, part: p.Consumer) -> Iterator[Way]:
    for output, made in part.outputs.items():
        other = part.returns[0] if made.switches == "ground" else part.supplies[0]
        when = "unit dead" if made.when == "not-working" else "unit works"
        command = f"{name}.{output}" if made.when == "commanded" else ""
        yield Way(
            f"{name}.{made.terminal}",
            f"{name}.{other}",
            f"parts/{name}",
            when,
            (),
            f"parts/{name}",
            output,
            command,
        )


def _two_terminals(name: str, part: p.Part) -> Iterator[Way]:
    """A shunt, a resistor, a potentiometer, the control pin of a socket, or a regulator from its supply to the field, with its case."""
    if isinstance(part, p.ExternalPower):
        if part.control_pin:
            yield _way(name, "positive", "control", "plugged")
    elif isinstance(part, p.Dimmer):
        yield _way(name, "input", "output", "energised")
    elif isinstance(part, p.FixedResistor):
        yield _way(name, "a", "b")
    elif isinstance(part, p.Potentiometer):
        yield _way(name, "a", "wiper")
        yield _way(name, "wiper", "b")
    elif isinstance(part, p.Shunt):
        yield _way(name, "line", "load")
    else:
        yield _way(name, "supply", "field")
        if isinstance(part, p.Regulator) and part.mounted_on:
            yield Way(f"{name}.ground", part.mounted_on, f"parts/{name}")


def _way(name: str, one: str, other: str, when: str = "always", positions: tuple[str, ...] = ()) -> Way:
    return Way(f"{name}.{one}", f"{name}.{other}", f"parts/{name}", when, positions)


def _contact(name: str, contact: p.Contact) -> Iterator[Way]:
    """The ways of one contact of a relay or contactor."""
    if isinstance(contact, p.ChangeoverContact):
        yield _way(name, contact.common, contact.de_energised, "at rest")
        yield _way(name, contact.common, contact.energised, "energised")
    else:
        when = "energised" if isinstance(contact, p.MakeContact) else "at rest"
        yield _way(name, contact.joins[0], contact.joins[1], when)


def _returns(name: str, part: p.Consumer) -> Iterator[Way]:
    """Returns of a load that are joined inside it, and its mounting."""
    for other in part.returns[1:]:
        yield _way(name, part.returns[0], other)
    if part.mounted_on:
        yield Way(f"{name}.{part.returns[0]}", part.mounted_on, f"parts/{name}")
    if isinstance(part, p.Instrument) and part.signal_returns == "joined":
        signals = {signal.signal for signal in part.inputs.values()}
        for signal in part.inputs.values():
            if signal.return_ and signal.return_ not in (*part.returns, *signals):
                yield _way(name, signal.return_, part.returns[0])
