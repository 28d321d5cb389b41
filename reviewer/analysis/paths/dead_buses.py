"""Buses that a state must leave dead, and the switch settings that make them live.

What takes such a bus off is the switches that stand otherwise than in a state in which it is live:
the master of a smoke drill. They stay where the state has them. Every other switch that can matter
is set to each of its positions, and so is a switch in what the bus feeds: it takes off what is
behind it and not the bus, and leads back to the bus from another feed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_from
from reviewer.analysis.conduction.states import StateAnswer, feed_path, loads_of, solve_state
from reviewer.analysis.conduction.switch_combinations import (
    Combination,
    Cones,
    Grid,
    conduct_grid,
    grid_of,
    held_momentary,
    lanes_of_grid,
)
from reviewer.analysis.paths.reverse_feed import not_varied, set_as
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network


@record
class LiveBus:
    """A bus that ``state`` must leave dead and that lives in a ``combination`` of its switches.

    ``source`` feeds it by ``path``.
    """

    bus: str
    state: str
    source: str
    path: tuple[str, ...]
    combination: Combination


def live_buses(
    design: Design, network: Network, cones: Cones, answers: tuple[StateAnswer, ...]
) -> tuple[list[LiveBus], list[str]]:
    """Buses declared dead that another switch makes live; and what was not tried.

    Left out are positions that spring back, what no person can set, and what the file means: the
    bus is live there in another declared state, or an action that moves there restores a load by
    it. A state that leaves its bus live as it is declared has no entry here.
    """
    found: list[LiveBus] = []
    untried: list[str] = []
    for answer in answers:
        for bus in dict.fromkeys(answer.state.dead):
            if bus in network.index and not answer.healthy.live(network.index[bus]):
                of_state, left_out = _of_state(design, network, cones, answers, answer, bus)
                found += of_state
                untried += [left_out] if left_out else []
    return found, untried


def _of_state(
    design: Design,
    network: Network,
    cones: Cones,
    answers: tuple[StateAnswer, ...],
    answer: StateAnswer,
    bus: str,
) -> tuple[list[LiveBus], str]:
    """The settings of one state that make its bus live, each needed by itself."""
    base, node = answer.state, network.index[bus]
    alive = [a for a in answers if a.healthy.live(node) and bus not in a.state.dead]
    if not alive:
        return [], ""
    ends = (node, *(s.positive for s in network.sources))
    switches = [s for s in cones.switches(ends) if s in base.switches]
    off = [s for s in switches if alive[0].state.switches.get(s) != base.switches[s]]
    grid = grid_of(design, base, [*off, *(s for s in switches if s not in off)], engines=(base.engine,))
    assert grid is not None  # nothing moves
    left_out = not_varied(grid, f"{bus} dead in {base.name}") if grid.left_out else ""
    allowed = grid.legal & ~held_momentary(design, grid) & grid.with_external_power(base.external_power)
    solved = (conduct_grid(network, grid), _after(network, grid, alive[0].healthy))
    lives = solved[0].live(node) | solved[1].live(node) & ~solved[1].unsettled
    held, free = dict(base.switches), set[str]()
    for switch in _behind(network, alive[0], bus, off):
        others = {s: at for s, at in held.items() if s != switch}
        if not lives & allowed & grid.at(others):
            held, free = others, free | {switch}
    lanes = lives & allowed & grid.at({s: base.switches[s] for s in off if s not in free})
    if lanes & grid.at(base.switches):  # the state itself, set after another, is reported elsewhere
        return [], left_out
    found = []
    meant = [a.state for a in alive] + list(_selected(design, network, answer, bus))
    while lanes:
        how = grid.combination(grid.nearest(lanes))
        lanes &= ~grid.at(dict(how.moved))
        if not any(_feeds(network, state, answer, how, node) for state in meant):
            found.append(_live_bus(network, answer, alive[0], bus, how))
    return found, left_out


def _behind(network: Network, alive: StateAnswer, bus: str, switches: Iterable[str]) -> list[str]:
    """The switches whose closed contacts are fed by a bus alone, in a state in which it is live."""
    without = conduct(network, alive.state, [Failure(f"parts/{bus}", OPEN)], alive.healthy)
    ends: dict[str, set[int]] = {}
    for i, switch, positions in network.switched:
        if alive.state.switches.get(switch) in positions:
            ends.setdefault(switch, set()).update((network.links[i].a, network.links[i].b))
    return [
        s
        for s in switches
        if s in ends and all(alive.healthy.live(end) and not without.live(end) for end in ends[s])
    ]


def _after(network: Network, grid: Grid, before: Conduction) -> Conduction:
    """Every combination of a grid, with relays and alternators starting as they were before."""
    every = (1 << grid.width) - 1
    energised = {e: every if was else 0 for e, was in before.energised.items()}
    alive = {e: every if was else 0 for e, was in before.alive.items()}
    return conduct_from(network, lanes_of_grid(network, grid), energised, alive)


def _selected(design: Design, network: Network, answer: StateAnswer, bus: str) -> Iterator[ResolvedState]:
    """A state with each declared action done that restores a load by a bus."""
    for action in design.operation.actions.values() if design.operation else ():
        loads = {
            f"parts/{load}"
            for name in action.restores
            for load in (loads_of(design, name) if name in design.functions else (name,))
        }
        if not loads:
            continue
        state = _set(answer.state, {s: at for s, at in action.move.items() if s in answer.state.switches})
        solved = conduct(network, state)
        without = conduct(network, state, [Failure(f"parts/{bus}", OPEN)], solved)
        if any(solved.powered.get(e) and not without.powered.get(e) for e in loads):
            yield state


def _feeds(network: Network, state: ResolvedState, answer: StateAnswer, how: Combination, node: int) -> bool:
    """Whether a state has the moves of a combination, and they are what feeds a node in it."""
    if not state.switches.items() >= dict(how.moved).items():
        return False
    without = _set(state, {s: answer.state.switches[s] for s, _ in how.moved})
    return not conduct(network, without).live(node)


def _set(state: ResolvedState, moves: Mapping[str, str]) -> ResolvedState:
    return replace(state, switches=MappingProxyType({**state.switches, **moves}))


def _live_bus(
    network: Network, answer: StateAnswer, alive: StateAnswer, bus: str, how: Combination
) -> LiveBus:
    node = network.index[bus]
    state = set_as(answer.state, how)
    done = solve_state(answer.design, network, state)
    if not done.healthy.live(node):
        done = StateAnswer(answer.design, network, state, conduct(network, state, [()], alive.healthy))
    source = done.fed_by(node)[0]
    return LiveBus(bus, answer.state.name, source, feed_path(network, done, source, node), how)
