"""Loads that take current in a phase by the load list and have no power in its state; phases through
which a load stays on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import inf

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.states import solve_state
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.tables.practice import longest_brief

#: a motor starts on up to eight times its running current (textbook range, no source): what is below
#: a tenth of its peak is the average of a use of a few seconds over the phase, not a current at
#: which it runs
AVERAGE = 0.1


@record
class UnpoweredPhase:
    """A ``load`` (a name) with ``amperes`` in a ``phase``, in whose ``state`` it has no power."""

    load: str
    phase: str
    state: str
    amperes: float


def unpowered_phases(states: States) -> Iterator[UnpoweredPhase]:
    """Of each load whose current is stated by phase. An intermittent load counts where it is stated
    to run in the phase, and no switch that springs back runs it there."""
    design = states.design
    for phase, spec in design.operation.phases.items() if design.operation else ():
        powered = states.answer(spec.state).healthy.powered
        for name in design.of_kind(p.Consumer):
            part = design.part(name, p.Consumer)
            amperes = part.current.get(phase, 0.0) if isinstance(part.current, Mapping) else 0.0
            if amperes <= 0 or powered[f"parts/{name}"]:
                continue
            if part.duty != "intermittent" or _runs(states, spec.state, name, amperes):
                yield UnpoweredPhase(name, phase, spec.state, amperes)


def _runs(states: States, state: str, load: str, amperes: float) -> bool:
    """Whether the state is one of the load's use, and not one in which it is used for a moment."""
    design = states.design
    peak = design.part(load, p.Consumer).peak
    if peak is None or _is_average(amperes, peak):
        return False
    base = states.answer(state).state
    for switch in design.of_kind(p.Switch):
        for position in design.part(switch, p.Switch).momentary:
            moved = replace(base, switches={**base.switches, switch: position})
            if solve_state(design, states.network, moved).healthy.powered[f"parts/{load}"]:
                return False
    return True


def _is_average(amperes: float, peak: float) -> bool:
    return amperes < AVERAGE * peak


@record
class LongPhases:
    """The phases through which a load stays on for too long, by name, and the ``state`` of the first;
    without phases the normal state. ``unknown`` is one without a duration, "" where there is none."""

    phases: tuple[str, ...]
    state: str
    unknown: str


def long_phases_on(states: States, load: str) -> LongPhases:
    """The phases in which a load is continuous and in whose state one, by name, is powered, unless its
    current there is nothing, or the average of a short use."""
    operation, part = states.operation, states.design.part(load, p.Consumer)
    on, unknown = [], ""
    phases = [(n, phase.state, phase.duration) for n, phase in operation.phases.items()]
    for phase, state, seconds in phases or [(operation.normal, operation.normal, inf)]:
        amperes = part.current.get(phase) if isinstance(part.current, Mapping) else None
        rests = amperes is not None and (amperes <= 0 or _is_average(amperes, part.peak or 0.0))
        if rests or not states.answer(state).healthy.powered[f"parts/{load}"]:
            continue
        if seconds is None:
            unknown = unknown or phase
        elif exceeds(seconds, longest_brief()):
            on.append((phase, state))
    return LongPhases(tuple(phase for phase, _ in on), on[0][1] if on else "", unknown)
