"""Failures after which the same currents flow: they open what is in series.

Where two edges of a circuit are a cut, no current flows through one when the other is open. So all that
opens one or more edges of the same classes, and nothing else that carries current, leaves one circuit: the
feed wire of a load, its breaker, its return and the load itself, or a short behind its breaker. A
bridge carries nothing, so that all that opens bridges alone changes no current. Two points between which
no opened edge lies keep their volts. That holds while all else is as with nothing failed: relays, sources,
and what has power alike.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure, Mode
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import bits, pick_each
from reviewer.analysis.conduction.scenarios import Case, mask_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.cut_pairs import BRIDGE, SeriesClasses
from reviewer.network.graph import bare, holder
from reviewer.network.regulators import regulation

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints


@record
class InSeries:
    """What lanes have in common that open edges of the same ``classes``, and in which the same is live of
    what inlets and inputs take (``live``)."""

    classes: frozenset[int]
    live: tuple[int, ...]


def alike_in_series(
    graph: StateGraph, answer: StateAnswer, cases: Sequence[Case], solved: Conduction
) -> Mapping[int, InSeries]:
    """For each lane of ``solved`` that opens conductors or devices and does nothing else, a key that lanes
    have in common whose readings are the same; other lanes are not in it. ``graph`` is of the state."""
    graph.forget_zones()
    by_classes: dict[frozenset[int], list[int]] = {}
    for lane in bits(_undisturbed(answer, cases, solved)):
        case = cases[lane]
        opened = None if isinstance(case, tuple) else graph.opened_classes(case, lane, solved)
        if opened is not None:
            by_classes.setdefault(opened, []).append(lane)
    watched = graph.watched(solved)
    found: dict[int, InSeries] = {}
    for classes, lanes in by_classes.items():
        every = mask_of(lanes, solved.width)
        apart = [mask for mask in dict.fromkeys(watched) if 0 != mask & every != every]
        for lane in lanes:
            found[lane] = InSeries(classes, tuple(mask >> lane & 1 for mask in apart))
    return found


def stand_ins(
    graph: StateGraph, answer: StateAnswer, lanes: Mapping[InSeries, int], solved: Conduction
) -> Mapping[InSeries, Case]:
    """Loads that are open, of which the readings are those of lanes of ``solved``, one for each key: a
    wire or a contact that is open somewhere is a device more everywhere. Only where the same is live."""
    found = {key: case for key in lanes if (case := graph.loads_in(key.classes)) is not None}
    if not found:
        return {}
    cases = tuple(found.values())
    tried = conduct(graph.network, answer.state, cases, answer.healthy)
    alike = _undisturbed(answer, cases, tried)
    meant_by = pick_each(dict(enumerate(graph.watched(solved))), [lanes[key] for key in found])
    for now, meant in zip(graph.watched(tried), meant_by.values(), strict=True):
        alike &= ~(now ^ meant)
    return {key: case for k, (key, case) in enumerate(found.items()) if alike >> k & 1}


def _undisturbed(answer: StateAnswer, cases: Sequence[Case], solved: Conduction) -> int:
    """The lanes in which relays and sources are as with nothing failed."""
    every, healthy = (1 << len(cases)) - 1, answer.healthy
    changed = solved.unsettled
    for now, before in ((solved.energised, healthy.energised), (solved.alive, healthy.alive)):
        for element, mask in now.items():
            changed |= mask ^ (every if before[element] else 0)
    return every & ~changed


class StateGraph:
    """The circuit of a state with nothing failed as a graph: what conducts, and all devices."""

    def __init__(self, points: OperatingPoints, answer: StateAnswer):
        self.network, self.points = points.network, points
        self.edges: list[tuple[int, int]] = []
        self.edges_of: dict[str, list[int]] = {}
        #: by link
        self.edge_of: dict[int, int] = {}
        #: by lane of what was asked about last
        self._zones: dict[int, list[int]] = {}
        forth, back = answer.conducting
        for i, link in enumerate(self.network.links):
            if forth[i] or back[i]:
                self.edge_of[i] = len(self.edges)
                self._add(link.element, link.a, link.b)
        self.count = len(self.network.names)
        self._devices()
        self.series = SeriesClasses(self.count, self.edges)
        self.at: list[list[int]] = [[] for _ in range(self.count)]
        for i, ends in enumerate(self.edges):
            for node in ends:
                self.at[node].append(i)
        pairs = list(self._looked_at())
        self.looked_at = frozenset(node for pair in pairs for node in pair)
        #: the edges between two nodes between which volts are read, and their classes
        self.read_over = frozenset(i for pair in pairs for i in self.series.between(*pair))
        self.read_classes = frozenset(self.series.of[i] for i in self.read_over) - {BRIDGE}

    def _add(self, element: str, a: int, b: int) -> None:
        self.edges_of.setdefault(element, []).append(len(self.edges))
        self.edges.append((a, b))

    def _devices(self) -> None:
        """What takes or gives current, whether it does so in the state or not."""
        for source in self.network.sources:
            self._add(source.element, source.positive, source.minus)
            if source.field is not None:
                # drawn on when the alternator is open
                self._add("field", source.field, source.negative)
            if source.inlet is not None:
                self._add(source.element, source.inlet.plus[0], source.inlet.minus[0])
        for user in (*self.network.consumers, *self.network.coils):
            node, self.count = self.count, self.count + 1  # behind the supplies
            for plus in user.plus:
                self._add(user.element, plus, node)
            self._add(user.element, node, user.minus[0])
        for resistor, _ in self.points.wiring.inputs:
            self._add("input", resistor.a, resistor.b)

    def _looked_at(self) -> Iterator[tuple[int, int]]:
        """The pairs of nodes between which monitors, displays and regulators read volts."""
        main = self.network.sources[0].minus if self.network.sources else 0
        by_element = {user.element: user for user in self.network.consumers}
        for meter in self.points.wiring.meters.values():
            zero = meter.zero if meter.zero >= 0 else main
            for node in (*meter.sensed, *meter.ends, *meter.returns):
                yield zero, node
            if (display := by_element.get(meter.instrument)) is not None:
                for node in (*display.plus, *display.minus):
                    yield zero, node
        for source in self.network.sources:
            if source.kind == "alternator":
                held = regulation(self.points.design, bare(source.element))
                for node in (self.network.node(held.plus), self.network.node(held.minus)):
                    yield source.positive, node
                    yield source.negative, node

    def opened_classes(self, failure: Failure, lane: int, solved: Conduction) -> frozenset[int] | None:
        """The classes of the edges that a failure, a lane of ``solved``, opens, but for bridges, which
        carry nothing anyway; None where it does more, or volts are read across what opens."""
        edges = self._opened(failure, lane, solved)
        if edges is None:
            return None
        classes = frozenset(self.series.of[i] for i in edges) - {BRIDGE}
        if not classes.isdisjoint(self.read_classes):
            return None
        if any(self.series.of[i] == BRIDGE and i in self.read_over for i in edges):
            return None
        return classes

    def _opened(self, failure: Failure, lane: int, solved: Conduction) -> Sequence[int] | None:
        """The edges that a failure opens, none where what it opens conducts nothing in the state; None if
        it does anything else."""
        if failure.mode in (OPEN, Mode.SEVERED):
            opened = self.network.opened_by(failure.element)
            edges = [i for element in opened for i in self.edges_of.get(element, ())]
            return edges if edges or all(map(self._passive, opened)) else None
        if failure.grounds and not failure.opened:
            zone = self._zone(lane, solved)
            edges = [i for node in zone for i in self.at[node]] if self.looked_at.isdisjoint(zone) else []
            return edges or None
        if failure.mode is Mode.STAYS and failure.element not in self.network.follower:
            links = [(i, self.network.links[i]) for i in self.network.links_of[failure.element]]
            stays = {i for i, link in links if failure.position in link.positions}
            if stays <= self.edge_of.keys():
                return [self.edge_of[i] for i, _ in links if i in self.edge_of and i not in stays]
        return None

    def _passive(self, element: str) -> bool:
        """Whether an element does nothing but conduct where its links do: a switch, which is off in the
        state, or a sensor, which has none."""
        return isinstance(self.points.design.parts.get(bare(element)), (p.Switch, p.Protector, p.Sensor))

    def loads_in(self, classes: frozenset[int]) -> Case | None:
        """Loads that open all of some classes together, and no others; None where some have no load."""
        left, found = set(classes), list[Failure]()
        while left:
            those = self._loads_by_class.get(min(left), ())
            own = next((one for one in those if one[1] <= classes), None)
            if own is None:
                return None
            found.append(Failure(own[0], OPEN))
            left -= own[1]
        return tuple(found)

    @cached_property
    def _loads_by_class(self) -> Mapping[int, Sequence[tuple[str, frozenset[int]]]]:
        """The loads that open edges of a class, each with all classes that it opens."""
        found: dict[int, list[tuple[str, frozenset[int]]]] = {}
        for element in dict.fromkeys(user.element for user in self.network.consumers):
            opened = self.network.opened_by(element)
            edges = [i for each in opened for i in self.edges_of.get(each, ())]
            if self.read_over.isdisjoint(edges):
                classes = frozenset(self.series.of[i] for i in edges) - {BRIDGE}
                for one in classes:
                    found.setdefault(one, []).append((element, classes))
        return found

    def forget_zones(self) -> None:
        """Other lanes are asked about from now on."""
        self._zones.clear()

    def _zone(self, lane: int, solved: Conduction) -> Sequence[int]:
        """The nodes of the fault zone of a lane."""
        if not self._zones:
            nodes_of: dict[int, list[int]] = {}
            for node, mask in enumerate(solved.zone):
                if mask:
                    nodes_of.setdefault(mask, []).append(node)
            for mask, nodes in nodes_of.items():
                for each in bits(mask):
                    self._zones.setdefault(each, []).extend(nodes)
        return self._zones.get(lane, ())

    def watched(self, solved: Conduction) -> tuple[int, ...]:
        """Masks that must be alike in lanes that are alike, in one order for all lanes of a state: what has
        power, which units may work on the battery inside them, and where inlets and inputs are live."""
        nodes = {resistor.a for resistor, _ in self.points.wiring.inputs}
        nodes.update(n for user in self.network.consumers if len(user.plus) > 1 for n in user.plus)
        powered = (solved.powered[user.element] for user in self.network.consumers)
        own = sorted(element for element in solved.powered if holder(element) != element)
        return (
            *powered,
            *(solved.powered[element] for element in own),
            *(solved.live(node) for node in sorted(nodes)),
        )
