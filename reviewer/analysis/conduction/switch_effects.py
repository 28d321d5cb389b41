"""What each switch does by itself in a state of normal flight, by the solved circuit and never by its
name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction, conduct_states
from reviewer.analysis.conduction.states import channel_mask, function_mask
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import Network

#: a switch and a position of it
Move = tuple[str, str]


def off_position(design: Design, name: str, normal: str) -> str:
    """The position in which a switch is off: as its file says; else where it grounds every p-lead that
    it leads to, or the only one that joins nothing; a switch that has none stays where it is."""
    part = design.parts[name]
    if isinstance(part, p.BreakerSwitch):
        return "open"
    if part.off is not None:
        return str(part.off)
    stays = {at: pairs for at, pairs in part.positions.items() if at not in part.momentary}
    leads = _p_lead_terminals(design, name)
    if leads:
        grounding = [at for at, pairs in stays.items() if leads <= {t for pair in pairs for t in pair}]
        return grounding[0] if len(grounding) == 1 else normal
    opening = [at for at, pairs in stays.items() if not pairs]
    return opening[0] if len(opening) == 1 and stays.get(normal) else normal


def _p_lead_terminals(design: Design, switch: str) -> set[str]:
    """The terminals of a switch that a p-lead ends at, by way of wires, splices, circuit protection and the
    pins of connectors."""
    reached = {f"{name}.p-lead" for name in design.of_kind(p.Magneto)}
    if not reached:
        return reached
    todo = [*reached]
    while todo:
        end = todo.pop()
        for wire in design.wires.values():
            for one, other in ((wire.from_, wire.to), (wire.to, wire.from_)):
                if (one == end or _joined_inside(design, one, end)) and other not in reached:
                    reached.add(other)
                    todo.append(other)
    return {end.partition(".")[2] for end in reached if end.partition(".")[0] == switch}


def _joined_inside(design: Design, one: str, other: str) -> bool:
    """Whether two terminals of one part are a conductor of it: of a splice or circuit protection, or the two
    sides of a pin."""
    (owner, _, terminal), (same, _, beside) = one.partition("."), other.partition(".")
    part = design.parts.get(owner)
    if owner != same or not isinstance(part, (p.Splice, p.Connector, p.Protector)):
        return False
    return not isinstance(part, p.Connector) or terminal.rpartition("-")[0] == beside.rpartition("-")[0]


class SwitchEffects:
    """Each switch of a design moved by itself from a state of normal flight."""

    def __init__(self, design: Design, network: Network, base: ResolvedState):
        self.design, self.network, self.base = design, network, base
        by_hand = (*design.of_kind(p.BreakerSwitch), *design.hand_switches)
        offs = {name: off_position(design, name, base.switches[name]) for name in by_hand}
        #: the switches that are on in it, each with its off position
        self.off = {name: off for name, off in offs.items() if off != base.switches[name]}
        #: every move of a switch to a position in which it stays
        self.moves: list[Move] = [(name, at) for name in by_hand for at in self._stays(name)]
        self.healthy = self.solved([base])
        self.each = self.solved([self.moved([move]) for move in self.moves])
        self.buses = [network.index[n] for n in design.of_kind(p.Bus) if n in network.index]

    def _stays(self, name: str) -> list[str]:
        part, now = self.design.parts[name], self.base.switches[name]
        if isinstance(part, p.BreakerSwitch):
            return [at for at in ("open", "closed") if at != now]
        return [at for at in part.positions if at != now and at not in part.momentary]

    def moved(self, moves: Iterable[Move], state: ResolvedState | None = None) -> ResolvedState:
        """A state, or that of normal flight, with some switches moved."""
        state = state or self.base
        return replace(state, switches=MappingProxyType({**state.switches, **dict(moves)}))

    def solved(self, states: Sequence[ResolvedState]) -> Conduction:
        """Some states in the healthy system, one a lane."""
        return conduct_states(self.network, states or [self.base])

    def works(self, channel: str, solved: Conduction, lane: int) -> bool:
        """Whether a load, instrument, magneto, source, bus or function works in a lane."""
        powered = {element: mask >> lane & 1 for element, mask in solved.powered.items()}
        if channel in self.design.functions:
            return bool(function_mask(self.design, powered, 1, channel))
        return bool(channel_mask(self.design, powered, channel))

    def goes_off(self, element: str, lane: int) -> bool:
        """Whether a load or magneto (a pointer) works in normal flight and not with a move made."""
        return bool(self.healthy.powered[element] & 1 and not self.each.powered[element] >> lane & 1)

    def loads_off(self, lane: int) -> int:
        """How many loads a move takes off."""
        return sum(self.goes_off(element, lane) for element in self.healthy.powered)

    def stops_source(self, lane: int) -> bool:
        """Whether a move stops a source."""
        now = self.healthy.alive.items()
        return any(mask & 1 and not self.each.alive[e] >> lane & 1 for e, mask in now)

    def darkens_bus(self, lane: int) -> bool:
        """Whether a move takes a bus off."""
        return any(self.healthy.live(n) & 1 and not self.each.live(n) >> lane & 1 for n in self.buses)

    def stopped(self, solved: Conduction, lane: int) -> list[str]:
        """The alternators that run in normal flight and not in a lane."""
        before, after = self.healthy.alive, solved.alive
        names = self.design.of_kind(p.Alternator)
        return [n for n in names if before[f"parts/{n}"] & 1 and not after[f"parts/{n}"] >> lane & 1]

    def switch_of(self, alternator: str) -> str | None:
        """The switch that stops an alternator alone and is no master; of such the one that takes off
        the fewest loads."""
        found = [
            (self.loads_off(i), name)
            for i, (name, at) in enumerate(self.moves)
            if at == self.off.get(name)
            and name not in self.masters
            and self.stopped(self.each, i) == [alternator]
        ]
        return min(found)[1] if found else None

    @cached_property
    def masters(self) -> Mapping[str, frozenset[str]]:
        """The switches that take off every bus that any switches take off with the engine stopped, and no
        more of them than it needs; with them each that alone takes off what one of these does. Each with
        the loads (pointers) that come back when it alone is put back on."""
        stopped = self.base.with_engine("stopped")

        def put_off(sets: Sequence[Sequence[str]]) -> Conduction:
            return self.solved([self.moved([(n, self.off[n]) for n in names], stopped) for names in sets])

        before, every, alone = self.solved([stopped]), list(self.off), put_off([[n] for n in self.off])
        live = [n for n in self.buses if before.live(n) & 1]
        taken = {name: {n for n in live if not alone.live(n) >> i & 1} for i, name in enumerate(every)}
        all_off = put_off([every])
        dark = [n for n in live if not all_off.live(n) & 1]
        kept = every if dark else []
        for name in sorted(kept, key=lambda n: len(taken[n])):
            without = put_off([[n for n in kept if n != name]])
            if not any(without.live(n) & 1 for n in dark):
                kept = [n for n in kept if n != name]
        after, back = put_off([kept]), put_off([[n for n in kept if n != name] for name in kept])
        off = [c.element for c in self.network.consumers if not after.powered[c.element] & 1]
        loads = {n: frozenset(e for e in off if back.powered[e] >> i & 1) for i, n in enumerate(kept)}
        alike = {n: one for n in every for one in kept if taken[one] and taken[n] >= taken[one]}
        return {n: loads[n] if n in loads else loads[alike[n]] for n in every if n in loads or n in alike}
