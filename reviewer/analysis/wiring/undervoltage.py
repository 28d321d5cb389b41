"""Loads that have less than the lowest voltage at which they work, and the functions that are lost
with them; loads that have more than they are rated for.

What nobody has measured is taken at its worst: charge and age of the batteries, the set point of
the regulator, what an alternator gives at idle, what loads draw (see ``tolerances``).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.model.rounding import higher
from reviewer.network.graph import Network, bare
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
    from reviewer.analysis.operating_point.solved_state import OperatingPoint
    from reviewer.analysis.operating_point.tolerances import Spread

_ROUNDING_V = 1e-6


@record
class UndervoltageLoad:
    """A load with ``volts`` across it, below its ``minimum``; ``at_posts`` are the volts held at
    the batteries, None where they have their own; ``functions`` are those that all the loads of the
    state with undervoltage take together and that rest on it. ``figured`` are the volts with the
    figures of the file, where these are enough and those at the worst are not; else None.
    ``source`` (a pointer) is what feeds it and has the most volts at its own terminals then,
    ``source_volts``; "" and 0 where none of its own terminals do, as behind a converter."""

    load: str
    flown: Flown
    volts: float
    minimum: float
    at_posts: float | None
    functions: tuple[str, ...]
    figured: float | None = None
    on_ground: bool = False
    source: str = ""
    source_volts: float = 0.0

    @property
    def beyond_source(self) -> bool:
        """Whether it had too little at the very terminals of what feeds it."""
        return bool(self.source) and self.source_volts < self.minimum - _ROUNDING_V

    def hazard(self, design: Design) -> HazardClass:
        """The gravest class among the functions lost; minor where none is, and on the ground, where
        nothing of what a loss means in flight follows."""
        if self.on_ground:
            return HazardClass.MINOR
        return max(
            (HazardClass.of(design.functions[f].loss) for f in self.functions), default=HazardClass.MINOR
        )


def battery_points(
    states: States, points: OperatingPoints, steady: Sequence[Flown]
) -> tuple[tuple[Flown, tuple[Failure, ...], OperatingPoint], ...]:
    """Of what is flown while the engine does not crank, the points on batteries alone, held at the
    terminal voltage of the end of their charge; the normal state without its alternators too, where
    none of these keeps every bus alive. Raises NotAssessable."""
    from reviewer.analysis.operating_point.points import Figures

    design, network, dispatch = states.design, states.network, states.answers()[0]
    posts = _end_voltages(design, network)
    if not posts:
        return ()
    others = [s.element for s in network.sources if s.kind != "battery"]
    alone = [
        f
        for f in steady
        if states.declared[f.state].use != "ground"
        and not any(states.answer(f.state).healthy.alive[s] for s in others)
    ]
    cases: list[tuple[Flown, tuple[Failure, ...]]] = [(f, ()) for f in alone]
    if not any(keeps_all_buses(design, network, dispatch, states.answer(f.state)) for f in alone):
        lost = tuple(Failure(s, OPEN) for s in others)
        cases += [(f, lost) for f in steady if f.state == dispatch.state.name]
    return tuple((f, case, points.figured(f, case, Figures(held_volts=posts))) for f, case in cases)


def undervoltage_loads(
    states: States,
    points: OperatingPoints,
    solved: Iterable[tuple[Flown, tuple[Failure, ...], OperatingPoint]],
    held: bool = False,
) -> tuple[UndervoltageLoad, ...]:
    """The loads that have less than their minimum in some solved points; ``held`` where the
    batteries are held at the voltage of the end of their charge."""
    design = states.design
    loads_of = {f: states.loads_of(f) for f in design.functions}
    lowest = min(_end_voltages(design, states.network).values(), default=None) if held else None
    return tuple(
        load
        for flown, case, point in solved
        for load in _undervoltage_in(design, points.answer_of(flown, case), point, flown, loads_of, lowest)
    )


def low_at_worst(
    states: States, points: OperatingPoints, solved: Iterable[tuple[Flown, OperatingPoint]]
) -> tuple[UndervoltageLoad, ...]:
    """The loads that have their minimum in some points with the figures of the file, and less at
    the worst of what nobody has measured. Raises NotAssessable."""
    loads_of = {f: states.loads_of(f) for f in states.design.functions}
    found: list[UndervoltageLoad] = []
    for flown, point in solved:
        spread, answer = points.spread(flown.state, phase=flown.phase), states.answer(flown.state)
        for load in _undervoltage_in(states.design, answer, point, flown, loads_of, None, spread):
            figured = point.across[load.load]
            if figured >= load.minimum - _ROUNDING_V:
                found.append(replace(load, figured=figured))
    return tuple(found)


@record
class OvervoltageLoad:
    """A load or capacitor with ``volts`` across it at the worst of what nobody has measured, above its
    ``maximum``; ``figured`` with the figures of the file."""

    load: str
    flown: Flown
    volts: float
    figured: float
    maximum: float


def overvoltage_loads(
    states: States, points: OperatingPoints, solved: Iterable[tuple[Flown, OperatingPoint]]
) -> tuple[OvervoltageLoad, ...]:
    """The powered loads and the capacitors that have more than they are rated for in some states with
    nothing failed. Raises NotAssessable."""
    rated = {
        f"parts/{n}": most
        for n in states.design.of_kind(p.Consumer)
        if (most := states.design.part(n, p.Consumer).maximum) is not None
    }
    capacitors = {
        n: most
        for n in states.design.of_kind(p.Capacitor)
        if (most := states.design.part(n, p.Capacitor).voltage) is not None
    }
    found: list[OvervoltageLoad] = []
    for flown, point in solved:
        powered = states.answer(flown.state).healthy.powered
        spread = points.spread(flown.state, phase=flown.phase)
        for element, most in rated.items():
            volts = spread.across(element) if powered[element] and element in point.across else None
            if volts is not None and higher(volts[1], most):
                found.append(OvervoltageLoad(element, flown, volts[1], point.across[element], most))
        for name, most in capacitors.items():
            ends = f"{name}.positive", f"{name}.negative"
            volts = spread.between(*ends)
            if volts is not None and higher(volts[1], most):
                figured = point.volts.get(ends[0], 0.0) - point.volts.get(ends[1], 0.0)
                found.append(OvervoltageLoad(f"parts/{name}", flown, volts[1], figured, most))
    return tuple(found)


def _undervoltage_in(
    design: Design,
    answer: StateAnswer,
    point: OperatingPoint,
    flown: Flown,
    loads_of: Mapping[str, tuple[str, ...]],
    at_posts: float | None = None,
    spread: Spread | None = None,
) -> tuple[UndervoltageLoad, ...]:
    """The loads of one point that have less than their minimum, in the worst of its ``spread`` where that
    is given. ``loads_of`` function -> the loads that it rests on. Starters are left out."""
    low: dict[str, tuple[float, float]] = {}
    for element, figured in point.across.items():
        part = design.parts[bare(element)]
        works = (
            answer.healthy.powered[element]
            and point.taken[element] > 0
            and getattr(part, "type", None) != "starter"
        )
        if works and part.minimum is not None:
            within = (figured, figured) if spread is None else spread.across(element)
            volts = None if within is None else within[0]
            if volts is not None and volts < part.minimum - _ROUNDING_V:
                low[element] = (volts, part.minimum)
    if not low:
        return ()
    powered = {element: 0 if element in low else mask & 1 for element, mask in answer.healthy.powered.items()}
    left = function_masks(design, powered, 1)
    lost = [name for name, alive in answer.alive.items() if alive and not left[name]]
    return tuple(
        UndervoltageLoad(
            element,
            flown,
            volts,
            least,
            at_posts,
            tuple(f for f in lost if bare(element) in loads_of[f]),
            None,
            answer.state.use == "ground",
            *_source_of(answer, point, spread, element),
        )
        for element, (volts, least) in low.items()
    )


def _source_of(
    answer: StateAnswer, point: OperatingPoint, spread: Spread | None, load: str
) -> tuple[str, float]:
    """Of the sources that feed a load the one with the most volts across it where the load has the least,
    and these; "" and 0 for none."""
    user = next(c for c in answer.network.consumers if c.element == load)
    feeding = {source for node in user.plus for source in answer.fed_by(node)}
    volts: dict[str, float] = {}
    for source in (s for s in answer.network.sources if s.element in feeding):
        plus, minus = (answer.network.names[node] for node in (source.positive, source.negative))
        if spread is None:
            volts[source.element] = point.volts[plus] - point.volts[minus]
        else:
            at = int(spread.own(spread.points.across(load)).argmin())
            volts[source.element] = float(spread.own(spread.points.across(source.element))[at])
    return max(volts.items(), key=lambda one: one[1], default=("", 0.0))


def keeps_all_buses(design: Design, network: Network, dispatch: StateAnswer, other: StateAnswer) -> bool:
    """Whether every bus that lives in the normal state lives in another one: else loads on it are
    shed there, or not reported."""
    bars = [network.node(name) for name in design.of_kind(p.Bus) if name in network.index]
    return all(other.healthy.live(bar) for bar in bars if dispatch.healthy.live(bar))


def end_of_discharge_voltage(design: Design, battery: str) -> float:
    """Volts at the terminals of a battery (its pointer) at which loads must still work: 11.0 V of a
    14 V system, common practice; the voltage at which its own management disconnects it where that
    is higher."""
    part = design.part(bare(battery), p.Battery)
    low = practice("volts", "battery-only-bus").low * design.scale_of(bare(battery))
    return max(low, part.low_voltage_disconnect or low)


def _end_voltages(design: Design, network: Network) -> dict[str, float]:
    return {
        s.element: end_of_discharge_voltage(design, s.element) for s in network.sources if s.kind == "battery"
    }
