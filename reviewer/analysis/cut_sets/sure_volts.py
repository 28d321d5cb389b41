"""Failures after which a load surely has its minimum voltage, named without solving them.

A battery feeds a load by a path, and a failure leaves the path whole. What joins sources carries no
more than all loads that the battery may feed; what leads to loads alone carries what hangs behind
it (:mod:`~reviewer.analysis.cut_sets.pendant_loads`); the return is taken to carry what all
alternators give and what other sources feed, too. What this leaves of the lowest open-circuit
voltage of the batteries is a lower bound: other sources and further paths only add to it. A test
solves what is named as sure.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from heapq import heappop, heappush
from math import fsum, inf, log1p
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import at_any, join
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.cut_sets.largest_currents import largest_currents, minimum_volts
from reviewer.analysis.cut_sets.pendant_loads import PendantLoads, pendant_loads
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import battery_figures, diode_device
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import PoweredDevice, Source, bare
from reviewer.tables.typical import typical

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints

NO_COILS: Mapping[str, float] = MappingProxyType({})
#: (link, whether its current goes from a to b)
Passage = tuple[int, bool]
#: the masks of lanes in which links conduct, from a to b and from b to a
LinkMasks = tuple[Sequence[int], Sequence[int]]


@record
class _Path:
    """A path by which a battery feeds a load or coil, and that by which it returns; the least volts
    that it must have there."""

    user: PoweredDevice
    feed: tuple[Passage, ...]
    back: tuple[Passage, ...]
    minimum: float


@record
class _LoadFlow:
    """The most amperes of what takes current, and of all of it together."""

    amps: Mapping[str, float]
    total: float


@record
class _Tree:
    """The paths of least resistance from a battery (``out``) or to it, in a healthy state: node ->
    the node before it and the passage between."""

    came: Mapping[int, tuple[int, Passage] | None]

    def path(self, node: int) -> Iterator[Passage]:
        """The passages between the battery and a node."""
        step = self.came[node]
        while step is not None:
            yield step[1]
            step = self.came[step[0]]


class SurePaths:
    """The paths by which batteries feed some loads (elements) in a healthy state."""

    def __init__(
        self,
        points: OperatingPoints,
        answer: StateAnswer,
        watched: Sequence[str],
        coils: Mapping[str, float] = NO_COILS,
    ):
        from reviewer.tables.wire_tables import temperature_factor

        self.points, self.answer, self.network, self.design = points, answer, answer.network, answer.design
        self.watched = [c for c in self.network.consumers if c.element in watched]
        self.watched += [c for c in self.network.coils if c.element in coils]
        #: coil (element) -> the volts that it must have
        self.coils = coils
        batteries = [s for s in self.network.sources if s.kind == "battery"]
        alive = [s for s in batteries if answer.healthy.alive[s.element]]
        charges = points.charges_in(answer.state)
        self.figures = {
            s.element: battery_figures(
                self.design,
                s.element,
                charges.get(s.element, self.design.parts[bare(s.element)].state_of_charge),
                1.0,
                Assumptions(),
            )
            for s in alive
        }
        self.lowest = min((f["open_circuit"] for f in self.figures.values()), default=0.0)
        celsius = self.design.aircraft.ambient
        self.warm = temperature_factor(typical("celsius", "conductor").value if celsius is None else celsius)
        self._known_ohms: dict[int, float] = {}
        self.currents = largest_currents(points.wiring)
        self.ways = {s.element: tuple(self._paths(s)) for s in alive}
        self.feeds, self.returns = self._pendant()
        #: source, loads that it feeds and that any feeds, whether a starter turns -> load or coil ->
        #: whether the path to it leaves its minimum
        self._enough: dict[tuple[str, frozenset[str], frozenset[str], bool], dict[str, bool]] = {}

    def _pendant(self) -> tuple[Mapping[int, PendantLoads], Mapping[int, PendantLoads]]:
        """What hangs behind links; the diodes that are on no path are set aside."""
        network = self.network
        passed = {i for paths in self.ways.values() for path in paths for i, _ in (*path.feed, *path.back)}
        strings = {s.element for s in network.sources if s.string}
        ends = {n for s in network.sources for n in (*s.nodes, s.minus, s.charged_at)}
        ends |= {n for m in network.magnetos for n in (m.p_lead, m.ground)}
        aside = set()
        for i in network.one_way:
            if network.links[i].element in strings:
                ends |= {network.links[i].a, network.links[i].b}
            elif i not in passed:
                aside.add(i)
        known, taking = network.searched.setdefault("pendant loads", {}), self.currents.nodes
        # states differ in few of these diodes
        if (key := (frozenset(aside), tuple(taking.items()))) not in known:
            known[key] = pendant_loads(network, taking, sorted(ends), aside)
        feeds, returns = known[key]
        return feeds, returns

    def _ohms(self, link: int) -> float:
        ohms = self._known_ohms.get(link)
        if ohms is None:
            ohms = 0.0
            if not self.network.links[link].oneway:
                made = self.points.wiring.resistor(link, Assumptions())
                ohms = made.ohms * (self.warm if made.copper else 1.0)
            self._known_ohms[link] = ohms
        return ohms

    def _tree(self, start: int, out: bool, any_position: bool = False) -> _Tree:
        """In the healthy state, or through contacts whatever their position."""
        came: dict[int, tuple[int, Passage] | None] = {start: None}
        ohms, done, heap = {start: 0.0}, set[int](), [(0.0, start)]
        while heap:
            far, node = heappop(heap)
            if node in done:
                continue
            done.add(node)
            for i, other, leaving in self.network.around[node]:
                # what returns to a battery passes each link the other way round
                if other in done or not self._passes(i, leaving == out, any_position):
                    continue
                more = far + self._ohms(i)
                if more < ohms.get(other, inf):
                    ohms[other], came[other] = more, (node, (i, leaving == out))
                    heappush(heap, (more, other))
        return _Tree(came)

    def _passes(self, link: int, along: bool, any_position: bool) -> bool:
        if any_position:
            return along or not self.network.links[link].oneway
        return conducts(self.network, self.answer, link, along)

    def _trees(self, source: Source, any_position: bool = False) -> tuple[_Tree, _Tree]:
        """The paths from a battery and to it."""
        return (
            self._tree(source.positive, True, any_position),
            self._tree(source.negative, False, any_position),
        )

    def _paths(self, source: Source) -> Iterator[_Path]:
        """By which a battery feeds each load and coil, for which it has one; a coil that it does not feed
        with nothing failed, by contacts that a failure may close."""
        usual = self._trees(source)
        for user in self.watched:
            coil, ways = user.element in self.coils, _ways(user, *usual)
            if coil and ways is None:
                trees = self.network.searched.setdefault("sure trees", {})
                if source.element not in trees:
                    trees[source.element] = self._trees(source, any_position=True)
                ways = _ways(user, *trees[source.element])
            if ways is not None:
                e = user.element
                yield _Path(user, *ways, self.coils[e] if coil else minimum_volts(self.design, e))

    def sure(self, solved: Conduction, masks: LinkMasks, coils_alone: bool = False) -> dict[str, int]:
        """For each load or coil the lanes in which it surely has its minimum."""
        found = dict.fromkeys(self.coils if coils_alone else (c.element for c in self.watched), 0)
        returned = self._fed(self.answer.healthy.lives, solved.lives)
        turning, every = join(solved.powered[e] for e in self.currents.starters), (1 << solved.width) - 1
        for source in self.ways:
            taken = self._fed(self.answer.healthy.fed[source], solved.fed[source])
            for turns, lanes in ((False, every & ~turning), (True, turning)):
                for path in self._enough_from(source, taken, returned, turns, found) if lanes else ():
                    found[path.user.element] |= lanes & self._whole(source, solved, masks, path)
        works = {**solved.powered, **solved.energised}
        return {e: mask & works[e] for e, mask in found.items()}

    def _fed(self, healthy: Sequence[int], any_lane: Sequence[int]) -> frozenset[str]:
        """The loads that are fed in the healthy state or in any lane, given where that reaches."""
        return frozenset(
            c.element
            for c in self.network.consumers
            if at_any(healthy, c.inlets) or at_any(any_lane, c.inlets)
        )

    def _enough_from(
        self, source: str, taken: frozenset[str], returned: frozenset[str], turns: bool, asked: Container[str]
    ) -> list[_Path]:
        """The paths to those ``asked`` from a battery that leave the minimum while it feeds some loads, and
        any source those whose current is ``returned``; starters among them take current if one ``turns``."""
        paths = [path for path in self.ways[source] if path.user.element in asked]
        enough = self._enough.setdefault((source, taken, returned, turns), {})
        if new := [path for path in paths if path.user.element not in enough]:
            feed, back = self._flow(taken, turns), self._flow(returned, turns)
            for path in new:
                enough[path.user.element] = self._left(path, source, feed, back) >= path.minimum
        return [path for path in paths if enough[path.user.element]]

    def _flow(self, loads: Iterable[str], turns: bool) -> _LoadFlow:
        """The most that some loads take, and what draws whatever is on."""
        most = self.currents
        known = {**most.loads, **most.starters} if turns else most.loads
        amps = {**{e: known[e] for e in loads}, **most.steady}
        return _LoadFlow(amps, fsum(amps.values()) + most.sources)

    def _left(self, path: _Path, source: str, feed: _LoadFlow, back: _LoadFlow) -> float:
        """The least volts that such a path leaves, by what is fed and what returns."""
        left = self.lowest - self.figures[source]["ohms"] * feed.total
        left -= self._lost(path.feed, self.feeds, feed)
        # a return may carry what others feed, and what alternators give to batteries
        returned = _LoadFlow(back.amps, back.total + self.currents.generated)
        left -= self._lost(path.back, self.returns, returned)
        return left - (typical("volts", "ideal").value if len(path.user.plus) > 1 else 0.0)

    def _lost(self, path: Sequence[Passage], pendant: Mapping[int, PendantLoads], flow: _LoadFlow) -> float:
        volts = 0.0
        for i, _ in path:
            most = flow.total
            if i in pendant:
                most = min(most, fsum(flow.amps.get(e, 0.0) for e in pendant[i].taking))
            if self.network.links[i].oneway:
                volts += self._drop(self.network.links[i].element, most)
            else:
                volts += self._ohms(i) * most
        return volts

    def _drop(self, element: str, amps: float) -> float:
        if not isinstance(self.design.parts[bare(element)], p.Diode):
            own = self.figures.get(element)  # a battery that stands on another adds its volts
            return own["ohms"] * amps - own["open_circuit"] if own else 0.0
        curve = diode_device(self.design, element, 0, 1, Assumptions())
        return float(curve.scale * log1p(amps / curve.saturation))  # type: ignore[attr-defined]

    def _whole(self, source: str, solved: Conduction, masks: LinkMasks, path: _Path) -> int:
        """The lanes in which a battery lives and every link of a path conducts, none of it dead and no
        diode set aside behind it shorted."""
        whole = solved.alive[source]
        for i, along in (*path.feed, *path.back):
            link = self.network.links[i]
            whole &= masks[not along][i] & ~solved.zone[link.a] & ~solved.zone[link.b]
        for pendant, passages in ((self.feeds, path.feed), (self.returns, path.back)):
            for diode in {d for i, _ in passages if i in pendant for d in pendant[i].diodes}:
                whole &= ~masks[1][diode]
        return whole


def _ways(
    user: PoweredDevice, out: _Tree, back: _Tree
) -> tuple[tuple[Passage, ...], tuple[Passage, ...]] | None:
    """To a load or coil and back from it; None where there is no such path."""
    plus = [n for n in user.plus if n in out.came]
    if not plus or user.minus[0] not in back.came:
        return None
    return tuple(out.path(plus[0])), tuple(back.path(user.minus[0]))
