"""Facts about failures: what they take, what the crew can do about it, and what relays and protectors then do. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from reviewer.analysis.conduction.answers import NotAssessable, StateFacts
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.scenarios import Case
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew import action_effects, recovery
from reviewer.analysis.cut_sets import late_clearing, single_points, source_dependence
from reviewer.analysis.cut_sets.late_clearing import Late
from reviewer.analysis.cut_sets.single_points import SinglePoint
from reviewer.analysis.detection import answers, evidence
from reviewer.analysis.paths import external_power
from reviewer.analysis.ratings.opening_order import Selectivity
from reviewer.analysis.switching import relays
from reviewer.model.design import Design


class FailureFacts(StateFacts):
    """What a rule may ask about failures."""

    def __init__(self, design: Design):
        super().__init__(design)
        self._ways: dict[tuple[str, str], recovery.Recoveries] = {}
        self._made_good: dict[str, Mapping[str, int]] = {}
        self._shared: dict[str, dict[str, tuple[str, tuple[str, ...]]]] = {}

    @cached_property
    def single_points(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Single points of failure that no declared action makes good, by element, over the states of normal flight."""
        return single_points.by_element(
            single_points.single_points(self.design, self.network, a, self._restored(a))
            for a in self.flight_answers()
        )

    @cached_property
    def restorable_points(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Single points of failure that a declared action makes good, by element, over the states of normal flight."""
        return single_points.by_element(
            single_points.restorable_points(self.design, self.network, a, self._restored(a))
            for a in self.flight_answers()
        )

    @cached_property
    def telling(self) -> answers.Telling:
        """What tells the crew of failures."""
        return answers.Telling(self)

    def evidence(self, state: str, case: Case) -> evidence.Evidence:
        """The names of monitors, functions and loads that a failure, or several at once, change in a declared state."""
        return self.telling.evidence(state, case)

    @property
    def latent(self) -> tuple[Failure, ...]:
        """The single failures of the dispatch state that no use, monitor or check reveals. Raises NotAssessable without an operation."""
        return self.telling.latent

    def recoveries(self, function: str, state: str, failure: Failure) -> tuple[recovery.Recovery, ...]:
        """The shortest courses of declared actions that bring a function back after a failure that loses it in a state; () where none does."""
        return self._recoveries(function, state).ways.get(failure, ())

    def _recoveries(self, function: str, state: str) -> recovery.Recoveries:
        if (function, state) not in self._ways:
            self._ways[function, state] = recovery.recoveries(
                self.design, self.network, self.answer(state), function
            )
            self.untried.extend(filter(None, [self._ways[function, state].untried]))
        return self._ways[function, state]

    def _restored(self, answer: StateAnswer) -> Mapping[str, int]:
        state = answer.state.name
        if state not in self._made_good:
            self._made_good[state] = recovery.restored(
                {f: self._recoveries(f, state) for f in self.critical_functions}, self.design, answer
            )
        return self._made_good[state]

    def action_outcome(self, action: str) -> action_effects.Outcome:
        """What a declared action does in the dispatch state, against what the file says of it."""
        return action_effects.outcome(self.design, self.network, self.answers()[0], action)

    def noticed(self, state: str, failure: Failure) -> tuple[str, ...]:
        """Monitors that tell the crew of a single failure in a state: an alarm is given or a reading goes away."""
        return self.telling.warned(state, failure)

    @cached_property
    def cut_bundles(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Bundles that lose a critical function when they are severed, and that no declared action makes good, over the states of normal flight."""
        points = [p for points in self.single_points.values() for p in points]
        return single_points.by_element(
            tuple(single_points.cut_bundles(self.design, self.network, a, points))
            for a in self.flight_answers()
        )

    def elements_on(self, side: str) -> tuple[str, ...]:
        """Elements on the supply side, the return side, or in shared bodies, where a critical function is declared."""
        return (
            single_points.elements_on(self.design, self.network, self.flight_answers(), side)
            if self.critical_functions
            else ()
        )

    def shared_protectors(self, function: str) -> dict[str, tuple[str, tuple[str, ...]]]:
        """Protectors that take two or more channels of a function -> (state, channels)."""
        if function not in self._shared:
            self._shared[function] = single_points.shared_in_states(
                self.design, self.flight_answers(), function
            )
        return self._shared[function]

    @cached_property
    def restoring_relays(self) -> tuple[relays.Restoring, ...]:
        """Relays that restore a bus or load in another state than dispatch, and the failures after which they cannot."""
        return tuple(relays.restoring_relays(self.design, self.network, self.answers()[0], self.answers()))

    @cached_property
    def held_relays(self) -> tuple[relays.Held, ...]:
        """Relays that stay in when a state that does not energise them is set after another."""
        return tuple(relays.held_relays(self.network, self._changes))

    @cached_property
    def revived_buses(self) -> tuple[relays.Revived, ...]:
        """Buses that a state must leave dead and that live when it is set after another."""
        return tuple(relays.revived_buses(self.network, self._changes))

    @cached_property
    def _changes(self) -> relays.Changes:
        return relays.changes(self.network, self.answers())

    @cached_property
    def control_protectors(self) -> tuple[relays.ControlProtector, ...]:
        """Protectors of a coil or field whose opening takes a bus, over the states of normal flight."""
        return tuple(
            c for a in self.flight_answers() for c in relays.control_protectors(self.design, self.network, a)
        )

    @cached_property
    def on_alternator_alone(self) -> tuple[source_dependence.Alone, ...]:
        """The single failures that leave a critical function to alternators alone, over the states of normal flight."""
        return tuple(
            alone
            for a in self.flight_answers()
            for alone in source_dependence.on_alternator_alone(self.design, self.network, a)
        )

    @cached_property
    def major_functions(self) -> tuple[str, ...]:
        """Functions whose loss is major. Raises NotAssessable where no function is declared."""
        if not self.design.functions:
            raise NotAssessable("`functions`: what must survive, and the hazard class of losing it")
        return source_dependence.major_functions(self.design)

    def shared_feeds(self, function: str) -> tuple[source_dependence.SharedFeed, ...]:
        """The single failures that take a function and something else with it, by state of normal flight; a declared action may make them good."""
        return tuple(
            source_dependence.shared_feed(self.design, self.network, a, function)
            for a in self.flight_answers()
        )

    @cached_property
    def sockets(self) -> Mapping[str, external_power.Socket]:
        """What stands between each socket for outside power and the aircraft."""
        return external_power.sockets(self.design, self.network, tuple(self.states.values()))

    def selectivity(self, upper: str, lower: str) -> Selectivity:
        """Whether the ratings of two protectors in a row, by name, promise that the lower one opens first. Raises NotAssessable."""
        return late_clearing.of_parts(self.design, upper, lower)

    @cached_property
    def late_protectors(self) -> tuple[Late, ...]:
        """Protectors that may clear a short too late, over the states of normal flight."""
        return tuple(
            late
            for a in self.flight_answers()
            for late in late_clearing.late_protectors(self.design, self.network, a)
        )
