"""Currents in series through loads and the coil of a relay whose own circuit is open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from reviewer.analysis.conduction.failure_modes import HELD, Failure
from reviewer.analysis.conduction.fixed_point import conduct, conduct_lanes, link_masks
from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.propagation import OneLane
from reviewer.analysis.conduction.scenarios import lanes_of_cases, lanes_of_states
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.paths.sneak_circuits import with_loads
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState, SneakCurrent
from reviewer.network.graph import Network, PoweredDevice, bare
from reviewer.network.search import ShortestPaths, anything_along, reachable


def may_flow(
    design: Design, network: Network, coils: Sequence[PoweredDevice], answers: Sequence[StateAnswer]
) -> Mapping[str, int]:
    """By coil (element) the states, a bit each in their order, in which a source leads to one end of it
    and another end leads back there, by loads and all coils: in no other is there a sneak current."""
    wider, first = with_loads(design, network)
    every = (1 << len(answers)) - 1
    energised = {e: _packed(a.healthy.energised[e] for a in answers) for e in network.moved}
    lanes = lanes_of_states(network, [answer.state for answer in answers])
    along, against = link_masks(lanes, energised)
    for link in wider.links[first:]:
        along.append(every)
        against.append(0 if link.oneway else every)
    found = dict.fromkeys((coil.element for coil in coils), 0)
    for source in network.sources:
        name = source.element
        alive = _packed(answer.healthy.alive[name] for answer in answers)
        shut = _by_state([a.healthy.returned[name] for a in answers])
        ahead = _reached(wider, source.positive, alive, (along, against), shut)
        shut = _by_state([a.healthy.fed[name] for a in answers])
        behind = _reached(wider, source.negative, alive, (against, along), shut)
        for coil in coils:
            for plus, minus in ((coil.plus, coil.minus), (coil.minus, coil.plus)):
                there = join(ahead.get(node, 0) for node in plus)
                found[coil.element] |= there & join(behind.get(node, 0) for node in minus)
    return found


def _by_state(reaches: Sequence[Sequence[int]]) -> Sequence[int]:
    """For each node the states in which it is reached, as each of some says of one state."""
    own = [(reach.many, reach.lane) for reach in reaches if isinstance(reach, OneLane)]
    many = own[0][0] if own else ()
    every = (1 << len(reaches)) - 1
    if [lane for one, lane in own if one is many] == list(range(len(reaches))):  # solved side by side
        return [mask & every for mask in many]
    return [_packed(each) for each in zip(*reaches, strict=True)]


def _packed(bits: Iterable[int]) -> int:
    return sum(1 << i for i, bit in enumerate(bits) if bit)


def _reached(
    network: Network, start: int, lanes: int, masks: tuple[list[int], list[int]], shut: Sequence[int]
) -> dict[int, int]:
    """The lanes in which each node is reached from one, by links that conduct away from their first node and
    to it in the lanes of ``masks``, past no node that is ``shut``."""
    away, towards = masks
    reached, todo = {start: lanes}, [start]
    while todo:
        node = todo.pop()
        here = reached[node]
        for i, other, leaving in network.around[node]:
            before = reached.get(other, 0)
            more = here & (away if leaving else towards)[i] & ~shut[other] & ~before
            if more:
                reached[other] = before | more
                todo.append(other)
    return reached


@record
class SneakPath:
    """A sneak current through a coil.

    ``missing`` is the current of the coil or of a load on the path that the file does not give,
    else "".
    """

    current: SneakCurrent
    missing: str


#: one step of a path: its element, and where it is a load or coil the nodes at which current enters
#: and leaves
_Step = tuple[str, tuple[int, int] | None]


class SneakPaths:
    """The sneak currents that can flow through one coil."""

    def __init__(self, design: Design, network: Network, coil: PoweredDevice):
        self.design, self.network, self.coil = design, network, coil

    @cached_property
    def wider(self) -> tuple[Network, int]:
        """The network with a link through every load, instrument and other coil; and the index of
        the first of these links."""
        coils = tuple(c for c in self.network.coils if c is not self.coil)
        return with_loads(self.design, replace(self.network, coils=coils))

    @cached_property
    def alone(self) -> bool:
        """Whether no setting of switches and relays feeds and returns the coil but by loads."""
        for source in self.network.sources:
            ahead, back = (
                reachable(self.network, [node], anything_along) for node in (source.positive, source.negative)
            )
            plus, minus = set(self.coil.plus), set(self.coil.minus)
            if (plus & ahead and minus & back) or (minus & ahead and plus & back):
                return False
        return True

    def held(self, state: ResolvedState) -> tuple[SneakPath, StateAnswer] | None:
        """The sneak current that can flow with the contacts of the relay closed, and the state with
        the relay held energised by it; None where none can."""
        relay = self.coil.element
        closed = Failure(relay, HELD)
        answer = StateAnswer(self.design, self.network, state, conduct(self.network, state, (closed,)))
        path = self.find(answer, (closed,))
        if path is None:
            return None
        state = replace(state, sneaks=(*state.sneaks, path.current))
        start = {**answer.healthy.energised, relay: 1}, dict(answer.healthy.alive)
        solved = conduct_lanes(self.network, lanes_of_cases(self.network, state, ()), start=start)
        return path, StateAnswer(self.design, self.network, state, solved)

    def find(self, answer: StateAnswer, case: tuple[Failure, ...] = ()) -> SneakPath | None:
        """The sneak current in a state, by the shortest path; ``case`` are its failures."""
        wider, first = self.wider
        healthy = answer.healthy
        lanes = lanes_of_cases(self.network, answer.state, (case,) if case else ())
        along, against = link_masks(lanes, healthy.energised)
        for link in wider.links[first:]:
            along.append(1)
            against.append(0 if link.oneway else 1)

        def steps(backward: bool, shut: Sequence[int]):
            def onward(node: int) -> Iterator[tuple[int, _Step]]:
                for i, other, leaving in wider.around[node]:
                    if (along if leaving != backward else against)[i] and not shut[other]:
                        ends = (other, node) if backward else (node, other)
                        yield other, (wider.links[i].element, ends if i >= first else None)

            return onward

        for source in self.network.sources:
            name = source.element
            if not healthy.alive[name]:
                continue
            ahead = ShortestPaths(source.positive, steps(False, healthy.returned[name]))
            behind = ShortestPaths(source.negative, steps(True, healthy.fed[name]))
            for plus, minus in ((self.coil.plus, self.coil.minus), (self.coil.minus, self.coil.plus)):
                to = ahead.nearest(plus)
                back = behind.nearest(minus) if to else None
                if to and back:
                    coil: _Step = (self.coil.element, (to[0], back[0]))
                    return self._described([(name, None), *to[1], coil, *back[1][::-1]])
        return None

    def _described(self, path: Sequence[_Step]) -> SneakPath:
        names = self.network.names
        hops = tuple((e, names[ends[0]], names[ends[1]]) for e, ends in path if ends)
        elements = tuple(dict.fromkeys(e for e, _ in path))
        current = SneakCurrent(self.coil.element, hops, elements, self.alone)
        return SneakPath(current, self._missing(current.through))

    def _missing(self, through: Sequence[str]) -> str:
        """The current of the coil or of a load on the path that the file does not give."""
        if self.design.parts[bare(self.coil.element)].coil_current is None:
            return f"`coil-current` of {bare(self.coil.element)}"
        for element in through:
            part = self.design.parts[bare(element)]
            key = "coil_current" if isinstance(part, p.Electromagnet) else "current"
            if getattr(part, key) is None:
                return f"`{key.replace('_', '-')}` of {bare(element)}"
        return ""
