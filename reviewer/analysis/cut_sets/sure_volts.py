"""Failures after which a load surely has its minimum voltage, named without solving them.

A battery feeds a load by a path, and a failure leaves the path whole. What joins sources carries no
more than all loads that the battery may feed; a dead end carries what hangs on it; the return is
taken to carry what all alternators give, too. What this leaves of the lowest open-circuit voltage of
the batteries is a lower bound: other sources and further paths only add to it. A test solves what
is named as sure.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from heapq import heappop, heappush
from math import inf, log1p
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.masks import at_any
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.cut_sets.core import network_core
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import Source, bare
from reviewer.tables.typical import typical

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints

NO_COILS: Mapping[str, float] = MappingProxyType({})
#: (link, whether its current goes from a to b)
Passage = tuple[int, bool]
#: the masks of lanes in which links conduct, from a to b and from b to a
LinkMasks = tuple[Sequence[int], Sequence[int]]


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
        from reviewer.analysis.operating_point.devices import battery_figures
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
        self.joining = network_core(self.network, None, ()).chain_of
        self.trees = {
            s.element: (s, self._tree(s.positive, True), self._tree(s.negative, False)) for s in alive
        }
        #: while one of them turns nothing is sure
        self.starters = frozenset(
            f"parts/{n}" for n in self.design.of_kind(p.Load) if self.design.parts[n].type == "starter"
        )
        self.amps = {c.element: self._most(c.element) for c in self.network.consumers}
        self.drawn = sum(
            (self.design.parts[bare(c.element)].coil_current or typical("amperes", "contactor-coil").value)
            for c in self.network.coils
        ) + sum(typical("amperes", "alternator-field").value for s in self.network.sources if s.field)
        self.drawn += sum(self._inlet(s) for s in self.network.sources if s.inlet)
        self.generated = sum(self._generates(s) for s in self.network.sources)

    def _inlet(self, source: Source) -> float:
        """The most amperes that a source takes that is fed itself: all its power at the least volts."""
        part = self.design.parts[bare(source.element)]
        volts = part.output_voltage if isinstance(part, p.Converter) else part.set_point
        share = getattr(part, "efficiency", None) or typical("shares", "converter-efficiency").value
        least = typical("shares", "minimum-of-nominal").value * self.design.aircraft.volts
        return self._generates(source) * (volts or self.design.aircraft.volts) / share / least

    def _generates(self, source: Source) -> float:
        """The most amperes of an alternator, charger or converter; 0 of another source."""
        part = self.design.parts[bare(source.element)]
        return (part.most or inf) if isinstance(part, p.SELF_LIMITED) else 0.0

    def _least(self, element: str) -> float:
        """The volts that a load or coil must have: its minimum, a usual one of a load that states none."""
        if element in self.coils:
            return self.coils[element]
        minimum: float | None = self.design.parts[bare(element)].minimum
        if minimum is not None:
            return minimum
        return typical("shares", "minimum-of-nominal").value * self.design.nominal_volts(bare(element))

    def _most(self, element: str) -> float:
        """The largest current of a load in any phase; a starter that does not turn takes none."""
        currents = self.design.parts[bare(element)].currents
        return 0.0 if element in self.starters else max(currents, default=0.0)

    def _ohms(self, link: int) -> float:
        if self.network.links[link].oneway:
            return 0.0
        made = self.points.wiring.resistor(link, Assumptions())
        return made.ohms * (self.warm if made.copper else 1.0)

    def _tree(self, start: int, out: bool) -> _Tree:
        came: dict[int, tuple[int, Passage] | None] = {start: None}
        ohms, done, heap = {start: 0.0}, set[int](), [(0.0, start)]
        while heap:
            far, node = heappop(heap)
            if node in done:
                continue
            done.add(node)
            for i, other, leaving in self.network.around[node]:
                # what returns to a battery passes each link the other way round
                if other in done or not conducts(self.network, self.answer, i, leaving == out):
                    continue
                more = far + self._ohms(i)
                if more < ohms.get(other, inf):
                    ohms[other], came[other] = more, (node, (i, leaving == out))
                    heappush(heap, (more, other))
        return _Tree(came)

    def sure(self, solved: Conduction, masks: LinkMasks) -> dict[str, int]:
        """For each load or coil the lanes in which it surely has its minimum."""
        found = dict.fromkeys((c.element for c in self.watched), 0)
        for source, out, back in self.trees.values():
            taken = self._taken(source, solved)
            hanging = self._hanging(taken, out), self._hanging(taken, back)
            total = sum(taken.values()) + self.drawn
            for load in self.watched:
                plus = [n for n in load.plus if n in out.came]
                if not plus or load.minus[0] not in back.came:
                    continue
                supply, feed = list(back.path(load.minus[0])), list(out.path(plus[0]))
                minimum = self._least(load.element)
                # at its minimum a supply that holds its power takes so much more
                more = max(self.design.nominal_volts(bare(load.element)) / minimum, 1.0)
                left = self.lowest - self.figures[source.element]["ohms"] * total * more
                left -= self._lost(feed, hanging[0], total * more, more)
                left -= self._lost(supply, hanging[1], total * more + self.generated, more)
                if len(load.plus) > 1:
                    left -= typical("volts", "ideal").value
                if left >= minimum:
                    found[load.element] |= self._whole(source, solved, masks, (*feed, *supply))
        turning = 0
        for element in self.starters:
            turning |= solved.powered[element]
        works = {**solved.powered, **solved.energised}
        return {e: mask & works[e] & ~turning for e, mask in found.items()}

    def _taken(self, source: Source, solved: Conduction) -> dict[str, float]:
        """The current of each load that a battery feeds in the healthy state or in any lane."""
        healthy, any_lane = self.answer.healthy.fed[source.element], solved.fed[source.element]
        return {
            c.element: self.amps[c.element]
            for c in self.network.consumers
            if at_any(healthy, c.inlets) or at_any(any_lane, c.inlets)
        }

    def _hanging(self, taken: Mapping[str, float], tree: _Tree) -> dict[int, float]:
        """What each link of a dead end carries: the loads behind it."""
        carried: dict[int, float] = {}
        for consumer in self.network.consumers:
            amps = taken.get(consumer.element, 0.0)
            for node in (*consumer.plus, *consumer.minus):
                if amps and node in tree.came:
                    for i, _ in tree.path(node):
                        carried[i] = carried.get(i, 0.0) + amps
        return carried

    def _lost(
        self, path: Sequence[Passage], hanging: Mapping[int, float], total: float, more: float
    ) -> float:
        volts = 0.0
        for i, _ in path:
            amps = total if i in self.joining else min(hanging.get(i, 0.0) * more, total)
            if self.network.links[i].oneway:
                volts += self._drop(self.network.links[i].element, amps)
            else:
                volts += self._ohms(i) * amps
        return volts

    def _drop(self, element: str, amps: float) -> float:
        from reviewer.analysis.operating_point.devices import diode_device

        if not isinstance(self.design.parts[bare(element)], p.Diode):
            own = self.figures.get(element)  # a battery that stands on another adds its volts
            return own["ohms"] * amps - own["open_circuit"] if own else 0.0
        curve = diode_device(self.design, element, 0, 1, Assumptions())
        return float(curve.scale * log1p(amps / curve.saturation))  # type: ignore[attr-defined]

    def _whole(self, source: Source, solved: Conduction, masks: LinkMasks, path: Sequence[Passage]) -> int:
        """The lanes in which a battery lives and every link of a path conducts, none of it dead."""
        whole = solved.alive[source.element]
        for i, along in path:
            link = self.network.links[i]
            whole &= masks[not along][i] & ~solved.zone[link.a] & ~solved.zone[link.b]
        return whole
