"""Facts about grounds, and what pulsed and heavy currents do to signals. No logic lives here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis import circuits, grounds
from reviewer.analysis.point_facts import Flown
from reviewer.analysis.state_facts import NotAssessable
from reviewer.analysis.wiring_facts import WiringFacts
from reviewer.tables.table import OutsideTable

if TYPE_CHECKING:
    from reviewer.analysis.electrical.state import OperatingPoint
    from reviewer.analysis.failures import Failure
    from reviewer.analysis.ground_volts import ReturnSide, Rise, Stray, Suspect


class GroundFacts(WiringFacts):
    """What a rule may ask about grounds and noise."""

    @cached_property
    def mixed_bundles(self) -> Mapping[str, circuits.Mixed]:
        """Bundles in which signals run beside pulsed or heavy current."""
        return circuits.mixed_bundles(self.design, self.network, self.heavy_wires)

    @cached_property
    def openings(self) -> Mapping[str, circuits.Opening]:
        """What passes each opening of a bulkhead."""
        return circuits.openings(self.design, self.network, self.heavy_wires)

    @cached_property
    def signal_carriers(self) -> Mapping[str, str]:
        """Wires that carry signals -> the sensor or instrument."""
        return circuits.signal_wires(self.design, self.network)

    @cached_property
    def heavy_wires(self) -> Mapping[str, str]:
        """Wires between a main battery and alternators, starters and sockets for outside power -> what they serve."""
        from reviewer.analysis import ground_volts

        heavy = circuits.heavy_wires(self.design, self.network)
        return ground_volts.carrying(self.design, self.network, self.return_ohms, heavy)

    def wire_ohms(self, name: str) -> float | None:
        """Resistance at 20 C of a wire by its size and length; None where the file or the table does not say."""
        from reviewer.analysis.ratings.wire import wire_resistance

        wire = self.design.wires[name]
        try:
            return wire_resistance(wire.gauge, wire.length).ohms if wire.gauge and wire.length else None
        except OutsideTable:
            return None

    @cached_property
    def ground_leads(self) -> tuple[str, ...]:
        """Names of the wires from one ground to another."""
        return grounds.ground_leads(self.design, self.network)

    @cached_property
    def lost_grounds(self) -> Mapping[str, grounds.LostGround]:
        """Wires of the return side that take several users when they open, over the states of normal flight."""
        return grounds.by_wire(grounds.lost_grounds(self.design, self.network, a) for a in self.flight_answers())

    @cached_property
    def noisy_users(self) -> tuple[str, ...]:
        """Names of the alternators, starters and loads of pulsed current."""
        return grounds.noisy_users(self.design)

    def shared_returns(self, name: str) -> tuple[grounds.SharedReturn, ...]:
        """What the return of an alternator, starter or load has in common with those of instruments, before the star at the battery."""
        return grounds.shared_returns(self.design, self.network, name)

    @property
    def _flown_in_flight(self) -> tuple[Flown, ...]:
        flight = {a.state.name for a in self.flight_answers()}
        return tuple(flown for flown in self.flown if flown.state in flight)

    @cached_property
    def return_ohms(self) -> ReturnSide:
        """The resistances of the return side."""
        from reviewer.analysis import ground_volts

        return ground_volts.return_ohms(self.design, self.network)

    def rise(self, lead: str) -> Rise:
        """How far the worst return rises when a ground lead opens, in whatever is flown. Raises NotAssessable with what is missing."""
        from reviewer.analysis import ground_volts

        if self.design.aircraft.stage == "concept" and self.return_ohms.unsized:
            raise NotAssessable("`gauge` and `length` of the wires that carry returns")

        def one(flown: Flown) -> Rise:
            return ground_volts.rise(
                self.network, self.return_ohms, f"wires/{lead}", self.point(flown), lambda case: self.operating_point(flown.state, flown.phase, case)
            )

        return max(map(one, self._flown_in_flight), key=lambda found: found.volts)

    @cached_property
    def suspects(self) -> tuple[Suspect, ...]:
        """Signal wires and shields through which return current can flow when another conductor opens."""
        from reviewer.analysis import ground_volts

        return ground_volts.suspects(self.design, self.network)

    def stray(self, suspect: Suspect) -> Stray:
        """The largest stray current of a signal wire or shield, in the dispatch state and while the engine is cranked. Raises NotAssessable."""
        from reviewer.analysis import ground_volts

        dispatch = self.answers()[0].state.name
        states = [s.name for s in self.states.values() if s.name == dispatch or s.engine == "cranking"]
        return max((ground_volts.stray(suspect, self._failed(state)) for state in states), key=lambda found: found.amps)

    def _failed(self, state: str) -> Callable[[tuple[Failure, ...]], OperatingPoint]:
        return lambda case: self.operating_point(state, None, case)
