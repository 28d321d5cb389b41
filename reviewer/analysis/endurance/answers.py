"""Load by phase, endurance of the batteries, parasitic drain while parked. Each answer is computed
once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints

if TYPE_CHECKING:
    from reviewer.analysis.endurance.battery_endurance import Lasting
    from reviewer.analysis.endurance.peaks_on_battery import PeakUndervoltage
    from reviewer.analysis.endurance.phase_loads import PhaseLoad
    from reviewer.analysis.endurance.shedding import Shed
    from reviewer.analysis.endurance.storage_drain import Drain


class Endurance:
    """Load by phase, endurance of the batteries, parasitic drain while parked."""

    def __init__(self, states: States, points: OperatingPoints):
        self.states = states
        self.points = points
        self.design, self.network = states.design, states.network
        self._lasting: dict[str, Lasting] = {}
        self._loads: dict[Flown, PhaseLoad] = {}
        self._drains: dict[str, tuple[Drain, ...]] = {}

    def phase_load(self, flown: Flown) -> PhaseLoad:
        """What a state with the loads of a phase asks of its sources. Raises NotAssessable with
        what is missing."""
        from reviewer.analysis.endurance.phase_loads import phase_load

        if flown not in self._loads:
            self._loads[flown] = phase_load(self.points, flown)
        return self._loads[flown]

    def lasting(self, battery: str) -> Lasting:
        """Endurance of a battery: of a main one after the loss of an alternator, of a reserve with
        what it is dedicated to. Raises NotAssessable."""
        from reviewer.analysis.endurance.battery_endurance import main_lasts, reserve_lasts

        if battery not in self._lasting:
            ask = reserve_lasts if self.design.parts[battery].purpose == "reserve" else main_lasts
            self._lasting[battery] = ask(self.points, battery)
        return self._lasting[battery]

    def sag(self, battery: str, wanted: float) -> PeakUndervoltage:
        """Undervoltage of the loads that a main battery must carry, when two peaks meet near the
        end of the required time. Raises NotAssessable."""
        from reviewer.analysis.endurance.peaks_on_battery import sag

        return sag(self.points, self.lasting(battery), wanted)

    @cached_property
    def shed_plan(self) -> tuple[Shed, ...]:
        """What each action of the shed plan takes power from, in order."""
        from reviewer.analysis.endurance.shedding import shed_plan

        return shed_plan(self.points)

    def left_states(self) -> tuple[str, ...]:
        """The states in which the aircraft may be left."""
        from reviewer.analysis.endurance.storage_drain import left_states

        return left_states(self.points)

    def signs_left_on(self, state: str) -> tuple[str, ...]:
        """Lamps and instruments that show in a state that something is on."""
        from reviewer.analysis.endurance.storage_drain import signs_left_on

        return signs_left_on(self.points, state)

    def outside_reaches(self, socket: str) -> Mapping[str, tuple[str, ...]]:
        """For each battery, the states in which a socket's power charges it. Raises NotAssessable
        where no state has external power."""
        from reviewer.analysis.endurance.storage_drain import outside_reaches

        return outside_reaches(self.points, socket)

    def stored_states(self) -> tuple[str, ...]:
        """The states in which the aircraft is parked. Raises NotAssessable where none is
        declared."""
        from reviewer.analysis.endurance.storage_drain import stored_states

        return stored_states(self.points)

    def drains(self, state: str) -> tuple[Drain, ...]:
        """What drains each battery in a state. Raises NotAssessable with what is missing."""
        from reviewer.analysis.endurance.storage_drain import drains

        if state not in self._drains:
            self._drains[state] = drains(self.points, state)
        return self._drains[state]
