"""Evidence of failure: the monitors, functions and loads that a failure changes, and latent
failures.

A failure *shows* on a monitor in a state where the reading differs from that of the healthy state.
It is *revealed by use* where a function is lost, an instrument goes dark or the starter does not
turn. A failure that does neither in the normal state or in the state of any phase of flight, and
changes nothing that a preflight check watches, is latent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.detection.monitors import Reading, lit, readings
from reviewer.model import parts as p
from reviewer.model.design import Check, Design
from reviewer.model.record import record
from reviewer.network.graph import bare
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

    A lane is a case; each mapping gives the lanes in which something differs.
    """

    answer: StateAnswer
    meters: Mapping[str, Meter]
    cases: tuple[Case, ...]

    @property
    def _all_single(self) -> bool:
        """Whether the cases are the single failures of the state."""
        # asked without making the answer list its failures
        return self.cases is self.answer.__dict__.get("failures")

    @cached_property
    def solved(self) -> Conduction:
        """The state under the cases, a lane each; if solved here, one more with no failure."""
        answer = self.answer
        return (
            answer.failed
            if self._all_single
            else conduct(answer.network, answer.state, (*self.cases, ()), answer.healthy)
        )

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
        """Lanes in which each monitor reads otherwise, dark displays included."""
        return {name: self._against(self.readings[name], self.healthy_readings[name]) for name in self.meters}

    @cached_property
    def indicated(self) -> Mapping[str, int]:
        """Lanes in which each monitor reads otherwise and can be read.

        What shows it has power, or is a lamp that goes out.
        """
        return {
            n: mask if self.meters[n].lamp else mask & lit(self.meters[n], self.solved)
            for n, mask in self.monitors.items()
        }

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
        """Lanes in which each load or instrument loses its power, or gets it."""
        healthy = self.answer.healthy.powered
        return {bare(e): self._against((mask,), (healthy[e],)) for e, mask in self.solved.powered.items()}

    def used(self) -> int:
        """Lanes that use reveals: a lost function, a dark instrument, a dead starter."""
        mask, design = 0, self.answer.design
        for changed in self.functions.values():
            mask |= changed
        for name, changed in self.loads.items():
            part = design.parts[name]
            if self.answer.healthy.powered[f"parts/{name}"] and (
                isinstance(part, p.Instrument) or part.type == "starter"
            ):
                mask |= changed
        return mask

    def shown(self) -> int:
        """Lanes in which any monitor reads otherwise."""
        mask = 0
        for changed in self.monitors.values():
            mask |= changed
        return mask

    def watched(self, names: Sequence[str]) -> int:
        """Lanes in which anything of some names differs.

        They name monitors, functions, loads, coils, sources, or parts of which a terminal is live
        or not.
        """
        mask = 0
        for name in names:
            if name in self.monitors:
                mask |= self.monitors[name]
            elif name in self.functions:
                mask |= self.functions[name]
            else:
                mask |= self._part(name)
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
        observation = Observation(observation.answer, observation.meters, (case,))
    lane = observation.lane_of[case]

    def names(changed: Mapping[str, int]) -> tuple[str, ...]:
        return tuple(name for name, mask in changed.items() if mask >> lane & 1)

    return Evidence(
        observation.answer.state.name,
        names(observation.monitors),
        names(observation.functions),
        names(observation.loads),
    )


def chosen(cases: Sequence[Case], mask: int) -> tuple[Case, ...]:
    """The cases of the lanes of a mask."""
    return tuple(case for i, case in enumerate(cases) if mask >> i & 1)


def latent_failures(
    design: Design,
    meters: Mapping[str, Meter],
    normal: StateAnswer,
    phases: Sequence[StateAnswer],
    checks: Sequence[tuple[Check, StateAnswer]],
) -> tuple[Failure, ...]:
    """The single failures of the normal state, welded contacts included, that nothing reveals.

    ``phases`` are the answers of the states of the phases of flight, ``checks`` the preflight
    checks, each with the answer of its state.
    """
    latent: tuple[Case, ...] = ()
    for cases in filter(None, (normal.failures, normal.stuck_relays)):
        observation = Observation(normal, meters, cases)
        latent += chosen(cases, observation.every & ~(observation.used() | observation.shown()))
    watched: dict[str, tuple[StateAnswer, list[str], bool]] = {}
    for check, answer in checks:
        watched.setdefault(answer.state.name, (answer, [], False))[1].extend(check.watch)
    for answer in phases:
        watched[answer.state.name] = (answer, watched.get(answer.state.name, (answer, [], True))[1], True)
    for answer, names, flown in watched.values():
        if not latent or (answer is normal and not names):
            continue
        observation = Observation(
            answer, meters if flown else {n: m for n, m in meters.items() if n in names}, latent
        )
        seen = observation.watched(names) | (observation.used() | observation.shown() if flown else 0)
        latent = chosen(latent, observation.every & ~seen)
    return tuple(case for case in latent if isinstance(case, Failure))
