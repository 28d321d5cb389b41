"""Lanes: many scenarios side by side, one bit each, as masks by link, element and node."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate
from typing import assert_never

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.masks import bits, join
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState, SneakCurrent
from reviewer.network.graph import Channel, Network, SelfPowered, Source, bare

#: one failure, or several at once
Case = Failure | tuple[Failure, ...]
Masks = dict
#: from so many cases on their lanes are kept until those of others are asked for
KEPT_FROM = 50
#: sets of cases whose masks are kept: states and what is asked of them share most
SETS_KEPT = 4
#: what an engine does while its magnetos turn: by itself, or by the starter
TURNING = ("running", "cranking")


def failures_of(case: Case) -> tuple[Failure, ...]:
    """The failures of a case."""
    return case if isinstance(case, tuple) else (case,)


@record
class Lanes:
    """What differs between the lanes.

    * ``forward[link]``, ``backward[link]``: lanes in which a link conducts from a to b and from b
      to a, relay coils left aside;
    * ``relayed``: (link, relay or unit, True for what conducts when that has power);
    * ``held[relay]``, ``dropped[relay]``: lanes in which contacts are welded closed, or failed
      open;
    * ``opened[element]``: lanes in which an element is open;
    * ``grounded[passes][node]``: lanes in which a node is shorted to ground and only the protectors
      ``passes`` do not stop that short;
    * ``running``, ``outside``: lanes with the engine running, and with external power;
    * ``turning``: lanes in which the engine runs or is cranked;
    * ``listed[source]``: lanes in whose states a source is listed as working;
    * ``sneaks``: (sneak current, lanes in whose states it energises its relay);
    * ``tripping``: (link, overvoltage relay, True for what conducts after its trip), ``stays[switch]``:
      lanes in which it stays where it is, ``full_on[regulator]``: lanes in which that has failed so,
      ``put[relay]``: lanes in whose states an overvoltage relay with a ground of its own has tripped.
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
    #: lanes in which a link may differ from most lanes: something is open, shorted, welded or moved
    touched: int = -1
    sneaks: tuple[tuple[SneakCurrent, int], ...] = ()
    turning: int = 0
    #: of several engines: the lanes in which each runs
    engines: Mapping[str, int] = field(default_factory=dict)
    #: unit (element) -> lanes in which it is turned off by its own switch
    off: Mapping[str, int] = field(default_factory=dict)
    #: element -> lanes in which it is shorted itself
    shorted: Mapping[str, int] = field(default_factory=dict)
    #: link of an output -> lanes in which it conducts whatever its unit does
    stuck_on: Mapping[int, int] = field(default_factory=dict)
    #: of several engines: the lanes in which each runs or is cranked
    turned: Mapping[str, int] = field(default_factory=dict)
    listed: Mapping[str, int] = field(default_factory=dict)
    tripping: tuple[tuple[int, str, bool], ...] = ()
    stays: Mapping[str, int] = field(default_factory=dict)
    full_on: Mapping[str, int] = field(default_factory=dict)
    put: Mapping[str, int] = field(default_factory=dict)
    #: lanes in which something is degraded or leaks, which matters to volts alone
    worn: int = 0

    def turns(self, magneto: SelfPowered) -> int:
        """The lanes in which the engine of a magneto turns."""
        return self.turned.get(magneto.engine, self.turning)

    def driven(self, driven: Source | Channel) -> int:
        """The lanes in which the engine of a source, or of something mechanical, runs."""
        return self.engines.get(driven.engine, self.running)

    @property
    def every(self) -> int:
        """All lanes."""
        return (1 << self.width) - 1


@dataclass
class _FailureMasks:
    """Failures as masks: for each mode, (element, or node, or (element, position)) -> lanes."""

    opened: Masks = field(default_factory=dict)
    grounded: Masks = field(default_factory=dict)
    shorted: Masks = field(default_factory=dict)
    shorted_diodes: Masks = field(default_factory=dict)
    held: Masks = field(default_factory=dict)
    dropped: Masks = field(default_factory=dict)
    full_on: Masks = field(default_factory=dict)
    stays: Masks = field(default_factory=dict)
    stuck_on: Masks = field(default_factory=dict)
    worn: Masks = field(default_factory=dict)

    def tables(self) -> tuple[Masks, ...]:
        """All tables, in a fixed order."""
        return (
            self.opened,
            self.grounded,
            self.shorted,
            self.shorted_diodes,
            self.held,
            self.dropped,
            self.full_on,
            self.stays,
            self.stuck_on,
            self.worn,
        )

    def entries(self, network: Network, failure: Failure) -> Iterator[tuple[Masks, Hashable]]:
        """The (table, key) pairs under which a failure is entered, but for what it shorts."""
        match failure.mode:
            case Mode.OPEN | Mode.SEVERED:
                for element in network.opened_by(failure.element):
                    yield self.opened, element
            case Mode.SHORT:
                yield self.shorted, failure.element
                for element in failure.opened:
                    yield self.opened, element
            case Mode.FULL_ON:
                yield self.full_on, failure.element
                for source in network.sources:  # a drawn relay stops it, where that can trip
                    if source.tripped == failure.element and source.relay is None:
                        yield self.opened, source.element
            case Mode.STAYS:
                follower = network.follower.get(failure.element)
                if follower is None:
                    yield self.stays, (failure.element, failure.position)
                else:
                    moved = failure.position == follower.moved_to
                    yield (self.held if moved else self.dropped), failure.element
            case Mode.DIODE_SHORT:
                if not failure.nodes:  # else it joins its supply to the negative, as a short does
                    yield self.shorted_diodes, failure.element
            case Mode.HELD | Mode.DROPPED:
                yield (self.held if failure.mode is Mode.HELD else self.dropped), failure.element
            case Mode.STUCK_ON:
                yield self.stuck_on, f"{bare(failure.element)}.{failure.position}"
            case Mode.DEGRADED | Mode.LEAKING:
                yield self.worn, failure.element
            case _:
                assert_never(failure.mode)

    def differing(self, opened: Masks) -> int:
        """The lanes in which a link may differ: all failures but shorts, ``opened`` given."""
        touched = 0
        for table in (opened, *self.tables()[3:]):
            for mask in table.values():
                touched |= mask
        return touched


def mask_of(lanes: Iterable[int], width: int) -> int:
    """The mask with the bits of some lanes."""
    octets = bytearray((width + 7) // 8)
    for lane in lanes:
        octets[lane >> 3] |= 1 << (lane & 7)
    return int.from_bytes(octets, "little")


def blocks_of(sizes: Sequence[int]) -> Callable[[Iterable[int]], int]:
    """What gives the mask of some blocks, by number, of lanes in blocks of these sizes."""
    if len(set(sizes)) == 1:
        size, width = sizes[0], sum(sizes)

        def lanes_of(numbers: Iterable[int]) -> int:
            starts = mask_of((number * size for number in numbers), width)
            return (starts << size) - starts  # from each of these bits on the whole block

        return lanes_of
    starts = accumulate(sizes, initial=0)
    blocks = [((1 << size) - 1) << start for size, start in zip(sizes, starts, strict=False)]
    return lambda numbers: join(blocks[number] for number in numbers)


def _failure_masks(network: Network, cases: Sequence[Case]) -> _FailureMasks:
    masks = _FailureMasks()
    shorts: dict[frozenset[str], dict[int, int]] = {}
    for lane, case in enumerate(cases):
        bit = 1 << lane
        for failure in failures_of(case):
            if failure.nodes:
                at = shorts.setdefault(failure.passes, {})
                for node in failure.nodes:
                    at[node] = at.get(node, 0) | bit
            for table, key in masks.entries(network, failure):
                table[key] = table.get(key, 0) | bit
    masks.grounded = {(passes, node): mask for passes, at in shorts.items() for node, mask in at.items()}
    return masks


def _kept_masks(network: Network, cases: Sequence[Case]) -> _FailureMasks:
    """:func:`_failure_masks`, to be read only: of many cases the last few sets are kept."""
    if len(cases) < KEPT_FROM:
        return _failure_masks(network, cases)
    kept: list[tuple[tuple[Case, ...], _FailureMasks]] = network.searched.setdefault("failure masks", [])
    own = tuple(cases)
    for place, (known, masks) in enumerate(kept):
        if known == own:
            kept.append(kept.pop(place))
            return masks
    masks = _failure_masks(network, own)
    kept[:] = [*kept[1 - SETS_KEPT :], (own, masks)]
    return masks


def lanes_of_cases(network: Network, state: ResolvedState, cases: Sequence[Case]) -> Lanes:
    """One lane a case (a failure, or several); without a case, one lane with nothing failed.

    Those of many are kept: logic, volts and schematic ask for the same one after the other.
    """
    many = isinstance(cases, tuple) and len(cases) >= KEPT_FROM
    kept = network.searched.get("lanes") if many else None
    if kept is not None and kept[0] is state and kept[1] is cases:
        return kept[2]
    lanes = _lanes_of_one_state(network, state, _kept_masks(network, cases), len(cases) or 1)
    if many:
        network.searched["lanes"] = state, cases, lanes
    return lanes


def lanes_of_pairs(
    network: Network, state: ResolvedState, firsts: Sequence[Case], seconds: Sequence[Case]
) -> Lanes:
    """One lane a pair: lane ``i * len(seconds) + j`` has ``firsts[i]`` and ``seconds[j]``."""
    count, size = len(firsts), len(seconds)
    repeat = mask_of((i * size for i in range(count)), count * size)
    both, second = _failure_masks(network, firsts), _kept_masks(network, seconds)
    for table, addition in zip(both.tables(), second.tables(), strict=True):
        for key, mask in table.items():
            starts = mask_of((i * size for i in bits(mask)), count * size)
            table[key] = (starts << size) - starts  # from each of these bits on the whole block
        for key, mask in addition.items():
            lane = mask.bit_length() - 1
            every = repeat << lane if mask == 1 << lane else mask * repeat
            table[key] = table.get(key, 0) | every
    return _lanes_of_one_state(network, state, both, count * size)


def _lanes_of_one_state(network: Network, state: ResolvedState, failures: _FailureMasks, width: int) -> Lanes:
    every = (1 << width) - 1
    closed = [every] * len(network.links)
    for i, name, positions in network.switched:
        if state.switches.get(name) not in positions:
            closed[i] = 0
    _rest(network, closed, every)
    for i in network.plugged if not state.external_power else ():
        closed[i] = 0
    for i, output in network.commanded:
        if output not in state.outputs_on:
            closed[i] = 0
    controls = _Controls(
        closed=closed,
        pulled=dict.fromkeys(state.pulled, every),
        running=every if state.engine == "running" else 0,
        outside=every if state.external_power else 0,
        uniform=True,
        sneaks=tuple((sneak, every) for sneak in state.sneaks),
        engines={name: every if state.runs(name) else 0 for name in network.driving},
        turned={name: every if state.engine_of(name) in TURNING else 0 for name in network.engines},
        off={c.element: every for c in network.consumers if c.own_switch and state.is_off(bare(c.element))},
        turning=every if state.engine in TURNING else 0,
        listed={f"parts/{name}": every for name in state.chargers},
        put={
            relay: every
            for relay, tripped in network.measuring.items()
            if state.switches.get(bare(relay)) == tripped
        },
    )
    return _lanes(network, failures, width, controls)


def _rest(network: Network, closed: list[int], every: int) -> None:
    """The contacts of overvoltage relays with a ground of their own as they are at rest: where a state has
    one tripped, it is so only with its ground."""
    for relay, tripped in network.measuring.items():
        for i in network.links_of[relay]:
            if positions := network.links[i].positions:
                closed[i] = every if set(positions) - {tripped} else 0


@dataclass
class _Controls:
    """How switches, breakers, engine and external power are in each lane, as masks.

    ``closed[link]`` is what the switches close, ``pulled[name]`` the breakers that are out.
    ``uniform``: all lanes are the same.
    """

    closed: list[int]
    pulled: Masks
    running: int
    outside: int
    uniform: bool
    sneaks: tuple[tuple[SneakCurrent, int], ...]
    engines: Mapping[str, int]
    turned: Mapping[str, int]
    off: Mapping[str, int]
    turning: int
    listed: Masks
    put: Masks


def _lanes(network: Network, failures: _FailureMasks, width: int, controls: _Controls) -> Lanes:
    """The lanes of some controls under some failures."""
    # an element that is both open and shorted counts as shorted
    opened = {element: mask & ~failures.shorted.get(element, 0) for element, mask in failures.opened.items()}
    forward = _forward(network, failures, opened, controls)
    backward = list(forward)
    for i in network.one_way:
        backward[i] &= failures.shorted_diodes.get(network.links[i].element, 0)
    grounded: dict[frozenset[str], dict[int, int]] = {}
    for (passes, node), mask in failures.grounded.items():
        grounded.setdefault(passes, {})[node] = mask
    return Lanes(
        width=width,
        forward=tuple(forward),
        backward=tuple(backward),
        relayed=network.relayed,
        held=failures.held,
        dropped=failures.dropped,
        opened=opened,
        grounded=grounded,
        running=controls.running,
        outside=controls.outside,
        touched=failures.differing(opened) if controls.uniform else (1 << width) - 1,
        sneaks=controls.sneaks,
        engines=controls.engines,
        turned=controls.turned,
        off=controls.off,
        shorted=failures.shorted,
        stuck_on=_stuck_on(network, failures) if failures.stuck_on else {},
        turning=controls.turning,
        listed=controls.listed,
        tripping=network.tripping,
        stays=_stay(failures) if network.tripping else {},
        full_on=failures.full_on,
        put=controls.put,
        worn=join(failures.worn.values()),
    )


def _forward(network: Network, failures: _FailureMasks, opened: Masks, controls: _Controls) -> list[int]:
    """The lanes in which each link conducts from a to b, relay coils left aside."""
    forward = list(controls.closed)
    for element, mask in _stay(failures).items():
        for i in network.links_of[element]:
            forward[i] &= ~mask
            for position in network.links[i].positions:
                forward[i] |= failures.stays.get((element, position), 0)
    if failures.stuck_on:
        for i, mask in _stuck_on(network, failures).items():
            forward[i] |= mask
    for name, mask in controls.pulled.items():
        for i in network.links_of.get(f"parts/{name}", ()):
            if i in network.protectors:
                forward[i] &= ~mask
    for element, mask in opened.items():
        lamp = network.lamp_contacts.get(element)
        for i in network.parting(element):
            if i != lamp:  # an alternator that is lost gives nothing, and its lamp is lit
                forward[i] ^= forward[i] & mask
    return forward


def _stay(failures: _FailureMasks) -> dict[str, int]:
    """Switch -> the lanes in which it stays in some position."""
    found: dict[str, int] = {}
    for (element, _), mask in failures.stays.items():
        found[element] = found.get(element, 0) | mask
    return found


def _stuck_on(network: Network, failures: _FailureMasks) -> dict[int, int]:
    """Link of an output -> the lanes in which it conducts whatever its unit does."""
    outputs = ((i, link.output) for i, link in enumerate(network.links) if link.output)
    return {i: failures.stuck_on[output] for i, output in outputs if output in failures.stuck_on}


def lanes_of_states(network: Network, states: Sequence[ResolvedState]) -> Lanes:
    """One lane a state, with nothing failed."""
    return _lanes_of_states(network, states, _FailureMasks(), [1] * len(states))


def lanes_of_states_failed(
    network: Network, states: Sequence[ResolvedState], cases: Sequence[Sequence[Case]]
) -> Lanes:
    """The lanes of each of some states under cases of its own, one state after the other."""
    failures = _failure_masks(network, [case for own in cases for case in own])
    return _lanes_of_states(network, states, failures, [len(own) for own in cases])


def lanes_of_moves(
    network: Network,
    states: Sequence[ResolvedState],
    cases: Sequence[Case],
    tripped: Mapping[int, int],
    lost: Mapping[str, int],
) -> Lanes:
    """One lane a state and case, after earlier events.

    Lane ``i * len(cases) + j`` has ``states[i]`` and ``cases[j]``. ``tripped[link]`` are the lanes
    in which a protector has opened, ``lost[element]`` those in which a source is gone for good.
    """
    repeat = mask_of((i * len(cases) for i in range(len(states))), len(states) * len(cases))
    failures = _failure_masks(network, cases)
    for table in failures.tables():
        for key, mask in table.items():
            # of one lane, as most are, in a fraction of the time that a product takes
            lane = mask.bit_length() - 1
            table[key] = repeat << lane if mask == 1 << lane else mask * repeat
    lanes = _lanes_of_states(network, states, failures, [len(cases)] * len(states))
    forward, backward = list(lanes.forward), list(lanes.backward)
    for i, mask in tripped.items():
        forward[i] &= ~mask
        backward[i] &= ~mask
    opened = {
        **lanes.opened,
        **{element: lanes.opened.get(element, 0) | mask for element, mask in lost.items()},
    }
    return replace(lanes, forward=tuple(forward), backward=tuple(backward), opened=opened)


def _lanes_of_states(
    network: Network, states: Sequence[ResolvedState], failures: _FailureMasks, sizes: Sequence[int]
) -> Lanes:
    """Lanes in blocks of these ``sizes``, a block a state; the failures are masks over all lanes."""
    width, lanes_of = sum(sizes), blocks_of(sizes)

    first = (states[0].switches if states else dict[str, str]()).items()
    every = (1 << width) - 1
    #: most switches stand in all states as they do in the first one: where others stand, and do not
    at: dict[tuple[str, str], list[int]] = {}
    moved: dict[tuple[str, str], list[int]] = {}
    pulled: dict[str, list[int]] = {}
    sneaks: dict[SneakCurrent, list[int]] = {}
    listed: dict[str, list[int]] = {}
    for number, state in enumerate(states):
        for here in state.switches.items() - first:
            at.setdefault(here, []).append(number)
        for here in first - state.switches.items():
            moved.setdefault(here, []).append(number)
        for name in state.pulled:
            pulled.setdefault(name, []).append(number)
        for sneak in state.sneaks:
            sneaks.setdefault(sneak, []).append(number)
        for name in state.chargers:
            listed.setdefault(f"parts/{name}", []).append(number)
    masks = {here: every & ~lanes_of(moved[here]) if here in moved else every for here in first}
    masks |= {here: lanes_of(numbers) for here, numbers in at.items()}
    closed = [every] * len(network.links)
    for i, name, positions in network.switched:
        closed[i] = 0
        for position in positions:
            closed[i] |= masks.get((name, position), 0)
    _rest(network, closed, every)
    outside = lanes_of(i for i, s in enumerate(states) if s.external_power)
    for i in network.plugged:
        closed[i] = outside
    for i, output in network.commanded:
        closed[i] = lanes_of(number for number, state in enumerate(states) if output in state.outputs_on)
    controls = _Controls(
        closed=closed,
        pulled={name: lanes_of(numbers) for name, numbers in pulled.items()},
        running=lanes_of(i for i, s in enumerate(states) if s.engine == "running"),
        outside=outside,
        uniform=False,
        sneaks=tuple((sneak, lanes_of(numbers)) for sneak, numbers in sneaks.items()),
        engines={name: lanes_of(i for i, s in enumerate(states) if s.runs(name)) for name in network.driving},
        turned={
            name: lanes_of(i for i, s in enumerate(states) if s.engine_of(name) in TURNING)
            for name in network.engines
        },
        off={c.element: masks.get((bare(c.element), "off"), 0) for c in network.consumers if c.own_switch},
        turning=lanes_of(i for i, s in enumerate(states) if s.engine in TURNING),
        listed={element: lanes_of(numbers) for element, numbers in listed.items()},
        put={r: mask for r, at in network.measuring.items() if (mask := masks.get((bare(r), at), 0))},
    )
    return _lanes(network, failures, width, controls)
