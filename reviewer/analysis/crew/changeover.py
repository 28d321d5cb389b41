"""Switches that choose between sources: what each of their positions does to the functions that must live.

A switch *changes over* a load when the load lives in two of its positions, the rest as in the dispatch state, in each by a contact
that is open in the other: a contact of the switch, or of a relay that it commands. It is found by solving, not by names.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import conduct_lanes
from reviewer.analysis.conduction.scenarios import Lanes
from reviewer.analysis.conduction.states import StateAnswer, function_masks, loads_of, solve_state
from reviewer.analysis.conduction.switch_combinations import (
    Cones,
    Grid,
    Setting,
    conduct_grid,
    grid_of,
    lanes_of_grid,
    positions_of,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, bare


@record
class Changeover:
    """A switch that changes a function over. ``sources[position]`` are the sources of each channel, in the order of ``channels``;
    ``dead`` the positions in which the function is lost, ``gaps`` the movements in whose gap it is lost, ``fed`` the loads that have power in every one of
    these gaps."""

    switch: str
    function: str
    channels: tuple[str, ...]
    sources: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]
    dead: tuple[str, ...]
    gaps: tuple[tuple[str, str], ...]
    fed: tuple[str, ...] = ()


def changeovers(
    design: Design, network: Network, cones: Cones, answer: StateAnswer, functions: tuple[str, ...]
) -> Iterator[Changeover]:
    """Every switch that changes over one of some functions, each moved alone from the answer's state."""
    solved: dict[str, _Moved] = {}
    for function in functions:
        if not answer.alive[function]:
            continue
        loads = tuple(n for n in loads_of(design, function) if answer.healthy.powered[f"parts/{n}"])
        nodes = {n for c in network.consumers if bare(c.element) in loads for n in (*c.plus, *c.minus)}
        for switch in cones.switches(nodes | {n for s in network.sources for n in (s.positive, s.negative)}):
            if not _may_choose(design, network, switch):
                continue
            if switch not in solved:
                solved[switch] = _Moved(design, network, answer, switch)
            moved = solved[switch]
            if not any(moved.chooses(load) for load in loads):
                continue
            alive = function_masks(design, moved.answer.powered, (1 << moved.grid.width) - 1)[function]
            sources = tuple(
                (at, tuple(moved.sources(load, lane) for load in loads)) for at, lane in moved.lanes.items()
            )
            dead = tuple(at for at, lane in moved.lanes.items() if not alive >> lane & 1)
            gaps = tuple(_gaps(design, network, answer, switch, function))
            fed = tuple(load for load in loads if all(load in own for _, own in gaps))
            yield Changeover(
                f"parts/{switch}", function, loads, sources, dead, tuple(ends for ends, _ in gaps), fed
            )


def _may_choose(design: Design, network: Network, switch: str) -> bool:
    """False for a switch that only joins or parts: with one position that joins anything, it chooses only by a relay's contact that is closed at rest."""
    part = design.parts[switch]
    joining = sum(1 for pairs in part.positions.values() if pairs) if isinstance(part, p.Switch) else 1
    return joining > 1 or any(link.gate is Gate.AT_REST for link in network.links)


class _Moved:
    """One switch set to each of its positions, the rest as they are; and each contact that this moves taken away once."""

    def __init__(self, design: Design, network: Network, answer: StateAnswer, switch: str):
        grid = grid_of(design, answer.state, [switch], engines=(answer.state.engine,))
        assert grid is not None
        self.network, self.grid = network, grid
        self.answer = conduct_grid(network, grid)
        self.lanes = {at: _lane(grid, at) for at in positions_of(design, switch)}
        #: contact -> lanes in which it is closed, for the contacts that the movement opens or closes
        self.contacts = {
            i: mask
            for i, mask in self._closed(switch).items()
            if len({mask >> lane & 1 for lane in self.lanes.values()}) > 1
        }
        #: contact -> the answer without it; where no two positions each close what the other opens, nothing is chosen and none is needed
        chosen = any(
            self._only(one, other) and self._only(other, one)
            for one, other in combinations(self.lanes.values(), 2)
        )
        self.without = (
            {i: conduct_lanes(network, _cut(lanes_of_grid(network, grid), i)) for i in self.contacts}
            if chosen
            else {}
        )

    def _only(self, one: int, other: int) -> bool:
        return any(mask >> one & 1 and not mask >> other & 1 for mask in self.contacts.values())

    def _closed(self, switch: str) -> dict[int, int]:
        every = (1 << self.grid.width) - 1
        closed = {}
        for i, link in enumerate(self.network.links):
            if link.element == f"parts/{switch}" and link.positions:
                closed[i] = self.grid.pattern(
                    0, [k for k, stand in enumerate(self.grid.axes[0][1]) if stand.conducts(link.positions)]
                )
            elif link.gate in (Gate.ENERGISED, Gate.AT_REST):
                mask = self.answer.energised[link.element]
                closed[i] = mask if link.gate is Gate.ENERGISED else every & ~mask
        return closed

    def chooses(self, load: str) -> bool:
        """Whether the load lives in two positions, in each by a contact that is open in the other."""
        powered = self.answer.powered[f"parts/{load}"]
        needs = {
            lane: {
                i
                for i, less in self.without.items()
                if self.contacts[i] >> lane & 1 and not less.powered[f"parts/{load}"] >> lane & 1
            }
            for lane in self.lanes.values()
            if powered >> lane & 1
        }
        return any(
            any(not self.contacts[i] >> other & 1 for i in needs[one])
            and any(not self.contacts[i] >> one & 1 for i in needs[other])
            for one, other in combinations(needs, 2)
        )

    def sources(self, load: str, lane: int) -> tuple[str, ...]:
        """Batteries that power a load in a lane; alternators and outside power come and go and are left out."""
        consumer = next(c for c in self.network.consumers if c.element == f"parts/{load}")
        return tuple(
            s.element
            for s in self.network.sources
            if s.kind == "battery"
            and any(self.answer.fed[s.element][n] >> lane & 1 for n in consumer.plus)
            and any(self.answer.returned[s.element][n] >> lane & 1 for n in consumer.minus)
        )


def _cut(lanes: Lanes, link: int) -> Lanes:
    forward, backward, relayed = (
        list(lanes.forward),
        list(lanes.backward),
        tuple(r for r in lanes.relayed if r[0] != link),
    )
    forward[link] = backward[link] = 0
    return replace(lanes, forward=tuple(forward), backward=tuple(backward), relayed=relayed)


def _lane(grid: Grid, at: str) -> int:
    lanes = grid.pattern(0, [k for k, s in enumerate(grid.axes[0][1]) if s.positions == (at,)])
    if len(grid.outsides) > 1:
        lanes &= grid.pattern(-2, [grid.outsides.index(grid.base.ground_power)])
    return lanes.bit_length() - 1


def _gaps(
    design: Design, network: Network, answer: StateAnswer, switch: str, function: str
) -> Iterator[tuple[tuple[str, str], frozenset[str]]]:
    """(positions on both sides, loads of the function that have power between them) for each gap in which the function is lost."""
    grid = grid_of(design, answer.state, [switch], moving=switch, engines=(answer.state.engine,))
    if grid is None:
        return
    stands: tuple[Setting, ...] = grid.axes[0][1]
    powered = conduct_grid(network, grid).powered
    alive = function_masks(design, powered, (1 << grid.width) - 1)[function]
    home = answer.state.switches.get(switch, "")
    for k, stand in enumerate(stands):
        lanes = grid.pattern(0, [k])
        if not stand.joined and home in stand.positions and not alive & lanes:
            fed = frozenset(n for n in loads_of(design, function) if powered[f"parts/{n}"] & lanes == lanes)
            yield (stand.positions[0], stand.positions[1]), fed


@record
class OneSource:
    """A setting of change-over switches that leaves every channel of a function on one source, which the dispatch state does not."""

    function: str
    source: str
    switches: tuple[tuple[str, str], ...]
    moved: tuple[tuple[str, str], ...]


def all_on_one_source(
    design: Design, network: Network, answer: StateAnswer, function: str, switches: tuple[str, ...]
) -> OneSource | None:
    """The setting, nearest to the dispatch state, in which a function lives whole and one battery's loss takes it; None where there is none.

    Only where the dispatch state does not already hang on one battery.
    """
    batteries = [s.element for s in network.sources if s.kind == "battery"]
    full = [n for n in loads_of(design, function) if answer.healthy.powered[f"parts/{n}"]]
    grid = grid_of(design, answer.state, switches, engines=("stopped",))
    assert grid is not None
    healthy = conduct_grid(network, grid)
    whole = grid.legal
    for load in full:
        whole &= healthy.powered[f"parts/{load}"]
    home = grid.nearest((1 << grid.width) - 1)
    found: list[tuple[int, str]] = []
    for battery in batteries:
        lives = function_masks(design, conduct_grid(network, grid, battery).powered, (1 << grid.width) - 1)[
            function
        ]
        taken = whole & ~lives
        if taken >> home & 1:
            return None
        if taken:
            found.append((grid.nearest(taken), battery))
    if not found:
        return None
    lane, battery = min(found, key=lambda f: len(grid.combination(f[0]).moved))
    combination = grid.combination(lane)
    return OneSource(function, battery, combination.switches, combination.moved)


@record
class BetterPosition:
    """A legal position of a change-over switch in which fewer single failures take a critical function than in the dispatch position."""

    switch: str
    position: str
    dispatch: str
    function: str
    spared: tuple[str, ...]


def better_positions(
    design: Design, network: Network, answer: StateAnswer, changes: tuple[Changeover, ...]
) -> Iterator[BetterPosition]:
    """Positions, other than that of the dispatch state, whose single points of failure are fewer and all among those of the dispatch state."""
    solved: dict[tuple[str, str], StateAnswer] = {}
    for change in changes:
        switch = bare(change.switch)
        home = answer.state.switches[switch]
        worse = _takers(answer, change.function)
        for position, feeds in change.sources:
            if position == home or position in change.dead or not worse or not all(feeds):
                continue
            if (switch, position) not in solved:
                solved[switch, position] = solve_state(design, network, _set(answer.state, switch, position))
            best = _takers(solved[switch, position], change.function)
            if best < worse:
                spared = tuple(sorted(bare(e) for e in worse - best))
                yield BetterPosition(change.switch, position, home, change.function, spared)


def _set(state: ResolvedState, switch: str, position: str) -> ResolvedState:
    return replace(state, name="", switches=MappingProxyType({**state.switches, switch: position}))


def _takers(answer: StateAnswer, function: str) -> set[str]:
    lost = ((1 << len(answer.failures)) - 1) & ~answer.functions[function]
    return {f.element for i, f in enumerate(answer.failures) if lost >> i & 1}
