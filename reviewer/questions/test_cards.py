"""Test cards: what to set, what to look at, the limits of what it should read, and the failures to suspect beyond them.

A check that the file declares gives a step for each thing that it watches. A breaker, fuse or limiter that takes a
load gives the voltage behind it, closed and open.
"""

from __future__ import annotations

from enum import Enum
from itertools import pairwise
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import DIODE_SHORT, OPEN, Failure
from reviewer.analysis.detection.evidence import Scene
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point import tolerances
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.analysis.operating_point.solved_state import Reading
    from reviewer.model.design import Check
    from reviewer.questions.effects import EffectsTable

#: a voltmeter that reads less is taken to be dead, volts
_LIVE_FROM = 1.0
_UNITS = {"voltage": "V", "current": "A"}


class Watched(Enum):
    """What a step looks at."""

    #: a monitor, function or part, without limits
    CONDITION = "condition"
    #: a monitor that reads volts or amperes
    METER = "meter"
    #: how much more the first voltmeter reads than the second
    DIFFERENCE = "difference"
    #: the voltage from a terminal to the main negative, circuit protection closed
    CLOSED = "closed"
    #: the same, circuit protection open
    OPENED = "opened"
    #: loads that stop when circuit protection is open
    LOADS = "loads"
    #: parts and wires whose failure no step of the card shows
    UNPROVED = "unproved"


class Condition(Enum):
    """What is to be found where nothing is measured."""

    WORKS = "works"
    LOST = "lost"
    OFF = "off"
    ENERGISED = "energised"
    DE_ENERGISED = "de-energised"
    LIVE = "live"
    DEAD = "dead"
    #: a monitor whose reading was not solved: voltage where it senses, or none
    VOLTAGE = "voltage"
    NO_VOLTAGE = "no voltage"


@record
class Suspect:
    """A failure to suspect: ``value`` is what the meter then reads, ``dark`` where it reads nothing.

    None and False where the step tells only that something is otherwise.
    """

    failure: Failure
    value: float | None
    dark: bool


@record
class CardStep:
    """One thing to look at.

    ``names`` are those of a monitor, function or part, of two voltmeters, of a terminal, of loads, or of what is
    not proved. ``limits`` are None where nothing is measured or where they could not be solved; then
    ``reading`` or ``condition`` says what is to be found.
    """

    watched: Watched
    names: tuple[str, ...]
    limits: tolerances.Within | None = None
    unit: str = ""
    condition: Condition | None = None
    reading: Reading | None = None
    suspects: tuple[Suspect, ...] = ()


@record
class CheckCard:
    """The card of a declared check: the positions of its state, what the design file expects, and the steps."""

    name: str
    state: str
    switches: tuple[tuple[str, str], ...]
    expect: str
    steps: tuple[CardStep, ...]


@record
class ProtectionCard:
    """The card of a breaker, fuse or limiter in the normal state: ``closed`` first, then the steps with it ``open``."""

    name: str
    state: str
    closed: CardStep
    open: tuple[CardStep, ...]


@record
class Meters:
    """Errors of the panel meters: a share of the reading or of the shunt's rating, and volts or amperes."""

    volts_share: float
    volts: float
    amperes_share: float
    amperes: float


@record
class Cards:
    """All cards, and the ``normal`` state with its switches ("" and none without an operation).

    ``unknowns`` are the figures that the limits allow for; ``limited`` is False without any limits.
    """

    checks: tuple[CheckCard, ...]
    protection: tuple[ProtectionCard, ...]
    limited: bool
    unknowns: tuple[str, ...]
    meters: Meters
    normal: str
    normal_switches: tuple[tuple[str, str], ...]


def cards_of(facts: Facts, effects: EffectsTable | None) -> Cards:
    """A card for each declared check, then one for each protection that takes a load in the normal state."""
    watch, operation, parts = facts.design.watch, facts.design.operation, facts.design.parts
    checks = tuple(
        CheckCard(
            name,
            check.state,
            facts.states.answer(check.state).switches,
            check.expect,
            check_card(facts, name),
        )
        for name, check in watch.checks.items()
    )
    protection = tuple(
        _protection_card(facts, bare(effect.failure.element), tuple(map(bare, effect.loads)))
        for effect in (effects.effects if effects else ())
        if effect.failure.mode == OPEN
        and effect.loads
        and effect.failure.element.startswith("parts/")
        and isinstance(parts[bare(effect.failure.element)], p.Protector)
    )
    states = [check.state for check in watch.checks.values()] + ([operation.dispatch] if operation else [])
    spreads = [s for state in dict.fromkeys(states) if (s := spread_of(facts, state))]
    unknowns = tuple(dict.fromkeys(str(u) for s in spreads for u in s.unknowns))
    meters = Meters(
        tolerances.VOLTS_SHARE, tolerances.VOLTS_STEP, tolerances.AMPS_SHARE, tolerances.AMPS_STEP
    )
    normal = operation.dispatch if operation else ""
    switches = facts.states.answer(normal).switches if operation else ()
    return Cards(checks, protection, bool(spreads), unknowns, meters, normal, switches)


def check_card(facts: Facts, name: str) -> tuple[CardStep, ...]:
    """The steps of a check, the differences between its voltmeters, and what none of them proves."""
    steps = check_steps(facts, name)
    shown = {suspect.failure.element for step in steps for suspect in step.suspects}
    # a diode is proved by either of its failures
    silent = tuple(
        dict.fromkeys(
            bare(f.element) for f in proved(facts, facts.design.watch.checks[name]) if f.element not in shown
        )
    )
    return (*steps, CardStep(Watched.UNPROVED, silent)) if silent else steps


def check_steps(facts: Facts, name: str) -> tuple[CardStep, ...]:
    """The steps of a declared check, then the differences between the voltmeters that it watches."""
    return _CheckSteps(facts, facts.design.watch.checks[name]).steps()


def proved(facts: Facts, check: Check) -> tuple[Failure, ...]:
    """The failures that a check is to show: what it proves open, and a diode shorted too."""
    parts = facts.design.parts
    elements = [f"parts/{n}" if n in parts else f"wires/{n}" for n in check.proves]
    diodes = [e for e in elements if isinstance(parts.get(bare(e)), p.Diode)]
    return (*(Failure(e, OPEN) for e in elements), *(Failure(e, DIODE_SHORT) for e in diodes))


def spread_of(facts: Facts, state: str, case: tuple[Failure, ...] = ()) -> tolerances.Spread | None:
    """The spread of a state; None where the file lacks what it needs."""
    try:
        return facts.points.spread(state, case)
    except NotAssessable:
        return None


def protection_steps(facts: Facts, name: str) -> tuple[CardStep, CardStep | None]:
    """The voltage behind a protection in the normal state, with it closed, then open.

    The second is None where the terminal is energised from its other end too, so that the voltage proves nothing.
    """
    operation = facts.design.operation
    assert operation is not None
    terminal, failure = f"{name}.load", Failure(f"parts/{name}", OPEN)
    answer, spread = facts.states.answer(operation.dispatch), spread_of(facts, operation.dispatch)
    within = spread.volts(terminal) if spread else None
    lane = answer.failures.index(failure)
    opened: tolerances.Within | None = tolerances.DEAD
    if answer.failed.live(facts.network.node(terminal)) >> lane & 1:
        other = spread_of(facts, operation.dispatch, (failure,))
        opened = other.volts(terminal) if other else None
    shows = within and opened and not within.holds(opened.value)
    suspects = (Suspect(failure, opened.value, False),) if shows and opened else ()
    unit = "V" if within else ""
    condition = None if within else Condition.LIVE
    closed = CardStep(Watched.CLOSED, (terminal,), within, unit, condition, suspects=suspects)
    if opened is None or (within is not None and opened.holds(within.value)):
        return closed, None
    return closed, CardStep(Watched.OPENED, (terminal,), opened, "V")


def _protection_card(facts: Facts, name: str, loads: tuple[str, ...]) -> ProtectionCard:
    closed, opened = protection_steps(facts, name)
    stops = CardStep(Watched.LOADS, loads)
    state = facts.states.operation.dispatch
    return ProtectionCard(name, state, closed, (opened, stops) if opened else (stops,))


class _CheckSteps:
    """The steps of one check."""

    def __init__(self, facts: Facts, check: Check):
        self.facts, self.check = facts, check
        self.answer, self.failures = facts.states.answer(check.state), proved(facts, check)
        self.spread = spread_of(facts, check.state)
        meters = {n: m for n, m in facts.detection.meters.items() if n in check.watch}
        self.scene = Scene(self.answer, meters, self.failures) if self.failures else None

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
                suspects.append(Suspect(failure, reading.value, reading.blank))
        unit = _UNITS[self.facts.design.watch.monitors[name].shows]
        return CardStep(Watched.METER, (name,), within, unit, suspects=tuple(suspects))

    def _between(self, one: str, other: str) -> CardStep:
        within = self.spread.difference(one, other) if self.spread else None
        suspects = []
        for failure in self.failures if within else ():
            apart = self._apart(failure, one, other)
            if within is not None and apart is not None and not within.holds(apart):
                suspects.append(Suspect(failure, apart, False))
        return CardStep(Watched.DIFFERENCE, (one, other), within, "V", suspects=tuple(suspects))

    def _apart(self, failure: Failure, one: str, other: str) -> float | None:
        """How much more one voltmeter reads than another after a failure, None where either reads nothing."""
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
            Suspect(failure, None, False) for i, failure in enumerate(self.failures) if mask >> i & 1
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
