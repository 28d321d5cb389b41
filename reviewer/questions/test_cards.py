"""Test cards: what to set and look at, its limits, and the failures to suspect beyond them.

A check that the file declares gives a step for each thing that it watches. A breaker, fuse or
limiter that takes a load gives the voltage behind it, closed and open.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.states import solve_states
from reviewer.analysis.operating_point import tolerances
from reviewer.model import parts as p
from reviewer.model.estimates import estimates_of
from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.card_steps import CardStep, Watched, spread_of
from reviewer.questions.check_steps import check_steps, proved
from reviewer.questions.live_terminals import hot_magnetos, live_terminals, moving_or_hot
from reviewer.questions.protection_cards import ProtectionCard, ProtectionCards

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts
    from reviewer.questions.effects import EffectsTable


@record
class CheckCard:
    """The card of a declared check; ``expect`` is what the design file expects.

    ``stopped`` where the engine neither turns nor is turned, ``live`` what is live meanwhile, ``hot``
    the magnetos that would fire, ``running`` the motors and heaters that get power.
    """

    name: str
    state: str
    stopped: bool
    live: tuple[str, ...]
    hot: tuple[str, ...]
    running: tuple[str, ...]
    switches: tuple[tuple[str, str], ...]
    expect: str
    steps: tuple[CardStep, ...]


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
            moving_or_hot(facts.as_written, facts.network, [facts.states.answer(check.state)]),
            tuple(facts.states.answer(check.state).state.switches.items()),
            check.expect,
            check_card(facts, name),
        )
        for name, check in facts.as_written.watch.checks.items()  # as the checklist has them
    )
    taken = {
        bare(effect.failure.element): tuple(map(bare, effect.loads))
        for effect in (effects.effects if effects else ())
        if effect.failure.mode == OPEN
        and effect.loads
        and effect.failure.element.startswith("parts/")
        and isinstance(parts[bare(effect.failure.element)], p.Protector)
    }
    devices = ProtectionCards(facts, tuple(taken), still) if taken else None
    protection = tuple(devices.card(*one) for one in taken.items()) if devices else ()
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
    """The steps of a check, then what its instruments read of sensors, and what no step proves."""
    steps = (*check_steps(facts, name), *_sensed(facts, facts.design.watch.checks[name].state))
    shown = {suspect.failure.element for step in steps for suspect in step.suspects}
    # a diode is proved by either of its failures
    silent = tuple(dict.fromkeys(bare(f.element) for f in proved(facts, name) if f.element not in shown))
    return (*steps, CardStep(Watched.UNPROVED, silent)) if silent else steps


def _sensed(facts: Facts, state: str) -> Iterator[CardStep]:
    """A step for each instrument with power that reads sensors, as of oil and fuel pressure, in a state
    in which the engine runs or a fuel pump does."""
    answer, parts = facts.states.answer(state), facts.design.parts
    healthy = answer.healthy
    pumps = [n for n in facts.design.of_kind(p.Load) if parts[n].unit_type == "fuel-pump"]
    pumped = any(healthy.powered[f"parts/{n}"] for n in pumps)
    if not facts.design.has_engine or not (answer.state.engine == "running" or pumped):
        return
    for name, sensors in facts.grounds.sensor_readers.items():
        if healthy.powered.get(f"parts/{name}"):
            yield CardStep(Watched.SENSORS, (name, *sensors))


def on_batteries(facts: Facts) -> StateAnswer | None:
    """The normal state on the ground with the engine stopped; None without an operation.

    The loads draw what they draw in the first phase that is flown in the normal state.
    """
    if facts.design.operation is None:
        return None
    answer = facts.states.answer(facts.states.operation.normal)
    normal = answer.state
    phases = [n for n, phase in facts.states.operation.phases.items() if phase.state == normal.name]
    state = replace(
        normal.with_engine("stopped"),
        name=f"{normal.name}, engine stopped",
        use="ground",
        at_idle=True,
        currents_of=normal.currents_of or next(iter(phases), None),
        sneaks=(),
    )
    return solve_states(facts.design, facts.network, [state], answer.too_low)[state.name]
