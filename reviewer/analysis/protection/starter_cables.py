"""The heat of a starter's current in the wires that carry it, which no protective device limits.

A wire warms as a body that loses heat in proportion to how much warmer than the air it is. Two
published figures fix it: the adiabatic withstand for the first seconds, and what it may carry
continuously in its bundle and air. Between them it bears a current I, above its continuous limit
Ic, for (I2t / Ic2) ln(I2 / (I2 - Ic2)): never less than the adiabatic time, and for ever at Ic.
The law itself is textbook physics (no published source).

The longest start counts, not the usual one: the starter turns the engine for as long as it may be
used at once; and with an engine that does not turn it stands, at its peak, until the button is released.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.not_assessable import A_STATE, NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
from reviewer.analysis.protection.fault_heating import withstand_of
from reviewer.analysis.ratings.short_circuit import Withstand
from reviewer.analysis.ratings.wire_sizes import least_size
from reviewer.analysis.wiring.wire_loading import LEAST_A, WireLoads
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.quantities import Gauge
from reviewer.model.quantity_words import quantity
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.tables.limits import longest_cranking
from reviewer.tables.practice import COMMON_PRACTICE, practice
from reviewer.tables.wire_tables import PRINTED_CLASSES_C

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

#: a wire carries the starter's current where the starter adds at least this share of what it
#: carries; a choice of ours: with less, the other loads decide its size
OF_THE_WIRE = 0.25
#: and at least this share of the starter's current; a choice of ours: with less, it feeds a load
#: that draws more while the battery sags
OF_THE_STARTER = 0.01


@record
class Start:
    """Starters that run, with their ``amperes``: the ``point`` then, and that in which they take nothing.

    Where they stand and do not turn the engine, ``standing`` is the point of that, else None. ``lost``
    is the wire that is open, as a strap beside others, "" for none.
    """

    flown: Flown
    starters: tuple[str, ...]
    amperes: float
    point: OperatingPoint
    without: OperatingPoint
    standing: OperatingPoint | None
    lost: str = ""


@record
class Times:
    """``seconds`` for which a starter may be used at once, and what they rest on; ``known`` unless
    the file may ask for more."""

    seconds: float
    rests_on: str
    known: bool


@record
class StartHeat:
    """A wire that does not bear the current of a start: ``amperes`` for ``seconds``.

    ``bears_s`` is how long it bears it, ``continuous_a`` what it may carry for ever. ``how`` says
    what the starters do, ``lasts`` where the time comes from.
    """

    start: Start
    point: OperatingPoint
    how: str
    lasts: str
    amperes: float
    seconds: float
    bears_s: float
    continuous_a: float
    withstand: Withstand


def seconds_borne(bears: Withstand, continuous_a: float, amperes: float) -> float:
    """How long a wire bears a steady current, in seconds; infinite up to ``continuous_a``."""
    if amperes <= continuous_a:
        return math.inf
    return -bears.i2t_a2s / continuous_a**2 * math.log1p(-((continuous_a / amperes) ** 2))


class StarterCables:
    """The wires of a design that carry a starter's current in what is flown."""

    def __init__(self, states: States, points: OperatingPoints, design: Design | None = None):
        self.states, self.points, self.design = states, points, design or states.design

    @cached_property
    def _best_insulated(self) -> StarterCables:
        """The same, each wire of unstated insulation having the best that Table 11-9 prints."""
        best = PRINTED_CLASSES_C[-1]
        wires = {
            n: w if w.insulation is not None else w.model_copy(update={"insulation": best})
            for n, w in self.design.wires.items()
        }
        return StarterCables(self.states, self.points, replace(self.design, wires=MappingProxyType(wires)))

    @cached_property
    def starts(self) -> tuple[Start, ...]:
        """What is flown with a starter that runs. Raises NotAssessable with what is missing."""
        names, found = self.design.starters, []
        for flown in self.points.flown:
            powered = self.states.answer(flown.state).healthy.powered
            turning = tuple(f"parts/{n}" for n in names if powered[f"parts/{n}"])
            if not turning:
                continue
            point = self.points.point(flown)
            for starter in turning:
                if starter in point.undrawn:
                    raise NotAssessable(
                        f"{point.undrawn[starter]} of {starter.partition('/')[2]} while cranking"
                    )
            found.append(self._start(flown, turning, point))
        if names and not found:
            raise NotAssessable(
                f"a state with `engine: cranking` in which {' or '.join(names)} runs", A_STATE
            )
        return tuple(found)

    @cached_property
    def other_starts(self) -> tuple[Start, ...]:
        """Starts by other batteries or contacts than those of a declared state. Raises NotAssessable."""
        return tuple(
            self._start(
                Flown(name, None),
                tuple(
                    f"parts/{n}" for n in self.design.starters if start.answer.healthy.powered[f"parts/{n}"]
                ),
                self.points.operating_point(name),
            )
            for name, start in self.states.other_starts.items()
        )

    @cached_property
    def _every(self) -> tuple[Start, ...]:
        return (*self.starts, *self.starts_without_a_lead, *self.other_starts)

    @cached_property
    def starts_without_a_lead(self) -> tuple[Start, ...]:
        """The same with each strap open, a wire to the metal of engine or structure, that carries a quarter
        of the starters' current and beside which another way is left. Raises NotAssessable."""
        found = []
        for start in self.starts:
            answer, turning = self.states.answer(start.flown.state), [f"parts/{n}" for n in start.starters]
            heavy = {f"wires/{n}" for n in self._straps if _has_share(start, n, OF_THE_WIRE)}
            for i, failure in enumerate(answer.failures):
                whole = all(answer.failed.powered[starter] >> i & 1 for starter in turning)
                if failure.mode == OPEN and failure.element in heavy and whole:
                    point = self.points.operating_point(start.flown.state, start.flown.phase, (failure,))
                    found.append(self._start(start.flown, turning, point, failure))
        return tuple(found)

    @cached_property
    def _straps(self) -> tuple[str, ...]:
        metal = self.design.of_kind(p.Airframe)
        ends = {n: {e.partition(".")[0] for e in (w.from_, w.to)} for n, w in self.design.wires.items()}
        return tuple(name for name, own in ends.items() if not own.isdisjoint(metal))

    def _start(self, flown: Flown, turning: Sequence[str], point: OperatingPoint, *lost: Failure) -> Start:
        without = self.points.without_loads(point, turning)
        own = tuple(bare(starter) for starter in turning)
        standing = None
        if all(self.design.parts[n].peak is not None for n in own):
            standing = self.points.operating_point(flown.state, flown.phase, lost, own)
        amperes = sum(point.taken[starter] for starter in turning)
        names = ", ".join(bare(failure.element) for failure in lost)
        return Start(flown, own, amperes, point, without, standing, names)

    @cached_property
    def _loads(self) -> WireLoads:
        return WireLoads(self.design, tuple((start.flown, start.point) for start in self.starts))

    def wires(self) -> tuple[str, ...]:
        """Names of the wires that carry it in any start. Raises NotAssessable."""
        return tuple(n for n in self.design.wires if any(_carries(start, n) for start in self.starts))

    def wires_without_a_lead(self) -> tuple[str, ...]:
        """Names of the wires that carry it in any start, or once a lead beside them is open, or in one by
        other batteries. Raises NotAssessable."""
        return tuple(n for n in self.design.wires if any(_carries(start, n) for start in self._every))

    def with_a_share(self, share: float) -> tuple[str, ...]:
        """Names of the wires that carry that share of the starters' current or more in any start. Raises
        NotAssessable."""

        return tuple(n for n in self.wires() if any(_has_share(start, n, share) for start in self.starts))

    @cached_property
    def known_too_hot(self) -> tuple[str, ...]:
        """The wires (names) that do not bear a start; those of which that is unknown are left out. Raises
        NotAssessable where no start is known."""
        found = []
        for wire in self.wires_without_a_lead():
            try:
                if self.too_hot(wire) is not None:
                    found.append(wire)
            except NotAssessable:
                continue
        return tuple(found)

    def too_hot(self, wire: str) -> StartHeat | None:
        """The first start whose current a wire, by name, does not bear for as long as the phase
        lasts, whatever its insulation where that is not stated, those with an engine that is cranked
        before others; None where it bears all. Raises NotAssessable where that is unknown of one.
        """
        if self.design.wires[wire].insulation is None:
            try:
                hot = self._best_insulated.too_hot(wire)
            except NotAssessable:
                hot = None  # what else is missing is asked for together with the insulation
            if hot is not None:
                return hot
        unknown: NotAssessable | None = None
        for start in sorted(self._every, key=lambda start: not self.cranks(start)):
            for point, how, times in self._uses(start) if _carries(start, wire) else ():
                try:
                    if (found := self._heat(start, wire, point, how, times)) is not None:
                        return found
                except NotAssessable as missing:
                    unknown = unknown or missing.kept()
        if unknown is not None:
            raise unknown.kept()
        return None

    def cranks(self, start: Start) -> bool:
        """Whether an engine is cranked in the state of a start."""
        return self.states.answer(start.flown.state).state.engine == "cranking"

    def larger(self, wire: str) -> str:
        """The least size larger than that of a wire, by name, that bears all current of the starters with
        what else it carries whenever an engine is cranked, so that wires beside it may be as they are; a
        strap that of a start in flight for good, as one that is left when another opens is judged so. ""
        for none."""
        spec = self.design.wires[wire]

        def serves(size: Gauge) -> bool:
            design = self.design.with_gauge(wire, size)
            bears, loads = withstand_of(design, wire, shorted=False), WireLoads(design, ())
            for start, point, times in uses:
                drawn = sum(point.taken[f"parts/{starter}"] for starter in start.starters)
                most = max(abs(point.amps[f"wires/{wire}"]), abs(start.without.amps[f"wires/{wire}"]) + drawn)
                used = self._loads.used(spec.bundle, start.point) if spec.bundle else 0.0
                limit = loads.allowed(wire, used).ampacity.amperes
                lasts = max(bears.seconds(most), seconds_borne(bears, limit, most))
                flown = self.states.answer(start.flown.state).state.use == "flight"
                for_good = wire in self._straps and flown and point is start.point
                if lasts < times.seconds or (for_good and limit < most):
                    return False
            return True

        try:
            carried = [start for start in self._every if self.cranks(start) and _carries(start, wire)]
            uses = [(start, point, times) for start in carried for point, _, times in self._uses(start)]
            return least_size(spec, serves) if uses else ""
        except NotAssessable:
            return ""

    def _uses(self, start: Start) -> Iterator[tuple[OperatingPoint, str, Times]]:
        """How the starters of a start may be used: they turn the engine, or stand."""
        parts = [(n, self.design.part(n, p.Load)) for n in start.starters]
        longest = max((part.longest_run or 0.0, f"`longest-run` of {n}") for n, part in parts)
        bounded = all(part.longest_run is not None for _, part in parts)
        if not bounded:
            limit = longest_cranking()
            longest = max(longest, (limit.value, limit.origin.title))
        usual = self._seconds(start.flown)
        known = bounded or usual is not None
        lasts = max(longest, (usual or 0.0, "`duration` of the phase"))
        yield start.point, "turns the engine", Times(*lasts, known)
        if start.standing is not None:
            held = (practice("seconds", "starter-stands").low, COMMON_PRACTICE)
            yield start.standing, "is stalled", Times(*min(held, longest), True)

    def _heat(
        self, start: Start, wire: str, point: OperatingPoint, how: str, times: Times
    ) -> StartHeat | None:
        amperes = abs(point.amps[f"wires/{wire}"])
        if math.isnan(amperes):
            element, key = next(iter(point.unsized.items()))
            raise NotAssessable(
                f"{key} of {element.partition('/')[2]}: without it the current of {wire} is not known"
            )
        bears, seconds = withstand_of(self.design, wire, shorted=False), times.seconds
        if times.known and bears.seconds(amperes) >= seconds:
            return None
        bundle = self.design.wires[wire].bundle
        used = self._loads.used(bundle, start.point) if bundle else 0.0
        allowed = self._loads.allowed(wire, used)
        borne = seconds_borne(bears, allowed.ampacity.amperes, amperes)
        if borne == math.inf or (times.known and borne >= seconds):
            return None
        if borne >= seconds:
            phase = start.flown.phase
            raise NotAssessable(
                f"`duration` of the phase {phase}"
                if phase
                else f"a phase in the state {start.flown.state}, with its `duration`"
            )
        if not allowed.ambient.known:
            raise NotAssessable(
                f"`zone` of {wire}: in the hottest zone it withstands {quantity(amperes, 'A')} for "
                f"{quantity(borne, 's', seconds)}"
            )
        return StartHeat(
            start, point, how, times.rests_on, amperes, seconds, borne, allowed.ampacity.amperes, bears
        )

    def _seconds(self, flown: Flown) -> float | None:
        """How long a start lasts: as its phase says; without one, as the longest phase of a start."""
        phases = self.design.operation.phases if self.design.operation else {}
        own = [flown.phase] if flown.phase else [s.flown.phase for s in self.starts if s.flown.phase]
        times = [phases[phase].duration for phase in own]
        known = [seconds for seconds in times if seconds is not None]
        return max(known) if known and len(known) == len(times) else None


def _has_share(start: Start, wire: str, share: float) -> bool:
    return abs(start.point.amps[f"wires/{wire}"]) >= share * start.amperes


def _carries(start: Start, wire: str) -> bool:
    """Whether a wire carries the starter's current; one whose current is left open may."""
    amperes, without = (point.amps[f"wires/{wire}"] for point in (start.point, start.without))
    if math.isnan(amperes) or math.isnan(without):
        return True
    added = abs(amperes) - without * math.copysign(1.0, amperes)
    return added >= max(LEAST_A, OF_THE_WIRE * abs(amperes), OF_THE_STARTER * start.amperes)
