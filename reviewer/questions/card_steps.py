"""One step of a test card: what to look at, its limits, and the failures to suspect beyond them."""

from __future__ import annotations

from enum import Enum
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point import tolerances
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts
    from reviewer.analysis.operating_point.solved_state import Reading


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
    #: sensors that an instrument with power reads, the instrument first: what they read is not in the file
    SENSORS = "sensors"
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
class SuspectedFailure:
    """A failure to suspect:

    ``value`` is what the meter then reads, ``dark`` where it reads nothing.

    None and False where the step shows only that something differs.
    """

    failure: Failure
    value: float | None
    dark: bool


@record
class CardStep:
    """One thing to look at.

    ``names`` are those of a monitor, function or part, of two voltmeters, of a terminal, of loads,
    or of what is not proved. ``limits`` are None where nothing is measured or where they could not
    be solved; then ``reading`` or ``condition`` says what is to be found. ``rests_on`` are the magnetos
    that alone keep a function on while the state silences others of it.
    """

    watched: Watched
    names: tuple[str, ...]
    limits: tolerances.Within | None = None
    unit: str = ""
    condition: Condition | None = None
    reading: Reading | None = None
    suspects: tuple[SuspectedFailure, ...] = ()
    rests_on: tuple[str, ...] = ()


def spread_of(facts: Facts, state: str, case: tuple[Failure, ...] = ()) -> tolerances.Spread | None:
    """The spread of a state; None where the file lacks what it needs."""
    try:
        return facts.points.spread(state, case)
    except NotAssessable:
        return None


def spread_in(facts: Facts, answer: StateAnswer, case: tuple[Failure, ...] = ()) -> tolerances.Spread | None:
    """The same of a state that is not declared."""
    try:
        return facts.points.spread_in(answer, case)
    except NotAssessable:
        return None
