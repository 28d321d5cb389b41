"""The steps of a declared check: what it watches, and the differences of its voltmeters."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, Failure
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.detection.reading_limits import LIVE_FROM, difference
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.card_steps import CardStep, Condition, SuspectedFailure, Watched, spread_of

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.analysis.operating_point.failure_readings import Readings

_UNITS = {"voltage": "V", "current": "A"}


def check_steps(facts: Facts, name: str) -> tuple[CardStep, ...]:
    """The steps of a declared check, then the differences between its voltmeters."""
    return _CheckSteps(facts, name).steps()


def proved(facts: Facts, name: str) -> tuple[Failure, ...]:
    """The failures that a check is to show: what it proves open, a diode shorted too, and contacts
    that stay where they are where it shows that instead."""
    check = facts.design.watch.checks[name]
    parts = facts.design.parts
    elements = [f"parts/{n}" if n in parts else f"wires/{n}" for n in check.proves]
    diodes = [e for e in elements if isinstance(parts.get(bare(e)), p.Diode)]
    stuck = facts.detection.check_evidence(name).stuck
    return (*(Failure(e, OPEN) for e in elements), *(Failure(e, DIODE_SHORT) for e in diodes), *stuck)


class _CheckSteps:
    """The steps of one check."""

    def __init__(self, facts: Facts, name: str):
        self.facts, self.check = facts, facts.design.watch.checks[name]
        check = self.check
        self.answer, self.failures = facts.states.answer(check.state), proved(facts, name)
        self.spread = spread_of(facts, check.state)
        meters = {n: m for n, m in facts.detection.meters.items() if n in check.watch}
        self.scene = Observation(self.answer, meters, self.failures, facts.detection.limits, relays=True)
        self.readings = self._readings()

    def steps(self) -> tuple[CardStep, ...]:
        monitors = self.facts.design.watch.monitors
        found = [
            self._read(n) if n in monitors and monitors[n].shows in _UNITS and self.spread else self._seen(n)
            for n in self.check.watch
        ]
        live = [
            n for n in self.check.watch if n in monitors and monitors[n].shows == "voltage" and self._lives(n)
        ]
        return (*found, *(self._between(one, other) for other, one in pairwise(live)))

    def _readings(self) -> tuple[Readings | None, ...]:
        """What the monitors read under each failure; nothing where the file lacks a figure."""
        try:
            return self.facts.points.under_failures.of(self.answer, self.scene.outcomes, self.scene.solved, 0)
        except NotAssessable:
            return (None,) * len(self.failures)

    def _lives(self, name: str) -> bool:
        within = self.spread.monitor(name) if self.spread else None
        return within is not None and within.low > LIVE_FROM

    def _read(self, name: str) -> CardStep:
        within = self.spread.monitor(name) if self.spread else None
        if within is None or (self.failures and name not in self.scene.numbers):
            return self._seen(name)
        suspects = []
        for i, (failure, readings) in enumerate(zip(self.failures, self.readings, strict=True)):
            reading = (readings or {}).get(name)
            if reading is not None and self.scene.numbers[name].outside >> i & 1:
                suspects.append(SuspectedFailure(failure, reading.value, reading.blank))
        unit = _UNITS[self.facts.design.watch.monitors[name].shows]
        return CardStep(Watched.METER, (name,), within, unit, suspects=tuple(suspects))

    def _between(self, one: str, other: str) -> CardStep:
        within = self.spread.difference(one, other) if self.spread else None
        suspects = []
        for failure, readings in zip(self.failures, self.readings, strict=True):
            apart = difference(readings, one, other)
            if within is not None and apart is not None and not within.holds(apart):
                suspects.append(SuspectedFailure(failure, apart, False))
        return CardStep(Watched.DIFFERENCE, (one, other), within, "V", suspects=tuple(suspects))

    def _seen(self, name: str) -> CardStep:
        """A step without limits: what a monitor, function or part does with nothing failed."""
        mask = self.scene.watched((name,)) if self.failures else 0
        suspects = tuple(
            SuspectedFailure(failure, None, False) for i, failure in enumerate(self.failures) if mask >> i & 1
        )
        reading, condition = None, None
        if name in self.facts.design.watch.monitors and name not in self.facts.design.functions:
            try:
                reading = self.facts.points.operating_point(self.check.state).readings[name]
            except NotAssessable:
                condition = self._sensed(name)
        else:
            condition = self._condition(name)
        return CardStep(
            Watched.CONDITION,
            (name,),
            condition=condition,
            reading=reading,
            suspects=suspects,
            rests_on=self._firing_alone(name) if condition is Condition.WORKS else (),
        )

    def _firing_alone(self, name: str) -> tuple[str, ...]:
        """The magnetos of a function that fire where the state silences others of it and the engine runs,
        so that its speed falls; none where it has other channels."""
        function, state = self.facts.design.functions.get(name), self.answer.state
        magnetos = self.facts.design.of_kind(p.Magneto)
        if function is None or not all(channel in magnetos for channel in function.of):
            return ()
        firing = tuple(str(c) for c in function.of if self.answer.healthy.powered[f"parts/{c}"] & 1)
        silenced = any(channel in state.silent for channel in function.of)
        return firing if silenced and state.engine == "running" else ()

    def _sensed(self, monitor: str) -> Condition:
        index, senses = self.facts.network.index, self.facts.design.watch.monitors[monitor].senses
        node = index.get(senses, index.get(f"{senses}.line"))
        live = node is not None and self.answer.healthy.live(node)
        return Condition.VOLTAGE if live else Condition.NO_VOLTAGE

    def _condition(self, name: str) -> Condition:
        if name in self.facts.design.functions:
            return Condition.WORKS if self.answer.alive[name] else Condition.LOST
        network, healthy, element = self.facts.network, self.answer.healthy, f"parts/{name}"
        if element in healthy.powered:
            return Condition.WORKS if healthy.powered[element] else Condition.OFF
        if element in [coil.element for coil in network.coils]:
            return Condition.ENERGISED if healthy.energised[element] else Condition.DE_ENERGISED
        live = any(healthy.live(n) for n in network.nodes_of.get(element, ()))
        return Condition.LIVE if live else Condition.DEAD
