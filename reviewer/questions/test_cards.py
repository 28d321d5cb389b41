"""Test cards: what to set and look at, its limits, and the failures to suspect beyond them.

A check that the file declares gives a step for each thing that it watches. A breaker, fuse or
limiter that takes a load gives the voltage behind it, closed and open.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import solve_states
from reviewer.analysis.operating_point import tolerances
from reviewer.model import parts as p
from reviewer.model.estimates import estimates_of
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.card_steps import CardStep, Condition, SuspectedFailure, Watched, spread_in, spread_of
from reviewer.questions.check_steps import check_steps, proved
from reviewer.questions.live_terminals import hot_magnetos, live_terminals, node_at

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts
    from reviewer.questions.effects import EffectsTable


@record
class CheckCard:
    """The card of a declared check; ``expect`` is what the design file expects.

    ``stopped`` where the engine neither turns nor is turned, ``live`` what is live meanwhile, ``hot``
    the magnetos that would fire.
    """

    name: str
    state: str
    stopped: bool
    live: tuple[str, ...]
    hot: tuple[str, ...]
    switches: tuple[tuple[str, str], ...]
    expect: str
    steps: tuple[CardStep, ...]


@record
class ProtectionCard:
    """The card of a breaker, fuse or limiter in the normal state:

    ``closed`` first, then the steps with it ``open``. ``stopped`` where the engine stands still and
    the batteries alone feed, which is so wherever that proves as much. ``live`` is what is live
    meanwhile, ``hot`` the magnetos that would fire, ``stays_live`` the ends of the device itself that are
    live while it is open.
    """

    name: str
    state: str
    stopped: bool
    live: tuple[str, ...]
    hot: tuple[str, ...]
    stays_live: tuple[str, ...]
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
    #: figures that are estimates and not among the unknowns, in words
    estimates: tuple[str, ...] = ()


def cards_of(facts: Facts, effects: EffectsTable | None) -> Cards:
    """A card for each check, then for each protection that takes a load in the normal state."""
    still = on_batteries(facts)
    watch, operation, parts = facts.design.watch, facts.design.operation, facts.design.parts
    checks = tuple(
        CheckCard(
            name,
            check.state,
            facts.states.answer(check.state).state.engine == "stopped",
            live_terminals(facts.as_written, facts.network, facts.states.answer(check.state)),
            hot_magnetos(facts.network, facts.states.answer(check.state)),
            tuple(facts.states.answer(check.state).state.switches.items()),
            check.expect,
            check_card(facts, name),
        )
        for name, check in facts.as_written.watch.checks.items()  # as the checklist has them
    )
    protection = tuple(
        _protection_card(facts, bare(effect.failure.element), tuple(map(bare, effect.loads)), still)
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
    estimates = tuple(str(g) for g in estimates_of(facts.as_written) if not _drawn(facts, g.at))
    return Cards(checks, protection, bool(spreads), unknowns, meters, normal, switches, estimates)


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


def on_batteries(facts: Facts) -> StateAnswer | None:
    """The normal state on the ground with the engine stopped; None without an operation.

    The loads draw what they draw in the first phase that is flown in the normal state.
    """
    if facts.design.operation is None:
        return None
    normal = facts.states.answer(facts.states.operation.normal).state
    phases = [n for n, phase in facts.states.operation.phases.items() if phase.state == normal.name]
    state = replace(
        normal.with_engine("stopped"),
        name=f"{normal.name}, engine stopped",
        use="ground",
        at_idle=True,
        currents_of=normal.currents_of or next(iter(phases), None),
        sneaks=(),
    )
    return solve_states(facts.design, facts.network, [state])[state.name]


def protection_steps(
    facts: Facts, name: str, answer: StateAnswer | None = None
) -> tuple[CardStep, CardStep | None]:
    """The voltage behind a protection in a state, the normal one if none is given, with it closed,
    then open.

    The second is None where the terminal is energised from its other end too, so that the voltage
    proves nothing.
    """
    normal = facts.states.answer(facts.states.operation.normal)
    answer = normal if answer is None else answer
    terminal, failure = f"{name}.load", Failure(f"parts/{name}", OPEN)
    spread = spread_in(facts, answer) if answer is not normal else spread_of(facts, normal.state.name)
    within = spread.volts(terminal) if spread else None
    lane = conduct(facts.network, answer.state, (failure,), answer.healthy)
    opened: tolerances.Within | None = tolerances.DEAD
    if lane.live(facts.network.node(terminal)):
        other = spread_in(facts, answer, (failure,))
        opened = other.volts(terminal) if other else None
    shows = within and opened and not within.holds(opened.value)
    suspects = (SuspectedFailure(failure, opened.value, False),) if shows and opened else ()
    unit = "V" if within else ""
    condition = None if within else Condition.LIVE
    closed = CardStep(Watched.CLOSED, (terminal,), within, unit, condition, suspects=suspects)
    if opened is None or (within is not None and opened.holds(within.value)):
        return closed, None
    return closed, CardStep(Watched.OPENED, (terminal,), opened, "V")


def _protection_card(
    facts: Facts, name: str, loads: tuple[str, ...], still: StateAnswer | None
) -> ProtectionCard:
    failure = Failure(f"parts/{name}", OPEN)
    answer = facts.states.answer(facts.states.operation.normal)
    stopped = False
    if still is not None and all(still.healthy.powered[f"parts/{load}"] for load in loads):
        lane = conduct(facts.network, still.state, (failure,), still.healthy)
        stopped = not any(lane.powered[f"parts/{load}"] for load in loads)
    closed, opened = protection_steps(facts, name, still if stopped else None)
    if stopped and opened is None:  # with the alternator the volts may tell
        stopped, (closed, opened) = False, protection_steps(facts, name)
    stops = CardStep(Watched.LOADS, loads)
    answer = still if stopped and still is not None else answer
    out = conduct(facts.network, answer.state, (failure,), answer.healthy)
    ends = {end: node_at(facts.design, facts.network, f"{name}.{end}") for end in ("line", "load")}
    return ProtectionCard(
        name,
        facts.states.operation.normal,
        stopped,
        live_terminals(facts.as_written, facts.network, answer),
        hot_magnetos(facts.network, answer),
        tuple(f"{name}.{end}" for end, node in ends.items() if node is not None and out.live(node)),
        closed,
        (opened, stops) if opened else (stops,),
    )
