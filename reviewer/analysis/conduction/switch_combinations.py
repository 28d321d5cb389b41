"""All legal combinations of the switches that can matter to a question, solved side by side.

The switches that can matter are those on a way between the nodes that the question names, and those in the circuits of
the coils and fields that act on such a way. The rest stay as they are in the dispatch state: they change nothing. On the way
from one position to the next a switch joins both of them or neither, by its transit behaviour.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import reduce

from reviewer.analysis.conduction.fixed_point import Conduction, conduct_lanes
from reviewer.analysis.conduction.scenarios import Lanes, lanes_of_cases
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.biconnected import BlockTree
from reviewer.network.graph import Gate, Network, bare

#: combinations solved in one question; beyond it switches are left at their dispatch position, and that is said
MOST = 1 << 16


@record
class Stand:
    """How a switch stands: at a position, or between two of them, ``joined`` where the contacts of both conduct."""

    positions: tuple[str, ...]
    joined: bool = True

    @property
    def words(self) -> str:
        """The stand in words."""
        return self.positions[0] if len(self.positions) == 1 else f"between {' and '.join(self.positions)}"

    def conducts(self, positions: frozenset[str]) -> bool:
        """Whether a contact that is closed in some positions conducts."""
        return (any if self.joined else all)(at in positions for at in self.positions)


@record
class Combination:
    """One lane decoded: the stand of every switch, in words, and what the engine does and whether outside power is connected."""

    switches: tuple[tuple[str, str], ...]
    moved: tuple[tuple[str, str], ...]
    engine: str
    outside: bool
    transit: str


@record
class Grid:
    """Every combination of some axes round a base state. The first axis changes slowest.

    ``axes`` are (switch, stands); ``legal`` the lanes that can be set; ``left_out`` the switches that could matter and were not varied.
    """

    base: ResolvedState
    axes: tuple[tuple[str, tuple[Stand, ...]], ...]
    engines: tuple[str, ...]
    outsides: tuple[bool, ...]
    legal: int
    left_out: tuple[str, ...]

    @property
    def width(self) -> int:
        """How many combinations there are, illegal ones included."""
        return reduce(lambda n, axis: n * len(axis[1]), self.axes, len(self.engines) * len(self.outsides))

    def pattern(self, axis: int, which: Iterable[int]) -> int:
        """The lanes in which an axis stands at some of its values; axes -1 and -2 are the engine and outside power."""
        sizes = [len(stands) for _, stands in self.axes] + [len(self.outsides), len(self.engines)]
        at = axis if axis >= 0 else len(sizes) + axis
        stride = reduce(lambda a, b: a * b, sizes[at + 1 :], 1)
        period = stride * sizes[at]
        block = sum(((1 << stride) - 1) << k * stride for k in which)
        return block * (((1 << self.width) - 1) // ((1 << period) - 1))

    def nearest(self, lanes: int) -> int:
        """Of some lanes, the one that is most like the base state."""
        for i, (switch, stands) in enumerate(self.axes):
            home = [k for k, s in enumerate(stands) if s.positions == (self.base.switches.get(switch),)]
            lanes = lanes & self.pattern(i, home) or lanes
        lanes = (
            lanes & self.pattern(-1, [k for k, e in enumerate(self.engines) if e == self.base.engine])
            or lanes
        )
        lanes = (
            lanes & self.pattern(-2, [k for k, o in enumerate(self.outsides) if o == self.base.ground_power])
            or lanes
        )
        return (lanes & -lanes).bit_length() - 1

    def combination(self, lane: int) -> Combination:
        """A lane in words."""
        lane, engine = divmod(lane, len(self.engines))
        lane, outside = divmod(lane, len(self.outsides))
        stands: dict[str, Stand] = {}
        for switch, values in reversed(self.axes):
            lane, k = divmod(lane, len(values))
            stands[switch] = values[k]
        switches = tuple((s, stands[s].words if s in stands else at) for s, at in self.base.switches.items())
        moved = tuple((s, at) for s, at in switches if at != self.base.switches[s])
        moving = next((s for s, stand in stands.items() if len(stand.positions) > 1), "")
        transit = (
            f"{moving} moves from {stands[moving].positions[0]} to {stands[moving].positions[1]}"
            if moving
            else ""
        )
        return Combination(switches, moved, self.engines[engine], self.outsides[outside], transit)


class Cones:
    """Which switches can matter between some nodes of a design."""

    def __init__(self, design: Design, network: Network):
        self.design, self.network = design, network
        self.tree = BlockTree(network)
        self.ends = {n for s in network.sources for n in (s.positive, s.negative)}
        self.coils = {c.element: c for c in network.coils}

    def links(self, nodes: Iterable[int]) -> frozenset[int]:
        """The links that can lie on a way between some nodes, with the circuits of all coils and fields that act on these."""
        ends = set(nodes)
        seen: set[str] = set()
        fields = {n for s in self.network.sources if s.field is not None for n in (s.field, s.negative)}
        ends |= fields | (self.ends if fields else set())
        while True:
            links = self.tree.between(ends)
            relays = {
                self.network.links[i].element
                for i in links
                if self.network.links[i].gate in (Gate.ENERGISED, Gate.AT_REST)
            } - seen
            if not relays:
                return links
            seen |= relays
            ends |= self.ends
            for relay in relays:
                ends |= {*self.coils[relay].plus, *self.coils[relay].minus}

    def switches(self, nodes: Iterable[int]) -> tuple[str, ...]:
        """Names of the switches and breaker-switches among these links, in the file's order."""
        named = {
            bare(self.network.links[i].element) for i in self.links(nodes) if self.network.links[i].positions
        }
        return tuple(n for n in self.design.parts if n in named)


def positions_of(design: Design, switch: str) -> tuple[str, ...]:
    """The positions of a switch or breaker-switch."""
    part = design.parts[switch]
    return tuple(part.positions) if isinstance(part, p.Switch) else ("off", "on")


def grid_of(
    design: Design,
    base: ResolvedState,
    switches: Iterable[str],
    moving: str = "",
    engines: tuple[str, ...] = (),
) -> Grid | None:
    """The grid of some switches round a base state; with ``moving``, that switch between neighbouring positions instead of at one.

    Returns None where ``moving`` has no transit to try. Only switches for which the base gives a position can be varied.
    """
    outsides = (False, True) if design.of_kind(p.GroundPower) else (False,)
    engines = engines or (("running", "stopped") if design.of_kind(p.Alternator) else (base.engine,))
    axes: list[tuple[str, tuple[Stand, ...]]] = []
    left_out = []
    width = len(outsides) * len(engines)
    for switch in sorted(switches, key=lambda s: s != moving):
        stands = (
            _transits(design, switch)
            if switch == moving
            else tuple(Stand((at,)) for at in positions_of(design, switch))
        )
        if switch == moving and not stands:
            return None
        if width * len(stands) > MOST:
            left_out.append(switch)
            continue
        width *= len(stands)
        axes.append((switch, stands))
    grid = Grid(base, tuple(axes), engines, outsides, (1 << width) - 1, tuple(left_out))
    return replace(grid, legal=_legal(design, grid))


def _transits(design: Design, switch: str) -> tuple[Stand, ...]:
    part = design.parts[switch]
    if not isinstance(part, p.Switch):
        return ()
    neighbours = list(zip(list(part.positions), list(part.positions)[1:], strict=False))
    stands = []
    if part.transit != "break-before-make":
        stands += [Stand(pair) for pair in neighbours]
    if part.transit != "make-before-break":
        stands += [Stand(pair, joined=False) for pair in neighbours]
    return tuple(stands)


def _legal(design: Design, grid: Grid) -> int:
    every = legal = (1 << grid.width) - 1
    place = {switch: i for i, (switch, _) in enumerate(grid.axes)}
    for exclusion in design.operation.excluded if design.operation else ():
        # one that names a switch outside the grid can be got round by that switch
        if set(exclusion.switches) <= set(place):
            mask = every
            for switch, at in exclusion.switches.items():
                mask &= grid.pattern(
                    place[switch], [k for k, s in enumerate(grid.axes[place[switch]][1]) if at in s.positions]
                )
            legal &= ~mask
    return legal


def lanes_of_grid(network: Network, grid: Grid, lost: str = "") -> Lanes:
    """One lane a combination; ``lost`` is an element that is open in all of them."""
    base = lanes_of_cases(network, grid.base, ())
    every = (1 << grid.width) - 1
    place = {switch: i for i, (switch, _) in enumerate(grid.axes)}
    forward, backward = [], []
    for i, link in enumerate(network.links):
        axis = place.get(bare(link.element)) if link.positions and link.element.startswith("parts/") else None
        mask = every if base.forward[i] else 0
        if axis is not None and bare(link.element) not in grid.base.pulled:
            mask = grid.pattern(
                axis, [k for k, stand in enumerate(grid.axes[axis][1]) if stand.conducts(link.positions)]
            )
        if link.element == lost:
            mask = 0
        forward.append(mask)
        backward.append(0 if link.oneway else mask)
    return replace(
        base,
        width=grid.width,
        forward=tuple(forward),
        backward=tuple(backward),
        opened={lost: every} if lost else {},
        running=grid.pattern(-1, [k for k, e in enumerate(grid.engines) if e == "running"]),
        outside=grid.pattern(-2, [k for k, o in enumerate(grid.outsides) if o]),
    )


def conduct_grid(network: Network, grid: Grid, lost: str = "") -> Conduction:
    """Solve every combination of a grid from cold."""
    return conduct_lanes(network, lanes_of_grid(network, grid, lost))


def held_momentary(design: Design, grid: Grid) -> int:
    """The lanes in which a switch is held at a position that springs back."""
    mask = 0
    for i, (switch, stands) in enumerate(grid.axes):
        part = design.parts[switch]
        if isinstance(part, p.Switch) and part.momentary:
            mask |= grid.pattern(
                i, [k for k, s in enumerate(stands) if set(s.positions) & set(part.momentary)]
            )
    return mask
