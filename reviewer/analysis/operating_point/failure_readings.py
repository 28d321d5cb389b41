"""What the monitors of volts and amperes read, and what sources give, in a state under many
failures, as ``solve`` has it for each by itself: failures that do the same to every reading are
solved once, and all that are left as lanes of one circuit.

Opens of one chain of the network do the same, unless a monitor reads inside the chain; so do shorts
of one fault zone, and what opens conductors and devices in series (see :mod:`alike_failures`).
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from functools import cached_property
from math import ceil
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import at_any
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NoOperatingPoint, NotAssessable
from reviewer.analysis.operating_point.alike_failures import InSeries, StateGraph, alike_in_series, stand_ins
from reviewer.analysis.operating_point.answers import LEAST, PLAIN
from reviewer.analysis.operating_point.assumptions import Assumptions
from reviewer.analysis.operating_point.devices import AT_ITS_LIMIT, alternator_figures
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare, holder

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import OperatingPoints
    from reviewer.analysis.operating_point.points import Points


@record
class CaseReading:
    """What a monitor reads under a case: with the batteries as ``charges_in`` has them, and with each
    at the least charge with which it is ready for flight, if that is less; ``blank`` where what shows
    it has too little volts."""

    value: float
    at_least_charge: float
    blank: bool


#: cases from which on it is worth to look for those that open what is in series
MANY_CASES = 50
#: points of one load each that are solved at once: more take memory, and more time, as what a case opens
#: is a device in all cases of its block
BLOCK_VALUES = 40_000
#: by monitor; what has no reading in numbers is not in it
Readings = Mapping[str, CaseReading]
#: in the place of the readings of a case that was not solved yet
_NEVER: Readings = MappingProxyType({})
#: readings, and amperes by source
_Solved = tuple[Readings | None, Mapping[str, float]]


class FailureReadings:
    """The readings of one design, each case of a state solved once."""

    def __init__(self, points: OperatingPoints):
        self.points = points
        self.network = points.network
        self._known: dict[tuple[str, Case], Readings | None] = {}
        #: the same with what is read at the least charge
        self._at_least: dict[tuple[str, Case], Readings | None] = {}
        #: what sources (elements) give, in amperes, of the same cases
        self._given: dict[tuple[str, Case], Mapping[str, float]] = {}
        #: the figure that a state lacks with nothing failed, or with some cases that were asked for
        self._missing: dict[str | tuple[str, tuple[Case, ...]], NotAssessable] = {}
        self._graphs: dict[str, tuple[StateAnswer, StateGraph]] = {}

    def of(
        self, answer: StateAnswer, cases: Sequence[Case], solved: Conduction, least: int = -1
    ) -> tuple[Readings | None, ...]:
        """The readings under each case, lanes of ``solved``; None where no operating point was
        found. Those at the least charge are there in the lanes ``least``; in the others they are
        those of the charge that the batteries have, whoever asked before. Raises NotAssessable with
        the figure that the state, or a case, lacks."""
        state, cases = answer.state.name, [_plain(case) for case in cases]
        found = [self._known.get((state, case), _NEVER) for case in cases]
        if new := [i for i, one in enumerate(found) if one is _NEVER]:
            few = len(new) < MANY_CASES or all(least >> i & 1 for i in new)
            self._solve(answer, cases, new, solved, (PLAIN, LEAST) if few else (PLAIN,))
            for i in new:
                found[i] = self._known[state, cases[i]]
        lanes = [i for i in range(len(cases)) if least >> i & 1] if least else []
        if new := [i for i in lanes if (state, cases[i]) not in self._at_least]:
            self._solve(answer, cases, new, solved, (LEAST,))
        for i in lanes:
            found[i] = self._at_least[state, cases[i]]
        return tuple(found)

    def _solve(
        self,
        answer: StateAnswer,
        cases: Sequence[Case],
        new: Sequence[int],
        solved: Conduction,
        charges: tuple[str, ...],
    ) -> None:
        """Solve some of the cases, those that do the same to every reading once."""
        state = answer.state.name
        asked = state, tuple(cases[i] for i in new)
        if (missing := self._missing.get(state) or self._missing.get(asked)) is not None:
            raise missing.kept()
        alike: dict[Hashable, list[int]] = {}
        series: Mapping[int, InSeries] = {}
        if len(new) >= MANY_CASES:
            series = alike_in_series(self._graph(answer), answer, cases, solved)
        others = self._keys(cases, [i for i in new if i not in series], solved)
        for i in new:
            alike.setdefault(series[i] if i in series else next(others), []).append(i)
        stand_for = {key: cases[group[0]] for key, group in alike.items()}
        if series:
            lanes = {key: group[0] for key, group in alike.items() if isinstance(key, InSeries)}
            for key, case in stand_ins(self._graph(answer), answer, lanes, solved).items():
                stand_for[key] = case
        groups = [(stand_for[key], group) for key, group in alike.items()]
        settled = [case for case, group in groups if not solved.unsettled >> group[0] & 1]
        try:
            found = dict(zip(settled, self._solved_in_blocks(answer, settled, charges), strict=True))
        except NotAssessable as lacking:
            self._missing[state if self._lacks(state) else asked] = lacking.kept()
            raise
        for case, group in groups:
            one = found.get(case, ((None, {}),) * len(charges))
            made: dict[int, Readings] = {}
            for i in group:
                self._keep(state, cases[i], one, charges, made)

    def _lacks(self, state: str) -> bool:
        """Whether the file lacks a figure of a state with nothing failed."""
        try:
            self.points.operating_point(state)
        except NoOperatingPoint:
            return False
        except NotAssessable:
            return True
        return False

    def _graph(self, answer: StateAnswer) -> StateGraph:
        """The circuit of a state as a graph, made once."""
        own, graph = self._graphs.get(answer.state.name, (None, None))
        if graph is None or own is not answer:
            graph = StateGraph(self.points, answer)
            self._graphs[answer.state.name] = answer, graph
        return graph

    def _keep(
        self,
        state: str,
        case: Case,
        found: Sequence[_Solved],
        charges: tuple[str, ...],
        made: dict[int, Readings],
    ) -> None:
        """Keep what was found for a case; ``made`` has what cases with the same readings share."""
        for charge, (readings, given) in zip(charges, found, strict=True):
            if charge == PLAIN:
                self._known[state, case], self._given[state, case] = readings, given
            elif (before := self._known[state, case]) is None or readings is None:
                self._at_least[state, case] = None
            else:
                if id(before) not in made:
                    made[id(before)] = {
                        n: CaseReading(r.value, readings.get(n, r).value, r.blank) for n, r in before.items()
                    }
                self._at_least[state, case] = made[id(before)]

    def given(self, state: str, case: Case) -> Mapping[str, float]:
        """What sources (elements) give under a case of which the readings were asked for, A."""
        return self._given[state, _plain(case)]

    def given_each(self, state: str, cases: Sequence[Case]) -> Iterator[Mapping[str, float]]:
        """:meth:`given` under each of some cases."""
        return (self._given[state, _plain(case)] for case in cases)

    def overloaded(
        self, answer: StateAnswer, cases: Sequence[Case], solved: Conduction
    ) -> tuple[tuple[str, ...], ...]:
        """The sources (elements) that give all they can, or more than they may, under each case and
        not with nothing failed. Raises NotAssessable with the figure that the state lacks."""
        self.of(answer, cases, solved, 0)
        if not cases:
            return ()
        state, limits = answer.state.name, self._limits(answer)
        before = self._over(self._given[state, ()], limits)
        return tuple(
            tuple(e for e in self._over(self.given(state, case), limits) if e not in before) for case in cases
        )

    @staticmethod
    def _over(given: Mapping[str, float], limits: Mapping[str, float]) -> tuple[str, ...]:
        return tuple(e for e, limit in limits.items() if given.get(e, 0.0) > limit)

    def _limits(self, answer: StateAnswer) -> Mapping[str, float]:
        """What each source may give, A: an alternator nearly all that it can, a battery its
        declared maximum."""
        found = {}
        for source in self.network.sources:
            part = self.points.design.parts[bare(source.element)]
            if isinstance(part, p.Alternator) and answer.healthy.alive[source.element]:
                figures = alternator_figures(
                    self.points.design, source.element, None, answer.state.speed, Assumptions()
                )
                found[source.element] = AT_ITS_LIMIT * float(figures["limit"])
            elif isinstance(part, p.Battery) and part.max_discharge_current is not None:
                found[source.element] = part.max_discharge_current
        return found

    def _keys(self, cases: Sequence[Case], which: Sequence[int], solved: Conduction) -> Iterator[Hashable]:
        """What cases have in common that do the same to every reading."""
        meters = self.points.wiring.meters.values()
        read = {n for m in meters for n in (*m.sensed, *m.ends, *m.returns, m.zero)}
        zones = [mask for mask in dict.fromkeys(solved.zone) if mask]
        # one at a unit itself ends its work on the battery inside it, one at its lead does not
        zones += [mask for element, mask in solved.powered.items() if holder(element) != element]
        # a short that is the return of something leaves more or less of the way there
        users = (*self.network.consumers, *self.network.coils)
        returning = at_any(solved.zone, {n for user in users for n in user.outlets})
        for i in which:
            failures = failures_of(cases[i])
            only = failures[0] if len(failures) == 1 else None
            if only is not None and only.mode == OPEN:
                yield self._opened(only.element, read)
            elif only is not None and only.grounds:
                nodes = only.nodes if returning >> i & 1 else ()
                yield nodes, only.passes, only.opened, tuple(mask >> i & 1 for mask in zones)
            else:
                yield cases[i]

    def _opened(self, element: str, read: set[int]) -> Hashable:
        """The chain in which an element is alone, or the element."""
        contracted, links = self.network.contracted, self.network.links_of.get(element, ())
        chains = {contracted.chain_of.get(i, -1) for i in links}
        if len(chains) != 1 or -1 in chains or element in self._live_parts:
            return element
        (chain,) = chains
        return element if read.intersection(contracted.chains[chain].inner) else chain

    @cached_property
    def _live_parts(self) -> frozenset[str]:
        """Elements that do more than conduct."""
        network = self.network
        users = [c.element for c in (*network.consumers, *network.coils)]
        return frozenset((*users, *(s.element for s in network.sources)))

    def _solved_in_blocks(
        self, answer: StateAnswer, cases: Sequence[Case], charges: tuple[str, ...]
    ) -> list[tuple[_Solved, ...]]:
        """:meth:`_solved`, in blocks of the same size with no more cases than keep its arrays small."""
        each = max(1, len(self.network.consumers) * len(charges))
        blocks = ceil(len(cases) / max(MANY_CASES, BLOCK_VALUES // each))
        size = ceil(len(cases) / max(1, blocks)) or 1
        some = (tuple(cases[i : i + size]) for i in range(0, len(cases), size))
        return [one for block in some for one in self._solved(answer, block, charges)]

    def _solved(
        self, answer: StateAnswer, cases: tuple[Case, ...], charges: tuple[str, ...]
    ) -> list[tuple[_Solved, ...]]:
        """For each case, of which none is unsettled, what is read and given with each of some charges."""
        from reviewer.analysis.operating_point.solved_state import told

        state = answer.state
        # the healthy lane keeps in the circuit what all of the cases take away
        some = (*cases, ())
        conduction = conduct(self.network, state, some, answer.healthy)
        points = self.points.failed_points(state.name, some, conduction, charges)
        lost = {one.point for one in points.unsolved}
        read = dict(self._read(points))
        amps = {e: points.amps(e) for e in points.built.sources}

        def solved(lane: int, charge: int) -> _Solved:
            point = lane + charge * len(some)
            if point in lost:
                return self._alone(answer, some[lane], charges[charge])
            readings = {
                name: CaseReading(told(values[point]), told(values[point]), bool(blank[point]))
                for name, (values, blank) in read.items()
            }
            return readings, {e: float(values[point]) for e, values in amps.items()}

        each = [tuple(solved(lane, charge) for charge in range(len(charges))) for lane in range(len(some))]
        if PLAIN in charges:
            self._keep(state.name, (), each[-1], charges, {})
        return each[:-1]

    def _read(self, points: Points) -> Iterator[tuple[str, tuple[Any, Any]]]:
        """Readings (points,) and blanks (points,) by monitor."""
        from reviewer.analysis.operating_point.meter_readings import amperes_read, dark, volts_read

        for name, meter in self.points.wiring.meters.items():
            read = None
            if meter.shows != "live":
                read = volts_read(points, meter) if meter.shows == "voltage" else amperes_read(points, meter)
            if read is None:
                continue
            yield name, (read, dark(self.points.design, points, meter))

    def _alone(self, answer: StateAnswer, case: Case, charge: str) -> _Solved:
        try:
            point = self.points.failed_point(answer, failures_of(case), charge)
        except NotAssessable:
            return None, {}
        readings = {
            name: CaseReading(reading.value, reading.value, reading.blank)
            for name, reading in point.readings.items()
            if reading.value is not None and reading.shows != "live"
        }
        return readings, point.given


def _plain(case: Case) -> Case:
    """A case by which readings are known: one failure alone, however it was written."""
    return case[0] if isinstance(case, tuple) and len(case) == 1 else case
