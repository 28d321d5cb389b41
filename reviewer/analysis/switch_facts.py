"""Facts about switches, relays and the start. No logic lives here."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis import basis, cranking, knocks
from reviewer.analysis.point_facts import Flown, PointFacts, assessed
from reviewer.analysis.state_facts import NotAssessable

if TYPE_CHECKING:
    from reviewer.analysis.electrical.state import OperatingPoint


class SwitchFacts(PointFacts):
    """What a rule may ask about switches, relays and the start."""

    @cached_property
    def knocks(self) -> tuple[knocks.Knock, ...]:
        """Single moves of a switch in the states of normal flight that stop or start what matters."""
        return knocks.knocks(self.design, self.network, self.flight_answers())

    @cached_property
    def starters(self) -> tuple[str, ...]:
        """The elements of the loads that are starters."""
        return tuple(f"parts/{n}" for n in cranking.starters(self.design))

    @property
    def cold_factor(self) -> float:
        """Factor on the resistance of batteries that are cold or aged."""
        return cranking.ageing()

    def coil_volts(self, point: OperatingPoint, relay: str) -> float:
        """Volts across the coil of a relay, whichever way round; 0 where no live source reaches it."""
        return abs(
            point.volts.get(f"{relay}.{self.design.parts[relay].coil[0]}", 0.0) - point.volts.get(f"{relay}.{self.design.parts[relay].coil[1]}", 0.0)
        )

    def volts_known(self, state: str, point: OperatingPoint, *terminals: str) -> None:
        """Raises NotAssessable where the volts between some terminals rest on an element without a size or a load without a current."""
        if missing := basis.lacking(self.design, self.network, self.answer(state), point, terminals):
            raise NotAssessable(missing)

    @cached_property
    def flown_cranking(self) -> tuple[Flown, ...]:
        """What is flown with the engine cranked. Raises NotAssessable where the design has a starter and no such state."""
        found = tuple(f for f in self.flown if cranking.cranks(self.states[f.state]))
        if not found and cranking.starters(self.design):
            raise NotAssessable("a state with `engine: cranking`")
        return found

    @cached_property
    def cranked(self) -> tuple[cranking.Cranked, ...]:
        """The worst moment of the start in each of them. Raises NotAssessable with what is missing."""
        return tuple(self._cranked(flown) for flown in self.flown_cranking)

    def _cranked(self, flown: Flown) -> cranking.Cranked:
        from reviewer.analysis.electrical.points import Figures
        from reviewer.analysis.electrical.state import solve_state
        from reviewer.model import parts as p

        powered = self.answer(flown.state).healthy.powered
        turning = tuple(n for n in cranking.starters(self.design) if powered[f"parts/{n}"])
        if not turning:
            raise NotAssessable(f"a load of `type: starter` that has power in {flown.state}")
        for name in turning:
            if self.design.parts[name].peak is None:
                raise NotAssessable(f"`peak` of {name}")
        figures = Figures(ageing={f"parts/{n}": cranking.ageing() for n in self.design.of_kind(p.Battery)})
        point = assessed(lambda: solve_state(self.design, self.network, self._scenario(flown.state, flown.phase, (), turning), figures))
        phase = self.operation.phases.get(flown.phase) if flown.phase else None
        return cranking.Cranked(flown, turning, point, phase.duration if phase else None)
