"""A state with each spring-return switch held, alone, in each position that springs back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState


def held_switches(design: Design, state: ResolvedState) -> Iterator[tuple[str, str, ResolvedState]]:
    """The switch, the position, and the state with it held there; not what is excluded."""
    for name in design.hand_switches:
        for at in design.part(name, p.Switch).momentary:
            switches = MappingProxyType({**state.switches, name: at})
            if not is_excluded(design, switches):
                yield name, at, replace(state, switches=switches)
