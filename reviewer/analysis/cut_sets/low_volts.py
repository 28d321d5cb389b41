"""Loads that a failure leaves with power, and with less than their minimum voltage.

One that states no minimum has too little where what feeds it has stopped.

Rules ask for those of functions of class major or worse, answers for each load, and after moves for
those of each function. What logic calls powered
is solved where it matters: for rules after failures under which a function works in logic, and
would not with only the loads that surely have their minimum. Failures that leave the same sources,
relays and loads alive and cut the same chains of the network conduct alike; one of them is solved,
in each phase of the state, and by itself what has a resistance. Batteries are as charged as the
file says. A load that has less than its minimum with nothing failed is left out: other rules judge
it. One that is off with nothing failed is solved where a failure or a move gives it power. So is
one that works on by itself for as long as the engine cranks. A start on the ground is no state of
normal flight: rules do not ask for it, answers do.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import BY_OHMS, DROPPED, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, link_masks
from reviewer.analysis.conduction.masks import bits, join
from reviewer.analysis.conduction.scenarios import Lanes
from reviewer.analysis.conduction.states import (
    StateAnswer,
    function_masks,
    loads_of,
)
from reviewer.analysis.conduction.too_low import LaneOf
from reviewer.analysis.cut_sets.core import network_core
from reviewer.analysis.cut_sets.sure_volts import LinkMasks, SurePaths
from reviewer.analysis.not_assessable import NoOperatingPoint, NotAssessable
from reviewer.analysis.operating_point.answers import assessed
from reviewer.analysis.operating_point.cranking import bridges, cranks
from reviewer.analysis.paths.sneak_effects import coil_limits
from reviewer.model import parts as p
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.operating_point.points import Points

#: a solved voltage this far below a minimum is not below it
ROUNDING_V = 1e-6
#: a load that has less has no power, whatever conducts: what feeds it has stopped
DARK_V = 0.5
#: points solved in one state at most; what goes beyond is left to logic and reported as not tried
MOST_POINTS = 1_000
#: lanes solved together at most
TOGETHER = 200


class LowVolts:
    """Which loads have too little voltage after failures and moves, by declared state."""

    def __init__(self, points: OperatingPoints):
        self.points = points
        #: by identity: states that are not declared may have one name
        self._states: dict[tuple[int, bool], StateVolts] = {}

    def __call__(
        self,
        answer: StateAnswer,
        lanes: Lanes,
        solved: Conduction,
        of: LaneOf,
        asked: int = -1,
        each: bool = False,
        dark: bool = False,
        coils: bool = False,
        minor: bool = False,
    ) -> Mapping[str, int]:
        """By load (element), the lanes ``asked`` in which it has power and less than its minimum; with
        ``dark`` those in which it has next to no volts, as where what feeds it has stopped; with
        ``coils``, by relay, those in which it drops out with too few volts at its coil.

        Lanes in which no function of class major or worse depends on it are left out; ``minor`` asks
        for every function, ``each`` for every load.
        """
        if coils:
            return self.state(answer, True).dropped_out(lanes, solved, of, asked)
        return self.state(answer, each or minor).low(lanes, solved, of, asked, each, dark)

    def least(
        self, answer: StateAnswer, loads: Sequence[str], failures: Sequence[Failure]
    ) -> tuple[tuple[str, float, float | None], ...]:
        """(load, its least volts after any of some failures of a state, its minimum), by name; None of one
        that states none and has next to no volts."""
        found: dict[str, tuple[str, float, float | None]] = {}
        for failure in failures:
            solved = conduct(answer.network, answer.state, (failure,), answer.healthy)
            for element, volts in self.state(answer).volts(answer.state, (failure,), solved).items():
                if (name := bare(element)) not in loads:
                    continue
                minimum = answer.design.parts[name].minimum
                most = found[name][1] if name in found else DARK_V if minimum is None else minimum
                if volts < most:
                    found[name] = (name, volts, minimum)
        return tuple(found.values())

    def state(self, answer: StateAnswer, each: bool = False) -> StateVolts:
        """What is known of the volts of a state; of those of each load, or of functions of class major and
        worse."""
        key = id(answer), each
        if key not in self._states:
            self._states[key] = StateVolts(self.points, answer, each)
        return self._states[key]


class StateVolts:
    """The volts of loads and coils after failures of one state, and moves from it."""

    def __init__(self, points: OperatingPoints, answer: StateAnswer, each: bool = False):
        self.points, self.answer, self.each = points, answer, each
        #: what conducts in a lane -> the volts of the watched loads
        self.found: dict[int, Mapping[str, float]] = {}
        #: whether what was solved last has no operating point somewhere
        self.lost = False
        self.design, self.network = answer.design, answer.network
        self.functions = [
            name
            for name, function in self.design.functions.items()
            if (each or HazardClass.of(function.loss) >= HazardClass.MAJOR) and answer.alive[name]
        ]

    @cached_property
    def watched(self) -> tuple[str, ...]:
        """The loads of these functions, or each, of which the file gives the current and the
        minimum voltage; where something may stop that is fed itself, those without a minimum too."""
        stops = any(s.inlet for s in self.network.sources)
        of_functions = (n for f in self.functions for n in loads_of(self.design, f))
        loads = dict.fromkeys(
            (bare(c.element) for c in self.network.consumers) if self.each else of_functions
        )
        parts = {f"parts/{n}": self.design.parts[n] for n in loads}
        return tuple(
            element
            for element, part in parts.items()
            if isinstance(part, p.Consumer)
            and (part.minimum is not None or stops)
            and part.running_current is not None
            and not self._bridged(part)
        )

    @cached_property
    def unwatched(self) -> dict[str, None]:
        """The other loads, of which volts are known only where a relay that drops out leaves none."""
        return dict.fromkeys(c.element for c in self.network.consumers if c.element not in self.watched)

    @cached_property
    def coils(self) -> Mapping[str, float]:
        """By coil (element) of which the file gives the current, the volts below which it does not stay
        energised, or pick up where it is at rest with nothing failed."""
        found = {}
        for coil in self.network.coils:
            part = self.design.parts[bare(coil.element)]
            if part.coil_current is not None:
                held = bool(self.answer.healthy.energised[coil.element])
                found[coil.element] = coil_limits(part, self.design.aircraft.volts, held)[0]
        return MappingProxyType(found)

    @cached_property
    def low_when_sound(self) -> frozenset[str]:
        """The coils with too few volts with nothing failed: other rules judge these."""
        if not self.coils:
            return frozenset()
        (volts,) = self._solved(self.answer.state, [()], self.answer.healthy)
        found = volts or {}
        return frozenset(e for e, least in self.coils.items() if found.get(e, least) < least - ROUNDING_V)

    def _bridged(self, part: p.Consumer) -> bool:
        """Whether the engine cranks in the state, and a unit works on by itself until that is over."""
        operation = self.design.operation
        if operation is None or not cranks(self.answer.state):
            return False
        phases = [f.phase for f in self.points.flown_in([self.answer.state.name])]
        return all(bridges(part, operation.phases[name].duration if name else None) for name in phases)

    @cached_property
    def paths(self) -> SurePaths | None:
        """None where the file lacks a figure, so that nothing can be solved either."""
        try:
            return assessed(lambda: SurePaths(self.points, self.answer, self.watched, self.coils))
        except NotAssessable:
            return None

    @cached_property
    def kept(self) -> frozenset[str]:
        """Those of the watched loads that have their minimum with nothing failed, or no power."""
        powered = self.answer.healthy.powered
        volts = self.volts(self.answer.state, (), self.answer.healthy)
        return frozenset(
            e for e in self.watched if not powered[e] or (e in volts and not self._is_low(e, volts[e]))
        )

    def low(
        self, lanes: Lanes, solved: Conduction, of: LaneOf, asked: int, each: bool, dark: bool = False
    ) -> Mapping[str, int]:
        """See :class:`LowVolts`."""
        if not (self.watched or self.coils) or self.paths is None:
            return {}
        masks = link_masks(lanes, solved.energised)
        worn = lanes.worn & asked & ~solved.unsettled
        doubtful = self._doubtful(self.paths, solved, masks, each) & asked & ~solved.unsettled & ~worn
        low: dict[str, int] = {}
        if not (doubtful or worn) or not (self.kept or self.coils):
            return low
        judged = self.kept | self.unwatched.keys()
        for alike, volts in self._groups(doubtful, worn, solved, masks, of):
            for element in volts.keys() & judged:
                below = volts[element] < DARK_V if dark else self._is_low(element, volts[element])
                if below and solved.powered[element] >> alike[0] & 1:
                    low[element] = low.get(element, 0) | sum(1 << lane for lane in alike)
        return {element: low[element] for element in (*self.watched, *self.unwatched) if element in low}

    def dropped_out(self, lanes: Lanes, solved: Conduction, of: LaneOf, asked: int) -> Mapping[str, int]:
        """By relay the lanes in which it drops out with too few volts at its coil."""
        if not self.coils or self.paths is None:
            return {}
        masks = link_masks(lanes, solved.energised)
        sure = self.paths.sure(solved, masks, coils_alone=True)
        asked &= ~solved.unsettled
        worn = lanes.worn & asked
        doubtful = join(solved.energised[coil] & ~sure[coil] for coil in self.coils) & asked & ~worn
        found: dict[str, int] = {}
        for alike, volts in self._groups(doubtful, worn, solved, masks, of):
            for coil in self._dropped(volts, of(alike[0])[1], solved, alike[0]):
                found[coil] = found.get(coil, 0) | sum(1 << lane for lane in alike)
        return {coil: found[coil] for coil in self.coils if coil in found}

    def _groups(
        self, doubtful: int, worn: int, solved: Conduction, masks: LinkMasks, of: LaneOf
    ) -> Iterator[tuple[list[int], Mapping[str, float]]]:
        """The lanes of two masks, those that conduct alike together, with the volts of each load and coil;
        what is ``worn`` conducts as if it were not: each of these lanes is solved by itself."""
        groups: list[tuple[int, list[int]]] = [(-1 - lane, [lane]) for lane in bits(worn)]
        if doubtful:
            groups += self._alike(doubtful, solved, masks)
        new = [(key, alike[0]) for key, alike in groups if key not in self.found or key < 0]
        if len(self.found) + len(new) > MOST_POINTS:
            self._left_to_logic()
            new = new[: MOST_POINTS - len(self.found)]
        asked_of = [(*of(lane), lane) for _, lane in new]
        for (key, _), volts in zip(new, self._volts_of(asked_of, solved), strict=True):
            self.found[key] = volts
        for key, alike in groups:
            yield alike, self.found.get(key, {})

    def _left_to_logic(self) -> None:
        name = self.answer.state.name
        self._say(
            f"In {name} the voltages of {MOST_POINTS} combinations of failures and crew actions were solved; "
            "in further ones what has power was taken to have its minimum voltage."
        )

    def _say(self, sentence: str) -> None:
        if sentence not in self.points.states.untried:
            self.points.states.untried.append(sentence)

    def _is_low(self, element: str, volts: float) -> bool:
        minimum = self.design.parts[bare(element)].minimum
        return bool(volts < (DARK_V if minimum is None else minimum - ROUNDING_V))

    def _doubtful(self, paths: SurePaths, solved: Conduction, masks: LinkMasks, each: bool) -> int:
        """The lanes in which it matters whether loads that may have too little have it."""
        every, sure, found = (1 << solved.width) - 1, paths.sure(solved, masks), 0
        for coil in self.coils:
            found |= solved.energised[coil] & ~sure[coil]
        if each:
            for element in self.watched:
                found |= solved.powered[element] & ~sure[element]
            return found
        works = function_masks(self.design, solved.powered, every)
        surely = function_masks(self.design, {**solved.powered, **sure}, every)
        for function in self.functions:
            found |= works[function] & ~surely[function]
        return found

    def _alike(self, doubtful: int, solved: Conduction, masks: LinkMasks) -> Iterator[tuple[int, list[int]]]:
        """The lanes of a mask, those that conduct alike together, each with what conducts there: bit i
        is that of row i."""
        usual, unlike = 0, dict.fromkeys(bits(doubtful), 0)
        for at, row in enumerate(self._rows(solved, masks)):
            others = row & doubtful
            if 2 * others.bit_count() > len(unlike):  # most rows are the same in nearly all lanes
                usual |= 1 << at
                others ^= doubtful
            for lane in bits(others) if others else ():
                unlike[lane] |= 1 << at
        groups: dict[int, list[int]] = {}
        for lane, rows in unlike.items():
            groups.setdefault(usual ^ rows, []).append(lane)
        yield from groups.items()

    @cached_property
    def chain_of(self) -> Mapping[int, int]:
        """Link -> its chain, of all links that are no dead end."""
        known = self.network.searched
        if "chains of all loads" not in known:
            core = network_core(self.network, None, [c.element for c in self.network.consumers])
            known["chains of all loads"] = core.chain_of
        return known["chains of all loads"]

    def _rows(self, solved: Conduction, masks: LinkMasks) -> list[int]:
        """Masks that are the same in two lanes which conduct alike."""
        either: dict[int, int] = {}
        both: dict[int, int] = {}
        for i, chain in self.chain_of.items():
            along, against, link = masks[0][i], masks[1][i], self.network.links[i]
            alive = ~(solved.zone[link.a] | solved.zone[link.b])
            either[chain] = either.get(chain, -1) & (along | against) & alive
            both[chain] = both.get(chain, -1) & along & against & alive
        lives = (*solved.alive.values(), *solved.energised.values(), *solved.powered.values())
        every = (1 << solved.width) - 1
        return [mask & every for mask in (*either.values(), *both.values(), *lives)]

    def volts(
        self, state: ResolvedState, case: tuple[Failure, ...], solved: Conduction
    ) -> Mapping[str, float]:
        """The least volts of each watched load in the phases of the state under some failures;
        empty where they cannot be solved, which is said where no operating point was found. A relay
        whose coil has too few drops out, and is named with its volts."""
        (found,) = self._solved(state, [case], solved)
        if found and (dropped := self._dropped(found, case, solved, 0)):
            (found,) = self._left_by(state, [(case, 0, found, dropped)], solved)
        if found is None and self.lost:
            failed = " and ".join(f"{bare(f.element)} {f.words(self.network)}" for f in case)
            self._say(
                f"In {state.name}{f' with {failed}' if failed else ''} no operating point was found; not "
                "assessed: whether loads have their minimum voltage then."
            )
        return found or {}

    def _left_by(
        self,
        state: ResolvedState,
        dropping: Sequence[tuple[tuple[Failure, ...], int, Mapping[str, float], Mapping[str, float]]],
        solved: Conduction,
    ) -> list[Mapping[str, float]]:
        """What is left once relays have dropped out: of some lanes the failures, the lane, the volts before
        and those of the relays that drop out."""
        if not dropping:
            return []
        cases = [(*case, *(Failure(coil, DROPPED) for coil in dropped)) for case, _, _, dropped in dropping]
        after = conduct(self.network, state, cases, self.answer.healthy)
        each = self._volts_of([(state, case, i) for i, case in enumerate(cases)], after)
        found: list[Mapping[str, float]] = []
        for i, ((_, lane, before, dropped), left) in enumerate(zip(dropping, each, strict=True)):
            powered = (e for e in self.unwatched if solved.powered[e] >> lane & 1)
            dead = {e for e in powered if not after.powered[e] >> i & 1}
            behind = (*(e for e in before if e not in self.coils), *dead)
            found.append({**{e: left.get(e, 0.0) for e in behind}, **left, **dropped})
        return found

    def _volts_of(
        self, asked: Sequence[tuple[ResolvedState, tuple[Failure, ...], int]], solved: Conduction
    ) -> list[Mapping[str, float]]:
        """:meth:`volts` of some lanes of many, each with its state and its failures: those of one
        state are solved together, and by itself what is not solved so."""
        found: list[Mapping[str, float]] = [{}] * len(asked)
        alone: list[int] = []
        by_state: list[tuple[ResolvedState, list[int]]] = []
        for i, (state, case, _) in enumerate(asked):
            if any(failure.mode in BY_OHMS for failure in case):
                alone.append(i)
                continue
            mine = next((places for one, places in by_state if one is state or one == state), None)
            if mine is None:
                by_state.append((state, mine := []))
            mine.append(i)
        for state, mine in by_state:
            if len(mine) == 1:
                alone += mine
                continue
            for start in range(0, len(mine), TOGETHER):
                block = mine[start : start + TOGETHER]
                conduction = solved.some([asked[i][2] for i in block])
                together = self._solved(state, [asked[i][1] for i in block], conduction)
                dropping = {}
                for i, volts in zip(block, together, strict=True):
                    _, case, lane = asked[i]
                    if volts is None:
                        alone.append(i)
                    elif dropped := self._dropped(volts, case, solved, lane):
                        dropping[i] = case, lane, volts, dropped
                    else:
                        found[i] = volts
                for i, volts in zip(
                    dropping, self._left_by(state, [*dropping.values()], solved), strict=True
                ):
                    found[i] = volts
        for i in alone:
            state, case, lane = asked[i]
            found[i] = self.volts(state, case, solved.lane(lane))
        return found

    def _solved(
        self, state: ResolvedState, cases: Sequence[tuple[Failure, ...]], solved: Conduction
    ) -> list[Mapping[str, float] | None]:
        """The least volts of each watched load that has power, by case; None where they are not
        solved."""
        try:
            points = assessed(lambda: self._points(state, cases, solved))
        except NotAssessable as missing:
            self.lost = isinstance(missing, NoOperatingPoint)
            return [None] * len(cases)
        self.lost = bool(points.unsolved)
        lost = {one.point % len(cases) for one in points.unsolved}
        least, there = {}, {}
        for e in (e for e in self.watched if e in points.built.loads):
            least[e] = points.across(e).reshape(-1, len(cases)).min(axis=0)
            # in a lane in which all of it is shorted to ground it is not in the circuit
            there[e] = solved.powered[e] & points.built.present.get(points.built.loads[e], -1)
        for e in (e for e in self.coils if e in points.built.coils):
            least[e] = abs(points.across(e)).reshape(-1, len(cases)).min(axis=0)
            there[e] = solved.energised[e] & points.built.present.get(points.built.coils[e], -1)
        return [
            None if i in lost else {e: float(volts[i]) for e, volts in least.items() if there[e] >> i & 1}
            for i in range(len(cases))
        ]

    def _dropped(
        self, volts: Mapping[str, float], case: tuple[Failure, ...], solved: Conduction, lane: int
    ) -> Mapping[str, float]:
        """The relays that are energised in a lane with too few volts at their coils, by element with
        these; none that has failed itself."""
        failed = {failure.element for failure in case}
        return {
            coil: volts[coil]
            for coil, least in self.coils.items()
            if coil not in failed
            and solved.energised[coil] >> lane & 1
            and volts.get(coil, least) < least - ROUNDING_V
            and coil not in self.low_when_sound
        }

    def _points(
        self, state: ResolvedState, cases: Sequence[tuple[Failure, ...]], solved: Conduction
    ) -> Points:
        """A point of each case, a lane of ``solved``, for each phase of the state."""
        from reviewer.analysis.operating_point.circuit_build import Scenario
        from reviewer.analysis.operating_point.phase_points import phase_points

        phases = [f.phase for f in self.points.flown_in([self.answer.state.name]) if f.phase is not None]
        one = cases[0] if len(cases) == 1 else ()
        many = () if len(cases) == 1 else tuple(cases)
        charges = self.points.charges_in(state)
        scenario = Scenario(state, solved, one, tuple(phases[:1]), cases=many, charges=charges)
        return phase_points(self.design, self.network, scenario, phases, self.points.wiring)
