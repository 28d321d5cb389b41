"""What wires carry while a spring-return switch is held: flaps and trim run only then."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.held_switches import held_switches
from reviewer.analysis.conduction.states import StateAnswer, solve_states
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints


@record
class HeldCurrent:
    """The largest current of a wire in A, with the ``switch`` and the ``position`` in which it is held."""

    switch: str
    position: str
    amperes: float


def held_currents(points: OperatingPoints, normal: StateAnswer) -> Mapping[str, HeldCurrent]:
    """Wire (its pointer) -> its largest current while any switch is held in the normal state, what runs only
    then at its `peak` and all else at its largest current. Nothing where a starter runs, nor where
    data are missing."""
    from reviewer.analysis.operating_point.points import Figures

    design, network = points.design, points.network
    named = {
        f"{name} at {at}": (name, at, replace(state, name=f"{name} at {at}"))
        for name, at, state in held_switches(design, normal.state)
    }
    answers = solve_states(design, network, [state for _, _, state in named.values()])
    found: dict[str, HeldCurrent] = {}
    for (name, at, state), answer in zip(named.values(), answers.values(), strict=True):
        on = [e for e, powered in answer.healthy.powered.items() if powered and not normal.healthy.powered[e]]
        parts = {e: design.parts[bare(e)] for e in on if bare(e) in design.parts}
        if not parts or any(getattr(part, "type", None) == "starter" for part in parts.values()):
            continue
        peaks = {e: part.peak for e, part in parts.items() if getattr(part, "peak", None) is not None}
        with suppress(NotAssessable):
            point = points.solved_of(answer, Figures(loads=peaks, speed=state.speed))
            for wire in (f"wires/{n}" for n in design.wires):
                amperes = abs(point.amps.get(wire, 0.0))
                if wire not in found or amperes > found[wire].amperes:
                    found[wire] = HeldCurrent(name, at, amperes)
    return found
