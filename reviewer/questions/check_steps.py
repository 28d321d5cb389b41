"""The steps of a declared check: what it watches, and the differences of its voltmeters."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, Failure
from reviewer.analysis.detection.evidence import Observation
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.questions.card_steps import CardStep, Condition, SuspectedFailure, Watched, spread_of

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.analysis.operating_point.solved_state import Reading
    from reviewer.model.design import Check

#: a voltmeter that reads less is taken to be dead, volts
_LIVE_FROM = 1.0
_UNITS = {"voltage": "V", "current": "A"}


def check_steps(facts: Facts, name: str) -> tuple[CardStep, ...]:
    """The steps of a declared check, then the differences between its voltmeters."""
    return _CheckSteps(facts, facts.design.watch.checks[name]).steps()


def proved(facts: Facts, check: Check) -> tuple[Failure, ...]:
    """The failures that a check is to show: what it proves open, and a diode shorted too."""
    parts = facts.design.parts
    elements = [f"parts/{n}" if n in parts else f"wires/{n}" for n in check.proves]
    diodes = [e for e in elements if isinstance(parts.get(bare(e)), p.Diode)]
    return (*(Failure(e, OPEN) for e in elements), *(Failure(e, DIODE_SHORT) for e in diodes))


class _CheckSteps:
    """The steps of one check."""

    def __init__(self, facts: Facts, check: Check):
        self.facts, self.check = facts, check
        self.answer, self.failures = facts.states.answer(check.state), proved(facts, check)
        self.spread = spread_of(facts, check.state)
        meters = {n: m for n, m in facts.detection.meters.items() if n in check.watch}
        self.scene = Observation(self.answer, meters, self.failures) if self.failures else None

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

    def _lives(self, name: str) -> bool:
        within = self.spread.monitor(name) if self.spread else None
        return within is not None and within.low > _LIVE_FROM

    def _read(self, name: str) -> CardStep:
        within = self.spread.monitor(name) if self.spread else None
        if within is None:
            return self._seen(name)
        suspects = []
        for failure in self.failures:
            reading = self._reading(failure, name)
            if reading is None:
                continue
            if reading.blank or (reading.value is not None and not within.holds(reading.value)):
                suspects.append(SuspectedFailure(failure, reading.value, reading.blank))
        unit = _UNITS[self.facts.design.watch.monitors[name].shows]
        return CardStep(Watched.METER, (name,), within, unit, suspects=tuple(suspects))

    def _between(self, one: str, other: str) -> CardStep:
        within = self.spread.difference(one, other) if self.spread else None
        suspects = []
        for failure in self.failures if within else ():
            apart = self._apart(failure, one, other)
            if within is not None and apart is not None and not within.holds(apart):
                suspects.append(SuspectedFailure(failure, apart, False))
        return CardStep(Watched.DIFFERENCE, (one, other), within, "V", suspects=tuple(suspects))

    def _apart(self, failure: Failure, one: str, other: str) -> float | None:
        """How much more one voltmeter reads than another; None where either reads nothing."""
        mine, theirs = self._reading(failure, one), self._reading(failure, other)
        if mine is None or theirs is None or mine.blank or theirs.blank:
            return None
        return None if mine.value is None or theirs.value is None else mine.value - theirs.value

    def _reading(self, failure: Failure, name: str) -> Reading | None:
        try:
            return self.facts.points.operating_point(self.check.state, None, (failure,)).readings[name]
        except NotAssessable:
            return None

    def _seen(self, name: str) -> CardStep:
        """A step without limits: what a monitor, function or part does with nothing failed."""
        mask = self.scene.watched((name,)) if self.scene else 0
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
        return CardStep(Watched.CONDITION, (name,), condition=condition, reading=reading, suspects=suspects)

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
        if element in healthy.energised:
            return Condition.ENERGISED if healthy.energised[element] else Condition.DE_ENERGISED
        live = any(healthy.live(n) for n in network.nodes_of.get(element, ()))
        return Condition.LIVE if live else Condition.DEAD
