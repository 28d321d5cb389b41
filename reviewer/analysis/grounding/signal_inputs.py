"""Inputs of instruments: what drives them, what else is joined to them, shared sensors."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence, Set
from dataclasses import replace
from itertools import combinations
from typing import Literal

from reviewer.analysis.conduction.states import StateAnswer, loads_of
from reviewer.analysis.cut_sets.common_causes import openings
from reviewer.analysis.cut_sets.severed_bundles import long_runs
from reviewer.analysis.grounding.shared_returns import return_side
from reviewer.analysis.wiring.circuits import circuit
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network, bare
from reviewer.network.search import reachable

_JOINTS = (p.Connector, p.Splice, p.Protector)


@record
class Drive:
    """What drives an input: a ``contact``, a ``sensor``, or the feed of a source (``direct``).

    A contact is one of a switch or relay. Whether the input can come ``to_ground`` or
    ``to_supply``, by conductors and contacts.
    """

    contact: bool
    sensor: bool
    direct: bool
    to_ground: bool
    to_supply: bool


def drive(
    design: Design,
    network: Network,
    answers: Sequence[StateAnswer],
    grounds: Set[int],
    instrument: str,
    entry: p.SignalInput,
) -> Drive:
    """What drives an input, in whatever position the contacts are; ``grounds`` is the return side.

    A place is a supply where a source feeds it in any declared state.
    """
    start = network.node(f"{instrument}.{entry.signal}")
    whole = circuit(design, network, [start])
    parts = [design.parts.get(bare(e)) for e in whole.elements]
    owners = [design.parts[network.names[n].partition(".")[0]] for n in whole.nodes]
    ends = design.part(instrument, p.Instrument).ends_of_measuring()
    ground = {network.node(f"{instrument}.{t}") for t in ends if t == entry.return_} | grounds

    def live(nodes: frozenset[int]) -> bool:
        return any(a.healthy.live(n) for a in answers for n in nodes)

    contact = any(isinstance(part, (p.Switch, p.Relay)) for part in parts)
    sensor = any(isinstance(owner, p.Sensor) for owner in owners)
    direct = not sensor and live(circuit(design, network, [start], (*_JOINTS, p.Diode)).nodes)
    return Drive(contact, sensor, direct, bool(whole.nodes & ground), live(whole.nodes))


@record
class Dragged:
    """The input of ``instrument`` is joined to one of ``other``, which can be without power.

    The first works then: in ``state``, after ``failure`` where that is not empty.
    """

    instrument: str
    input: str
    other: str
    state: str
    failure: str


def dragged_inputs(
    design: Design, network: Network, answers: Sequence[StateAnswer]
) -> dict[str, tuple[Dragged, ...]]:
    """Inputs that an instrument without power can drag down, by instrument.

    From them current can come into an input of the other by conductors and along diodes. Only
    inputs on a contact, and those that say how they read or pull, are looked at; a line of sound or
    data has an output at its other end.
    """

    def along(link: Link, leaving: bool) -> bool:
        return link.gate in (Gate.ALWAYS, Gate.PROTECTOR) and (leaving or not link.oneway)

    signals = {
        network.node(f"{n}.{e.signal}"): n
        for n in design.of_kind(p.Instrument)
        for e in design.parts[n].inputs.values()
    }
    grounds, found = return_side(network), {}
    for name in design.of_kind(p.Instrument):
        asked = {
            k: e
            for k, e in design.parts[name].inputs.items()
            if e.reads or e.pull_up or drive(design, network, (), grounds, name, e).contact
        }
        dragged = []
        for key, entry in asked.items():
            start = network.node(f"{name}.{entry.signal}")
            reached = () if start in grounds else reachable(network, [start], along)
            for other in dict.fromkeys(signals[n] for n in reached if n in signals and signals[n] != name):
                dark = next((d for a in answers if (d := _dark(network, a, name, other)) is not None), None)
                if dark is not None:
                    dragged.append(Dragged(name, key, other, *dark))
        if asked:
            found[name] = tuple(dragged)
    return found


def _dark(network: Network, answer: StateAnswer, name: str, other: str) -> tuple[str, str] | None:
    """(state, failure in words) in which one instrument works and the other does not.

    None where there is none.
    """
    if answer.healthy.powered[f"parts/{name}"] and not answer.healthy.powered[f"parts/{other}"]:
        return answer.state.name, ""
    if not answer.healthy.powered[f"parts/{name}"] or answer.state.use == "ground":
        return None
    lanes = answer.failed.powered[f"parts/{name}"] & ~answer.failed.powered[f"parts/{other}"]
    for i, failure in enumerate(answer.failures):
        if lanes >> i & 1 and failure.element not in (f"parts/{name}", f"parts/{other}"):
            return answer.state.name, f"{bare(failure.element)} {failure.words(network)}"
    return None


@record
class SharedSensor:
    """Instruments of a function that read one sensor, two or more."""

    instruments: tuple[str, ...]
    sensor: str


def shared_sensors(design: Design, network: Network) -> dict[str, tuple[SharedSensor, ...]]:
    """Function -> the sensors that two or more of its instruments read.

    For each function that needs fewer channels than it has and has instruments in two of them.
    """
    readers = {sensor: sensor_readers(design, network, sensor) for sensor in design.of_kind(p.Sensor)}
    found = {}
    for name, instruments in redundant_instruments(design).items():
        shared = ((tuple(n for n in instruments if n in read), s) for s, read in readers.items())
        found[name] = tuple(SharedSensor(some, sensor) for some, sensor in shared if len(some) > 1)
    return found


def redundant_instruments(design: Design) -> dict[str, tuple[str, ...]]:
    """Function -> its instruments, for each function that needs fewer channels than it has and has
    instruments in two of them."""
    found = {}
    for name, function in design.functions.items():
        channels = [loads_of(design, c) if c in design.functions else (c,) for c in function.of]
        instruments = tuple(n for n in loads_of(design, name) if isinstance(design.parts[n], p.Instrument))
        pairs = combinations(instruments, 2)
        if function.any < len(channels) and any(
            not any(set(pair) <= set(channel) for channel in channels) for pair in pairs
        ):
            found[name] = instruments
    return found


@record
class BlindingPlace:
    """A connector that comes apart, a bundle that is severed, or an opening at which all wires are cut: the
    ``instruments`` lose all the sensors they read there. ``elements`` are those that open."""

    kind: Literal["connector", "bundle", "opening"]
    name: str
    elements: tuple[str, ...]
    instruments: tuple[str, ...]


def blinding_places(design: Design, network: Network) -> tuple[BlindingPlace, ...]:
    """The places at which an instrument loses all the sensors it reads; jacks for sound left out. Of a bundle
    its runs of a foot or less do not count."""
    sensors = {
        network.node(f"{n}.signal")
        for n in design.of_kind(p.Sensor)
        if design.part(n, p.Sensor).carries != "audio"
    }

    def reads(start: int, without: Collection[str] = ()) -> bool:
        def joined(link: Link, _leaving: bool) -> bool:
            part = design.parts.get(bare(link.element))
            on = link.element.startswith("wires/") or isinstance(part, _JOINTS)
            return on and link.gate is not Gate.SHIELD and link.element not in without

        return not sensors.isdisjoint(reachable(network, [start], joined))

    blind: dict[int, list[str]] = {}
    places = tuple(_places(design, network)) if sensors else ()
    for name in design.of_kind(p.Instrument) if places else ():
        inputs = design.part(name, p.Instrument).inputs.values()
        read = [node for node in (network.node(f"{name}.{e.signal}") for e in inputs) if reads(node)]
        on_all = [circuit(design, network, [node], _JOINTS).elements for node in read]
        for i, place in enumerate(places) if read else ():
            passed = all(not on.isdisjoint(place.elements) for on in on_all)
            if passed and not any(reads(node, place.elements) for node in read):
                blind.setdefault(i, []).append(name)
    return tuple(replace(places[i], instruments=tuple(names)) for i, names in sorted(blind.items()))


def _places(design: Design, network: Network) -> Iterator[BlindingPlace]:
    for name in design.of_kind(p.Connector):
        yield BlindingPlace("connector", name, (f"parts/{name}",), ())
    for name, wires in network.bundles.items():
        yield BlindingPlace("bundle", name, tuple(long_runs(design, network, wires)), ())
    for name, through in openings(design).items():
        yield BlindingPlace("opening", name, through, ())


def sensor_readers(design: Design, network: Network, sensor: str) -> set[str]:
    """The instruments with an input that the signal of a sensor leads to."""
    nodes = circuit(design, network, [network.node(f"{sensor}.signal")], _JOINTS).nodes
    signals = {
        n: [network.node(f"{n}.{e.signal}") for e in design.parts[n].inputs.values()]
        for n in design.of_kind(p.Instrument)
    }
    return {name for name, own in signals.items() if nodes.intersection(own)}
