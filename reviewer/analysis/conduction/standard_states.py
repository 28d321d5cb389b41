"""The standard states of an aircraft, made from one state of normal flight and what its switches do.

What no switch of the drawing can set is not made, and the reason is given. A made state claims as
little as it can: beside the functions whose loss is gravest, which the engine or the flight rests on,
it is declared without what it turns off.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from types import MappingProxyType

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.states import (
    batteries_feeding,
    critical_functions,
    function_masks,
    rests_on,
    units_of,
)
from reviewer.analysis.conduction.switch_effects import Move, SwitchEffects
from reviewer.model import parts as p
from reviewer.model.channels import MechanicalName
from reviewer.model.design import Design
from reviewer.model.operation import State
from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.network.network_build import build_network


@record
class MadeStates:
    """``states`` that were made, how each was (``how``), and why others were not (``unmade``)."""

    states: Mapping[str, State]
    how: Mapping[str, str]
    unmade: tuple[str, ...]


def standard_states(design: Design, base: ResolvedState, wanted: Collection[str]) -> MadeStates:
    """The standard states of the kinds ``wanted``, each like ``base``, the state of normal flight.

    ``design`` is in canonical order and has an operation with that state.
    """
    making = _Making(design, base)
    for kind, make in (
        ("parked", making.parked),
        ("before-start", making.before_start),
        ("cranking", making.cranking),
        ("run-up", making.run_ups),
        ("all-on", making.all_on),
        ("alternator-failed", making.alternators_failed),
        ("smoke", making.smoke),
    ):
        if kind in wanted:
            make()
    return MadeStates(
        MappingProxyType(making.states), MappingProxyType(making.how), tuple(dict.fromkeys(making.unmade))
    )


def off_on_purpose(design: Design, base: ResolvedState) -> tuple[str, ...]:
    """The functions that do not work in a state and do with one or two switches moved, the engine running
    or cranking; without the critical ones."""
    effects = SwitchEffects(design, build_network(design), base)
    critical = critical_functions(design)
    off = [f for f in design.functions if f not in critical and not effects.works(f, effects.healthy, 0)]
    if not off:
        return ()
    every = [(n, at) for n, part in design.parts.items() for at in _positions(part) if n in base.switches]
    moved = [[move] for move in every]
    moved += [[one, other] for one, other in combinations(every, 2) if one[0] != other[0]]
    states = [effects.moved(moves, base.with_engine(e)) for moves in moved for e in ("running", "cranking")]
    solved = effects.solved(states)
    works = function_masks(design, solved.powered, (1 << len(states)) - 1)
    return tuple(f for f in off if works[f])


def _positions(part: p.Part) -> Sequence[str]:
    if isinstance(part, p.BreakerSwitch):
        return ("closed", "open")
    return tuple(part.positions) if isinstance(part, p.Switch) else ()


class _Making:
    """The states that are made, one kind after the other."""

    def __init__(self, design: Design, base: ResolvedState):
        self.design, self.base = design, base
        self.effects = SwitchEffects(design, build_network(design), base)
        self.off = self.effects.off
        self.states: dict[str, State] = {}
        self.how: dict[str, str] = {}
        self.unmade: list[str] = []
        hazards = {f: HazardClass.of(design.functions[f].loss) for f in critical_functions(design)}
        #: the functions whose loss is the gravest of the design, where that is hazardous at least, and
        #: those that they rest on
        gravest = [f for f, hazard in hazards.items() if hazard == max(hazards.values())]
        under = [f for f in design.functions if any(rests_on(design, outer, f) for outer in gravest)]
        self.gravest = (*gravest, *(f for f in under if f not in gravest))
        units = dict.fromkeys(unit for f in gravest for unit in units_of(design, f))
        #: the loads and magnetos that these rest on, and what else is turned off at the unit itself
        self.needed = tuple(f"parts/{unit}" for unit in units)
        loads = design.of_kind(p.Consumer)
        #: where switches stand that sense something of the running engine or of flight, without it
        self.rest = {
            n: part.at_rest
            for n in design.of_kind(p.Switch)
            if not (part := design.part(n, p.Switch)).by_hand and part.normal not in (None, part.at_rest)
        }
        self.own_switched = tuple(n for n in loads if design.parts[n].own_switch and n not in units)

    def _make(self, name: str, moved: Mapping[str, str], how: str, **keys: object) -> None:
        """Add a state that is like normal flight but for some switches, unless it cannot be set. Without the
        engine running what senses something is at rest."""
        moved = {**self.rest, **moved} if "engine" in keys else moved
        if is_excluded(self.design, {**self.base.switches, **moved}):
            self.unmade.append(f"{name}: `excluded` forbids its switch positions")
            return
        self.states[name] = State.model_validate({"like": self.base.name, "switches": dict(moved), **keys})
        self.how[name] = how

    def parked(self) -> None:
        """Every switch that has an off position is there; where chargers are fed from the mains, once
        more with these at work."""
        if not self.off:
            self.unmade.append("parked: no switch has an off position")
            return
        engine: dict[str, object] = {"engine": "stopped"} if self.design.has_engine else {}
        units = tuple(n for n in self.design.of_kind(p.Consumer) if self.design.parts[n].own_switch)
        engine |= {"units-off": units} if units else {}
        wired = {end for wire in self.design.wires.values() for end in (wire.from_, wire.to)}
        silent = tuple(n for n in self.design.of_kind(p.Magneto) if f"{n}.p-lead" in wired)
        engine |= {"silent": silent} if silent else {}
        self._make("parked", self.off, _words(self.off), use="ground", chargers=(), **engine)
        if mains := tuple(n for n in self.design.of_kind(p.Charger) if self.design.parts[n].from_ == "mains"):
            how = f"as parked, {', '.join(mains)} on the mains"
            self._make("charging", self.off, how, use="ground", chargers=mains, **engine)

    def before_start(self) -> None:
        """As in flight, the engine stopped."""
        if self.design.has_engine:
            self._make("before-start", {}, "switches as in normal flight", use="ground", engine="stopped")

    def cranking(self) -> None:
        """A momentary position powers a starter, one that shorts no source before others, and of a starter
        that runs without any one that picks up a contactor; what neither it, nor a battery that turns it,
        nor the gravest functions need is off."""
        starters = self.design.starters
        momentary = [
            (name, at)
            for name in self.design.hand_switches
            for at in self.design.parts[name].positions
            if at in self.design.parts[name].momentary
        ]
        cranked = self.base.with_engine("cranking")
        held = [*([move] for move in momentary), []]
        solved = self.effects.solved([self.effects.moved(moves, cranked) for moves in held])
        rest, contactors = len(momentary), [f"parts/{n}" for n in self.design.of_kind(p.Contactor)]
        picked = join(solved.energised[c] for c in contactors if not solved.energised[c] >> rest & 1)
        shorted = join(solved.fed[s.element][s.negative] for s in self.effects.network.sources)
        for starter in starters:
            name, powers = _named("cranking", starter, starters), solved.powered[f"parts/{starter}"]
            lanes, alone = [i for i in range(len(momentary)) if powers >> i & 1], powers >> rest & 1
            start = [(shorted >> i & 1, alone and not picked >> i & 1, i) for i in lanes]
            starts = momentary[min(start)[-1]] if start else None
            if starts is None:
                self.unmade.append(f"{name}: no momentary position of a switch powers {starter}")
                continue
            moved = [starts]
            network, element = self.effects.network, f"parts/{starter}"
            turning = batteries_feeding(network, solved, element, momentary.index(starts))
            for move in self._not_needed():
                after = self.effects.solved([self.effects.moved([*moved, move], cranked)])
                still = after.powered[element] & 1
                if move[0] != starts[0] and still and batteries_feeding(network, after, element) == turning:
                    moved.append(move)
            engine: object = "cranking"
            if turned := self.design.parts[starter].turns:
                engine = {**dict.fromkeys(self.design.aircraft.engines, "stopped"), turned: "cranking"}
            keys = {"units-off": self.own_switched} if self.own_switched else {}
            self._make(name, dict(moved), _words(dict(moved)), use="ground", engine=engine, **keys)

    def _not_needed(self) -> Iterator[Move]:
        """The switches that stop no source and no unit of the gravest functions and are no masters."""
        for i, (name, at) in enumerate(self.effects.moves):
            if at != self.off.get(name) or name in self.effects.masters or self.effects.stops_source(i):
                continue
            if not any(self.effects.goes_off(unit, i) for unit in self.needed):
                yield name, at

    def run_ups(self) -> None:
        """Each channel of the gravest functions alone, the others off at switches of their own, and
        silent where they are magnetos."""
        known: set[tuple[Move, ...]] = set()
        for function in self.gravest:
            channels, enough = self.design.functions[function].of, self.design.functions[function].any
            if enough == len(channels) or any(isinstance(c, MechanicalName) for c in channels):
                continue
            for channel in channels:
                others = [c for c in channels if c != channel]
                own = {other: self._own_move(other, channels) for other in others}
                if lacking := [other for other, move in own.items() if move is None]:
                    said = f"no switch turns off {' or '.join(lacking)} alone"
                    self.unmade.append(f"run-up on {channel}: {said}")
                    continue
                moves = tuple(sorted(move for move in own.values() if move is not None))
                if moves not in known and self._alone(channel, others, moves):
                    known.add(moves)
                    keys: dict[str, object] = {"engine-speed": "run-up"} if self.design.has_engine else {}
                    magnetos = self.design.of_kind(p.Magneto)
                    if silent := tuple(other for other in others if other in magnetos):
                        keys["silent"] = silent
                    self._make(f"run-up-{channel}", dict(moves), _words(dict(moves)), use="ground", **keys)

    def _own_move(self, channel: str, channels: Sequence[str]) -> Move | None:
        """The move that turns off one of some channels alone, of such the one that takes off the fewest
        loads; it takes off no bus and stops no source."""
        works, found = self.effects.works, []
        on = [c for c in channels if works(c, self.effects.healthy, 0)]
        for i, move in enumerate(self.effects.moves):
            if [c for c in on if not works(c, self.effects.each, i)] != [channel]:
                continue
            if not self.effects.stops_source(i) and not self.effects.darkens_bus(i):
                found.append((self.effects.loads_off(i), move))
        return min(found)[1] if found else None

    def _alone(self, channel: str, others: Sequence[str], moves: Sequence[Move]) -> bool:
        """Whether some moves leave one channel on and no other."""
        if len({name for name, _ in moves}) < len(moves):
            return False  # one switch cannot stand in two positions
        solved = self.effects.solved([self.effects.moved(moves)])
        works = self.effects.works
        return works(channel, solved, 0) and not any(works(other, solved, 0) for other in others)

    def all_on(self) -> None:
        """As in flight, on the ground at run-up, with each load on that one switch turns on without taking
        off another; but no starter."""
        consumers = [f"parts/{n}" for n in self.design.of_kind(p.Consumer)]
        starters = {e for e in consumers if getattr(self.design.parts[bare(e)], "type", None) == "starter"}
        by_hand = (*self.design.of_kind(p.BreakerSwitch), *self.design.hand_switches)
        every = [(n, at) for n in by_hand for at in _positions(self.design.parts[n])]
        moves = [(n, at) for n, at in every if at != self.base.switches[n]]
        usual = on = {e for e in consumers if self.effects.healthy.powered[e] & 1}
        added = self._powered([[move] for move in moves])
        chosen: dict[str, str] = {}
        for (name, at), powered in zip(moves, added, strict=True):
            if name in chosen or not usual <= powered or powered <= on or powered & starters:
                continue
            (together,) = self._powered([[*chosen.items(), (name, at)]])
            if on | powered <= together and not together & starters:
                chosen[name], on = at, together
        if chosen:
            speed = {"engine-speed": "run-up"} if self.design.has_engine else {}
            self._make("all-on", chosen, _words(chosen), use="ground", **speed)

    def _powered(self, tried: Sequence[Sequence[Move]]) -> list[set[str]]:
        """The loads that have power with some moves made in normal flight; none where they short a
        source."""
        solved = self.effects.solved([self.effects.moved(moves) for moves in tried])
        shorted = join(solved.fed[s.element][s.negative] for s in self.effects.network.sources)
        loads = {f"parts/{n}" for n in self.design.of_kind(p.Consumer)}
        return [
            set() if shorted >> i & 1 else {e for e in loads if solved.powered[e] >> i & 1}
            for i in range(len(tried))
        ]

    def alternators_failed(self) -> None:
        """Each alternator of normal flight off at its own switch, or else by its breaker."""
        every = self.design.of_kind(p.Alternator)
        for alternator in every:
            if not self.effects.healthy.alive[f"parts/{alternator}"] & 1:
                continue
            name, switch = _named("alternator-failed", alternator, every), self.effects.switch_of(alternator)
            if switch is not None:
                self._abnormal(name, {switch: self.off[switch]})
            elif (breaker := self._breaker_of(alternator)) is not None:
                self._abnormal(name, {}, (*self.base.pulled, breaker))
            else:
                self.unmade.append(f"{name}: no switch or breaker turns {alternator} off")

    def _breaker_of(self, alternator: str) -> str | None:
        breakers = [n for n in self.design.of_kind(p.Breaker) if n not in self.base.pulled]
        states = [replace(self.base, pulled=(*self.base.pulled, n)) for n in breakers]
        solved, stopped = self.effects.solved(states), self.effects.stopped
        return next((n for i, n in enumerate(breakers) if stopped(solved, i) == [alternator]), None)

    def smoke(self) -> None:
        """All that the masters take off, and every alternator with it."""
        if not any(self._masters()):
            self.unmade.append("smoke: no switch de-energises a bus")
            return
        stops = {self.effects.switch_of(n) for n in self.design.of_kind(p.Alternator)}
        takes = {*self._masters(), *stops}
        moved = {s: at for s, at in self.off.items() if s in takes}
        self._abnormal("smoke", moved, dead=self._kept_dead(moved))

    def _kept_dead(self, moved: Mapping[str, str]) -> tuple[str, ...]:
        """The buses that some switches de-energise and that no other switch, moved by itself, feeds again."""
        others = [move for move in self.effects.moves if move[0] not in moved]
        states = [self.effects.moved([*moved.items(), *move]) for move in ([], *([one] for one in others))]
        index, base, solved = self.effects.network.index, self.effects.healthy, self.effects.solved(states)
        buses = (n for n in self.design.of_kind(p.Bus) if n in index)
        return tuple(n for n in buses if base.live(index[n]) and not solved.live(index[n]))

    def _masters(self) -> Iterator[str]:
        """The masters but for those of one channel alone, which takes off nothing but what the gravest
        need, and those of an engine bus beside them, which takes off what critical functions need and
        little more."""
        critical = {
            f"parts/{unit}" for f in critical_functions(self.design) for unit in units_of(self.design, f)
        }
        masters = {n: loads for n, loads in self.effects.masters.items() if not loads <= set(self.needed)}
        of_engine = [n for n, loads in masters.items() if 2 * len(loads & critical) > len(loads)]
        yield from (n for n in masters if n not in of_engine or len(of_engine) == len(masters))

    def _abnormal(
        self, name: str, moved: Mapping[str, str], pulled: tuple[str, ...] = (), dead: tuple[str, ...] = ()
    ) -> None:
        """A state set after something failed, without what it turns off but the gravest functions: that
        one of these is off there is a finding."""
        state = replace(self.effects.moved(moved.items()), pulled=pulled or self.base.pulled)
        powered = {e: mask & 1 for e, mask in self.effects.solved([state]).powered.items()}
        alive = function_masks(self.design, powered, 1)
        off = tuple(n for n in self.design.functions if not alive[n] and n not in self.gravest)
        keys: dict[str, object] = {"pulled": pulled} if pulled else {}
        keys |= {"without": off} if off else {}
        keys |= {"dead": dead} if dead else {}
        how = _words(moved) or f"{pulled[-1]} pulled"
        self._make(name, moved, how, use="abnormal", **keys)


def _named(word: str, name: str, names: Sequence[str]) -> str:
    return word if len(names) == 1 else f"{word}-{name}"


def _words(moved: Mapping[str, str]) -> str:
    """``master down, alternator down``."""
    return ", ".join(f"{name} {at}" for name, at in moved.items())
