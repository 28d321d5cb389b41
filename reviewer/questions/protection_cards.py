"""The cards of circuit protection: the voltage behind a breaker, fuse or limiter, closed and open."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.scenarios import failures_of
from reviewer.analysis.operating_point import tolerances
from reviewer.model.record import record
from reviewer.questions.card_steps import CardStep, Condition, SuspectedFailure, Watched, spread_in, spread_of
from reviewer.questions.live_terminals import hot_magnetos, live_terminals, moving_or_hot, node_at

if TYPE_CHECKING:
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.facts import Facts


@record
class ProtectionCard:
    """The card of a breaker, fuse or limiter in the normal state:

    ``closed`` first, then the steps with it ``open``. ``stopped`` where the engine stands still and
    the batteries alone feed, which is so wherever that proves as much. ``live`` is what is live
    meanwhile, ``hot`` the magnetos that would fire, ``running`` the motors and heaters that get power,
    ``stays_live`` the ends of the device itself that are live while it is open.
    """

    name: str
    state: str
    stopped: bool
    live: tuple[str, ...]
    hot: tuple[str, ...]
    running: tuple[str, ...]
    stays_live: tuple[str, ...]
    closed: CardStep
    open: tuple[CardStep, ...]


class ProtectionCards:
    """The cards of some protective devices, their states solved once for all: the normal one, and the same
    ``still`` with the engine stopped."""

    def __init__(self, facts: Facts, names: Sequence[str], still: StateAnswer | None):
        self.facts, self.names = facts, tuple(names)
        normal = facts.states.answer(facts.states.operation.normal)
        self.normal = _ProtectedState(facts, normal, self.names)
        self.still = None if still is None else _ProtectedState(facts, still, self.names)

    def card(self, name: str, loads: tuple[str, ...]) -> ProtectionCard:
        """The card of a device that takes some loads."""
        at, closed, opened = self.normal, None, None
        if self.still is not None and self.still.takes(name, loads):
            at, (closed, opened) = self.still, self.still.steps(name)
        if closed is None or opened is None:  # with the alternator the volts may tell
            at, (closed, opened) = self.normal, self.normal.steps(name)
        stops = CardStep(Watched.LOADS, loads)
        return ProtectionCard(
            name,
            self.normal.answer.state.name,
            at is self.still,
            at.live,
            at.hot,
            at.running,
            at.stays_live(name),
            closed,
            (opened, stops) if opened else (stops,),
        )


class _ProtectedState:
    """A state, and the same with each of some protective devices open, a lane each."""

    def __init__(self, facts: Facts, answer: StateAnswer, names: Sequence[str]):
        self.facts, self.answer = facts, answer
        self.lane = {name: i for i, name in enumerate(names)}
        failures = [Failure(f"parts/{name}", OPEN) for name in names]
        after = answer.conducting_after(failures)
        self.cases, self.opened = after.cases, after.conducts

    @cached_property
    def spread(self) -> tolerances.Spread | None:
        """Its limits; None where the file lacks what they need."""
        declared = self.answer is self.facts.states.answer(self.facts.states.operation.normal)
        return (
            spread_of(self.facts, self.answer.state.name) if declared else spread_in(self.facts, self.answer)
        )

    @cached_property
    def live(self) -> tuple[str, ...]:
        """What is live in it."""
        return live_terminals(self.facts.as_written, self.facts.network, self.answer)

    @cached_property
    def hot(self) -> tuple[str, ...]:
        """The magnetos that would fire."""
        return hot_magnetos(self.facts.network, self.answer)

    @cached_property
    def running(self) -> tuple[str, ...]:
        """The motors and heaters that get power."""
        return moving_or_hot(self.facts.as_written, self.facts.network, [self.answer])

    def takes(self, name: str, loads: Sequence[str]) -> bool:
        """Whether a device that opens stops all of some loads."""
        powered, lane = self.opened.powered, 1 << self.lane[name]
        healthy = self.answer.healthy.powered
        return all(healthy[f"parts/{n}"] and not powered[f"parts/{n}"] & lane for n in loads)

    def stays_live(self, name: str) -> tuple[str, ...]:
        """The ends of a device that are live while it is open."""
        ends = {
            end: node_at(self.facts.design, self.facts.network, f"{name}.{end}") for end in ("line", "load")
        }
        return tuple(
            f"{name}.{end}" for end, node in ends.items() if node is not None and self._live(name, node)
        )

    def _live(self, name: str, node: int) -> bool:
        return bool(self.opened.live(node) >> self.lane[name] & 1)

    def steps(self, name: str) -> tuple[CardStep, CardStep | None]:
        """The voltage behind a device with it closed, then open.

        The second is None where the terminal is energised from its other end too, so that the voltage
        proves nothing.
        """
        terminal, failure = f"{name}.load", Failure(f"parts/{name}", OPEN)
        within = self.spread.volts(terminal) if self.spread else None
        opened: tolerances.Within | None = tolerances.DEAD
        if self._live(name, self.facts.network.node(terminal)):
            other = spread_in(self.facts, self.answer, failures_of(self.cases[self.lane[name]]))
            opened = other.volts(terminal) if other else None
        shows = within and opened and not within.holds(opened.value)
        suspects = (SuspectedFailure(failure, opened.value, False),) if shows and opened else ()
        unit = "V" if within else ""
        condition = None if within else Condition.LIVE
        closed = CardStep(Watched.CLOSED, (terminal,), within, unit, condition, suspects=suspects)
        if opened is None or (within is not None and opened.holds(within.value)):
            return closed, None
        return closed, CardStep(Watched.OPENED, (terminal,), opened, "V")
