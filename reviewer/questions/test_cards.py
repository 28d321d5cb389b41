"""Test cards: what to set and look at, its limits, and the failures to suspect beyond them.

A check that the file declares gives a step for each thing that it watches. A breaker, fuse or
limiter that takes a load gives the voltage behind it, closed and open.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.operating_point import tolerances
from reviewer.model import parts as p
from reviewer.model.estimates import guesses_of
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.card_steps import CardStep, Condition, SuspectedFailure, Watched, spread_of
from reviewer.questions.check_steps import check_steps, proved

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.questions.effects import EffectsTable


@record
class CheckCard:
    """The card of a declared check; ``expect`` is what the design file expects."""

    name: str
    state: str
    switches: tuple[tuple[str, str], ...]
    expect: str
    steps: tuple[CardStep, ...]


@record
class ProtectionCard:
    """The card of a breaker, fuse or limiter in the normal state:

    ``closed`` first, then the steps with it ``open``.
    """

    name: str
    state: str
    closed: CardStep
    open: tuple[CardStep, ...]


@record
class Meters:
    """Errors of panel meters: a share of the reading or shunt rating, plus volts or amperes."""

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
    #: figures that are guesses and not among the unknowns, in words
    guesses: tuple[str, ...] = ()


def cards_of(facts: Facts, effects: EffectsTable | None) -> Cards:
    """A card for each check, then for each protection that takes a load in the normal state."""
    watch, operation, parts = facts.design.watch, facts.design.operation, facts.design.parts
    checks = tuple(
        CheckCard(
            name,
            check.state,
            tuple(facts.states.answer(check.state).state.switches.items()),
            check.expect,
            check_card(facts, name),
        )
        for name, check in facts.as_written.watch.checks.items()  # as the checklist has them
    )
    protection = tuple(
        _protection_card(facts, bare(effect.failure.element), tuple(map(bare, effect.loads)))
        for effect in (effects.effects if effects else ())
        if effect.failure.mode == OPEN
        and effect.loads
        and effect.failure.element.startswith("parts/")
        and isinstance(parts[bare(effect.failure.element)], p.Protector)
    )
    states = [check.state for check in watch.checks.values()] + ([operation.normal] if operation else [])
    spreads = [s for state in dict.fromkeys(states) if (s := spread_of(facts, state))]
    unknowns = tuple(dict.fromkeys(str(u) for s in spreads for u in s.unknowns))
    meters = Meters(
        tolerances.VOLTS_SHARE, tolerances.VOLTS_STEP, tolerances.AMPS_SHARE, tolerances.AMPS_STEP
    )
    normal = operation.normal if operation else ""
    switches = tuple(facts.states.answer(normal).state.switches.items()) if operation else ()
    guesses = tuple(str(g) for g in guesses_of(facts.as_written) if not _drawn(facts, g.at))
    return Cards(checks, protection, bool(spreads), unknowns, meters, normal, switches, guesses)


def _drawn(facts: Facts, at: str) -> bool:
    """Whether a figure is a current or power of a load, which the limits allow for."""
    section, name, *key = at.split("/")
    load = section == "parts" and isinstance(facts.design.parts[name], p.Consumer)
    return load and key in (["current"], ["power"])


def check_card(facts: Facts, name: str) -> tuple[CardStep, ...]:
    """The steps of a check, then what none of them proves."""
    steps = check_steps(facts, name)
    shown = {suspect.failure.element for step in steps for suspect in step.suspects}
    # a diode is proved by either of its failures
    silent = tuple(dict.fromkeys(bare(f.element) for f in proved(facts, name) if f.element not in shown))
    return (*steps, CardStep(Watched.UNPROVED, silent)) if silent else steps


def protection_steps(facts: Facts, name: str) -> tuple[CardStep, CardStep | None]:
    """The voltage behind a protection in the normal state, with it closed, then open.

    The second is None where the terminal is energised from its other end too, so that the voltage
    proves nothing.
    """
    operation = facts.design.operation
    assert operation is not None
    terminal, failure = f"{name}.load", Failure(f"parts/{name}", OPEN)
    answer, spread = facts.states.answer(operation.normal), spread_of(facts, operation.normal)
    within = spread.volts(terminal) if spread else None
    lane = answer.failures.index(failure)
    opened: tolerances.Within | None = tolerances.DEAD
    if answer.failed.live(facts.network.node(terminal)) >> lane & 1:
        other = spread_of(facts, operation.normal, (failure,))
        opened = other.volts(terminal) if other else None
    shows = within and opened and not within.holds(opened.value)
    suspects = (SuspectedFailure(failure, opened.value, False),) if shows and opened else ()
    unit = "V" if within else ""
    condition = None if within else Condition.LIVE
    closed = CardStep(Watched.CLOSED, (terminal,), within, unit, condition, suspects=suspects)
    if opened is None or (within is not None and opened.holds(within.value)):
        return closed, None
    return closed, CardStep(Watched.OPENED, (terminal,), opened, "V")


def _protection_card(facts: Facts, name: str, loads: tuple[str, ...]) -> ProtectionCard:
    closed, opened = protection_steps(facts, name)
    stops = CardStep(Watched.LOADS, loads)
    state = facts.states.operation.normal
    return ProtectionCard(name, state, closed, (opened, stops) if opened else (stops,))
