"""Loads that have too few volts while the engine cranks, and the functions that go with them."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.operating_point.cranking import Cranked, bridges
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare


def low_at_start(load: str, cranked: Iterable[Cranked], states: States) -> list[Cranked]:
    """What is cranked in which a load (an element) has power, less than its minimum voltage, and that for
    longer than it bridges. One whose minimum is not known may be low in all of it."""
    part = states.design.parts[bare(load)]
    least = float("inf") if part.minimum is None else part.minimum
    return [
        c
        for c in cranked
        if states.answer(c.flown.state).healthy.powered[load]
        and exceeds(least, c.point.across.get(load, float("inf")))
        and not bridges(part, c.seconds)
    ]


def lost_at_start(load: str, state: str, cranked: Iterable[Cranked], states: States) -> tuple[str, ...]:
    """The critical functions of a load (an element) that do not work in a state without it and all others
    that may be low then."""
    there = [c for c in cranked if c.flown.state == state]
    users = (c.element for c in states.network.consumers)
    low = [bare(user) for user in users if user == load or low_at_start(user, there, states)]
    own = (f for f in states.critical_functions if bare(load) in states.loads_of(f))
    return tuple(f for f in own if not states.works_without(states.answer(state), f, low))
