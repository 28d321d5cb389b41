"""All legal combinations of the switches that can matter to a question, solved side by side.

The switches that can matter are those on a path between the nodes that the question names, and
those in the circuits of the coils and fields that act on such a path. The others stay as they are
in the normal state: they change nothing. In transit from one position to the next a switch joins
both of them or neither, by its transit behaviour.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from functools import cached_property, lru_cache, reduce

from reviewer.analysis.conduction.fixed_point import Conduction, conduct_lanes
from reviewer.analysis.conduction.scenarios import TURNING, Lanes, lanes_of_cases
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.biconnected import BlockTree
from reviewer.network.graph import Follower, Gate, Network, bare

#: the most combinations solved in one question; beyond it switches stay at their normal position,
#: and the answer says so
MOST = 1 << 16


@record
class Setting:
    """A switch at a position, or in transit between two, ``joined`` where both conduct."""

    positions: tuple[str, ...]
    joined: bool = True

    @property
    def words(self) -> str:
        """The setting in words."""
        return self.positions[0] if len(self.positions) == 1 else f"between {' and '.join(self.positions)}"

    def conducts(self, positions: frozenset[str]) -> bool:
        """Whether a contact that is closed in some positions conducts."""
        return (any if self.joined else all)(at in positions for at in self.positions)


@record
class Combination:
    """One lane in words: the setting of every switch, the engine, and external power.

    ``moved`` are the switches that are not as in the base state, ``transit`` the movement of the
    switch ``moving`` that is between two positions, or "".
    """

    switches: tuple[tuple[str, str], ...]
    moved: tuple[tuple[str, str], ...]
    engine: str
    outside: bool
    transit: str
    moving: str = ""


@record
class Grid:
    """Every combination of some axes around a base state. The first axis changes slowest.

    ``axes`` are (switch, settings); ``legal`` the lanes that can be set; ``left_out`` the switches
    that could matter and were not varied.
    """

    base: ResolvedState
    axes: tuple[tuple[str, tuple[Setting, ...]], ...]
    engines: tuple[str, ...]
    outsides: tuple[bool, ...]
    legal: int
    left_out: tuple[str, ...]

    @property
    def width(self) -> int:
        """How many combinations there are, illegal ones included."""
        return reduce(lambda n, axis: n * len(axis[1]), self.axes, len(self.engines) * len(self.outsides))

    def pattern(self, axis: int, which: Iterable[int]) -> int:
        """The lanes in which an axis has some of its values, given by number.

        Axes -1 and -2 are the engine and external power.
        """
        sizes = [len(stands) for _, stands in self.axes] + [len(self.outsides), len(self.engines)]
        at = axis if axis >= 0 else len(sizes) + axis
        stride = reduce(lambda a, b: a * b, sizes[at + 1 :], 1)
        return _repeated(self.width, stride, stride * sizes[at], tuple(which))

    def settings(self, axis: int) -> tuple[Setting, ...]:
        """The settings of a switch axis."""
        return self.axes[axis][1]

    def where(self, axis: int, holds: Iterable[bool]) -> int:
        """The lanes in which something holds of an axis, given whether it does for each value."""
        return self.pattern(axis, [k for k, yes in enumerate(holds) if yes])

    def at(self, positions: Mapping[str, str]) -> int:
        """The lanes in which the switches of the grid are at some positions."""
        lanes = (1 << self.width) - 1
        for i, (switch, settings) in enumerate(self.axes):
            if switch in positions:
                lanes &= self.where(i, (s.positions == (positions[switch],) for s in settings))
        return lanes

    def with_engine(self, engine: str) -> int:
        """The lanes in which the engine is as given."""
        return self.where(-1, (e == engine for e in self.engines))

    def engine_is(self, name: str, words: Collection[str]) -> int:
        """The lanes in which one of several engines does any of some things: all do alike where the base
        state has the engines otherwise."""
        return sum(
            self.where(-1, (e == word for e in self.engines))
            for word in dict.fromkeys(self.engines)
            if self.base.with_engine(word).engine_of(name) in words
        )

    def engine_runs(self, name: str) -> int:
        """The lanes in which one of several engines runs, or any for ""; a hand in all."""
        words = dict.fromkeys(self.engines)
        runs = [word for word in words if self.base.with_engine(word).runs(name)]
        return sum(self.where(-1, (e == word for e in self.engines)) for word in runs)

    def with_external_power(self, connected: bool) -> int:
        """The lanes in which external power is connected, or is not."""
        return self.where(-2, (o == connected for o in self.outsides))

    def nearest(self, lanes: int) -> int:
        """Of some lanes, the one that is most like the base state."""
        for i, (switch, _) in enumerate(self.axes):
            home = (self.base.switches.get(switch),)
            lanes = lanes & self.where(i, (s.positions == home for s in self.settings(i))) or lanes
        lanes = lanes & self.with_engine(self.base.engine) or lanes
        lanes = lanes & self.with_external_power(self.base.external_power) or lanes
        return (lanes & -lanes).bit_length() - 1

    def combination(self, lane: int) -> Combination:
        """A lane in words."""
        lane, engine = divmod(lane, len(self.engines))
        lane, outside = divmod(lane, len(self.outsides))
        settings: dict[str, Setting] = {}
        for switch, values in reversed(self.axes):
            lane, k = divmod(lane, len(values))
            settings[switch] = values[k]
        switches = tuple(
            (s, settings[s].words if s in settings else at) for s, at in self.base.switches.items()
        )
        moved = tuple((s, at) for s, at in switches if at != self.base.switches[s])
        moving = next((s for s, setting in settings.items() if len(setting.positions) > 1), "")
        transit = ""
        if moving:
            start, end = settings[moving].positions
            transit = f"{moving} moves from {start} to {end}"
        return Combination(switches, moved, self.engines[engine], self.outsides[outside], transit, moving)


@lru_cache(maxsize=1024)  # many questions are asked of grids of one size: some 8 KiB each
def _repeated(width: int, stride: int, period: int, which: tuple[int, ...]) -> int:
    """So many bits, in which the stretches ``which`` of ``stride`` bits are set in each ``period``."""
    block = sum(((1 << stride) - 1) << k * stride for k in which)
    return block * (((1 << width) - 1) // ((1 << period) - 1))


class Cones:
    """Which switches can matter between some nodes of a design: their cone of influence."""

    def __init__(self, design: Design, network: Network):
        self.design, self.network = design, network
        self.tree = BlockTree(network)
        self.ends = {n for s in network.sources for n in (s.positive, s.negative)}
        #: relay, unit or switch that follows something -> the nodes whose feed moves its contacts
        self.moving = (
            {c.element: {*c.plus, *c.minus} for c in network.drivers}
            | {f.element: _followed(network, f) for f in network.followers}
            | {s.element: set(s.nodes) for s in network.sources if s.element in network.lamp_contacts}
        )
        self._switches: dict[frozenset[int], tuple[str, ...]] = {}
        self._relays: dict[frozenset[int], set[str]] = {}
        self._order = {name: i for i, name in enumerate(design.parts)}

    @cached_property
    def _named(self) -> Mapping[Gate | None, Mapping[int, frozenset[str]]]:
        """By gate, for each block that has any, the elements with relay contacts there, the units that
        something there follows and what inputs of them command under OUTPUT, and under None the
        switches and breaker-switches."""
        found: dict[Gate | None, dict[int, set[str]]] = {}
        for number, block in enumerate(self.tree.blocks):
            for link in (self.network.links[i] for i in block):
                if link.gate in (Gate.ENERGISED, Gate.DE_ENERGISED):
                    found.setdefault(link.gate, {}).setdefault(number, set()).add(link.element)
                if link.unit:
                    own = {link.element} if link.by_input else set()
                    found.setdefault(Gate.OUTPUT, {}).setdefault(number, set()).update({link.unit}, own)
                if link.positions:
                    found.setdefault(None, {}).setdefault(number, set()).add(link.element)
        return {gate: {n: frozenset(own) for n, own in blocks.items()} for gate, blocks in found.items()}

    def _in(self, blocks: frozenset[int], gate: Gate | None) -> set[str]:
        named = self._named.get(gate, {})
        return set[str]().union(*(named[block] for block in named.keys() & blocks))

    def links(self, nodes: Iterable[int]) -> frozenset[int]:
        """The links that can be on a path between some nodes, and on the circuits of the coils and
        fields that act on such a path."""
        return frozenset(i for b in self._blocks(nodes) for i in self.tree.blocks[b])

    def changeover_relays(self, nodes: Iterable[int]) -> set[str]:
        """The relays with contacts of both kinds that can be on a path between some nodes."""
        asked = frozenset(nodes)
        if asked not in self._relays:
            blocks = self.tree.numbers_between(asked)
            self._relays[asked] = self._in(blocks, Gate.ENERGISED) & self._in(blocks, Gate.DE_ENERGISED)
        return self._relays[asked]

    def _blocks(self, nodes: Iterable[int]) -> frozenset[int]:
        """The numbers of the blocks of :meth:`links`."""
        ends = set(nodes)
        seen: set[str] = set()
        fed = [s for s in self.network.sources if s.field is not None or s.leads is not None]
        fields = {n for s in fed for n in s.nodes if n != s.positive}
        ends |= fields | (self.ends if fields else set())
        while True:
            blocks = self.tree.numbers_between(ends)
            gates = (Gate.ENERGISED, Gate.DE_ENERGISED, Gate.OUTPUT)
            relays = set[str]().union(*(self._in(blocks, gate) for gate in gates)) - seen
            if not relays:
                return blocks
            seen |= relays
            ends |= self.ends
            for relay in relays:
                ends |= self.moving[relay]

    def switches(self, nodes: Iterable[int]) -> tuple[str, ...]:
        """Names of the switches and breaker-switches among these links, in canonical order."""
        asked = frozenset(nodes)
        if asked not in self._switches:
            named = map(bare, self._in(self._blocks(asked), None))
            self._switches[asked] = tuple(sorted(named, key=self._order.__getitem__))
        return self._switches[asked]


def _followed(network: Network, follower: Follower) -> set[int]:
    """The nodes on which it depends where a switch stands that follows something."""
    machine = {n for s in network.sources if s.element == follower.source for n in s.nodes}
    return machine.union(follower.nodes)


def positions_of(design: Design, switch: str) -> tuple[str, ...]:
    """The positions of a switch or breaker-switch, or of a unit with a switch of its own."""
    part = design.parts[switch]
    if isinstance(part, p.Consumer):
        return ("off", "on")
    return tuple(part.positions) if isinstance(part, p.Switch) else ("open", "closed")


def grid_of(
    design: Design,
    base: ResolvedState,
    switches: Iterable[str],
    moving: str = "",
    engines: tuple[str, ...] = (),
) -> Grid | None:
    """The grid of some switches around a base state.

    The switch ``moving`` is in transit between neighbouring positions; None where it has no transit
    to try. Only switches for which the base gives a position can be varied.
    """
    outsides = (False, True) if design.of_kind(p.ExternalPower) else (False,)
    engines = engines or (("running", "stopped") if design.of_kind(p.Alternator) else (base.engine,))
    axes: list[tuple[str, tuple[Setting, ...]]] = []
    left_out = []
    width = len(outsides) * len(engines)
    for switch in sorted(switches, key=lambda s: s != moving):
        if switch == moving:
            settings = _transits(design, switch)
            if not settings:
                return None
        else:
            settings = tuple(Setting((at,)) for at in positions_of(design, switch))
        if width * len(settings) > MOST:
            left_out.append(switch)
            continue
        width *= len(settings)
        axes.append((switch, settings))
    grid = Grid(base, tuple(axes), engines, outsides, (1 << width) - 1, tuple(left_out))
    return replace(grid, legal=_legal(design, grid))


def _transits(design: Design, switch: str) -> tuple[Setting, ...]:
    """The settings of a switch in transit."""
    part = design.parts[switch]
    if not isinstance(part, p.Switch):
        return ()
    neighbours = list(zip(list(part.positions), list(part.positions)[1:], strict=False))
    settings = []
    if part.transfer != "break-before-make":
        settings += [Setting(pair) for pair in neighbours]
    if part.transfer != "make-before-break":
        settings += [Setting(pair, joined=False) for pair in neighbours]
    return tuple(settings)


def _legal(design: Design, grid: Grid) -> int:
    """The lanes that no declared exclusion prevents."""
    every = legal = (1 << grid.width) - 1
    axis_of = {switch: i for i, (switch, _) in enumerate(grid.axes)}
    for exclusion in design.operation.excluded if design.operation else ():
        # an exclusion with a switch outside the grid is avoided by moving that switch
        if set(exclusion.switches) <= set(axis_of):
            excluded = every
            for switch, position in exclusion.switches.items():
                axis = axis_of[switch]
                excluded &= grid.where(axis, (position in s.positions for s in grid.settings(axis)))
            legal &= ~excluded
    return legal


def lanes_of_grid(
    network: Network, grid: Grid, lost: Collection[str] = (), welded: Collection[str] = ()
) -> Lanes:
    """One lane a combination.

    In all of them the elements ``lost`` are open, and the contacts of switches and relays
    ``welded`` closed.
    """
    base = lanes_of_cases(network, grid.base, ())
    every = (1 << grid.width) - 1
    axis_of = {switch: i for i, (switch, _) in enumerate(grid.axes)}
    forward = [every if closed else 0 for closed in base.forward]
    for i, switch, positions in network.switched:
        axis = axis_of.get(switch)
        if axis is not None and switch not in grid.base.pulled:
            forward[i] = grid.where(axis, (s.conducts(positions) for s in grid.settings(axis)))
        if f"parts/{switch}" in welded:
            forward[i] = every
    for i in network.plugged:
        forward[i] = grid.with_external_power(True)
    for element in lost:
        for i in network.parting(element):
            if network.lamp_contacts.get(element) != i:
                forward[i] = 0
    backward = list(forward)
    for i in network.one_way:
        backward[i] = 0
    return replace(
        base,
        width=grid.width,
        forward=tuple(forward),
        backward=tuple(backward),
        opened=dict.fromkeys(lost, every),
        held=dict.fromkeys(welded, every),
        running=grid.with_engine("running"),
        engines={name: grid.engine_runs(name) for name in base.engines},
        turned={name: grid.engine_is(name, TURNING) for name in base.turned},
        turning=grid.with_engine("running") | grid.with_engine("cranking"),
        outside=grid.with_external_power(True),
        sneaks=tuple((sneak, every) for sneak in grid.base.sneaks),
        off=dict.fromkeys(base.off, every),
        put=dict.fromkeys(base.put, every),
        listed=dict.fromkeys(base.listed, every),
    )


def conduct_grid(
    network: Network, grid: Grid, lost: Collection[str] = (), welded: Collection[str] = ()
) -> Conduction:
    """Solve every combination of a grid, each from all de-energised."""
    return conduct_lanes(network, lanes_of_grid(network, grid, lost, welded))


def held_momentary(design: Design, grid: Grid) -> int:
    """The lanes in which a switch is held at a position that springs back."""
    mask = 0
    for i, (switch, _) in enumerate(grid.axes):
        part = design.parts[switch]
        if isinstance(part, p.Switch) and part.momentary:
            momentary = set(part.momentary)
            mask |= grid.where(i, (not momentary.isdisjoint(s.positions) for s in grid.settings(i)))
    return mask
