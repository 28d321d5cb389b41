"""Which failures cause the loss of a function, alone and in pairs.

Each answer is computed once, when it is first asked for. The logic is in the modules beside this
one.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction import late_outcomes
from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.states import StateAnswer, rests_on
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.cut_sets import (
    common_causes,
    selectivity_failures,
    severed_bundles,
    shared_channels,
    single_points,
    source_dependence,
)
from reviewer.analysis.cut_sets.fault_shares import FaultShares
from reviewer.analysis.cut_sets.low_volts import LowVolts
from reviewer.analysis.cut_sets.selectivity_failures import SelectivityFailure
from reviewer.analysis.cut_sets.single_points import SinglePoint
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.ratings.opening_order import Selectivity
from reviewer.model.review import HazardClass

if TYPE_CHECKING:
    from reviewer.analysis.cut_sets import minimal_cut_sets as cuts


class Failures:
    """Which failures cause the loss of a function, alone and in pairs."""

    def __init__(self, states: States, crew: Crew, points: OperatingPoints, low_volts: LowVolts):
        self.states = states
        self.low_volts = low_volts
        self.points = points
        self.crew = crew
        self.design, self.network = states.design, states.network
        self._shared: dict[str, dict[str, tuple[str, tuple[str, ...]]]] = {}
        self._pairs: dict[str, cuts.PairLosses] = {}
        self._cuts: dict[tuple[str, str, int], tuple[cuts.CutSet, ...]] = {}

    @cached_property
    def single_points(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Single points of failure, not recoverable, by element, in normal flight."""
        return single_points.by_element(
            self._with_volts(
                a,
                single_points.single_points(
                    self.design, self.network, a, self.crew.recoverable(a), self.crew.recoverable_stuck(a)
                ),
            )
            for a in self.states.flight_answers()
        )

    def _with_volts(self, answer: StateAnswer, points: tuple[SinglePoint, ...]) -> tuple[SinglePoint, ...]:
        """The points, with the volts of the loads that have too little."""
        return tuple(
            replace(p, low_volts=self.low_volts.least(answer, p.low, p.failures)) if p.low else p
            for p in points
        )

    @cached_property
    def recoverable_points(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Recoverable single points of failure, by element, in normal flight.

        Those after which batteries inside units keep the function on until the crew has restored it
        are left out.
        """
        return single_points.by_element(
            self._with_volts(
                a,
                tuple(
                    point
                    for point in single_points.recoverable_points(
                        self.design, self.network, a, self.crew.recoverable(a), self.crew.recoverable_stuck(a)
                    )
                    if not self._bridged(point)
                ),
            )
            for a in self.states.flight_answers()
        )

    def _bridged(self, point: SinglePoint) -> bool:
        """Whether batteries inside units bridge the time until the crew has restored what it loses."""
        return not {f"parts/{n}" for n in point.lost}.intersection(point.equivalent) and all(
            self.crew.bridged(point.function, point.state, failure, point.lost) for failure in point.failures
        )

    def works_without(self, bundle: str, state: str, kept: Collection[str]) -> frozenset[str]:
        """The functions that work in a state with a bundle severed but for the wires that are ``kept`` (all
        pointers)."""
        answer = self.states.answer(state)
        return severed_bundles.works_without(self.design, self.network, answer, bundle, kept)

    @cached_property
    def cut_bundles(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Bundles that lose a critical function when they are severed, over the states of normal
        flight.

        Those that a declared action recovers are left out.
        """
        points = [p for points in self.single_points.values() for p in points]
        return single_points.by_element(
            tuple(severed_bundles.cut_bundles(self.design, self.network, a, points))
            for a in self.states.flight_answers()
        )

    def elements_on(self, side: str) -> tuple[str, ...]:
        """Elements on a side; none where no critical function is declared."""
        return (
            single_points.elements_on(self.design, self.network, self.states.flight_answers(), side)
            if self.states.critical_functions
            else ()
        )

    def shared_protectors(self, function: str) -> dict[str, tuple[str, tuple[str, ...]]]:
        """Protectors whose opening loses two or more channels of a function -> state, channels.

        A declared action that restores a function of major loss is its second feed.
        """
        if function not in self._shared:
            waits = HazardClass.of(self.design.functions[function].loss) <= HazardClass.MAJOR
            self._shared[function] = shared_channels.shared_in_states(
                self.design,
                self.states.flight_answers(),
                function,
                lambda state, failure: waits and bool(self.crew.recoveries(function, state, failure)),
            )
        return self._shared[function]

    def loses_channels(self, function: str, element: str) -> bool:
        """Whether an element is a protective device whose opening loses two or more channels of a
        function, or of one of major or graver loss that it needs.
        """
        inner = (
            name
            for name, spec in self.design.functions.items()
            if name == function
            or (rests_on(self.design, function, name) and HazardClass.of(spec.loss) >= HazardClass.MAJOR)
        )
        return any(element in self.shared_protectors(name) for name in inner)

    @cached_property
    def openings(self) -> Mapping[str, tuple[str, ...]]:
        """Opening of a bulkhead -> the wires that pass it."""
        return common_causes.openings(self.design)

    @cached_property
    def exposed_zones(self) -> Mapping[str, tuple[str, ...]]:
        """Zone near an exhaust or under a fluid line -> the parts and wires in it."""
        return common_causes.exposed_zones(self.design)

    @cached_property
    def common_openings(self) -> Mapping[str, tuple[common_causes.CommonLoss, ...]]:
        """Critical function -> the openings of bulkheads whose wires lose it together.

        In the states of normal flight.
        """
        return self._common(self.openings)

    @cached_property
    def common_zones(self) -> Mapping[str, tuple[common_causes.CommonLoss, ...]]:
        """Critical function -> the zones near an exhaust or under a fluid line that lose it.

        In the states of normal flight.
        """
        return self._common(self.exposed_zones)

    def _common(
        self, places: Mapping[str, Sequence[str]]
    ) -> Mapping[str, tuple[common_causes.CommonLoss, ...]]:
        found: dict[str, dict[str, common_causes.CommonLoss]] = {}
        for answer in self.states.flight_answers():
            for loss in common_causes.common_losses(self.design, self.network, answer, places):
                found.setdefault(loss.function, {}).setdefault(loss.place, loss)
        return {function: tuple(losses.values()) for function, losses in found.items()}

    @cached_property
    def on_alternator_alone(self) -> tuple[source_dependence.AlternatorDependence, ...]:
        """The failures that leave a critical function to alternators alone, in normal flight."""
        return tuple(
            alone
            for a in self.states.flight_answers()
            for alone in source_dependence.on_alternator_alone(self.design, self.network, a)
        )

    @cached_property
    def major_functions(self) -> tuple[str, ...]:
        """Functions whose loss is major and that no other channel of a function above replaces.

        Raises NotAssessable where no function is declared.
        """
        if not self.design.functions:
            raise NotAssessable("`functions`: what must survive, and the hazard class of losing it")
        return source_dependence.major_functions(self.design)

    def shared_feeds(self, function: str) -> tuple[source_dependence.SharedFeed, ...]:
        """The single failures that lose a function and something else with it, by state of normal
        flight.

        A declared action may recover some of them.
        """
        return tuple(
            source_dependence.shared_feed(self.design, self.network, a, function)
            for a in self.states.flight_answers()
        )

    def low_after(self, function: str, state: str, failure: Failure) -> tuple[tuple[str, float, float], ...]:
        """(load, its least volts, its minimum) of the loads of a function that a failure leaves
        with power and with less than their minimum voltage."""
        loads = self.states.loads_of(function)
        found = self.low_volts.least(self.states.answer(state), loads, [failure])
        return tuple((load, volts, least) for load, volts, least in found if least is not None)

    def selectivity(self, upper: str, lower: str) -> Selectivity:
        """Whether the ratings of two protectors in series, by name, ensure that the lower one opens
        first.

        Raises NotAssessable without a rating.
        """
        return late_outcomes.of_parts(self.design, upper, lower)

    @cached_property
    def selectivity_failures(self) -> tuple[SelectivityFailure, ...]:
        """Failures of selectivity, over the states of normal flight."""
        return tuple(
            failure
            for a in self.states.flight_answers()
            for failure in selectivity_failures.selectivity_failures(
                self.design, self.network, a, FaultShares(self.design, self.network, self.points, a)
            )
        )

    def pair_losses(self, state: str) -> cuts.PairLosses:
        """For each function, the pairs of failures that lose it where neither does alone."""
        from reviewer.analysis.cut_sets import minimal_cut_sets as cuts

        if state not in self._pairs:
            self._pairs[state] = cuts.pair_losses(self.states.answer(state))
        return self._pairs[state]

    def cut_sets(self, state: str, function: str, order: int = 2) -> tuple[cuts.CutSet, ...]:
        """The minimal cut sets of a function in a state, of at most ``order`` (1 or 2) failures."""
        from reviewer.analysis.cut_sets import minimal_cut_sets as cuts

        if (state, function, order) not in self._cuts:
            self._cuts[state, function, order] = cuts.cut_sets(
                self.states.answer(state), function, order, self._pairs.get(state)
            )
        return self._cuts[state, function, order]
