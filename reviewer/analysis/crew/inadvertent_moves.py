"""Inadvertent operation: what a wrong move of one switch does in a state of flight."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from reviewer.analysis.conduction.exclusions import ways_along
from reviewer.analysis.conduction.failure_modes import STAYS, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_masks,
    loads_needed,
    loads_of,
    units_of,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import Network, bare


@record
class InadvertentMove:
    """A switch moved to ``position`` in a state, and what that does.

    ``along`` are the switches that the move takes along, with the positions that they come to.
    ``functions`` are the critical ones that it loses, ``channels`` the loads of functions of
    catastrophic loss that it stops, unless such a function goes on without electricity, and their
    magnetos, ``starters`` those that it runs, ``contactors`` those that drop out and with them a
    source of a critical function, or a battery from all its buses.
    """

    switch: str
    state: str
    position: str
    along: tuple[tuple[str, str], ...]
    functions: tuple[str, ...]
    channels: tuple[str, ...]
    starters: tuple[str, ...]
    contactors: tuple[str, ...]

    @property
    def matters(self) -> bool:
        """Whether the move does any of this."""
        return bool(self.functions or self.channels or self.starters or self.contactors)


def inadvertent_moves(
    design: Design, network: Network, answers: Iterable[StateAnswer]
) -> tuple[InadvertentMove, ...]:
    """Every move of one switch that matters, over some states.

    Where the switches exclude the combination that the move alone would set, other switches of the
    exclusion move along, as under a bar. A spring-loaded position takes nothing along, and what
    cannot move along holds the switch: then there is no move. Where several switches or positions
    would do, the file does not say which; the move matters if it matters in each of these ways.
    """
    return tuple(move for answer in answers for move in _of_state(design, network, answer))


def _of_state(design: Design, network: Network, answer: StateAnswer) -> Iterator[InadvertentMove]:
    """Every move of one switch that matters in a state, the first of its ways."""
    now = answer.state.switches
    ways = {
        (name, position): list(ways_along(design, {**now, name: position}, name))
        for name in design.hand_switches
        for position in design.parts[name].positions
        if position != now.get(name)
    }
    lanes = [(*move, along) for move, own in ways.items() for along in own]
    if not lanes:
        return
    cases = tuple(
        tuple(Failure(f"parts/{n}", STAYS, position=at) for n, at in ((name, position), *along))
        for name, position, along in lanes
    )
    watched = _Watched(design, answer, conduct(network, answer.state, cases, answer.healthy))
    done = [
        InadvertentMove(
            f"parts/{name}",
            answer.state.name,
            position,
            along,
            watched.functions_lost(lane),
            watched.channels_stopped(lane),
            watched.starters_run(lane),
            watched.contactors_dropped(lane),
        )
        for lane, (name, position, along) in enumerate(lanes)
    ]
    for name, position in ways:
        own = [m for m in done if (m.switch, m.position) == (f"parts/{name}", position)]
        if own and all(m.matters for m in own):
            yield own[0]


class _Watched:
    """What matters in a state, and what becomes of it in each lane of ``moved``."""

    def __init__(self, design: Design, answer: StateAnswer, moved: Conduction):
        self.answer, self.moved = answer, moved
        self.works = function_masks(design, moved.powered, (1 << moved.width) - 1)
        self.functions = [f for f in critical_functions(design) if answer.alive[f]]
        grave = [n for n, f in design.functions.items() if HazardClass.of(f.loss) is HazardClass.CATASTROPHIC]
        needed = {f: {*design.of_kind(p.Magneto), *loads_needed(design, answer, f)} for f in grave}
        self.channels = tuple(
            dict.fromkeys(
                n for function in grave for n in units_of(design, function) if n in needed[function]
            )
        )
        self.starters = design.starters
        self.contactors, self.relays = design.of_kind(p.Contactor), design.of_kind(p.Electromagnet)
        network = answer.network
        self.critical = [
            c
            for c in network.consumers
            if any(bare(c.element) in loads_of(design, function) for function in self.functions)
        ]
        self.buses = [network.index[n] for n in design.of_kind(p.Bus) if n in network.index]

    def functions_lost(self, lane: int) -> tuple[str, ...]:
        """The critical functions that are lost."""
        return tuple(f for f in self.functions if not self.works[f] >> lane & 1)

    def channels_stopped(self, lane: int) -> tuple[str, ...]:
        """The loads of functions of catastrophic loss that lose their power."""
        return tuple(load for load in self.channels if self._was_on(load) and not self._is_on(load, lane))

    def starters_run(self, lane: int) -> tuple[str, ...]:
        """The starters that begin to run."""
        return tuple(s for s in self.starters if self._is_on(s, lane) and not self._was_on(s))

    def contactors_dropped(self, lane: int) -> tuple[str, ...]:
        """The contactors that drop out, where something critical rests on what they connect, and the
        relays that then part a source from what it fed."""
        if not self._source_cut(lane):
            return ()
        before, after = self.answer.healthy.energised, self.moved.energised
        dropped = (c for c in self.relays if before[f"parts/{c}"] and not after[f"parts/{c}"] >> lane & 1)
        return tuple(c for c in dropped if c in self.contactors or self._parts(c, lane))

    def _parts(self, relay: str, lane: int) -> bool:
        """Whether a contact that has opened stands between a source and what it fed."""
        network, before, after = self.answer.network, self.answer.healthy.fed, self.moved.fed
        ends = [(network.links[i].a, network.links[i].b) for i in network.links_of.get(f"parts/{relay}", ())]
        return any(
            before[s.element][a]
            and before[s.element][b]
            and (after[s.element][a] ^ after[s.element][b]) >> lane & 1
            for s in network.sources
            for a, b in ends
        )

    def _source_cut(self, lane: int) -> bool:
        """Whether a critical load loses one of its sources, or a battery all the buses that it fed."""
        before, after = self.answer.healthy, self.moved
        for source in self.answer.network.sources:
            was, still = before.fed[source.element], after.fed[source.element]
            alive = after.alive[source.element] >> lane & 1
            if not before.alive[source.element]:
                continue
            if any(was[n] and not (alive and still[n] >> lane & 1) for c in self.critical for n in c.inlets):
                return True
            fed = [n for n in self.buses if was[n]] if source.kind == "battery" else []
            if fed and not any(still[n] >> lane & 1 for n in fed):
                return True
        return False

    def _was_on(self, load: str) -> bool:
        return bool(self.answer.healthy.powered[f"parts/{load}"])

    def _is_on(self, load: str, lane: int) -> bool:
        return bool(self.moved.powered[f"parts/{load}"] >> lane & 1)
