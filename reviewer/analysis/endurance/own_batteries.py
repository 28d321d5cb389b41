"""How much longer a function lasts by the batteries inside its units, once these are no longer fed."""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.conduction.states import loads_of
from reviewer.analysis.endurance.depletion import Depletion, LoadStop
from reviewer.model.design import Design
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import bare


class OwnBatteries:
    """The units with a battery inside, charged when their feed is lost."""

    def __init__(self, design: Design):
        self.design = design

    def on_own(self, load: str, state: ResolvedState) -> float:
        """Seconds for which a load (a name) works on without feed in a state."""
        return 0.0 if state.is_off(load) else self.design.works_on_for(load)

    def lasts(self, function: str, course: Depletion, before: Mapping[str, LoadStop]) -> float:
        """Seconds at which a function is lost in a course, after some stops ``before`` it.

        A load that is still fed when the function has lost its feed counts from then on: it may
        last longer.
        """
        if function not in course.losses:
            return course.lost_at(function)
        loss = course.losses[function]
        state = loss.segment.state
        stops = {bare(e): stop.seconds for e, stop in {**before, **course.stops}.items()}
        ends = {
            load: min(stops.get(load, loss.seconds), loss.seconds) + self.on_own(load, state)
            for load in loads_of(self.design, function)
        }

        def end(name: str) -> float:
            made_of = self.design.functions.get(name)
            if made_of is None:
                taking = self.design.takers.get(name, ())
                return max(ends.get(one, loss.seconds) for one in (name, *taking))
            return sorted(map(end, made_of.of), reverse=True)[made_of.any - 1]

        return max(loss.seconds, end(function))

    def helping(self, function: str, state: ResolvedState) -> tuple[str, ...]:
        """The loads of a function that work on by themselves in a state."""
        return tuple(n for n in loads_of(self.design, function) if self.on_own(n, state))
