"""Loads that a battery alone powers once all generation is lost, and nothing when it is down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.crew.moves import acted, excluded
from reviewer.analysis.endurance.shedding import SheddingSegment, after_loss
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.model import parts as p
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import bare


def loads_on_a_reserve(operating: OperatingPoints) -> Mapping[str, str]:
    """Each load (a name) that has no power in the normal state, with no generation, once a
    battery that is no main one is down -> that battery, by name.

    Through the segments of the shed plan. Left out is what a declared action powers again.
    """
    design, network = operating.design, operating.network
    lost = tuple(Failure(element, OPEN) for element in operating.states.generation)
    state = operating.states.declared[operating.states.operation.normal]
    reserves = [n for n in design.of_kind(p.Battery) if design.parts[n].purpose != "main"]
    found: dict[str, str] = {}
    for segment in after_loss(operating, lost, state) if reserves else ():
        for battery in reserves:
            case = (*lost, Failure(f"parts/{battery}", OPEN))
            now = conduct(network, segment.state, (case,), segment.now)
            loads = (c.element for c in network.consumers)
            dead = [e for e in loads if segment.now.powered[e] and not now.powered[e]]
            for moved in _acted(operating, segment) if dead else ():
                powered = conduct(network, moved, (case,), segment.now).powered
                dead = [e for e in dead if not powered[e]]
            for element in dead:
                found.setdefault(bare(element), battery)
    return found


def _acted(operating: OperatingPoints, segment: SheddingSegment) -> Iterator[ResolvedState]:
    """The states to which each declared action leads from a segment."""
    for action in operating.states.operation.actions:
        state, moves = acted(operating.design, segment.state, action)
        if moves and not excluded(operating.design, state):
            yield state
