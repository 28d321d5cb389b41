"""What switches that no hand moves turn on with nothing failed: a float, pressure or limit switch that
is at rest in a state."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import conduct_states
from reviewer.analysis.conduction.states import StateAnswer, function_mask
from reviewer.model.design import Design
from reviewer.model.parts import Bus, Consumer, Switch
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.search import conductors, reachable

#: what the engine keeps up while it runs, so that rest is not what a flight brings of itself
_OF_ENGINE = ("pressure", "flow")
#: what the crew moves, so that one of these alone in a lead is where each state of flight says
_OF_TRAVEL = ("limit", "gear")


def sensed(design: Design, state: ResolvedState) -> list[tuple[str, str, ResolvedState]]:
    """A state with each one switch that no hand moves, and that is at rest, at another position: the
    switch, the position, the state.

    One that works by voltage or current, or that follows a part, shows what that does, and is left out.
    """
    found = []
    for name in design.of_kind(Switch):
        part, at = design.part(name, Switch), state.switches.get(name)
        if at != part.at_rest or part.by_hand or part.follows or part.operated_by in ("voltage", "current"):
            continue
        for to in (to for to in part.positions if to != at):
            moved = replace(state, switches=MappingProxyType({**state.switches, name: to}))
            found.append((name, to, moved))
    return found


def waits_for_its_sensor(
    design: Design, network: Network, answer: StateAnswer, function: str, flights: Sequence[ResolvedState]
) -> bool:
    """Whether a function that is off in a state works, with nothing failed, where one of the switches of
    :func:`sensed` moves, as the float switch of a dry bilge, where those move together that each power
    a channel of it, as the floats of two bilges, or where all that then join something do, as the
    throttle and gear switches in series before a warning horn.

    A switch that some other state of flight has at another position is where each state says if it
    is a pressure or flow switch, which an engine that runs moves, or a limit or gear switch on which
    alone a load depends, as the lamp of a gear leg does.
    """
    now = answer.state.switches
    flown = {n for other in flights for n, at in other.switches.items() if n in now and at != now[n]}
    loads = [f"parts/{name}" for name in design.function_tree.loads[function]]
    off = [e for e in loads if not answer.healthy.powered[e]]

    def as_said(name: str, state: ResolvedState) -> bool:
        by = design.part(name, Switch).operated_by
        alone = by in _OF_TRAVEL and _rests_on_it_alone(design, network, name, state, off)
        return by in _OF_ENGINE or alone

    moved = [
        (name, to, state)
        for name, to, state in sensed(design, answer.state)
        if name not in flown or not as_said(name, state)
    ]
    if not moved:
        return False
    solved = conduct_states(network, [state for _, _, state in moved])
    if function_mask(design, solved.powered, (1 << len(moved)) - 1, function):
        return True
    each = {name: to for i, (name, to, _) in enumerate(moved) if any(solved.powered[e] >> i & 1 for e in off)}
    series = {name: to for name, to, _ in moved if design.part(name, Switch).positions[to]}
    ways = [MappingProxyType({**answer.state.switches, **way}) for way in (each, series)]
    together = conduct_states(network, [replace(answer.state, switches=way) for way in ways])
    return bool(function_mask(design, together.powered, 0b11, function))


def _rests_on_it_alone(
    design: Design, network: Network, name: str, state: ResolvedState, off: Sequence[str]
) -> bool:
    """Whether a switch turns on some of what is ``off`` (elements) in a state to which it is moved, and no
    other switch of :func:`sensed` turns that off again."""
    others = [other for switch, _, other in sensed(design, state) if switch != name]
    solved = conduct_states(network, [state, *others])
    on = [mask for e in off if (mask := solved.powered[e]) & 1]
    every = (1 << len(others) + 1) - 1
    return any(mask & every == every for mask in on)


def powered_by_sensors(
    design: Design, network: Network, answer: StateAnswer, loads: Collection[str]
) -> tuple[tuple[str, str], ...]:
    """The switches of :func:`sensed`, each with its position, that alone power all of some loads that
    have no power in a state with nothing failed."""
    elements = [f"parts/{name}" for name in loads]
    dark = all(answer.healthy.powered.get(element) == 0 for element in elements)
    moved = sensed(design, answer.state) if elements and dark else []
    if not moved:
        return ()
    solved = conduct_states(network, [state for _, _, state in moved])
    return tuple(
        (name, to)
        for i, (name, to, _) in enumerate(moved)
        if all(solved.powered[e] >> i & 1 for e in elements)
    )


def following_switch_of(design: Design, network: Network, load: str) -> tuple[str, bool] | None:
    """The switch (a name) in the lead of a load that something moves which it follows, and whether that must
    work for the contact there to be closed; None where there is none."""
    user = network.users.get(f"parts/{load}")
    near = reachable(network, (*user.plus, *user.minus), conductors) if user else set()
    for link in network.links:
        name = bare(link.element)
        if link.element in network.follower and not near.isdisjoint((link.a, link.b)):
            return name, link.gate is not Gate.DE_ENERGISED
    return None


def unknown_volts(design: Design, switch: str) -> str:
    """What the file lacks of the volts that move a switch (a name) operated by voltage; "" where it lacks
    nothing, or the switch measures no volts of a load, instrument or bus."""
    part = design.part(switch, Switch)
    if part.operated_by != "voltage" or not isinstance(design.parts.get(part.follows or ""), (Bus, Consumer)):
        return ""
    keys = (("pickup-voltage", part.pickup_voltage), ("dropout-voltage", part.dropout_voltage))
    missing = " and ".join(f"`{key}`" for key, value in keys if value is None)
    return f"{missing} of {switch}" if missing else ""
