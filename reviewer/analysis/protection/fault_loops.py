"""Fault loops: from a battery through protection and a wire to a short, and back.

The short is at the far end of the wire. The path of least resistance is taken both ways. The
current of one battery by one path is the least that flows: further paths and sources in parallel
only add to it at the short. Where two paths share a return, each takes a little from the other,
which the doubled resistance of the battery (cold or aged) more than covers.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cached_property
from itertools import groupby
from typing import Any

from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.cold_batteries import cold_range
from reviewer.analysis.operating_point.devices import battery_figures
from reviewer.analysis.operating_point.resistances import resistor
from reviewer.analysis.protection.wire_protection import EndFeed
from reviewer.analysis.ratings.wire import TABLE_C, temperature_factor
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, Source, bare
from reviewer.network.search import CheapestPaths
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.typical import typical


@record
class LoopPath:
    """A path of least resistance between two nodes.

    Its ``ohms``, the volts that its diodes ``drop``, and its ``elements``, pointers from the start
    on.
    """

    ohms: float
    drop: float
    elements: tuple[str, ...]


#: no path at all: the short stands at the battery's negative
NO_PATH = LoopPath(0.0, 0.0, ())


@record
class Fault:
    """A short at the far end of ``wire`` ("" for one elsewhere), in a ``state``.

    With a switch ``moved`` to a position that no flight state sets, ``state`` is "".
    ``amps`` flow from ``battery`` through ``protector``; ``ohms`` is the resistance of the loop.
    ``before`` are the protective devices between the battery and this one, ``wires`` those between
    this one and the short, ``passed`` all that the current passes, in its order.
    """

    wire: str
    protector: str
    battery: str
    state: str
    amps: float
    ohms: float
    before: tuple[str, ...]
    wires: tuple[str, ...]
    passed: tuple[str, ...]
    moved: tuple[tuple[str, str], ...] = ()


class FaultLoops:
    """Paths of least resistance through a design in its states.

    For shorts and for the charge of a flat battery.
    """

    def __init__(self, design: Design, network: Network):
        self.design, self.network, self.notes = design, network, Assumptions()
        self._searched: dict[tuple[Any, ...], CheapestPaths[int]] = {}
        #: by state and direction: node -> where what conducts leads from there, as it is asked for
        self._onward: dict[tuple[str, bool], dict[int, list[tuple[int, float, int]]]] = {}
        #: answers of :meth:`path`, by search and goal
        self._paths: dict[tuple[Any, ...], dict[int, LoopPath | None]] = {}
        self._conducting: dict[str, tuple[Sequence[bool], Sequence[bool]]] = {}
        self._sources: dict[str, tuple[float, float]] = {}
        self._warm = temperature_factor(
            TABLE_C if design.aircraft.ambient is None else design.aircraft.ambient
        )

    @cached_property
    def _ohms(self) -> tuple[tuple[float, float], ...]:
        """Ohms and drop of each link."""
        found = []
        standing = {s.element: s for s in self.network.sources if s.stands_on_another}
        for link in self.network.links:
            if link.oneway and link.element in standing:
                found.append(self._added(standing[link.element]))
            elif link.gate is Gate.COIL_DIODE:
                found.append((0.0, typical("volts", "silicon").value))
            elif link.oneway:
                part = self.design.part(bare(link.element), p.Diode)
                if part.drop is None:
                    self.notes.use(
                        AssumedQuantity.DIODE_DROP,
                        f"drop of a {part.technology or 'silicon'} diode",
                        typical("volts", part.technology or "silicon"),
                        link.element,
                    )
                found.append((0.0, diode_drop(part)))
            elif link.gate is Gate.SHIELD:
                found.append((0.0, 0.0))
            else:
                made = resistor(self.design, link, self.notes)
                found.append((made.ohms * (self._warm if made.copper else 1.0), 0.0))
        return tuple(found)

    def _added(self, battery: Source) -> tuple[float, float]:
        """Ohms and drop, less than 0, of a battery that stands on another: what it adds."""
        try:
            volts, ohms = self.source(battery)
        except NotAssessable:
            return 0.0, 0.0
        return ohms, -volts

    def unsized(self, elements: Iterable[str]) -> str:
        """What the file lacks for the resistance of some elements, "" for nothing."""
        _ = self._ohms
        missing = [
            f"{self.notes.unsized[e]} of {bare(e)}"
            for e in dict.fromkeys(elements)
            if e in self.notes.unsized
        ]
        more = f" and {len(missing) - 3} more" if len(missing) > 3 else ""
        return "; ".join(missing[:3]) + more

    def assumed(self, elements: Iterable[str]) -> tuple[str, ...]:
        """Which typical values the resistances and drops of some elements rest on."""
        own = set(elements)
        kinds = (AssumedQuantity.RESISTANCE, AssumedQuantity.DIODE_DROP)
        return tuple(
            sorted(
                what
                for (quantity, what, _, _), values in self.notes.used.items()
                if quantity in kinds and own & values.keys()
            )
        )

    def path(
        self,
        answer: StateAnswer,
        start: int,
        goal: int,
        along: bool,
        without: Collection[str] = (),
        unprotected: bool = False,
    ) -> LoopPath | None:
        """The path from ``start`` to ``goal`` in a state; None where there is none.

        ``along`` the current or against it. ``without`` are elements that are not passed; where
        ``unprotected``, no protective device is.
        """
        if without:
            # a path that is found with all is the same without what it does not pass
            whole = self.path(answer, start, goal, along, (), unprotected)
            if whole is None or not set(without).intersection(whole.elements):
                return whole
        key = (answer.state.name, start, along, tuple(without), unprotected)
        known = self._paths.setdefault(key, {})
        if goal not in known:
            if key not in self._searched:
                self._searched[key] = self._search(answer, start, along, without, unprotected)
            known[goal] = self._found(self._searched[key], goal)
        return known[goal]

    def _found(self, paths: CheapestPaths[int], goal: int) -> LoopPath | None:
        if goal not in paths:
            return None
        links = paths.steps(goal)
        elements = tuple(element for element, _ in groupby(self.network.links[i].element for i in links))
        return LoopPath(paths.cost_of(goal), sum((self._ohms[i][1] for i in links), 0.0), elements)

    def _search(
        self, answer: StateAnswer, start: int, along: bool, without: Collection[str], unprotected: bool
    ) -> CheapestPaths[int]:
        forth, back = self._open(answer) if along else self._open(answer)[::-1]
        network, ohms = self.network, self._ohms
        barred = {i for element in without for i in network.parting(element)}
        if unprotected:
            barred |= network.protectors

        known = self._onward.setdefault((answer.state.name, along), {})

        def onward(node: int) -> list[tuple[int, float, int]]:
            if (steps := known.get(node)) is None:
                steps = known[node] = [
                    (other, ohms[i][0], i)
                    for i, other, leaving in network.around[node]
                    if (forth if leaving else back)[i]
                ]
            return [step for step in steps if step[2] not in barred] if barred else steps

        return CheapestPaths([start], onward)

    def _open(self, answer: StateAnswer) -> tuple[Sequence[bool], Sequence[bool]]:
        """Which links but shields conduct in a state from a to b, and from b to a."""
        name = answer.state.name
        if name not in self._conducting:
            forth, back = (
                [
                    way and link.gate is not Gate.SHIELD
                    for way, link in zip(ways, self.network.links, strict=True)
                ]
                for ways in answer.conducting
            )
            self._conducting[name] = forth, back
        return self._conducting[name]

    def _ohms_of(self, element: str) -> float:
        """Resistance of a wire, its shield apart, or of a protective device that is closed."""
        return next(
            self._ohms[i][0]
            for i in self.network.links_of[element]
            if self.network.links[i].gate is not Gate.SHIELD
        )

    def source(self, battery: Source) -> tuple[float, float]:
        """Open-circuit volts and ohms of a battery that is cold or aged. Raises NotAssessable."""
        if battery.element not in self._sources:
            self._sources[battery.element] = self._source(battery)
        return self._sources[battery.element]

    def _source(self, battery: Source) -> tuple[float, float]:
        part = self.design.part(bare(battery.element), p.Battery)
        try:
            figures = battery_figures(self.design, battery.element, part.state_of_charge, 1.0, self.notes)
        except OutsideTable as missing:
            raise NotAssessable(str(missing)) from None
        aged = figures["ohms"] * cold_range().high
        return figures["open_circuit"], max(aged, part.cold_resistance or 0.0)

    def faults(self, answer: StateAnswer, feed: EndFeed) -> Iterator[Fault]:
        """A short at the far end of a wire that is fed as ``feed`` says: :meth:`shorts`."""
        wire = self.design.wires[bare(feed.wire)]
        return self.shorts(
            answer, feed.end, feed.protectors, wire.to if feed.end == wire.from_ else wire.from_, feed.wire
        )

    def shorts(
        self, answer: StateAnswer, near: str, protectors: Iterable[str], far: str, wire: str = ""
    ) -> Iterator[Fault]:
        """Shorts at ``far``, one through each of some protective devices.

        ``wire`` joins ``far`` to ``near``, "" where they are one. Of several batteries, the one
        that gives most. Raises NotAssessable with what is missing.
        """
        start = self.network.node(near)
        for protector in protectors:
            (link,) = self.network.links_of[protector]
            ends = (self.network.links[link].a, self.network.links[link].b)
            reached = [
                (inner, outer)
                for here, outer in (ends, ends[::-1])
                if (inner := self.path(answer, start, here, False, (wire,) if wire else (), True)) is not None
            ]
            if reached:
                inner, outer = min(reached, key=lambda pair: pair[0].ohms)
                found = list(self._from_batteries(answer, outer, protector, inner, far, wire))
                yield from sorted(found, key=lambda fault: -fault.amps)[:1]

    def _from_batteries(
        self, answer: StateAnswer, outer: int, protector: str, inner: LoopPath, far: str, wire: str
    ) -> Iterator[Fault]:
        for battery in self.network.sources:
            if battery.kind != "battery" or not answer.healthy.alive[battery.element]:
                continue
            if not answer.healthy.fed[battery.element][outer]:
                continue
            # from the battery, so that one search serves all its protective devices
            before = self.path(answer, battery.positive, outer, True, (protector,))
            if before is None:
                continue
            upstream = before.elements[::-1]
            (volts, inside), back = self.source(battery), self._back(answer, battery, far)
            own = [protector, wire] if wire else [protector]
            out = (*before.elements, protector, *inner.elements[::-1], *own[1:])
            passed = (battery.element, *out, *back.elements[::-1])
            if lacking := self.unsized(passed):
                raise NotAssessable(lacking)
            loop = inside + before.ohms + inner.ohms + sum(map(self._ohms_of, own)) + back.ohms
            amps = max(0.0, volts - before.drop - inner.drop) / loop
            first = tuple(
                bare(e)
                for e in upstream
                if e.startswith("parts/") and isinstance(self.design.parts[bare(e)], p.Protector)
            )
            wires = tuple(bare(e) for e in (*inner.elements, *own) if e.startswith("wires/"))
            names = (bare(wire), bare(protector), bare(battery.element), answer.state.name)
            yield Fault(*names, amps, loop, first, wires, passed)

    def _back(self, answer: StateAnswer, battery: Source, far: str) -> LoopPath:
        """The path back to a battery from a short at a terminal.

        By the return of the unit or the ground of the alternator that the terminal is of, else by
        metal structure, else by nothing.
        """
        paths = (self.path(answer, battery.negative, node, False) for node in self._returns_from(far))
        return min((path for path in paths if path is not None), key=lambda path: path.ohms, default=NO_PATH)

    def _returns_from(self, far: str) -> list[int]:
        name, _, terminal = far.partition(".")
        part = self.design.parts[name]
        returns: tuple[str, ...] = ()
        if isinstance(part, p.Consumer):
            returns = part.returns
        elif isinstance(part, p.Alternator):
            returns = ("ground",)
        if returns and terminal not in returns:
            return [self.network.node(f"{name}.{r}") for r in returns]
        if self.design.aircraft.airframe != "metal":
            return []
        return [self.network.node(n) for n in self.design.of_kind(p.Airframe) if n in self.network.index]


def lowest_rating(design: Design, fault: Fault) -> tuple[float | None, str]:
    """The lowest rating in a fault loop and the protective device that has it.

    The nearest of several; None where the rating of the nearest is not known.
    """
    own = design.parts[fault.protector].rating
    if own is None:
        return None, fault.protector
    rated = [
        (design.parts[n].rating, n)
        for n in (fault.protector, *fault.before)
        if design.parts[n].rating is not None
    ]
    return min(rated, key=lambda pair: pair[0])


def most_behind_resistors(design: Design, fault: Fault) -> float:
    """The most that flows in a fault loop by its fixed resistors alone, A: they have all the volts
    of the source that gives most. Infinite where there is no resistor."""
    parts = [design.parts[bare(e)] for e in fault.passed if e.startswith("parts/")]
    ohms = sum(part.resistance for part in parts if isinstance(part, p.FixedResistor))
    figures = ("set_point", "voltage", "max_charge_voltage", "open_circuit_voltage")
    volts = [getattr(design.parts[n], key, None) for n in design.of_kind(p.SOURCES) for key in figures]
    volts += [design.parts[n].set_point for n in design.of_kind(p.Regulator)]
    known = [v for v in volts if v is not None]
    return max(known, default=float("inf")) / ohms if ohms else float("inf")


def diode_drop(part: p.Diode) -> float:
    """Forward drop of a diode, from the file or typical for its technology.

    Silicon where that is not said.
    """
    return part.drop if part.drop is not None else typical("volts", part.technology or "silicon").value
