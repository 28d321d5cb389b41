"""The electrical load analysis of a design: phases, batteries, functions after the loss of all
generation, load shedding, parasitic drain."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, TypeVar

from reviewer.analysis.endurance.battery_endurance import BatteryEndurance, shed_at
from reviewer.analysis.endurance.discharge import Moment
from reviewer.analysis.endurance.generation_loss import FunctionEndurance, TimelineEntry, TimelineEvent
from reviewer.analysis.endurance.phase_loads import AlternatorInPhase, LoadOfPhase
from reviewer.analysis.endurance.shedding import Shed
from reviewer.analysis.endurance.storage_drain import Drain
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.estimates import estimates_of
from reviewer.model.record import record
from reviewer.questions.estimated_figures import EstimatedFigure, estimated_figures
from reviewer.questions.naming import state_named

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts

__all__ = [
    "AlternatorInPhase",
    "BatteryEndurance",
    "Budget",
    "Drain",
    "EstimatedFigure",
    "FunctionEndurance",
    "LoadOfPhase",
    "Moment",
    "ShedStep",
    "TimelineEntry",
    "TimelineEvent",
    "budget",
    "budget_of",
    "shed_at",
]
T = TypeVar("T")


@record
class ShedStep:
    """An action of the shed plan, done ``at`` seconds after the loss.

    ``loads`` are those that it turns off, with the amperes that they took; then the amperes of the
    main battery before and after.
    """

    action: str
    at: float
    loads: tuple[tuple[str, float], ...]
    before_a: float
    after_a: float


@record
class Budget:
    """All of it.

    ``functions`` are those of class major or worse after the loss of all generation. ``gaps`` are
    (what was not assessed, the missing data).
    """

    phases: tuple[LoadOfPhase, ...]
    lasting: tuple[BatteryEndurance, ...]
    functions: tuple[FunctionEndurance, ...]
    shed: tuple[ShedStep, ...]
    drains: tuple[Drain, ...]
    gaps: tuple[tuple[str, str], ...]
    #: the figures that estimates are, in words, and the minutes and margins that rest on them
    estimates: tuple[str, ...] = ()
    estimated: tuple[EstimatedFigure, ...] = ()

    @property
    def typical(self) -> tuple[str, ...]:
        """The typical values that any number in it rests on."""
        every = [*(load.typical for load in self.phases), *(lasting.typical for lasting in self.lasting)]
        return tuple(dict.fromkeys(words for one in every for words in one))


def budget_of(facts: Facts, trials: bool = True) -> Budget:
    """The electrical load analysis; without ``trials`` estimates are taken as written only.

    Raises NoAnswer where no state is declared.
    """
    state_named(facts, None)
    found, estimates = budget(facts), estimates_of(facts.as_written)
    if not estimates:
        return found
    estimated = estimated_figures(facts, found, budget) if trials else ()
    return replace(found, estimates=tuple(map(str, estimates)), estimated=estimated)


def budget(facts: Facts) -> Budget:
    """The analysis of a design with an operation."""
    gaps: list[tuple[str, str, str]] = []

    def solved(what: str, name: str, ask: Callable[[], T]) -> tuple[T, ...]:
        try:
            return (ask(),)
        except NotAssessable as missing:
            gaps.append((what, name, missing.needs))
            return ()

    order = list(facts.states.operation.phases)
    flown = sorted((f for f in facts.points.flown if f.phase), key=lambda f: order.index(f.phase or ""))
    if not flown:
        gaps.append(("loads by phase", "", "`phases` of the operation"))
    phases: list[LoadOfPhase] = []
    for f in flown:
        phases += solved("loads in {}", f.phase or "", partial(facts.endurance.phase_load, f))
    lasting: list[BatteryEndurance] = []
    for name in facts.design.of_kind(p.Battery):
        if facts.design.parts[name].purpose == "reserve" or facts.endurance.mains_run_down:
            lasting += solved("endurance of {}", name, partial(facts.endurance.endurance_of, name))
    functions: list[FunctionEndurance] = []
    for name in facts.endurance.watched_functions if facts.design.of_kind(p.Alternator) else ():
        functions += solved(
            "{} after loss of all generation", name, partial(facts.detection.function_endurance, name)
        )
    drains: list[Drain] = []
    for states in solved("parasitic drain, parked", "", facts.endurance.parked_states):
        for state in states:
            for found in solved(
                "parasitic drain in {}", state, partial(facts.endurance.parasitic_drains, state)
            ):
                drains += found
    gaps += [
        ("days to half of {} in " + d.state, d.battery, "`capacity`") for d in drains if d.capacity is None
    ]
    main = next((one for one in lasting if not one.reserve), None)
    return Budget(
        phases=tuple(phases),
        lasting=tuple(lasting),
        functions=tuple(functions),
        shed=_steps(main, facts.endurance.shed_plan) if main is not None else (),
        drains=tuple(d for d in drains if d.capacity is not None),
        gaps=tuple(_together(gaps)),
    )


def _together(gaps: Sequence[tuple[str, str, str]]) -> Iterator[tuple[str, str]]:
    """What was not assessed with the data that it lacks; what lacks the same of several names in one."""
    for what, needs in dict.fromkeys((what, needs) for what, _, needs in gaps):
        *names, last = (name for other, name, lacks in gaps if (other, lacks) == (what, needs))
        yield what.replace("{}", f"{', '.join(names)} and {last}" if names else last), needs


def _steps(main: BatteryEndurance, plan: tuple[Shed, ...]) -> tuple[ShedStep, ...]:
    at, runs, found = shed_at(main), main.found.runs, []
    for before, run in pairwise(runs):
        loads = next(shed.loads for shed in plan if shed.action == run.name)
        off = tuple(
            (name, before.taken[f"parts/{name}"]) for name in loads if f"parts/{name}" in before.taken
        )
        found.append(ShedStep(run.name, at[run.name], off, before.last_a, run.first_a))
    return tuple(found)
