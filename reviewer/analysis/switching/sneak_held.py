"""Relays that a sneak current keeps energised in a setting that should de-energise them.

A lamp or another load on the coil's switched side passes current through the coil when its switch
opens. The relay stays energised where that leaves at least its dropout voltage across the coil,
and so does the bus behind its contacts. A setting counts where it is one movement away from one in
which the relay is energised or still held.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property

from reviewer.analysis.conduction.fixed_point import Conduction, conduct_lanes, link_masks
from reviewer.analysis.conduction.masks import at_any
from reviewer.analysis.conduction.propagation import Propagator, chain_masks, ends_at, turned
from reviewer.analysis.conduction.scenarios import Lanes
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.switch_combinations import (
    Combination,
    Cones,
    Grid,
    grid_of,
    held_momentary,
    lanes_of_grid,
)
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.paths.reverse_feed import not_varied, set_as
from reviewer.analysis.paths.sneak_effects import coil_limits
from reviewer.analysis.switching.beside_coils import beside_coils
from reviewer.analysis.switching.sneak_currents import SneakPaths
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, PoweredDevice, bare

#: settings of one relay that are solved in volts; beyond it the answer says so
MOST_POINTS = 64


@record
class SneakHeld:
    """``relay`` keeps ``volts`` across its coil in a setting that by itself does not energise it.

    ``state`` is the declared state with these switches, or "". ``through`` are the loads and coils
    that pass the current, ``live`` the buses and loads that live because the relay stays energised.
    ``missing`` is the input without which nobody can say whether it does; else "". ``held`` is the
    setting with the relay energised.
    """

    relay: str
    state: str
    combination: Combination
    volts: float
    through: tuple[str, ...]
    path: tuple[str, ...]
    live: tuple[str, ...]
    missing: str
    held: StateAnswer

    def set_as(self, state: ResolvedState) -> bool:
        """Whether a state has this setting."""
        own = self.held.state
        return (
            dict(own.switches) == dict(state.switches)
            and own.engine == state.engine
            and own.external_power == state.external_power
            and own.pulled == state.pulled
            and own.outputs_on == state.outputs_on
        )


def dropout(design: Design, relay: str) -> tuple[float, float]:
    """Volts below which the coil of a relay drops out, and at and above which it stays energised."""
    return coil_limits(design.parts[relay], design.aircraft.volts, held=True)


def sneak_held(
    design: Design,
    network: Network,
    cones: Cones,
    states: Sequence[ResolvedState],
    volts: Callable[[StateAnswer, str], float],
) -> tuple[tuple[SneakHeld, ...], tuple[str, ...]]:
    """The relays that a sneak current keeps energised, the settings nearest to a state first; and
    what was not tried.

    The switches of the coil's circuit and of the loads beside it are set to every legal
    combination, the others as in each declared state. ``volts`` gives those across the coil of a
    relay in a setting, its contacts closed.
    """
    searches = []
    for coil, others in beside_coils(network):
        ends = {*coil.plus, *coil.minus, *(n for o in others for n in (*o.plus, *o.minus))}
        searches.append(_Search(design, network, coil, states, volts, cones.switches(ends | cones.ends)))
    for state in states:  # one after the other: what is solved of a state is wide, and serves all relays
        solved = _SolvedGrids(design, network, state)
        for search in searches:
            search.around(solved)
    untried = dict.fromkeys(said for search in searches for said in search.untried())
    return tuple(held for search in searches for held in search.found), tuple(untried)


class _Solved:
    """All combinations of a grid from cold, solved when it is asked."""

    def __init__(self, network: Network, grid: Grid):
        self.network, self.grid = network, grid

    @cached_property
    def lanes(self) -> Lanes:
        return lanes_of_grid(self.network, self.grid)

    @cached_property
    def cold(self) -> Conduction:
        return conduct_lanes(self.network, self.lanes)


class _SolvedGrids:
    """The grids around one state, each made and solved once."""

    def __init__(self, design: Design, network: Network, state: ResolvedState):
        self.design, self.network, self.state = design, network, state
        self._made: dict[object, _Solved | None] = {}

    def of(self, relay: str, switches: tuple[str, ...]) -> _Solved | None:
        """The grid of some switches without the sneak currents of a relay; None where there is none."""
        own = self.state.by_own_circuits(relay)
        asked = (own.sneaks, tuple(s for s in switches if s in own.switches))
        if asked not in self._made:
            grid = grid_of(self.design, own, asked[1])
            self._made[asked] = None if grid is None else _Solved(self.network, grid)
        return self._made[asked]


class _Search:
    """The settings in which one relay is held."""

    def __init__(
        self,
        design: Design,
        network: Network,
        coil: PoweredDevice,
        states: Sequence[ResolvedState],
        volts: Callable[[StateAnswer, str], float],
        switches: tuple[str, ...],
    ):
        self.design, self.network, self.coil = design, network, coil
        self.states, self.volts, self.switches = states, volts, switches
        self.paths = SneakPaths(design, network, coil)
        self.points = 0
        self.found: list[SneakHeld] = []
        self._untried: dict[str, None] = {}
        self._done: set[object] = set()

    def untried(self) -> Iterator[str]:
        """What was not tried."""
        yield from self._untried
        if self.points > MOST_POINTS:
            yield (
                f"Too many settings in which a sneak current flows through {bare(self.coil.element)}: "
                f"{MOST_POINTS} were solved in volts."
            )

    def around(self, solved: _SolvedGrids) -> None:
        """Find the settings around one state in which the relay is held; of states that differ in
        the switches of the grid alone, around the first."""
        state, relay = solved.state, self.coil.element
        others = tuple(s for s in state.switches.items() if s[0] not in self.switches)
        combined = solved.of(relay, self.switches)
        if combined is None:
            return
        grid = combined.grid
        fixed = (others, tuple(state.pulled), tuple(state.outputs_on), grid.engines)
        if fixed in self._done:
            return
        self._done.add(fixed)
        self.found += self.in_grid(combined)
        if grid.left_out:
            self._untried[not_varied(grid, f"what keeps {bare(relay)} energised")] = None

    def in_grid(self, combined: _Solved) -> Iterator[SneakHeld]:
        """The settings of a grid in which the relay is held, or could be."""
        relay, grid, cold = self.coil.element, combined.grid, combined.cold
        picked_up = cold.energised[relay] & grid.legal & ~cold.unsettled
        if not picked_up:  # what has not picked up is not held
            return
        every = (1 << grid.width) - 1
        lanes = replace(combined.lanes, held={relay: every})
        held = conduct_lanes(self.network, lanes)
        legal = grid.legal & ~cold.unsettled & ~held.unsettled
        off = legal & ~cold.energised[relay] & ~held.energised[relay] & ~held_momentary(self.design, grid)
        if not _neighbours(grid, picked_up) & off:
            return
        sneaking = self._sneaking(held, *link_masks(lanes, held.energised), off)
        fresh, done = picked_up & legal, 0
        while fresh and (todo := _neighbours(grid, fresh) & sneaking & ~done):
            done |= todo
            fresh = 0
            while todo and self.points < MOST_POINTS:
                lane = grid.nearest(todo)
                todo &= ~(1 << lane)
                self.points += 1
                one = self._judged(grid, lane, cold)
                if one is not None:
                    fresh |= 1 << lane
                    yield one
            self.points += bool(todo)

    def _sneaking(self, held: Conduction, along: list[int], against: list[int], off: int) -> int:
        """The lanes, of those in which the coil's own circuit is ``off``, in which current of a source
        that is live reaches one end of the coil through loads, and the other end the return of it."""
        wider, first = self.paths.wider
        for link in wider.links[first:]:
            along.append(off)
            against.append(0 if link.oneway else off)
        chains = chain_masks(wider.contracted, along, against)
        ways = ((self.coil.plus, self.coil.minus), (self.coil.minus, self.coil.plus))
        #: by what returns to them: sources of one negative share it
        onward: dict[int, Propagator] = {}
        sneaking = 0
        for source in self.network.sources:
            returned = held.returned[source.element]
            alive = held.alive[source.element] & off & ~returned[source.positive]  # where it is not shorted
            if not alive:
                continue
            if id(returned) not in onward:
                ends = ends_at(wider.contracted, returned)
                onward[id(returned)] = Propagator(wider.contracted, along, against, ends, chains)
            to = onward[id(returned)].from_node(source.positive, alive)
            arriving = [at_any(to, into) for into, _ in ways]
            if not any(arriving):
                continue
            fed = ends_at(wider.contracted, held.fed[source.element])
            home = Propagator(wider.contracted, against, along, fed, turned(chains))
            back = home.from_node(source.negative, alive)
            for lanes, (_, out) in zip(arriving, ways, strict=True):
                sneaking |= lanes & at_any(back, out)
        return sneaking

    def _judged(self, grid: Grid, lane: int, cold: Conduction) -> SneakHeld | None:
        """What a sneak current does in one setting; None where the relay drops out."""
        combination = grid.combination(lane)
        held = self.paths.held(set_as(grid.base, combination))
        if held is None:
            return None
        path, answer = held
        volts, missing, relay = 0.0, path.missing, self.coil.element
        if not missing:
            try:
                volts = self.volts(answer, relay)
            except NotAssessable as lacking:
                missing = lacking.needs
            else:
                drops, holds = dropout(self.design, bare(relay))
                if volts < drops:
                    return None
                missing = f"`dropout-voltage` of {bare(relay)}" if volts < holds else ""
        return SneakHeld(
            relay,
            self._state_of(grid, combination),
            combination,
            volts,
            path.current.through,
            path.current.path,
            live_with(self.design, self.network, answer.healthy, cold, lane),
            missing,
            answer,
        )

    def _state_of(self, grid: Grid, combination: Combination) -> str:
        """The declared state with the switches of a combination; "" for none."""
        for state in self.states:
            if (
                dict(combination.switches) == dict(state.switches)
                and state.engine == combination.engine
                and bool(state.external_power) == combination.outside
                and tuple(state.pulled) == tuple(grid.base.pulled)
                and tuple(state.outputs_on) == tuple(grid.base.outputs_on)
            ):
                return state.name
        return ""


def live_with(
    design: Design, network: Network, energised: Conduction, without: Conduction, lane: int = 0
) -> tuple[str, ...]:
    """The buses that live because a relay is energised, in the one lane of ``energised`` against a
    lane ``without`` it; the loads where it is no bus."""
    buses = [n for n in design.of_kind(p.Bus) if n in network.index]
    live = (
        n for n in buses if energised.live(network.node(n)) and not without.live(network.node(n)) >> lane & 1
    )
    loads = (
        bare(element)
        for element, powered in energised.powered.items()
        if powered and not without.powered[element] >> lane & 1
    )
    return tuple(live) or tuple(loads)


def _neighbours(grid: Grid, lanes: int) -> int:
    """The lanes that differ from some of ``lanes`` in one axis, with these lanes themselves."""
    sizes = [len(settings) for _, settings in grid.axes] + [len(grid.outsides), len(grid.engines)]
    found, stride = lanes, grid.width
    for axis, size in enumerate(sizes):
        stride //= size
        union = 0
        for k in range(size):
            union |= (lanes & grid.pattern(axis, (k,))) >> k * stride
        for k in range(size):
            found |= union << k * stride
    return found
