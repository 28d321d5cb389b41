"""Lanes: many scenarios side by side, one bit each, as masks over the links, elements and nodes of a network."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from reviewer.analysis.conduction.failure_modes import (
    DIODE_SHORT,
    DROPPED,
    HELD,
    OPEN,
    SEVERED,
    SHORT,
    STAYS,
    Failure,
)
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network, bare

Case = Failure | tuple[Failure, ...]
Masks = dict


@record
class Lanes:
    """What differs between the lanes. ``forward[link]`` and ``backward[link]``: lanes in which a link conducts from a to b and from b to a, relays aside.

    ``relayed`` are (link, relay element, True for contacts that make); ``held`` and ``dropped`` the lanes in which a relay's contacts stick;
    ``opened[element]``; ``grounded[passes][node]``, the lanes in which a node is shorted and only ``passes`` do not stop that short; ``running`` and
    ``outside`` those with the engine running and with power from outside.
    """

    width: int
    forward: tuple[int, ...]
    backward: tuple[int, ...]
    relayed: tuple[tuple[int, str, bool], ...]
    held: Mapping[str, int]
    dropped: Mapping[str, int]
    opened: Mapping[str, int]
    grounded: Mapping[frozenset[str], Mapping[int, int]]
    running: int
    outside: int
    #: lanes in which a link may do other than in most: something is open, shorted through, stuck or moved
    touched: int = -1

    @property
    def every(self) -> int:
        """All lanes."""
        return (1 << self.width) - 1


@dataclass
class _Troubles:
    """Failures as masks: mode -> (element, or node, or (element, position)) -> lanes."""

    opened: Masks = field(default_factory=dict)
    grounded: Masks = field(default_factory=dict)
    shorted: Masks = field(default_factory=dict)
    through: Masks = field(default_factory=dict)
    held: Masks = field(default_factory=dict)
    dropped: Masks = field(default_factory=dict)
    stays: Masks = field(default_factory=dict)

    def tables(self) -> tuple[Masks, ...]:
        return (self.opened, self.grounded, self.shorted, self.through, self.held, self.dropped, self.stays)


def mask_of(lanes: Iterable[int], width: int) -> int:
    """The mask with the bits of some lanes."""
    octets = bytearray((width + 7) // 8)
    for lane in lanes:
        octets[lane >> 3] |= 1 << (lane & 7)
    return int.from_bytes(octets, "little")


def _troubles(network: Network, cases: Sequence[Case]) -> _Troubles:
    bits = _Troubles()

    def note(table: Masks, key: object, lane: int) -> None:
        table.setdefault(key, []).append(lane)

    for lane, case in enumerate(cases):
        for failure in case if isinstance(case, tuple) else (case,):
            if failure.mode == OPEN:
                note(bits.opened, failure.element, lane)
            elif failure.mode == SHORT:
                note(bits.shorted, failure.element, lane)
                for node in failure.nodes:
                    note(bits.grounded, (failure.passes, node), lane)
            elif failure.mode == SEVERED:
                for wire in network.bundles[bare(failure.element)]:
                    note(bits.opened, wire, lane)
            elif failure.mode == STAYS:
                note(bits.stays, (failure.element, failure.position), lane)
            else:
                note(
                    {DIODE_SHORT: bits.through, HELD: bits.held, DROPPED: bits.dropped}[failure.mode],
                    failure.element,
                    lane,
                )
    for table in bits.tables():
        for key, lanes in table.items():
            table[key] = 1 << lanes[0] if len(lanes) == 1 else mask_of(lanes, len(cases))
    return bits


def lanes_of_cases(network: Network, state: ResolvedState, cases: Sequence[Case]) -> Lanes:
    """One lane a case (a failure, or several at once); without a case, one lane with nothing failed."""
    return _lanes(network, state, _troubles(network, cases), len(cases) or 1)


def lanes_of_pairs(
    network: Network, state: ResolvedState, firsts: Sequence[Case], seconds: Sequence[Case]
) -> Lanes:
    """One lane a pair: lane ``i * len(seconds) + j`` has the failures of ``firsts[i]`` and of ``seconds[j]``."""
    count, block = len(firsts), (1 << len(seconds)) - 1
    repeat = sum(1 << i * len(seconds) for i in range(count))
    one, other = _troubles(network, firsts), _troubles(network, seconds)
    for mine, theirs in zip(one.tables(), other.tables(), strict=True):
        for key, mask in mine.items():
            mine[key] = sum(block << i * len(seconds) for i in range(count) if mask >> i & 1)
        for key, mask in theirs.items():
            mine[key] = mine.get(key, 0) | mask * repeat
    return _lanes(network, state, one, count * len(seconds))


def _lanes(network: Network, state: ResolvedState, bits: _Troubles, width: int) -> Lanes:
    every = (1 << width) - 1
    standing = [every] * len(network.links)
    for i, name, positions in network.switched:
        if state.switches.get(name) not in positions:
            standing[i] = 0
    pulled = dict.fromkeys(state.pulled, every)
    return _under(
        network,
        bits,
        width,
        standing,
        pulled,
        every if state.engine == "running" else 0,
        every if state.ground_power else 0,
        True,
    )


def _under(
    network: Network,
    bits: _Troubles,
    width: int,
    standing: list[int],
    pulled: Masks,
    running: int,
    outside: int,
    alike: bool,
) -> Lanes:
    """Lanes of links that stand as their switches do (``standing``), under troubles. ``alike``: but for these, all lanes are the same."""
    # the same part both open and shorted counts as shorted
    opened = {element: mask & ~bits.shorted.get(element, 0) for element, mask in bits.opened.items()}
    moved: dict[str, int] = {}
    for (element, _), mask in bits.stays.items():
        moved[element] = moved.get(element, 0) | mask
    forward = list(standing)
    for element, mask in moved.items():
        for i in network.links_of[element]:
            forward[i] &= ~mask
            for position in network.links[i].positions:
                forward[i] |= bits.stays.get((element, position), 0)
    for name, mask in pulled.items():
        for i in network.links_of.get(f"parts/{name}", ()):
            if i in network.protectors:
                forward[i] &= ~mask
    for element, mask in opened.items():
        for i in network.links_of.get(element, ()):
            forward[i] &= ~mask
    backward = list(forward)
    for i, element in network.diodes:
        backward[i] &= bits.through.get(element, 0)
    touched = 0
    for table in (opened, bits.through, bits.held, bits.dropped, bits.stays):
        for mask in table.values():
            touched |= mask
    grounded: dict[frozenset[str], dict[int, int]] = {}
    for (passes, node), mask in bits.grounded.items():
        grounded.setdefault(passes, {})[node] = mask
    return Lanes(
        width, tuple(forward), tuple(backward), network.relayed, bits.held, bits.dropped, opened, grounded, running, outside,
        touched if alike else (1 << width) - 1,
    )  # fmt: skip


def lanes_of_states(network: Network, states: Sequence[ResolvedState]) -> Lanes:
    """One lane a state, with nothing failed."""
    return _settings(network, states, _Troubles(), 1)


def lanes_of_moves(
    network: Network,
    states: Sequence[ResolvedState],
    cases: Sequence[Case],
    tripped: Mapping[int, int],
    lost: Mapping[str, int],
) -> Lanes:
    """One lane a state and case, after something has happened already: lane ``i * len(cases) + j`` has ``states[i]`` and ``cases[j]``.

    ``tripped[link]`` are the lanes in which a protector has opened, ``lost[element]`` those in which a source is gone for good.
    """
    repeat = mask_of((i * len(cases) for i in range(len(states))), len(states) * len(cases))
    bits = _troubles(network, cases)
    for table in bits.tables():
        for key, mask in table.items():
            table[key] = mask * repeat
    lanes = _settings(network, states, bits, len(cases))
    ways = [list(lanes.forward), list(lanes.backward)]
    for i, mask in tripped.items():
        for way in ways:
            way[i] &= ~mask
    opened = {
        **lanes.opened,
        **{element: lanes.opened.get(element, 0) | mask for element, mask in lost.items()},
    }
    return replace(lanes, forward=tuple(ways[0]), backward=tuple(ways[1]), opened=opened)


def _settings(network: Network, states: Sequence[ResolvedState], bits: _Troubles, size: int) -> Lanes:
    """Lanes in blocks of ``size``, a block for each state, under troubles that are masks over all of them."""
    width = len(states) * size
    whole = (1 << size) - 1
    stand: dict[tuple[str, str], list[int]] = {}
    pulled: dict[str, list[int]] = {}
    for block, state in enumerate(states):
        for switch, position in state.switches.items():
            stand.setdefault((switch, position), []).append(block)
        for name in state.pulled:
            pulled.setdefault(name, []).append(block)

    def mask_of_blocks(blocks: Iterable[int]) -> int:
        return mask_of((block * size for block in blocks), width) * whole

    stands = {key: mask_of_blocks(blocks) for key, blocks in stand.items()}
    out = {name: mask_of_blocks(blocks) for name, blocks in pulled.items()}
    standing = [(1 << width) - 1] * len(network.links)
    for i, name, positions in network.switched:
        standing[i] = 0
        for position in positions:
            standing[i] |= stands.get((name, position), 0)
    running = mask_of_blocks(i for i, s in enumerate(states) if s.engine == "running")
    outside = mask_of_blocks(i for i, s in enumerate(states) if s.ground_power)
    return _under(network, bits, width, standing, out, running, outside, False)
