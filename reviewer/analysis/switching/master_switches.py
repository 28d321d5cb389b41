"""Loads that stay on with the master off, because a change-over feeds them around it.

A master is a switch that takes a bus off when it moves from a declared state, with what an
exclusion takes along. It is left there, and the change-overs that can feed a load of that bus are
set to every position.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import springs_back, ways_along
from reviewer.analysis.conduction.failure_modes import STAYS, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.states import StateAnswer, loads_of
from reviewer.analysis.conduction.switch_combinations import (
    Combination,
    Cones,
    conduct_grid,
    grid_of,
    held_momentary,
)
from reviewer.analysis.paths.reverse_feed import dedicated_loads, not_varied
from reviewer.analysis.switching.own_switches import OwnSwitch, StaysOn, changeovers, path_to
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, PoweredDevice, bare


@record
class MasterOff:
    """A load that a master takes off, ``own``, with the switches that move ``along``."""

    own: OwnSwitch
    along: tuple[tuple[str, str], ...]


def loads_of_masters(design: Design, network: Network, answer: StateAnswer) -> Iterator[MasterOff]:
    """Every load that goes off with its bus when one switch moves in a state."""
    now = answer.state.switches
    lanes = [
        (name, position, along)
        for name in design.hand_switches
        for position in design.parts[name].positions
        if name in now and position != now[name] and not springs_back(design, name, position)
        for along in ways_along(design, {**now, name: position}, name)
    ]
    if not lanes:
        return
    cases = tuple(
        tuple(Failure(f"parts/{n}", STAYS, position=at) for n, at in ((name, position), *along))
        for name, position, along in lanes
    )
    moved = conduct(network, answer.state, cases, answer.healthy)
    dark = 0
    for bus in design.of_kind(p.Bus):
        if bus in network.index and answer.healthy.live(network.index[bus]):
            dark |= ~moved.live(network.index[bus])
    for consumer in network.consumers:
        if answer.healthy.powered[consumer.element]:
            off = ~moved.powered[consumer.element] & dark
            for i, (name, position, along) in enumerate(lanes):
                if off >> i & 1:
                    yield MasterOff(OwnSwitch(consumer.element, name, position, answer.state.name), along)


def stays_on_with_master_off(
    design: Design, network: Network, cones: Cones, answers: Mapping[str, StateAnswer], off: MasterOff
) -> tuple[StaysOn | None, str]:
    """The combination nearest to a state in which a load stays on; and what was not tried.

    Left out is what the file means: a reserve that is dedicated to the load, a declared state that
    feeds it so, an action that restores it so.
    """
    own = off.own
    consumer = network.consumer[own.load]
    answer = answers[own.state]
    varied = changeovers(design, network, cones, answer, consumer)
    moves = {own.switch: own.position, **dict(off.along)}
    varied = [s for s in varied if s in answer.state.switches and s not in moves]
    if not varied:
        return None, ""
    base = _set(answer.state, moves)
    grid = grid_of(design, base, [own.switch, *dict(off.along), *varied], engines=(base.engine,))
    assert grid is not None  # nothing moves
    untried = not_varied(grid, f"{bare(own.load)} with {own.switch} off") if grid.left_out else ""
    lanes = _fed(design, network, conduct_grid(network, grid), consumer)
    lanes &= grid.legal & ~held_momentary(design, grid) & grid.with_external_power(base.external_power)
    lanes &= grid.at({own.switch: own.position, **dict(off.along)})
    if not lanes:  # as a rule
        return None, untried
    meant = [a.state for a in answers.values()] + list(_selected(design, network, base, consumer))
    while lanes:
        how = grid.combination(grid.nearest(lanes))
        if not any(_feeds(network, state, base, own, how, consumer) for state in meant):
            return StaysOn(own, how, path_to(design, network, base, how, consumer)), untried
        lanes &= ~grid.at(dict(how.moved))
    return None, untried


def _fed(design: Design, network: Network, solved: Conduction, consumer: PoweredDevice) -> int:
    """The lanes in which a source powers a load that is no reserve dedicated to it."""
    mask = 0
    for source in network.sources:
        part = design.parts[bare(source.element)]
        reserved = isinstance(part, p.Battery) and part.dedicated_to
        if not reserved or bare(consumer.element) not in dedicated_loads(design, bare(source.element)):
            fed, returned = solved.fed[source.element], solved.returned[source.element]
            mask |= solved.alive[source.element] & served(consumer, fed, returned)
    return mask & solved.powered[consumer.element]


def _selected(
    design: Design, network: Network, base: ResolvedState, consumer: PoweredDevice
) -> Iterator[ResolvedState]:
    """The state with each declared action done that restores a load by itself or its function."""
    for action in design.operation.actions.values() if design.operation else ():
        loads = {
            load
            for name in action.restores
            for load in (loads_of(design, name) if name in design.functions else (name,))
        }
        if bare(consumer.element) in loads:
            yield _set(base, {s: at for s, at in action.move.items() if s in base.switches})


def _feeds(
    network: Network,
    state: ResolvedState,
    base: ResolvedState,
    own: OwnSwitch,
    how: Combination,
    consumer: PoweredDevice,
) -> bool:
    """Whether a state has the master off and the moves of a combination, and lives by them."""
    if not state.switches.items() >= {own.switch: own.position, **dict(how.moved)}.items():
        return False
    without = _set(state, {s: base.switches[s] for s, _ in how.moved})
    powered = [conduct(network, s).powered[consumer.element] for s in (state, without)]
    return bool(powered[0]) and not powered[1]


def _set(state: ResolvedState, moves: Mapping[str, str]) -> ResolvedState:
    return replace(state, switches=MappingProxyType({**state.switches, **moves}))
