"""Switches that choose between sources: what each of their positions does to the functions that
must work.

A switch *changes over* a load when the load is powered in two of its positions, the other switches
as in the normal state, in each by a contact that is open in the other: a contact of the switch, or
of a relay that it commands. It is found by solving, not by names.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.analysis.conduction.fixed_point import Conduction, conduct_lanes
from reviewer.analysis.conduction.masks import serves
from reviewer.analysis.conduction.scenarios import Lanes
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_mask,
    loads_of,
    shorted_sources,
    solve_state,
)
from reviewer.analysis.conduction.switch_combinations import (
    Cones,
    Grid,
    conduct_grid,
    grid_of,
    lanes_of_grid,
    positions_of,
)
from reviewer.analysis.paths.reverse_feed import own_alternators, tie_masks
from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Gate, Network, bare


@record
class Changeover:
    """A switch that changes a function over.

    ``sources`` are (position, the sources of each channel in the order of ``channels``); ``dead``
    are the positions in which the function is lost, ``gaps`` the (from, to) positions between which
    it is lost in transit, ``fed`` the loads that have power in all of these gaps.
    """

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
    """Every switch that changes over one of some functions, each moved alone."""
    solved: dict[str, _Moved] = {}
    ends = {n for s in network.sources for n in (s.positive, s.negative)}
    for function in functions:
        if not answer.alive[function]:
            continue
        loads = tuple(n for n in loads_of(design, function) if answer.healthy.powered[f"parts/{n}"])
        nodes = {n for c in network.consumers if bare(c.element) in loads for n in (*c.plus, *c.minus)}
        for switch in cones.switches(nodes | ends):
            if not (design.by_hand(switch) and _may_choose(design, network, switch)):
                continue
            if switch not in solved:
                solved[switch] = _Moved(design, network, answer, switch)
            if any(solved[switch].chooses(load) for load in loads):
                yield _changeover(design, network, answer, function, loads, switch, solved[switch])


def _changeover(
    design: Design,
    network: Network,
    answer: StateAnswer,
    function: str,
    loads: tuple[str, ...],
    switch: str,
    moved: _Moved,
) -> Changeover:
    works = function_mask(design, moved.answer.powered, (1 << moved.grid.width) - 1, function)
    gaps = tuple(_gaps(design, network, answer, switch, function))
    return Changeover(
        switch=f"parts/{switch}",
        function=function,
        channels=loads,
        sources=tuple(
            (position, tuple(moved.sources(load, lane) for load in loads))
            for position, lane in moved.lanes.items()
        ),
        dead=tuple(position for position, lane in moved.lanes.items() if not works >> lane & 1),
        gaps=tuple(positions for positions, _ in gaps),
        fed=tuple(load for load in loads if all(load in powered for _, powered in gaps)),
    )


def _may_choose(design: Design, network: Network, switch: str) -> bool:
    """False for a switch that only closes and opens.

    With one position that joins anything, it chooses only by a normally closed relay contact.
    """
    part = design.parts[switch]
    joining = sum(1 for pairs in part.positions.values() if pairs) if isinstance(part, p.Switch) else 1
    return joining > 1 or any(link.gate is Gate.DE_ENERGISED for link in network.links)


class _Moved:
    """One switch in each of its positions, the others as they are; and each contact that this
    moves, opened once."""

    def __init__(self, design: Design, network: Network, answer: StateAnswer, switch: str):
        grid = grid_of(design, answer.state, [switch], engines=(answer.state.engine,))
        assert grid is not None
        self.network, self.grid = network, grid
        self.answer = conduct_grid(network, grid)
        self.lanes = {at: _lane(grid, at) for at in positions_of(design, switch)}
        #: contact -> lanes in which it is closed, for the contacts that the movement opens or
        #: closes
        self.contacts = {i: mask for i, mask in self._closed(switch).items() if self._moves(mask)}
        #: contact -> the answer with it open
        self.without: dict[int, Conduction] = {
            i: conduct_lanes(network, _opened(lanes_of_grid(network, grid), i)) for i in self.contacts
        }

    def _moves(self, closed: int) -> bool:
        """Whether a contact is closed in some positions and open in others."""
        return len({closed >> lane & 1 for lane in self.lanes.values()}) > 1

    def _closed(self, switch: str) -> dict[int, int]:
        """Contact (link) of the switch or a relay -> lanes in which it is closed."""
        every = (1 << self.grid.width) - 1
        closed = {}
        for i, link in enumerate(self.network.links):
            if link.element == f"parts/{switch}" and link.positions:
                closed[i] = self.grid.where(0, (s.conducts(link.positions) for s in self.grid.settings(0)))
            elif link.gate in (Gate.ENERGISED, Gate.DE_ENERGISED):
                mask = self.answer.energised[link.element]
                closed[i] = mask if link.gate is Gate.ENERGISED else every & ~mask
        return closed

    def chooses(self, load: str) -> bool:
        """Whether the load works in two positions, in each by a contact open in the other."""
        powered = self.answer.powered[f"parts/{load}"]
        needs = {lane: self._needs(load, lane) for lane in self.lanes.values() if powered >> lane & 1}
        return any(
            any(not self.contacts[i] >> other & 1 for i in needs[one])
            and any(not self.contacts[i] >> one & 1 for i in needs[other])
            for one, other in combinations(needs, 2)
        )

    def _needs(self, load: str, lane: int) -> set[int]:
        """The contacts without which the load loses its power in a lane."""
        return {
            i
            for i, less in self.without.items()
            if self.contacts[i] >> lane & 1 and not less.powered[f"parts/{load}"] >> lane & 1
        }

    def sources(self, load: str, lane: int) -> tuple[str, ...]:
        """Batteries that power a load in a lane; other sources are not always there."""
        consumer = next(c for c in self.network.consumers if c.element == f"parts/{load}")
        return tuple(
            s.element
            for s in self.network.sources
            if s.kind == "battery" and serves(self.network, self.answer, s.element, consumer) >> lane & 1
        )


def _opened(lanes: Lanes, link: int) -> Lanes:
    """The lanes with one contact open in all of them."""
    forward, backward = list(lanes.forward), list(lanes.backward)
    relayed = tuple(r for r in lanes.relayed if r[0] != link)
    forward[link] = backward[link] = 0
    return replace(lanes, forward=tuple(forward), backward=tuple(backward), relayed=relayed)


def _lane(grid: Grid, position: str) -> int:
    """The lane of a position, with external power as in the base state."""
    lanes = grid.where(0, (s.positions == (position,) for s in grid.settings(0)))
    return (lanes & grid.with_external_power(grid.base.external_power)).bit_length() - 1


def _gaps(
    design: Design, network: Network, answer: StateAnswer, switch: str, function: str
) -> Iterator[tuple[tuple[str, str], frozenset[str]]]:
    """Each transit that loses the function: (from, to), and its loads that have power."""
    grid = grid_of(design, answer.state, [switch], moving=switch, engines=(answer.state.engine,))
    if grid is None:
        return
    powered = conduct_grid(network, grid).powered
    works = function_mask(design, powered, (1 << grid.width) - 1, function)
    home = answer.state.switches.get(switch, "")
    for k, setting in enumerate(grid.settings(0)):
        lanes = grid.pattern(0, [k])
        if not setting.joined and home in setting.positions and not works & lanes:
            fed = frozenset(n for n in loads_of(design, function) if powered[f"parts/{n}"] & lanes == lanes)
            yield (setting.positions[0], setting.positions[1]), fed


@record
class OneSource:
    """A setting of change-over switches that leaves every channel of a function on one source.

    In the normal state they are not all on one source.
    """

    function: str
    source: str
    switches: tuple[tuple[str, str], ...]
    moved: tuple[tuple[str, str], ...]


def all_on_one_source(
    design: Design, network: Network, answer: StateAnswer, function: str, switches: tuple[str, ...]
) -> OneSource | None:
    """The setting, nearest to the normal state, in which all channels of a function work and the
    loss of one battery loses it.

    None where there is none, and where the normal state depends on one battery already.
    """
    grid = grid_of(design, answer.state, switches, engines=("stopped",))
    assert grid is not None
    complete = grid.legal
    powered = conduct_grid(network, grid).powered
    for load in loads_of(design, function):
        if answer.healthy.powered[f"parts/{load}"]:
            complete &= powered[f"parts/{load}"]
    normal = grid.nearest((1 << grid.width) - 1)
    settings: list[tuple[int, str]] = []
    for battery in (s.element for s in network.sources if s.kind == "battery"):
        without = conduct_grid(network, grid, (battery,)).powered
        lost = complete & ~function_mask(design, without, (1 << grid.width) - 1, function)
        if lost >> normal & 1:
            return None
        if lost:
            settings.append((grid.nearest(lost), battery))
    if not settings:
        return None
    lane, battery = min(settings, key=lambda setting: len(grid.combination(setting[0]).moved))
    combination = grid.combination(lane)
    return OneSource(function, battery, combination.switches, combination.moved)


@record
class BetterPosition:
    """A position of a change-over switch in which fewer elements are single points of failure.

    ``normal`` is the normal position; ``spared`` are the names of the elements that are no longer
    single points of failure of ``function``.
    """

    switch: str
    position: str
    normal: str
    function: str
    spared: tuple[str, ...]


def better_positions(
    design: Design, network: Network, answer: StateAnswer, changes: tuple[Changeover, ...]
) -> Iterator[BetterPosition]:
    """Positions, other than the normal one, whose single points of failure are a part of those of
    the normal state.

    A position that is itself a hazard is none: one that is declared impossible, joins sources that
    the normal state keeps apart, shorts a source, or gives another critical function a single point
    of failure.
    """
    solved: dict[tuple[str, str], StateAnswer] = {}
    for change in changes:
        switch = bare(change.switch)
        home = answer.state.switches[switch]
        normal = _single_points(answer, change.function)
        for position, feeds in change.sources:
            if position == home or position in change.dead or not normal or not all(feeds):
                continue
            if (switch, position) not in solved:
                other = solve_state(design, network, _set(answer.state, switch, position))
                solved[switch, position] = replace(other, too_low=answer.too_low)
            best = _single_points(solved[switch, position], change.function)
            if best < normal and not _is_hazard(design, answer, solved[switch, position]):
                spared = tuple(sorted((bare(e) for e in normal - best), key=name_order))
                yield BetterPosition(change.switch, position, home, change.function, spared)


def _is_hazard(design: Design, normal: StateAnswer, other: StateAnswer) -> bool:
    """Whether a state has a hazard that the normal state has not."""
    if is_excluded(design, other.state.switches) or shorted_sources(other.network, other):
        return True
    network, own = normal.network, own_alternators(design, normal.network, normal)
    ties = [
        {(one.element, two.element) for one, two, _, _ in tie_masks(design, network, answer.healthy, own)}
        for answer in (normal, other)
    ]
    return bool(ties[1] - ties[0]) or any(
        _single_points(other, function) - _single_points(normal, function)
        for function in critical_functions(design)
        if normal.alive[function]
    )


def _set(state: ResolvedState, switch: str, position: str) -> ResolvedState:
    return replace(state, switches=MappingProxyType({**state.switches, switch: position}))


def _single_points(answer: StateAnswer, function: str) -> set[str]:
    """The elements of which a single failure loses a function, stuck contacts included."""
    return {f.element for f in answer.losing(function)}
