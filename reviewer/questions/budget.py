"""The whole load budget of a design: every phase, every battery, the shed plan and the hangar, with what could not be told and why."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from itertools import pairwise
from typing import TYPE_CHECKING, TypeVar

from reviewer.analysis.endurance.battery_endurance import Lasting, shed_at
from reviewer.analysis.endurance.phase_loads import PhaseLoad
from reviewer.analysis.endurance.shedding import Shed
from reviewer.analysis.endurance.storage_drain import Drain
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts

T = TypeVar("T")


@record
class ShedStep:
    """An action of the shed plan: ``at`` seconds after the loss it is done, what it takes power from, and the amperes of the main battery before and after."""

    action: str
    at: float
    loads: tuple[tuple[str, float], ...]
    before_a: float
    after_a: float


@record
class Budget:
    """All of it. ``gaps`` are (what could not be told, what is missing)."""

    phases: tuple[PhaseLoad, ...]
    lasting: tuple[Lasting, ...]
    shed: tuple[ShedStep, ...]
    drains: tuple[Drain, ...]
    gaps: tuple[tuple[str, str], ...]

    @property
    def typical(self) -> tuple[str, ...]:
        """The typical values that any number in it rests on."""
        every = [*(load.typical for load in self.phases), *(lasting.typical for lasting in self.lasting)]
        return tuple(dict.fromkeys(words for one in every for words in one))


def budget(facts: Facts) -> Budget:
    """The budget of a design with an operation."""
    gaps: list[tuple[str, str]] = []

    def told(what: str, ask: Callable[[], T]) -> tuple[T, ...]:
        try:
            return (ask(),)
        except NotAssessable as missing:
            gaps.append((what, missing.needs))
            return ()

    order = list(facts.states.operation.phases)
    flown = sorted((f for f in facts.points.flown if f.phase), key=lambda f: order.index(f.phase or ""))
    if not flown:
        gaps.append(("loads by phase", "`phases` of the operation"))
    phases: list[PhaseLoad] = []
    for f in flown:
        phases += told(f"loads of phase {f.phase}", partial(facts.endurance.phase_load, f))
    lasting: list[Lasting] = []
    for name in facts.design.of_kind(p.Battery):
        if facts.design.parts[name].purpose == "reserve" or facts.design.of_kind(p.Alternator):
            lasting += told(f"endurance of {name}", partial(facts.endurance.lasting, name))
    drains: list[Drain] = []
    for states in told("drain in the hangar", facts.endurance.stored_states):
        for state in states:
            for found in told(f"drain in {state}", partial(facts.endurance.drains, state)):
                drains += found
    gaps += [
        (f"days to half of {d.battery} in {d.state}", "`capacity`") for d in drains if d.capacity is None
    ]
    main = next((one for one in lasting if not one.reserve), None)
    shed = _steps(main, facts.endurance.shed_plan) if main is not None else ()
    return Budget(
        tuple(phases), tuple(lasting), shed, tuple(d for d in drains if d.capacity is not None), tuple(gaps)
    )


def _steps(main: Lasting, plan: tuple[Shed, ...]) -> tuple[ShedStep, ...]:
    at, runs, found = shed_at(main), main.found.runs, []
    for before, run in pairwise(runs):
        loads = next(shed.loads for shed in plan if shed.action == run.name)
        off = tuple(
            (name, before.taken[f"parts/{name}"]) for name in loads if f"parts/{name}" in before.taken
        )
        found.append(ShedStep(run.name, at[run.name], off, before.last_a, run.first_a))
    return tuple(found)
