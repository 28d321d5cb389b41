"""The loop that a short closes: from a battery through a protector and a wire to the far end, and back, by the way of least resistance.

The current of one battery by one way is the least that flows: further ways and sources in parallel only add to it at the short. Where two ways share a
return, each takes a little from the other, which the doubled resistance of the battery (cold or aged) more than covers.
"""

from __future__ import annotations

import heapq
from collections.abc import Collection, Iterable, Iterator, Sequence
from functools import cached_property
from itertools import groupby
from math import inf
from typing import Any, NamedTuple

from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.assumptions import AssumedQuantity, Assumptions
from reviewer.analysis.operating_point.devices import battery_figures
from reviewer.analysis.operating_point.resistances import resistor
from reviewer.analysis.protection.wire_protection import EndFeed
from reviewer.analysis.ratings.wire import TABLE_C, temperature_factor
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, Source, bare
from reviewer.tables.lookup import OutsideTable
from reviewer.tables.practice import practice
from reviewer.tables.typical import typical


class Way(NamedTuple):
    """A way of least resistance from one node to another: its ``ohms``, the ``drop`` of the diodes on it in volts, and its ``elements`` in order.
    ``chain`` holds them as (last, (last but one, ...))."""

    ohms: float
    drop: float
    chain: tuple[Any, ...] = ()

    @property
    def elements(self) -> tuple[str, ...]:
        """Pointers from the start on."""
        found, chain = [], self.chain
        while chain:
            element, chain = chain
            found.append(element)
        return tuple(e for e, _ in groupby(reversed(found)))


@record
class Fault:
    """A short at the far end of ``wire`` ("" for one elsewhere): ``amps`` from ``battery`` through ``protector`` in a ``state``, and the ``ohms`` of its loop.
    ``before`` are the protectors that stand between the battery and this one, ``wires`` those between this one and the short, ``passed`` all that
    the current passes."""

    wire: str
    protector: str
    battery: str
    state: str
    amps: float
    ohms: float
    before: tuple[str, ...]
    wires: tuple[str, ...]
    passed: tuple[str, ...]


class Loops:
    """Ways of least resistance through a design in its states."""

    def __init__(self, design: Design, network: Network):
        self.design, self.network, self.notes = design, network, Assumptions()
        self._ways: dict[tuple[Any, ...], dict[int, Way]] = {}
        self._conducting: dict[str, tuple[Sequence[bool], Sequence[bool]]] = {}
        self._warm = temperature_factor(
            TABLE_C if design.aircraft.ambient is None else design.aircraft.ambient
        )

    @cached_property
    def _ohms(self) -> tuple[tuple[float, float], ...]:
        """Ohms and drop of each link."""
        found = []
        for link in self.network.links:
            if link.oneway:
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

    def ways(
        self,
        answer: StateAnswer,
        start: int,
        along: bool,
        without: Collection[str] = (),
        unprotected: bool = False,
    ) -> dict[int, Way]:
        """Every node that is come to from ``start`` in a state, ``along`` the current or against it, by what conducts there.

        ``without`` are elements that are not passed; where ``unprotected``, no protector is. Returns node -> way, its elements from the start on.
        """
        key = (answer.state.name, start, along, tuple(without), unprotected)
        if key not in self._ways:
            self._ways[key] = self._walk(answer, start, along, without, unprotected)
        return self._ways[key]

    def _walk(
        self, answer: StateAnswer, start: int, along: bool, without: Collection[str], unprotected: bool
    ) -> dict[int, Way]:
        done: dict[int, Way] = {}
        # what leads to a node by no less than a way that waits already is not the way that is taken
        waiting: dict[int, float] = {}
        forth, back = self._open(answer) if along else self._open(answer)[::-1]
        links, ohms_of = self.network.links, self._ohms
        queue: list[tuple[float, int, int, float, tuple[Any, ...]]] = [(0.0, 0, start, 0.0, ())]
        count = 0
        while queue:
            so_far, _, node, drop, chain = heapq.heappop(queue)
            if node in done:
                continue
            done[node] = Way(so_far, drop, chain)
            for i, other, leaving in self.network.around[node]:
                if other in done or not (forth if leaving else back)[i]:
                    continue
                link = links[i]
                if link.element in without or (unprotected and link.gate is Gate.PROTECTOR):
                    continue
                ohms, more = ohms_of[i]
                if so_far + ohms < waiting.get(other, inf):
                    waiting[other] = so_far + ohms
                    count += 1
                    heapq.heappush(queue, (so_far + ohms, count, other, drop + more, (link.element, chain)))
        return done

    def _open(self, answer: StateAnswer) -> tuple[Sequence[bool], Sequence[bool]]:
        """Which links but shields conduct in a state from a to b, and from b to a."""
        name = answer.state.name
        if name not in self._conducting:
            every = tuple(enumerate(self.network.links))
            forth, back = (
                [
                    link.gate is not Gate.SHIELD and conducts(self.network, answer, i, leaving)
                    for i, link in every
                ]
                for leaving in (True, False)
            )
            self._conducting[name] = forth, back
        return self._conducting[name]

    def _ohms_of(self, element: str) -> float:
        """Resistance of a wire, its shield apart, or of a protector that is closed."""
        return next(
            self._ohms[i][0]
            for i in self.network.links_of[element]
            if self.network.links[i].gate is not Gate.SHIELD
        )

    def source(self, battery: Source) -> tuple[float, float]:
        """Rest volts and ohms of a battery that is cold or aged. Raises NotAssessable."""
        part = self.design.part(bare(battery.element), p.Battery)
        try:
            figures = battery_figures(self.design, battery.element, part.state_of_charge, 1.0, self.notes)
        except OutsideTable as missing:
            raise NotAssessable(str(missing)) from None
        return figures["open_circuit"], figures["ohms"] * practice(
            "factors", "battery-resistance-cold-or-aged"
        ).high

    def faults(self, answer: StateAnswer, feed: EndFeed) -> Iterator[Fault]:
        """A short at the far end of a wire that is fed as ``feed`` says: :meth:`shorts`."""
        wire = self.design.wires[bare(feed.wire)]
        return self.shorts(
            answer, feed.end, feed.protectors, wire.to if feed.end == wire.from_ else wire.from_, feed.wire
        )

    def shorts(
        self, answer: StateAnswer, near: str, protectors: Iterable[str], far: str, wire: str = ""
    ) -> Iterator[Fault]:
        """A short at the terminal ``far``, which ``wire`` joins to ``near`` ("" where they are one), through each of the protectors about ``near``: the
        battery that gives most. Raises NotAssessable with what is missing."""
        inner = self.ways(answer, self.network.node(near), False, (wire,) if wire else (), unprotected=True)
        for protector in protectors:
            (link,) = self.network.links_of[protector]
            ends = (self.network.links[link].a, self.network.links[link].b)
            reached = [(n, o) for n, o in (ends, ends[::-1]) if n in inner]
            if reached:
                node, outer = min(reached, key=lambda pair: inner[pair[0]].ohms)
                found = list(self._from_batteries(answer, outer, protector, inner[node], far, wire))
                yield from sorted(found, key=lambda fault: -fault.amps)[:1]

    def _from_batteries(
        self, answer: StateAnswer, outer: int, protector: str, inner: Way, far: str, wire: str
    ) -> Iterator[Fault]:
        behind = self.ways(answer, outer, False, (protector,))
        for battery in self.network.sources:
            if (
                battery.kind != "battery"
                or not answer.healthy.alive[battery.element]
                or battery.positive not in behind
            ):
                continue
            volts, inside = self.source(battery)
            before, back = behind[battery.positive], self._back(answer, battery, far)
            own = [protector, wire] if wire else [protector]
            passed = (battery.element, *before.elements, *inner.elements, *own, *back.elements)
            if lacking := self.unsized(passed):
                raise NotAssessable(lacking)
            loop = inside + before.ohms + inner.ohms + sum(map(self._ohms_of, own)) + back.ohms
            amps = max(0.0, volts - before.drop - inner.drop) / loop
            first = tuple(
                bare(e)
                for e in before.elements
                if e.startswith("parts/") and isinstance(self.design.parts[bare(e)], p.Protector)
            )
            wires = tuple(bare(e) for e in (*inner.elements, *own) if e.startswith("wires/"))
            names = (bare(wire), bare(protector), bare(battery.element), answer.state.name)
            yield Fault(*names, amps, loop, first, wires, passed)

    def _back(self, answer: StateAnswer, battery: Source, far: str) -> Way:
        """The way back to a battery from a short at a terminal: by the return of the unit or the ground of the alternator that it is of, else by metal
        structure, else by nothing."""
        back = self.ways(answer, battery.negative, False)
        name, _, terminal = far.partition(".")
        part = self.design.parts[name]
        returns = (
            part.returns
            if isinstance(part, p.Consumer)
            else ("ground",)
            if isinstance(part, p.Alternator)
            else ()
        )
        if returns and terminal not in returns:
            found = [back[n] for n in (self.network.node(f"{name}.{r}") for r in returns) if n in back]
        else:
            metal = [n for n in self.design.of_kind(p.Airframe) if n in self.network.index]
            found = (
                [back[n] for n in map(self.network.node, metal) if n in back]
                if self.design.aircraft.airframe == "metal"
                else []
            )
        return min(found, key=lambda way: way.ohms, default=Way(0.0, 0.0))


def lowest_rating(design: Design, fault: Fault) -> tuple[float | None, str]:
    """The lowest rating on the way of a short and the protector that has it, the nearest of several; None where that of the nearest is not known."""
    own = design.parts[fault.protector].rating
    if own is None:
        return None, fault.protector
    rated = [
        (design.parts[n].rating, n)
        for n in (fault.protector, *fault.before)
        if design.parts[n].rating is not None
    ]
    return min(rated, key=lambda pair: pair[0])


def diode_drop(part: p.Diode) -> float:
    """Forward drop of a diode, from the file or typical for its technology (silicon where that is not said)."""
    return part.drop if part.drop is not None else typical("volts", part.technology or "silicon").value
