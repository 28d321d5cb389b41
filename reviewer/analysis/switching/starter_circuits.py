"""Starters that no switch stops once the contacts of their contactor or switch have welded; what a switch
that springs back runs or stops while it is held."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_lanes
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.switch_combinations import (
    Cones,
    Grid,
    conduct_grid,
    grid_of,
    held_momentary,
    lanes_of_grid,
)
from reviewer.analysis.paths.reverse_feed import not_varied
from reviewer.analysis.switching.holding_wires import holding_wires, stays_on
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, PoweredDevice, bare


@record
class UnstoppedStarter:
    """A starter that runs in every setting of the switches.

    ``welded`` is the element whose contacts have welded closed, "" where none need have.
    """

    starter: str
    welded: str


@record
class RunningOn:
    """A state in which a starter runs on when any one switch is released that springs back.

    ``relay`` (a pointer) keeps itself energised by its own contact over ``wires`` (pointers), without
    which the starter stops with a switch; "" and () where no such wires are the cause.
    """

    state: str
    relay: str = ""
    wires: tuple[str, ...] = ()


def held(design: Design, state: ResolvedState) -> tuple[str, ...]:
    """The switches that stand at a position from which they spring back when they are released."""
    return tuple(
        name
        for name in design.of_kind(p.Switch)
        if state.switches.get(name) in design.part(name, p.Switch).momentary
    )


def unreleased_starter(
    design: Design, network: Network, answers: Sequence[StateAnswer], starter: str
) -> RunningOn | None:
    """The first state in which a starter (a pointer) runs and no switch that is released stops it."""
    for answer in answers:
        if not answer.healthy.powered[starter]:
            continue
        released = [
            replace(answer.state, switches=MappingProxyType({**answer.state.switches, name: position}))
            for name in held(design, answer.state)
            for position in design.part(name, p.Switch).positions
            if position not in design.part(name, p.Switch).momentary
        ]
        if all(conduct(network, state, (), answer.healthy).powered[starter] for state in released):
            found = (_kept_by_itself(design, network, answers, answer, state, starter) for state in released)
            return next(filter(None, found), RunningOn(answer.state.name))
    return None


def _kept_by_itself(
    design: Design,
    network: Network,
    answers: Sequence[StateAnswer],
    before: StateAnswer,
    released: ResolvedState,
    starter: str,
) -> RunningOn | None:
    """The relay that keeps itself, and with it a starter, energised when a switch is released."""
    alone, after = conduct(network, released), conduct(network, released, (), before.healthy)
    for coil in network.coils:
        if not after.energised[coil.element] or alone.energised[coil.element]:
            continue
        wires = holding_wires(design, network, answers, coil.element, [(before, released)])
        if wires and not stays_on(network, before.state, released, wires).powered[starter]:
            return RunningOn(before.state.name, coil.element, wires)
    return None


def pressed_starter(
    design: Design, network: Network, answer: StateAnswer, starter: str
) -> tuple[str, str] | None:
    """The first switch, with a position from which it springs back, that by itself runs a starter (a
    pointer) from a state in which that has no power; None where none does. A key is not pressed."""
    for name, position, moved in _pressed(design, network, answer):
        keyed = design.part(name, p.Switch).guard == "key"
        if not keyed and moved.powered[starter] and not answer.healthy.powered[starter]:
            return name, position
    return None


def stopped_by_pressing(
    design: Design, network: Network, answer: StateAnswer, load: str
) -> tuple[str, str] | None:
    """The first switch that stops a load (a pointer) which runs in a state when it is held at a position
    from which it springs back, with its position in the state: the load runs with the switch at rest."""
    for name, _, moved in _pressed(design, network, answer):
        if answer.healthy.powered[load] and not moved.powered[load]:
            return name, answer.state.switches[name]
    return None


def _pressed(design: Design, network: Network, answer: StateAnswer) -> Iterator[tuple[str, str, Conduction]]:
    """The switches that a hand moves, each held at a position from which it springs back, and what conducts
    then."""
    for name in design.of_kind(p.Switch):
        part = design.part(name, p.Switch)
        at = answer.state.switches.get(name)
        for position in part.momentary if part.by_hand and at not in (None, *part.momentary) else ():
            switches = MappingProxyType({**answer.state.switches, name: position})
            yield (
                name,
                position,
                conduct(network, replace(answer.state, switches=switches), (), answer.healthy),
            )


def unstopped_starter(
    design: Design, network: Network, cones: Cones, base: ResolvedState, starter: str
) -> tuple[UnstoppedStarter | None, str]:
    """What keeps a starter (a pointer) running; and what was not tried.

    Legal settings are tried, with the engine stopped and without external power. Positions that
    spring back are released.
    """
    consumer = next(c for c in network.consumers if c.element == starter)
    ends = (*(s.positive for s in network.sources), *consumer.plus, *consumer.minus)
    switches = [s for s in cones.switches(ends) if s in base.switches and design.by_hand(s)]
    grid = grid_of(design, base, switches, engines=("stopped",))
    assert grid is not None  # nothing moves
    untried = not_varied(grid, f"stopping {bare(starter)}") if grid.left_out else ""
    welds = dict.fromkeys(
        network.links[i].element
        for i in cones.tree.between(ends)
        if network.links[i].positions or network.links[i].gate is Gate.ENERGISED
    )
    if not untried:
        for welded in ("", *welds):
            if _runs_in_all(design, network, grid, consumer, welded):
                return UnstoppedStarter(starter, welded), ""
    return None, untried


def _runs_in_all(design: Design, network: Network, grid: Grid, consumer: PoweredDevice, welded: str) -> bool:
    """Whether a starter runs in every setting; protective devices that its current opens are open."""
    welds = [welded] if welded else []
    every = (1 << grid.width) - 1
    energised = conduct_grid(network, grid, welded=welds).energised
    lanes = lanes_of_grid(network, grid, _opened(design, bare(consumer.element)), welds)
    lanes = replace(
        lanes,
        held={relay: mask | lanes.held.get(relay, 0) for relay, mask in energised.items()},
        dropped={relay: ~mask & every & ~lanes.held.get(relay, 0) for relay, mask in energised.items()},
    )
    runs = conduct_lanes(network, lanes).powered[consumer.element]
    settings = grid.legal & ~held_momentary(design, grid) & grid.with_external_power(False)
    return bool(settings) and not settings & ~runs


def _opened(design: Design, starter: str) -> list[str]:
    """The protective devices with a rating below the current of a starter, the least that it runs at."""
    current = design.part(starter, p.Load).running_current
    ratings = {n: design.parts[n].rating for n in design.of_kind(p.Protector)}
    return [f"parts/{n}" for n, rating in ratings.items() if current and rating and rating < current]
