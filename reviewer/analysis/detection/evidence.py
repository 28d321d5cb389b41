"""Evidence of failure: the monitors, functions and loads that a failure changes, and latent
failures.

A failure *shows* on a monitor in a state where the solved reading leaves its limits
(:mod:`reading_limits`), or it goes dark. Where the file lacks a figure for that, and of what shows
only that something is live, it shows where the reading differs from that of the healthy state in
levels (:mod:`monitors`).
It is *revealed by use* where a function is lost, an instrument goes dark or the starter does not
turn. A failure that does neither in the normal state or in the state of any phase of flight, and
changes nothing that a preflight check watches, is latent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from reviewer.analysis.conduction.failure_modes import SEVERED, SHORT, Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.masks import join
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import (
    After,
    StateAnswer,
    critical_functions,
    function_masks,
    loads_of,
    units_of,
    without_electricity,
)
from reviewer.analysis.detection.monitors import Reading, lit, readings
from reviewer.analysis.detection.reading_limits import ReadingLimits, Shown
from reviewer.model import parts as p
from reviewer.model.design import Check
from reviewer.model.record import record
from reviewer.network.graph import bare, holder
from reviewer.network.meters import Meter


@record
class Evidence:
    """The monitors, functions and loads (instruments too), by name, that one case changes."""

    state: str
    monitors: tuple[str, ...]
    functions: tuple[str, ...]
    loads: tuple[str, ...]


@record
class Observation:
    """A state under some cases, compared with the healthy state.

    A lane is a case; each mapping gives the lanes in which something differs. Without ``limits``
    readings are told apart by level alone. With ``relays`` those drop out that a case leaves with too
    few volts at their coils.
    """

    answer: StateAnswer
    meters: Mapping[str, Meter]
    cases: tuple[Case, ...]
    limits: ReadingLimits | None = None
    relays: bool = False

    @property
    def _all_single(self) -> bool:
        """Whether the cases are the single failures of the state."""
        # asked without making the answer list its failures
        return self.cases is self.answer.__dict__.get("failures")

    @cached_property
    def solved(self) -> Conduction:
        """The state under the cases, a lane each; if solved here, one more with no failure."""
        return self._after.conducts

    @cached_property
    def outcomes(self) -> tuple[Case, ...]:
        """The cases that are :attr:`tried`, with the relays that they leave dropped out."""
        return self._after.cases[: len(self.cases)]

    @cached_property
    def _after(self) -> After:
        answer = self.answer
        if self._all_single:
            return answer.after_each if self.relays else After(answer.failures, answer.failed)
        cases = (*self.tried, ())
        if self.relays:
            return answer.conducting_after(cases)
        return After(cases, conduct(answer.network, answer.state, cases, answer.healthy))

    @cached_property
    def tried(self) -> tuple[Case, ...]:
        """The cases as they are in this state: what touches ground without volts of its own, as a p-lead
        that a switch grounds there, changes nothing."""
        return self.cases if self._all_single else tuple(_with_volts(self.answer, c) for c in self.cases)

    @property
    def every(self) -> int:
        """All lanes."""
        return (1 << len(self.cases)) - 1

    @cached_property
    def healthy_readings(self) -> Mapping[str, Reading]:
        """What each monitor reads with nothing failed."""
        if self._all_single:
            return readings(self.answer.network, self.meters, self.answer.healthy)
        return {
            name: tuple(mask >> len(self.cases) & 1 for mask in reading)
            for name, reading in self.readings.items()
        }

    @cached_property
    def readings(self) -> Mapping[str, Reading]:
        """What each monitor reads in each lane."""
        return readings(self.answer.network, self.meters, self.solved)

    @cached_property
    def monitors(self) -> Mapping[str, int]:
        """Lanes in which each monitor shows the case, dark displays included."""
        found = {}
        for name, changed in self.by_level.items():
            shown = self.numbers.get(name)
            found[name] = (
                changed if shown is None else (changed & ~shown.solved & ~shown.lost) | shown.outside
            )
        return found

    @cached_property
    def lost(self) -> Mapping[str, int]:
        """Lanes in which what each monitor reads was not solved, as no operating point was found."""
        return {name: shown.lost for name, shown in self.numbers.items() if shown.lost}

    @cached_property
    def by_level(self) -> Mapping[str, int]:
        """Lanes in which each monitor reads another level, dark displays included."""
        return {name: self._against(self.readings[name], self.healthy_readings[name]) for name in self.meters}

    @cached_property
    def numbers(self) -> Mapping[str, Shown]:
        """What each monitor shows by its solved reading, where there is one."""
        if self.limits is None or not self.cases:
            return {}
        return self.limits.shown(self.answer, self.outcomes, self.solved, tuple(self.meters.values()))

    @cached_property
    def indicated(self) -> Mapping[str, int]:
        """Lanes in which each monitor shows the case and can be read.

        What shows it has power, or is a lamp that goes out.
        """
        return {
            n: mask if self.meters[n].lamp else mask & lit(self.meters[n], self.solved) & ~self.dark[n]
            for n, mask in self.monitors.items()
        }

    @cached_property
    def dark(self) -> Mapping[str, int]:
        """Lanes in which what shows each monitor, no lamp, has no power any more, or too little."""
        found = {}
        for name, mask in self.monitors.items():
            meter, shown = self.meters[name], self.numbers.get(name)
            unlit = 0 if meter.lamp else mask & ~lit(meter, self.solved)
            was_lit = self.every if lit(meter, self.answer.healthy) else 0
            found[name] = unlit & was_lit | (0 if shown is None else shown.dark)
        return found

    @cached_property
    def functions(self) -> Mapping[str, int]:
        """Lanes in which each function is lost, or begins to work."""
        design = self.answer.design
        alive = (
            self.answer.functions
            if self._all_single
            else function_masks(design, self.solved.powered, self.every)
        )
        return {name: self._against((mask,), (self.answer.alive[name],)) for name, mask in alive.items()}

    @cached_property
    def loads(self) -> Mapping[str, int]:
        """Lanes in which each load or instrument loses its power, or gets it; one that works on by a
        battery of its own shows that."""
        healthy, powered = self.answer.healthy.powered, self.solved.powered
        return {
            bare(e): self._against((mask,), (healthy[e],)) for e, mask in powered.items() if holder(e) == e
        }

    def used(self) -> int:
        """Lanes that use reveals: a lost function, a dark instrument, a dead starter."""
        mask = self.stopped()
        for changed in self.functions.values():
            mask |= changed
        return mask

    def stopped(self) -> int:
        """Lanes in which an instrument goes dark, or a starter does not turn."""
        mask, design = 0, self.answer.design
        for name, changed in self.loads.items():
            part = design.parts[name]
            if self.answer.healthy.powered[f"parts/{name}"] and (
                isinstance(part, p.Instrument) or getattr(part, "type", None) == "starter"
            ):
                mask |= changed
        return mask

    def shown(self) -> int:
        """Lanes in which any monitor shows the case."""
        mask = 0
        for changed in self.monitors.values():
            mask |= changed
        return mask

    def apart(self) -> Mapping[str, int]:
        """For the first voltmeter that a check of the state watches, the lanes in which the check
        sees two voltmeters differ otherwise."""
        if self.limits is None or not self.cases:
            return {}
        found: dict[str, int] = {}
        for names in self.limits.read_together(self.answer.state.name):
            mask = self.limits.between(self.answer, self.outcomes, self.solved, self.meters, names)
            found[names[0]] = found.get(names[0], 0) | mask
        return found

    def watched(self, names: Sequence[str]) -> int:
        """Lanes in which anything of some names differs.

        They name monitors, functions, loads, coils, sources, or parts of which a terminal is live
        or not; of two voltmeters in turn also their difference.
        """
        mask = 0
        if self.limits is not None and self.cases:
            mask = self.limits.between(self.answer, self.outcomes, self.solved, self.meters, names)
        for name in names:
            if name in self.monitors:
                mask |= self.monitors[name]
        return mask | self.watched_parts([name for name in names if name not in self.monitors])

    def watched_parts(self, names: Sequence[str]) -> int:
        """:meth:`watched` of functions and parts alone; other names tell nothing.

        The engine drops where one of its magnetos is silent: one that the state declares silent
        and that fires takes the drop away.
        """
        mask = 0
        for name in names:
            if name in self.functions:
                mask |= self.functions[name] | self._sparks(name)
            elif name in self.answer.design.parts:
                mask |= self._part(name) & self._seen_to_stop(name)
        return mask

    def _seen_to_stop(self, name: str) -> int:
        """Lanes in which a part can be seen or heard to stop: all, but for a load of a critical function that
        has others of its own and goes on with them while the engine runs, as the second of two ignitions."""
        answer = self.answer
        part, design = answer.design.parts[name], answer.design
        if answer.state.engine != "running" or not isinstance(part, p.Load) or part.type == "lamp":
            return self.every
        goes_on = without_electricity(design, answer)
        own = [f for f in critical_functions(design) if name in loads_of(design, f)]
        if not own or any(goes_on[f] for f in own):
            return self.every
        mask = 0
        for function in (f for f in design.functions if name in loads_of(design, f)):
            mask |= self.functions[function]
        return mask

    def _sparks(self, function: str) -> int:
        """Lanes in which a magneto of a function fires that is silent in the state as it should be."""
        mask, answer = 0, self.answer
        for name in units_of(answer.design, function):
            if name in answer.state.silent:
                mask |= self._against(
                    (self.solved.powered[f"parts/{name}"],), (answer.healthy.powered[f"parts/{name}"],)
                )
        return mask

    def _part(self, name: str) -> int:
        """Lanes in which a part differs."""
        element, healthy, solved = f"parts/{name}", self.answer.healthy, self.solved
        for before, after in (
            (healthy.powered, solved.powered),
            (healthy.energised, solved.energised),
            (healthy.alive, solved.alive),
        ):
            if element in after:
                return self._against((after[element],), (before[element],))
        nodes = self.answer.network.nodes_of[element]
        return self._against(tuple(solved.live(n) for n in nodes), tuple(healthy.live(n) for n in nodes))

    def _against(self, failed: Reading, healthy: Reading) -> int:
        """Lanes in which any mask differs from its one bit in the healthy state."""
        mask, every = 0, self.every
        for after, before in zip(failed, healthy, strict=True):
            mask |= after ^ (every if before else 0)
        return mask & every

    @cached_property
    def lane_of(self) -> Mapping[Case, int]:
        """The lane of each case."""
        return {case: i for i, case in enumerate(self.cases)}


def evidence_of(observation: Observation, case: Case) -> Evidence:
    """What one case changes; a case that is not among those of the observation is solved."""
    if case not in observation.lane_of:
        observation = Observation(observation.answer, observation.meters, (case,), observation.limits)
    lane = observation.lane_of[case]

    def names(changed: Mapping[str, int]) -> tuple[str, ...]:
        return tuple(name for name, mask in changed.items() if mask >> lane & 1)

    return Evidence(
        observation.answer.state.name,
        names(observation.monitors),
        names(observation.functions),
        names(observation.loads),
    )


def _with_volts(answer: StateAnswer, case: Case) -> Case:
    """A single failure without the nodes that it grounds and that have no volts in a state."""
    if not isinstance(case, Failure) or case.mode not in (SHORT, SEVERED) or not case.nodes:
        return case
    live = tuple(n for n in case.nodes if n in answer.hot or n in answer.held_up)
    if live == case.nodes:
        return case
    return replace(case, nodes=live) if live or case.mode == SEVERED else ()


def chosen(cases: Sequence[Case], mask: int) -> tuple[Case, ...]:
    """The cases of the lanes of a mask."""
    return tuple(case for i, case in enumerate(cases) if mask >> i & 1)


def unused(
    normal: StateAnswer,
    phases: Sequence[StateAnswer],
    checks: Sequence[tuple[Check, StateAnswer]],
    failures: Sequence[Failure] | None = None,
    relays: bool = False,
) -> tuple[Failure, ...]:
    """The single failures of the normal state, welded contacts included, or those of some
    ``failures``, that use does not reveal in any of ``phases``, nor a check by what it watches
    besides monitors; ``relays`` as :class:`Observation` has it."""
    left: tuple[Case, ...] = ()
    asked = (normal.failures, normal.stuck_relays) if failures is None else (tuple(failures),)
    for cases in filter(None, asked):
        observation = Observation(normal, {}, cases, relays=relays)
        left += chosen(cases, observation.every & ~observation.used())
    for answer in phases:
        if left and answer is not normal:
            observation = Observation(answer, {}, left, relays=relays)
            left = chosen(left, observation.every & ~observation.used())
    design = normal.design
    for check, answer in checks:
        names = [n for n in check.watch if n not in design.watch.monitors]
        if left and names:
            observation = Observation(answer, {}, left, relays=relays)
            left = chosen(left, observation.every & ~observation.watched(names))
    return tuple(case for case in left if isinstance(case, Failure))


def latent_failures(
    meters: Mapping[str, Meter],
    failures: Sequence[Failure],
    phases: Sequence[StateAnswer],
    checks: Sequence[tuple[Check, StateAnswer]],
    limits: ReadingLimits | None = None,
    relays: bool = False,
) -> tuple[Failure, ...]:
    """Those of some failures that no monitor shows.

    ``phases`` are the answers of the normal state and the states of the phases of flight, ``checks``
    the preflight checks, each with the answer of its state; ``relays`` as :class:`Observation` has it.
    """
    latent: tuple[Case, ...] = tuple(failures)
    looked_at: dict[str, tuple[StateAnswer, list[list[str]]]] = {a.state.name: (a, []) for a in phases}
    for check, answer in checks:
        names = [n for n in check.watch if n in meters]
        looked_at.setdefault(answer.state.name, (answer, []))[1].append(names)
    flown = {answer.state.name for answer in phases}
    for answer, by_check in looked_at.values():
        read = {n for names in by_check for n in names}
        some = meters if answer.state.name in flown else {n: m for n, m in meters.items() if n in read}
        if not latent or not some:
            continue
        observation = Observation(answer, some, latent, limits, relays)
        seen = observation.shown() | join(map(observation.watched, by_check))
        latent = chosen(latent, observation.every & ~seen)
    return tuple(case for case in latent if isinstance(case, Failure))
