"""Facts about grounds, and what pulsed and heavy currents do to signals. No logic lives here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis import circuits, grounds, inputs, structure
from reviewer.analysis.point_facts import Flown
from reviewer.analysis.state_facts import NotAssessable
from reviewer.analysis.wiring_facts import WiringFacts
from reviewer.model.parts import SignalInput
from reviewer.model.record import record
from reviewer.tables.table import OutsideTable

if TYPE_CHECKING:
    from reviewer.analysis.electrical.offsets import Offset, Pair
    from reviewer.analysis.electrical.state import OperatingPoint
    from reviewer.analysis.failures import Failure
    from reviewer.analysis.ground_volts import ReturnSide, Rise, Stray, Suspect


@record
class High:
    """Volts in a state."""

    volts: float
    state: str


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
    def signal_carriers(self) -> Mapping[str, tuple[str, ...]]:
        """Wires that carry signals -> the sensors and instruments at their ends."""
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

    @cached_property
    def _instrument_returns(self) -> Mapping[str, tuple[str, ...]]:
        return grounds.instrument_returns(self.design, self.network)

    @cached_property
    def _star(self) -> frozenset[str]:
        return grounds.star(self.design, self.network)

    def shared_returns(self, name: str) -> tuple[grounds.SharedReturn, ...]:
        """What the return of an alternator, starter or load has in common with those of instruments, before the star at the battery."""
        hearing = {name for ends in self.signal_carriers.values() for name in ends}
        return grounds.shared_returns(self.design, self.network, name, self._instrument_returns, hearing, self._star)

    @property
    def _flown_in_flight(self) -> tuple[Flown, ...]:
        flight = {a.state.name for a in self.flight_answers()}
        return tuple(flown for flown in self.flown if flown.state in flight)

    @cached_property
    def return_ohms(self) -> ReturnSide:
        """The resistances of the return side."""
        from reviewer.analysis import ground_volts

        return ground_volts.return_ohms(self.design, self.network)

    @cached_property
    def structure_returns(self) -> Mapping[str, structure.StructureReturn]:
        """For each load that is grounded to metal structure and fed in a declared state: the worst resistance to the negative of a source that feeds it."""
        missing = next((f"{key} of {e.partition('/')[2]}" for e, key in self.return_ohms.unsized.items()), "")
        return structure.structure_returns(self.design, self.network, self.answers(), self.return_ohms.ohms, missing)

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
        return max(
            (ground_volts.stray(self.network, self.return_ohms, suspect, self._failed(state)) for state in states), key=lambda found: found.amps
        )

    def _failed(self, state: str) -> Callable[[tuple[Failure, ...]], OperatingPoint]:
        return lambda case: self.operating_point(state, None, case)

    @cached_property
    def sensor_pairs(self) -> tuple[Pair, ...]:
        """Sensors of measured quantities and the instruments that read them."""
        from reviewer.analysis.electrical import offsets

        return offsets.pairs(self.design, self.network)

    @cached_property
    def _drops(self) -> Mapping[str, Mapping[int, float]]:
        from reviewer.analysis.electrical import offsets

        return offsets.drops_of(self.design, self.network, self.return_ohms)

    def offset(self, pair: Pair) -> Offset | None:
        """The largest difference of the two grounds of a pair while the engine runs in normal flight. Raises NotAssessable with what is missing."""
        from reviewer.analysis.electrical import offsets

        if missing := offsets.lacking(self.network, self.return_ohms, pair):
            raise NotAssessable(", ".join(f"{key} of {element.partition('/')[2]}" for element, key in missing.items()))
        running = [f for f in self._flown_in_flight if self.states[f.state].engine == "running"]
        return offsets.worst(offsets.offset(self.design, self.network, self.return_ohms, pair, self.point(f), self._drops) for f in running)

    @property
    def offset_limits(self) -> tuple[float, float, float]:
        """Shares of the span with a shared return and with a ground elsewhere, and volts that are nothing."""
        from reviewer.analysis.electrical import offsets

        return offsets.MOST_SHARED, offsets.MOST_APART, offsets.NOTHING_V

    @cached_property
    def emergency_switches(self) -> tuple[str, ...]:
        """Names of the switches in circuits of critical loads, and of those that a declared action moves."""
        return circuits.emergency_switches(self.design, self.network)

    def drive(self, instrument: str, entry: SignalInput) -> inputs.Drive:
        """What drives an input of an instrument."""
        return inputs.drive(self.design, self.network, self.answers(), instrument, entry)

    def highest_volts(self, terminal: str) -> High:
        """The most volts of a terminal over the negative of the main battery in normal flight. Raises NotAssessable with what is missing."""
        found = [High(self.point(f).volts.get(terminal, 0.0), f.state) for f in self._flown_in_flight]
        return max(found, key=lambda high: high.volts)

    @cached_property
    def dragged_inputs(self) -> Mapping[str, tuple[inputs.Dragged, ...]]:
        """For each instrument with inputs on contacts: those that are joined to one of an instrument that can be without power."""
        return inputs.dragged_inputs(self.design, self.network, self.answers())

    @cached_property
    def shared_sensors(self) -> Mapping[str, tuple[inputs.SharedSensor, ...]]:
        """For each function that needs fewer channels than it has: pairs of channels that read one sensor."""
        return inputs.shared_sensors(self.design, self.network)
