"""What the crew can do: declared actions, change-over, inadvertent operation. Each answer is computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew import action_effects, changeover, inadvertent_moves, recovery
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.crew import recovery


class Crew:
    """What the crew can do: declared actions, change-over, inadvertent operation."""

    def __init__(self, states: States):
        self.states = states
        self.design, self.network = states.design, states.network
        self._ways: dict[tuple[str, str], recovery.Recoveries] = {}
        self._made_good: dict[str, Mapping[str, int]] = {}

    def recoveries(self, function: str, state: str, failure: Failure) -> tuple[recovery.Recovery, ...]:
        """The shortest courses of declared actions that bring a function back after a failure that loses it in a state; () where none does."""
        return self._recoveries(function, state).ways.get(failure, ())

    def _recoveries(self, function: str, state: str) -> recovery.Recoveries:
        if (function, state) not in self._ways:
            self._ways[function, state] = recovery.recoveries(
                self.design, self.network, self.states.answer(state), function
            )
            self.states.untried.extend(filter(None, [self._ways[function, state].untried]))
        return self._ways[function, state]

    def _restored(self, answer: StateAnswer) -> Mapping[str, int]:
        state = answer.state.name
        if state not in self._made_good:
            self._made_good[state] = recovery.restored(
                {f: self._recoveries(f, state) for f in self.states.critical_functions}, self.design, answer
            )
        return self._made_good[state]

    def action_outcome(self, action: str) -> action_effects.Outcome:
        """What a declared action does in the dispatch state, against what the file says of it."""
        return action_effects.outcome(self.design, self.network, self.states.answers()[0], action)

    def recoveries_from(self, function: str, state: str, failures: Sequence[Failure]) -> recovery.Recoveries:
        """What declared actions bring a function back after any of some failures, contacts that stick included."""
        from reviewer.analysis.crew import recovery

        return recovery.recoveries(self.design, self.network, self.states.answer(state), function, failures)

    @cached_property
    def changeovers(self) -> tuple[changeover.Changeover, ...]:
        """Switches that change a critical function over between sources, each moved alone from the dispatch state."""
        return tuple(
            changeover.changeovers(
                self.design,
                self.network,
                self.states.cones,
                self.states.answers()[0],
                self.states.critical_functions,
            )
        )

    def all_on_one_source(self, function: str) -> changeover.OneSource | None:
        """The setting of the change-over switches of a function that leaves all of its channels on one battery."""
        switches = tuple(dict.fromkeys(bare(c.switch) for c in self.changeovers if c.function == function))
        return (
            changeover.all_on_one_source(
                self.design, self.network, self.states.answers()[0], function, switches
            )
            if switches
            else None
        )

    @cached_property
    def better_positions(self) -> tuple[changeover.BetterPosition, ...]:
        """Positions of change-over switches with fewer single points of failure than the dispatch position."""
        return tuple(
            changeover.better_positions(self.design, self.network, self.states.answers()[0], self.changeovers)
        )

    @cached_property
    def knocks(self) -> tuple[inadvertent_moves.Knock, ...]:
        """Single moves of a switch in the states of normal flight that stop or start what matters."""
        return inadvertent_moves.knocks(self.design, self.network, self.states.flight_answers())
