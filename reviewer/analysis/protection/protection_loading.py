"""Protection loading: continuous current in the solved states, and with a load at its peak."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence, Set
from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.wiring.circuits import Circuit, circuit
from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.biconnected import BlockTree
from reviewer.network.graph import Network, PoweredDevice, Step, bare
from reviewer.network.search import anything_along, reachable_by
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


@record
class SolvedCase:
    """A solved state, declared or with one switch moved.

    ``state`` is its name, "" where a switch is ``moved`` (switch, position) from the normal state;
    ``words`` also say its phase. Whether the engine ``cranks``, whether it is ``brief``: flown in a
    phase that lasts no longer than a continuous load, the operating ``point``, the loads that are
    ``powered``, and for each protective device the loads that its opening loses (``taken``, on
    asking), and for each load the devices that feed it (``feeding``, on asking). ``intermittent``
    are the loads of that duty that take current, ``steady`` the point without them (on asking).
    """

    state: str
    words: str
    moved: tuple[tuple[str, str], ...]
    cranks: bool
    brief: bool
    point: OperatingPoint
    powered: frozenset[str]
    taken: Callable[[], Mapping[str, tuple[str, ...]]]
    feeding: Callable[[str], frozenset[str]]
    intermittent: tuple[str, ...]
    steady: Callable[[], OperatingPoint]


@record
class StatedCase:
    """A declared state of which the stated currents alone are known, named as a solved one."""

    state: str
    words: str
    moved: tuple[tuple[str, str], ...] = ()


@record
class CarriedCurrent:
    """The largest current of a protective device, in A, either way, and where.

    ``load`` is at its peak then, "" for none. ``most`` is the limit. The intermittent loads
    ``without`` are left out.
    """

    where: SolvedCase | StatedCase
    amps: float
    load: str
    most: float
    without: tuple[str, ...] = ()


def continuous_rating_share() -> float:
    """The share of its rating that circuit protection carries continuously.

    By common practice.
    """
    return 1.0 / practice("factors", "protector-over-continuous-load").high


def peak_share() -> float:
    """How many times its rating a protective device carries momentarily, by common practice."""
    return practice("factors", "peak-over-protector").low


def worst_continuous(solved: Sequence[SolvedCase], protector: str, rating: float) -> CarriedCurrent | None:
    """Where a protective device comes nearest to what it may carry. Raises NotAssessable.

    Continuously its share of the rating; all of it while the engine cranks, in a brief phase, and
    with the intermittent loads.
    """
    found: list[CarriedCurrent] = []
    for where in solved:
        amps = abs(where.point.amps[f"parts/{protector}"])
        lacking = (
            _undrawn_behind(where, protector)
            if amps == amps
            else next(iter(where.point.unsized.items()), ("parts/", "a size of a wire"))
        )
        if lacking:
            raise NotAssessable(f"{lacking[1]} of {bare(lacking[0])}, for the current of {protector}")
        whole, most = CarriedCurrent(where, amps, "", rating), rating * continuous_rating_share()
        if where.cranks or where.brief:
            found.append(whole)
        elif amps <= most or not where.intermittent:
            found.append(CarriedCurrent(where, amps, "", most))
        else:
            steady = abs(where.steady().amps[f"parts/{protector}"])
            found += [whole, replace(whole, amps=steady, most=most, without=where.intermittent)]
    return max(found, key=lambda c: c.amps / c.most, default=None)


def stated_currents(
    design: Design, network: Network, answer: StateAnswer, taken: Mapping[str, Sequence[str]]
) -> dict[str, float]:
    """Protective device, by name -> the least sum of currents, in A, that the file states of the loads that
    run in a state and that its opening takes, intermittent ones and those without a current left out.

    All of it passes the device, as nothing else feeds these loads, except what a converter behind it
    feeds, which is left out.
    """
    powered = {bare(c.element) for c in network.consumers if answer.healthy.powered[c.element]}
    least = {
        name: part.running_current or 0.0
        for name in powered
        if isinstance(part := design.parts[name], p.Consumer) and part.duty != "intermittent"
    }

    def onward(node: int) -> Iterable[int]:
        return (other for i, other, leaving in network.around[node] if conducts(network, answer, i, leaving))

    found = {}
    for device, loads in taken.items():
        if amps := {load: least[load] for load in loads if least.get(load)}:
            fed = reachable_by(network.nodes_of[f"parts/{device}"], onward)
            found[device] = sum(
                amps[load]
                for load in (bare(c.element) for c in network.consumers if fed.intersection(c.inlets))
                if load in amps
            )
    return found


def stated_continuous(where: StatedCase, amps: float, rating: float) -> CarriedCurrent | None:
    """What a protective device carries by stated currents alone, where these pass its rating whatever the
    volts are; None for one that may hold."""
    return (
        CarriedCurrent(where, amps, "", rating * continuous_rating_share()) if exceeds(amps, rating) else None
    )


def _undrawn_behind(where: SolvedCase, protector: str) -> tuple[str, str] | None:
    """A load without a current that is fed through a protective device, or by more than one."""
    for element, key in where.point.undrawn.items():
        if bare(element) in where.powered:
            feeding = [name for name, loads in where.taken().items() if bare(element) in loads]
            if not feeding or protector in feeding:
                return element, key
    return None


def loads_on(design: Design, network: Network) -> dict[str, tuple[str, ...]]:
    """Protective device -> the loads and instruments that it feeds before the next bus.

    Those whose current it was chosen for. A device beside a load, on one splice with it, does not
    feed it.
    """
    found: dict[str, list[str]] = {}
    for consumer in network.consumers:
        for name in sorted(feeding_devices(design, network, consumer), key=name_order):
            found.setdefault(name, []).append(bare(consumer.element))
    return {protector: tuple(loads) for protector, loads in found.items()}


def feeding_devices(
    design: Design, network: Network, consumer: PoweredDevice, answer: StateAnswer | None = None
) -> frozenset[str]:
    """The protective devices, by name, between a load and what feeds it before the next bus.

    In a state, or in any state where none is given.
    """
    own = circuit(design, network, consumer.inlets)
    devices = {e for e in own.elements if isinstance(design.parts.get(bare(e)), p.Protector)}
    if not devices:
        return frozenset()
    turns_engine = getattr(design.parts[bare(consumer.element)], "type", None) == "starter"
    return frozenset(bare(e) for e in _on_a_path(network, own, consumer, answer, turns_engine) & devices)


def _on_a_path(
    network: Network,
    own: Circuit,
    consumer: PoweredDevice,
    answer: StateAnswer | None,
    turns_engine: bool,
) -> set[str]:
    """The elements of a load's circuit that lie on a path from something live to the load.

    Live are the ends of the circuit that a source reaches by other elements.
    """
    links, inside, steps = network.links, set[int](), {n: list[Step]() for n in own.nodes}
    for element in own.elements:
        inside.update(i for i in network.links_of[element] if {links[i].a, links[i].b} <= own.nodes)
    for node in own.nodes:
        steps[node] = [step for step in network.around[node] if step[0] in inside]

    def along(i: int, leaving: bool) -> bool:
        return anything_along(links[i], leaving) if answer is None else conducts(network, answer, i, leaving)

    live = {
        n for n in _reached_from_outside(network, own, inside) if answer is None or answer.healthy.live(n)
    }
    if len(live) > 1:  # an end that is live by this circuit alone feeds nothing into it
        if answer is not None:
            starts = [s.positive for s in network.sources if answer.healthy.alive[s.element]]
            live = _fed_by_others(network, live, inside, starts, along)
        elif turns_engine:  # which no alternator does
            starts = [s.positive for s in network.sources if s.kind != "alternator"]
            live = _fed_by_others(network, live, inside, starts, along)
    fed = reachable_by(live, lambda n: (other for i, other, leaving in steps[n] if along(i, leaving)))
    onward = reachable_by(
        consumer.inlets, lambda n: (other for i, other, leaving in steps[n] if along(i, not leaving))
    )
    usable = {
        i
        for i in inside
        if (along(i, True) and links[i].a in fed and links[i].b in onward)
        or (along(i, False) and links[i].b in fed and links[i].a in onward)
    }
    around = list[tuple[Step, ...]]([()] * len(network.around))
    for node in own.nodes:
        around[node] = tuple(step for step in steps[node] if step[0] in usable)
    tree = BlockTree(replace(network, around=tuple(around)), own.nodes)
    return {links[i].element for end in live for plus in consumer.inlets for i in tree.between((end, plus))}


def _fed_by_others(
    network: Network,
    ends: Set[int],
    inside: Set[int],
    starts: Iterable[int],
    along: Callable[[int, bool], bool],
) -> set[int]:
    """Those of some nodes that a source feeds by links that are not of their circuit."""
    return set(ends) & reachable_by(
        starts,
        lambda n: (other for i, other, leaving in network.around[n] if i not in inside and along(i, leaving)),
    )


def _reached_from_outside(network: Network, own: Circuit, inside: Set[int]) -> set[int]:
    """The nodes of a circuit that a source reaches by links that are not of it."""
    starts = {s.positive for s in network.sources}
    # only what has a link outside, or is a source, can be reached so
    ends = {n for n in own.nodes if n in starts or any(i not in inside for i, _, _ in network.around[n])}
    found = {n for n in ends if _by_others(network, n, inside)}
    if ends & network.from_sources.keys() - found:
        outside = reachable_by(
            starts,
            lambda n: (
                other
                for i, other, leaving in network.around[n]
                if i not in inside and anything_along(network.links[i], leaving)
            ),
        )
        found |= ends & outside
    return found


def _by_others(network: Network, node: int, inside: Set[int]) -> bool:
    """Whether the shortest way from a source to a node has none of some links."""
    while (before := network.from_sources.get(node)) is not None:
        node, link = before
        if link in inside:
            return False
    return node in network.from_sources


def worst_peak(
    design: Design, solved: Sequence[SolvedCase], protector: str, loads: Sequence[str], rating: float
) -> CarriedCurrent | None:
    """The largest current of a protective device while one of its loads is at its peak.

    The others are as usual. It counts where the load has power through the device; a load that no
    solved state feeds counts in every one. The peak of an instrument is no start: it lasts, as that
    of a radio does that transmits, so that those of all instruments count at once, against the
    rating. Raises NotAssessable for a motor without a peak.
    """
    found = [c for where in solved if (c := _transmitting(design, where, protector, loads, rating))]
    for load in loads:
        part = design.parts[load]
        if part.peak is None:
            if getattr(part, "type", None) == "motor":
                raise NotAssessable(f"`peak` of {load}")
            continue
        powered = [where for where in solved if load in where.powered]
        for where in [w for w in powered if protector in w.feeding(load)] if powered else solved:
            others = abs(where.point.amps[f"parts/{protector}"]) - where.point.taken.get(f"parts/{load}", 0.0)
            found.append(CarriedCurrent(where, max(0.0, others) + part.peak, load, rating * peak_share()))
    return max(found, key=lambda c: c.amps / c.most, default=None)


def _transmitting(
    design: Design, where: SolvedCase, protector: str, loads: Sequence[str], rating: float
) -> CarriedCurrent | None:
    """The current of a protective device with all instruments that it feeds at their peak."""
    peaks = {
        load: peak
        for load in loads
        if isinstance(part := design.parts[load], p.Instrument)
        and (peak := part.peak) is not None
        and load in where.powered
        and protector in where.feeding(load)
    }
    if not peaks:
        return None
    usual = sum(where.point.taken.get(f"parts/{load}", 0.0) for load in peaks)
    amps = max(0.0, abs(where.point.amps[f"parts/{protector}"]) - usual) + sum(peaks.values())
    return CarriedCurrent(where, amps, " and ".join(peaks), rating)
