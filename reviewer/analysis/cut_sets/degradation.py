"""From which resistance on a degraded joint, contact or battery, or a diode or rectifier that leaks,
loses a function.

A function is lost where too many of its loads have less than their minimum voltage, or lose power
because a relay drops out: below its dropout voltage, or where that is not given below the high end
of common practice. Where an alternator has more at its output than the volts of its overvoltage trip,
as where the ground of its regulator rises, that may trip or not: a function works if it works in both.
The resistance is looked for over nine decades, in steps of a quarter of one,
then between two of these to a thousandth, or to a fiftieth where a point between has no solution.
Batteries are as charged as the file says. What an
alternator can give is not reduced with the volts of its field.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import cached_property, partial
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import DROPPED, LEAKING, OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, critical_functions, function_masks, loads_of
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import assessed
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.network.regulators import own_trip
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.operating_point.points import Points

#: resistances that are looked at first, ohms
GRID = tuple(10 ** (step / 4 - 4) for step in range(37))
#: how often, and in how many steps, the one at which a function is lost is looked for between two
ROUNDS, STEPS = 2, 32
#: between two this near to each other the worse one is told where a point between has no solution
FINE = 1.02
#: a solved voltage this far below a minimum is not below it
ROUNDING_V = 1e-6


@record
class DegradedLoss:
    """From ``ohms`` on a function is lost in a phase (None where none is flown); with what leaks, at
    and below them. ``low`` are (load, volts, minimum) there, ``dropped`` the relays that drop
    out, ``tripped`` the alternators whose overvoltage trip is reached."""

    function: str
    hazard: HazardClass
    phase: str | None
    ohms: float
    low: tuple[tuple[str, float, float], ...]
    dropped: tuple[str, ...]
    tripped: tuple[str, ...] = ()


@record
class LowLoad:
    """From ``ohms`` on a load of a critical function has less than its ``minimum`` in a phase, or no
    power because the relays ``dropped`` drop out, or since the alternators ``tripped`` may have; with
    what leaks, at and below them."""

    load: str
    function: str
    phase: str | None
    ohms: float
    minimum: float | None
    dropped: tuple[str, ...]
    tripped: tuple[str, ...] = ()


@record
class HighVolts:
    """From ``ohms`` on a load has more than its maximum in a phase, or an alternator (both names) more
    at its output than its overvoltage ``trip``: ``limit`` volts; with what leaks, at and below them."""

    name: str
    limit: float
    trip: bool
    phase: str | None
    ohms: float


class Degradation:
    """One degraded or leaking thing in a state, at any resistance; that of ``failure`` is not used.
    ``beside`` are failures that are there too. What is asked raises NotAssessable with the missing
    figure."""

    def __init__(
        self,
        points: OperatingPoints,
        answer: StateAnswer,
        failure: Failure,
        beside: tuple[Failure, ...] = (),
    ):
        self.points, self.answer, self.failure, self.beside = points, answer, failure, beside
        self.design, self.network = answer.design, answer.network
        self.functions = {n: f for n, f in self.design.functions.items() if answer.alive[n]}
        self.phases = [f.phase for f in points.flown_in([answer.state.name])]

    @cached_property
    def watched(self) -> tuple[str, ...]:
        """The powered loads of functions, elements."""
        loads = dict.fromkeys(f"parts/{n}" for f in self.functions for n in loads_of(self.design, f))
        return tuple(e for e in loads if self.answer.healthy.powered[e])

    @property
    def from_harmless(self) -> tuple[float, ...]:
        """The resistances that are looked at first, the most harmless at the beginning."""
        return GRID[::-1] if self.failure.mode is LEAKING else GRID

    def losses(self) -> tuple[DegradedLoss, ...]:
        """The functions that some resistance loses, the gravest first; each in the phase in which
        the smallest change does it."""
        worst: dict[str, DegradedLoss] = {}
        for phase in self.phases:
            works = self.works(self.from_harmless, phase)
            for name in self.functions:
                loss = self._loss(name, works[name], phase)
                if loss and (name not in worst or self.sooner(loss, worst[name])):
                    worst[name] = loss
        return tuple(sorted(worst.values(), key=lambda loss: -loss.hazard))

    def low_loads(self) -> tuple[LowLoad, ...]:
        """The loads of critical functions that some resistance takes below their minimum, or turns
        off; each in the phase in which the smallest change does it."""
        critical = (f for f in critical_functions(self.design) if f in self.functions)
        serving = {f"parts/{n}": f for f in critical for n in loads_of(self.design, f)}
        worst: dict[str, LowLoad] = {}
        for phase in self.phases:
            works = self._working(self.from_harmless, phase)
            for element in (e for e in self.watched if e in serving):
                ohms = self._limit(works[element], partial(self._working_load, element, phase))
                if ohms is None:
                    continue
                low, dropped, tripped = self.at(ohms, phase)
                minimum = next((least for name, _, least in low if name == bare(element)), None)
                one = LowLoad(bare(element), serving[element], phase, ohms, minimum, dropped, tripped)
                if element not in worst or self.sooner(one, worst[element]):
                    worst[element] = one
        return tuple(worst.values())

    def highs(self) -> tuple[HighVolts, ...]:
        """The loads of functions that some resistance takes above their maximum, and the alternators
        that it takes to their overvoltage trip; each in the phase in which the smallest change does it.
        A load that gets there only after that trip is left out."""
        worst: dict[str, HighVolts] = {}
        for phase in self.phases:
            within = self._within(self.from_harmless, phase)
            for element, (limit, trip, works) in within.items():
                ohms = self._limit(works, partial(self._works_within, element, phase))
                if ohms is not None:
                    one = HighVolts(bare(element), limit, trip, phase, ohms)
                    if element not in worst or self.sooner(one, worst[element]):
                        worst[element] = one
        trips = [one for one in worst.values() if one.trip]
        return tuple(
            one
            for one in worst.values()
            if one.trip or not any(self.sooner(trip, one) and trip.phase == one.phase for trip in trips)
        )

    def _within(self, ohms: Sequence[float], phase: str | None) -> dict[str, tuple[float, bool, int]]:
        """For each load with a maximum and each alternator with a trip: that limit, whether it is one of a
        trip, and the resistances, a bit each, at which its volts are not above it."""
        points, powered, _ = self._solved(ohms, phase, frozenset())
        every, found = (1 << len(ohms)) - 1, {}
        for element in self.watched:
            most = self.design.parts[bare(element)].maximum
            if powered[element] and most is not None and element in points.built.loads:
                over = _below((-points.across(element)).tolist(), -most - ROUNDING_V)
                found[element] = (most, False, every & ~over)
        for element, (trip, volts) in self._outputs(points).items():
            found[element] = (trip, True, every & ~_below([-v for v in volts], -trip - ROUNDING_V))
        return found

    def _works_within(self, element: str, phase: str | None, ohms: Sequence[float]) -> int:
        return self._within(ohms, phase)[element][2]

    def _outputs(self, points: Points) -> dict[str, tuple[float, list[float]]]:
        """For each alternator that a trip of its own stops: the volts of that, and those at its output."""
        found = {}
        for source in self.network.sources:
            if source.kind == "alternator" and source.element in points.built.sources:
                trip = own_trip(self.design, bare(source.element))
                if trip is not None:
                    plus, minus = (self.network.names[n] for n in (source.positive, source.negative))
                    found[source.element] = (trip, (points.volts(plus) - points.volts(minus)).tolist())
        return found

    def sooner(
        self, one: DegradedLoss | LowLoad | HighVolts, other: DegradedLoss | LowLoad | HighVolts
    ) -> bool:
        """Whether one of two needs the smaller change of resistance."""
        return one.ohms > other.ohms if self.failure.mode is LEAKING else one.ohms < other.ohms

    def _loss(self, name: str, works: int, phase: str | None) -> DegradedLoss | None:
        """Where a function is lost that works at some of the resistances that are looked at first;
        None where it is lost at none, or at the most harmless one."""
        ohms = self._limit(works, lambda steps: self.works(steps, phase)[name])
        if ohms is None:
            return None
        low, dropped, tripped = self.at(ohms, phase)
        hazard = HazardClass.of(self.functions[name].loss)
        return DegradedLoss(name, hazard, phase, ohms, low, dropped, tripped)

    def _limit(self, works: int, works_at: Callable[[Sequence[float]], int]) -> float | None:
        """Where something stops that works at some of the resistances that are looked at first; None
        where it stops at none, or at the most harmless one."""
        steps = list(self.from_harmless)
        lost = _first(works, len(steps))
        if not lost:
            return None
        for _ in range(ROUNDS):
            kept, gone = steps[lost - 1], steps[lost]
            steps = [kept * (gone / kept) ** (i / STEPS) for i in range(STEPS + 1)]
            try:
                lost = _first(works_at(steps), len(steps)) or STEPS
            except NotAssessable:
                if gone / kept > FINE or kept / gone > FINE:
                    raise
                return gone
        return steps[lost]

    def works(self, ohms: Sequence[float], phase: str | None) -> dict[str, int]:
        """For each function the resistances, a bit each, at which it works."""
        return function_masks(self.design, self._working(ohms, phase), (1 << len(ohms)) - 1)

    def _working(
        self, ohms: Sequence[float], phase: str | None, dropped: frozenset[str] = frozenset()
    ) -> dict[str, int]:
        """For each consumer the resistances, a bit each, at which it works, with some relays dropped
        out, or alternators tripped, and those that then drop out or trip too."""
        points, powered, energised = self._solved(ohms, phase, dropped)
        every = (1 << len(ohms)) - 1
        working = {e: every if mask else 0 for e, mask in powered.items()}
        for element, minimum in self._minimums(points, powered).items():
            working[element] &= ~_below(points.across(element).tolist(), minimum)
        releasing: dict[int, frozenset[str]] = {}
        for relay in energised:
            for i in bits(_below(abs(points.across(relay)).tolist(), dropout_volts(self.design, relay))):
                releasing[i] = releasing.get(i, frozenset()) | {relay}
        for relays in dict.fromkeys(releasing.values()):
            lanes = [i for i, those in releasing.items() if those == relays]
            then = self._working([ohms[i] for i in lanes], phase, dropped | relays)
            for element, mask in then.items():
                for k, i in enumerate(lanes):
                    working[element] = working[element] & ~(1 << i) | (mask >> k & 1) << i
        for alternator, (trip, volts) in self._outputs(points).items():
            lanes = list(bits(_below([-v for v in volts], -trip - ROUNDING_V)))
            if lanes:  # it may trip, or not
                then = self._working([ohms[i] for i in lanes], phase, dropped | {alternator})
                for element, mask in then.items():
                    for k, i in enumerate(lanes):
                        working[element] &= ~(1 << i) | (mask >> k & 1) << i
        return working

    def _working_load(self, element: str, phase: str | None, ohms: Sequence[float]) -> int:
        return self._working(ohms, phase)[element]

    def at(
        self, ohms: float, phase: str | None
    ) -> tuple[tuple[tuple[str, float, float], ...], tuple[str, ...], tuple[str, ...]]:
        """The loads (load, volts, minimum) with too little voltage at a resistance, the relays that have
        dropped out, and the alternators that have tripped: those whose trip is reached, where nothing
        has too little as long as it does not act."""
        low, dropped = self._low_at(ohms, phase, frozenset())
        if low or dropped:
            return low, dropped, ()
        over = tuple(sorted((name for name, _, _ in self.reached(ohms, phase)), key=name_order))
        if over:
            low, dropped = self._low_at(ohms, phase, frozenset(f"parts/{name}" for name in over))
        return low, dropped, over

    def reached(self, ohms: float, phase: str | None) -> tuple[tuple[str, float, float], ...]:
        """The alternators (a name, the volts at its output, its trip) that have more than the volts of
        their overvoltage trip at a resistance."""
        outputs = self._outputs(self._solved([ohms], phase, frozenset())[0]).items()
        return tuple((bare(e), v, trip) for e, (trip, (v,)) in outputs if v > trip + ROUNDING_V)

    def _low_at(
        self, ohms: float, phase: str | None, tripped: frozenset[str]
    ) -> tuple[tuple[tuple[str, float, float], ...], tuple[str, ...]]:
        """The loads with too little voltage at a resistance and the relays that have dropped out, with some
        alternators tripped."""
        dropped, further = tripped, frozenset[str]()
        while True:
            dropped |= further
            points, powered, energised = self._solved([ohms], phase, dropped)
            further = frozenset(
                e for e in energised if abs(points.across(e)[0]) < dropout_volts(self.design, e)
            )
            if not further:
                break
        volts = {e: float(points.across(e)[0]) for e in self._minimums(points, powered)}
        low = (
            (bare(e), volts[e], self.design.parts[bare(e)].minimum)
            for e, minimum in self._minimums(points, powered).items()
            if volts[e] < minimum
        )
        return tuple(low), tuple(sorted(map(bare, dropped - tripped), key=name_order))

    def _minimums(self, points: Points, powered: Mapping[str, int]) -> dict[str, float]:
        """The minimum of each watched load that has power and whose file gives one; what is within
        rounding of it is not below."""
        parts = {e: self.design.parts[bare(e)] for e in self.watched}
        return {
            e: part.minimum - ROUNDING_V
            for e, part in parts.items()
            if powered[e] and part.minimum is not None and e in points.built.loads
        }

    def _solved(
        self, ohms: Sequence[float], phase: str | None, dropped: frozenset[str]
    ) -> tuple[Points, Mapping[str, int], frozenset[str]]:
        """The points, what has power in logic, and the relays that are energised; of ``dropped`` alternators
        have tripped."""
        from reviewer.analysis.operating_point.circuit_build import Scenario
        from reviewer.analysis.operating_point.degraded_points import degraded_points

        sources = {source.element for source in self.network.sources}
        released = (Failure(e, OPEN if e in sources else DROPPED) for e in sorted(dropped))
        case = (self.failure, *self.beside, *released)
        solved = conduct(self.network, self.answer.state, (case,), self.answer.healthy)
        charges = self.points.charges_in(self.answer.state)
        phases = () if phase is None else (phase,)
        scenario = Scenario(self.answer.state, solved, case, phases, charges=charges)
        wiring = self.points.wiring
        points = assessed(lambda: degraded_points(self.design, self.network, scenario, ohms, wiring))
        points.require_found()
        on = (e for e, mask in solved.energised.items() if mask and e in points.built.coils)
        return points, solved.powered, frozenset(on) - dropped


def _first(works: int, count: int) -> int:
    """The number of the first bit that is not set, 0 where all are."""
    return next((i for i in range(count) if not works >> i & 1), 0)


def _below(volts: Sequence[float], limit: float) -> int:
    """The points, a bit each, at which a voltage is below a limit."""
    return sum(1 << i for i, one in enumerate(volts) if one < limit)


def dropout_volts(design: Design, relay: str) -> float:
    """Volts across its coil below which a relay (its pointer) may drop out."""
    share = practice("factors", "dropout-of-nominal").high
    return float(design.parts[bare(relay)].dropout_voltage or share * design.aircraft.volts)
