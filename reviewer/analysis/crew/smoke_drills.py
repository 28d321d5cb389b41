"""Drills that switch buses off in flight, and the channels of critical functions that go off too.

A drill is a declared state that is set after something failed, with the engine running and buses
that must be dead; or an action that disconnects a bus, done in the normal state.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.failure_modes import STAYS, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import (
    StateAnswer,
    conducts,
    critical_functions,
    feed_path,
    rests_on,
    solve_state,
    units_of,
    without_electricity,
)
from reviewer.analysis.crew.moves import moved
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network


@record
class Drill:
    """A drill by the name of its state or action, solved, and the buses that it takes off."""

    name: str
    answer: StateAnswer
    buses: tuple[str, ...]


@record
class LostChannel:
    """A load that a drill takes off, one of several channels of a function.

    ``left`` are the channels that stay on. ``path`` leads to the load in the normal state, and the
    drill opens ``opened`` of it and of its other feeds. ``dark`` is what has lost its feed: the unit that
    drives the load where that has, else the load.
    """

    load: str
    function: str
    drill: Drill
    left: tuple[str, ...]
    path: tuple[str, ...]
    opened: tuple[str, ...] = ()
    dark: str = ""


def drills(design: Design, network: Network, answers: Sequence[StateAnswer]) -> tuple[Drill, ...]:
    """Every drill, the normal state first among the answers; an action that a state sets is not
    listed twice."""
    normal = answers[0]
    found = [
        Drill(a.state.name, a, a.state.dead)
        for a in answers
        if a.state.use == "abnormal" and a.state.engine == "running" and a.state.dead
    ]
    for name, action in design.operation.actions.items() if design.operation else ():
        buses = tuple(n for n in action.disconnects if isinstance(design.parts.get(n), p.Bus))
        state, _ = moved(design, normal.state, action.move)
        if buses and not any(d.answer.state.switches == state.switches for d in found):
            answer = solve_state(design, network, replace(state, name=""))
            found.append(Drill(name, answer, buses))
    return tuple(found)


def at_risk(design: Design, answers: Sequence[StateAnswer]) -> bool:
    """Whether a critical function that rests on electricity has more channels than it needs, and one of
    them is on in the normal state."""
    critical = critical_functions(design)
    return any(
        function.any < len(function.of)
        and not without_electricity(design, answers[0])[name]
        and any(_works(answers[0], load) for load in _loads(design, function.of))
        for name, function in design.functions.items()
        if any(f == name or rests_on(design, f, name) for f in critical)
    )


def lost_channels(design: Design, network: Network, answers: Sequence[StateAnswer]) -> Iterator[LostChannel]:
    """Every channel of a critical function that a drill takes off, and no spare one is left.

    Left out are channels that the drill takes off by their own switch, functions that are off in it or
    go on without electricity, and drills of a part of the aircraft where another drill takes off other
    buses and leaves the channel on.
    """
    every = drills(design, network, answers)
    normal = answers[0]
    critical = critical_functions(design)
    for function in design.functions:
        if not any(f == function or rests_on(design, f, function) for f in critical):
            continue
        for drill in every:
            on = tuple(c for c in design.functions[function].of if _works(drill.answer, c))
            if len(on) > design.functions[function].any or not drill.answer.alive[function]:
                continue
            if without_electricity(design, drill.answer)[function]:
                continue
            for load in _loads(design, [c for c in design.functions[function].of if c not in on]):
                if (
                    _works(normal, load)
                    and not _works(drill.answer, load)
                    and not _has_alternative(every, drill, load)
                    and not _by_own_switch(network, normal, drill, load)
                ):
                    dark = _dark(design, drill, load)
                    yield LostChannel(load, function, drill, on, *_path(network, normal, drill, load), dark)


def _dark(design: Design, drill: Drill, load: str) -> str:
    """The unit that drives a load where it has no power in a drill, else the load."""
    driver = getattr(design.parts[load], "driver", None)
    return driver if driver and not _works(drill.answer, driver) else load


def _works(answer: StateAnswer, channel: str) -> bool:
    """Whether a load has power, or a function is alive, in the healthy system."""
    alive = answer.alive
    return alive[channel] if channel in alive else bool(answer.healthy.powered[f"parts/{channel}"])


def _loads(design: Design, channels: Sequence[str]) -> Iterator[str]:
    """The loads and magnetos of some channels; of instruments those that drive a load or a relay, or are
    of one type with such a one: a display that goes off is no engine channel."""
    driving = _driving(design)
    types = {design.parts[name].unit_type for name in driving} - {None}
    for channel in channels:
        loads = units_of(design, channel) if channel in design.functions else (channel,)
        for name in loads:
            part = design.parts[name]
            like = isinstance(part, p.Instrument) and (name in driving or part.unit_type in types)
            if like or isinstance(part, (p.Load, p.Magneto)):
                yield name


def _driving(design: Design) -> set[str]:
    """The units that are the driver of a load, or of which a wire leads from an output to a relay or to a
    load that is no lamp."""
    found = {getattr(part, "driver", None) for part in design.parts.values()}
    for wire in design.wires.values():
        for near, far in ((wire.from_, wire.to), (wire.to, wire.from_)):
            unit, _, terminal = near.partition(".")
            part, driven = design.parts[unit], design.parts[far.partition(".")[0]]
            load = isinstance(driven, p.Load) and driven.type != "lamp"
            if isinstance(part, p.Consumer) and terminal in part.driven:
                found |= {unit} if load or isinstance(driven, p.Electromagnet) else set()
    return {name for name in found if name and isinstance(design.parts[name], p.Consumer)}


def _has_alternative(every: Sequence[Drill], drill: Drill, load: str) -> bool:
    """Whether another drill takes off other buses and leaves a load on."""
    return any(_works(other.answer, load) and not set(other.buses) <= set(drill.buses) for other in every)


def _by_own_switch(network: Network, normal: StateAnswer, drill: Drill, load: str) -> bool:
    """Whether a switch that a drill moves takes a load off by itself, and none of its buses."""
    now = normal.state.switches
    moves = [
        Failure(f"parts/{s}", STAYS, position=at)
        for s, at in drill.answer.state.switches.items()
        if now.get(s) != at
    ]
    if not moves:
        return False
    solved = conduct(network, normal.state, moves, normal.healthy)
    off = ~solved.powered[f"parts/{load}"]
    for bus in drill.buses:
        off &= solved.live(network.index[bus]) if bus in network.index else -1
    return any(off >> i & 1 for i in range(len(moves)))


def _path(
    network: Network, normal: StateAnswer, drill: Drill, load: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The path to a load in the normal state, from a battery where one feeds it, and what the drill opens
    of it and of the other paths there."""
    consumer = next(c for c in network.consumers if c.element == f"parts/{load}")
    kinds = {s.element: s.kind for s in network.sources}
    paths = [
        (kinds[s] != "battery", len(path), path, s, node)
        for node in consumer.inlets
        for s in normal.fed_by(node)
        for path in [feed_path(network, normal, s, node)]
    ]
    opened: dict[str, None] = {}
    for _, _, path, source, node in sorted(paths):
        while path and (parted := _parted(network, normal, drill, path)):
            opened |= dict.fromkeys(parted)
            path = feed_path(network, normal, source, node, opened)
    return min(paths, default=(False, 0, ()))[2], tuple(opened)


def _parted(network: Network, normal: StateAnswer, drill: Drill, path: Sequence[str]) -> list[str]:
    """What of a path conducts in the normal state and not in a drill."""
    return [
        e
        for e in dict.fromkeys(path)
        if network.links_of.get(e)
        and any(conducts(network, normal, i) for i in network.links_of[e])
        and not any(conducts(network, drill.answer, i) for i in network.links_of[e])
    ]
