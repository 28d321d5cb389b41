"""Grounds and returns, and what pulsed and heavy currents do to signals.

Each answer is computed once, on first asking. No logic lives here.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.grounding import p_lead_grounds, shared_returns, signal_inputs, structure_returns
from reviewer.analysis.not_assessable import NotAssessable, gaps
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
from reviewer.analysis.paths.series_leads import negative_leads
from reviewer.analysis.wiring import circuits
from reviewer.model import parts as p
from reviewer.model.parts import SignalInput
from reviewer.model.record import record
from reviewer.model.rounding import higher

if TYPE_CHECKING:
    from reviewer.analysis.conduction.failure_modes import Failure
    from reviewer.analysis.grounding.ground_shift import ReturnPaths, ReturnSide, Rise, Stray, Suspect
    from reviewer.analysis.grounding.remaining_leads import Overload
    from reviewer.analysis.grounding.sensor_offset import Offset, Pair
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


@record
class High:
    """Volts in a state."""

    volts: float
    state: str

    def above(self, rated: float) -> bool:
        """Whether they are above a rating (volts)."""
        return higher(self.volts, rated)


class Grounds:
    """Grounds and returns, and what pulsed and heavy currents do to signals."""

    def __init__(self, states: States, points: OperatingPoints):
        self.states = states
        self.points = points
        self.design, self.network = states.design, states.network

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
        """Heavy wires -> what they serve.

        Between a main battery and alternators, starters and sockets for external power.
        """
        from reviewer.analysis.grounding import ground_shift

        heavy = circuits.heavy_wires(self.design, self.network)
        return ground_shift.carrying(self.design, self.network, self.return_ohms, heavy)

    @cached_property
    def ground_leads(self) -> tuple[str, ...]:
        """Names of the wires from one ground to another.

        Between blocks, studs, structure and the negatives of sources.
        """
        return shared_returns.ground_leads(self.design, self.network)

    @cached_property
    def shared_p_lead_grounds(self) -> tuple[p_lead_grounds.SharedPLeadGround, ...]:
        """Leads that alone ground a magneto and return loads, over the declared states."""
        return p_lead_grounds.shared_p_lead_grounds(self.design, self.states.answers())

    @cached_property
    def lost_grounds(self) -> Mapping[str, shared_returns.LostGround]:
        """Return wires whose opening loses several loads, over the states of normal flight."""
        return shared_returns.by_wire(
            shared_returns.lost_grounds(self.design, self.network, a) for a in self.states.flight_answers()
        )

    @cached_property
    def noisy_users(self) -> tuple[str, ...]:
        """Names of the alternators, starters and loads of pulsed current."""
        return shared_returns.noisy_users(self.design)

    @cached_property
    def _instrument_returns(self) -> Mapping[str, tuple[int, ...]]:
        return shared_returns.instrument_returns(self.design, self.network, self._homes)

    @cached_property
    def _homes(self) -> shared_returns.Homes:
        if self.design.operation is None:
            return shared_returns.Homes(self.design, self.network)
        flown, declared = self.states.flight_answers(), self.states.answers()
        return shared_returns.Homes(self.design, self.network, flown, declared)

    def crossed_blocks(self, starter: str, wires: Collection[str]) -> tuple[shared_returns.SharedReturn, ...]:
        """The ground blocks of instruments that some wires, by name, cross with the current of a starter."""
        return shared_returns.crossed_blocks(
            self.design, self.network, starter, wires, self._instrument_returns, self._homes.of(starter)
        )

    def negatives_elsewhere(self, name: str, part: str) -> Mapping[str, str]:
        """Main battery (a name) of a load or alternator -> the block or stud at which its negative
        ends, where no lead of it ends at a ``part`` of structure."""
        ends = {
            battery: [
                self.network.names[lead.end].partition(".")[0]
                for lead in negative_leads(self.design, self.network, [battery])
            ]
            for battery in sorted(self._homes.of(name))
            if self.design.part(battery, p.Battery).purpose == "main"
        }
        return {battery: own[0] for battery, own in ends.items() if own and part not in own}

    def shared_returns(self, name: str) -> tuple[shared_returns.SharedReturn, ...]:
        """What the return of a noisy load has in common with those of instruments.

        Of an alternator, starter or load, before the star at the batteries that feed it.
        """
        hearing = {name for ends in self.signal_carriers.values() for name in ends}
        return shared_returns.shared_returns(
            self.design, self.network, name, self._instrument_returns, hearing, self._homes.of(name)
        )

    @property
    def _flown_in_flight(self) -> tuple[Flown, ...]:
        flight = {a.state.name for a in self.states.flight_answers()}
        return tuple(flown for flown in self.points.flown if flown.state in flight)

    @cached_property
    def return_ohms(self) -> ReturnSide:
        """The resistances of the return side."""
        from reviewer.analysis.grounding import ground_shift

        return ground_shift.return_ohms(self.design, self.network)

    @cached_property
    def structure_returns(self) -> Mapping[str, structure_returns.StructureReturn]:
        """Load grounded to metal structure -> its worst resistance to a source's negative.

        Over the sources that feed it in a declared state.
        """
        missing = next((f"{key} of {e.partition('/')[2]}" for e, key in self.return_ohms.unsized.items()), "")
        return structure_returns.structure_returns(
            self.design, self.network, self.states.answers(), self.return_ohms.ohms, missing
        )

    def rise(self, lead: str) -> Rise:
        """How far the worst return rises when a ground lead opens, in whatever is flown.

        Raises NotAssessable with what is missing.
        """
        from reviewer.analysis.grounding import ground_shift

        if self.design.aircraft.stage == "concept" and self.return_ohms.unsized:
            raise NotAssessable("`gauge` and `length` of the wires that carry returns")

        paths = ground_shift.ReturnPaths(
            self.network, self.return_ohms, f"wires/{lead}", self._whole_return_paths
        )

        def one(flown: Flown) -> Rise:
            return ground_shift.rise(
                self.network,
                self.return_ohms,
                f"wires/{lead}",
                self.points.point(flown),
                lambda case: self.points.operating_point(flown.state, flown.phase, case),
                paths,
            )

        return max(map(one, self._flown_in_flight), key=lambda found: found.volts)

    @cached_property
    def _whole_return_paths(self) -> ReturnPaths:
        from reviewer.analysis.grounding.ground_shift import ReturnPaths

        return ReturnPaths(self.network, self.return_ohms, "")

    @cached_property
    def _parallel_wires(self) -> Mapping[str, tuple[str, ...]]:
        from reviewer.analysis.grounding import remaining_leads

        return remaining_leads.parallel_wires(self.design, self.network)

    def overload(self, lead: str) -> Overload | None:
        """The wire that carries too much when a ground lead parallel to it opens, in what is flown.

        Raises NotAssessable with what is missing.
        """
        from reviewer.analysis.grounding import remaining_leads

        parallel = self._parallel_wires.get(f"wires/{lead}", ())
        return remaining_leads.overload(
            self.design,
            f"wires/{lead}",
            parallel,
            [(flown, self.points.point(flown)) for flown in self._flown_in_flight if parallel],
            lambda flown, case: self.points.operating_point(flown.state, flown.phase, case),
        )

    @cached_property
    def suspects(self) -> tuple[Suspect, ...]:
        """Signal wires and shields that can carry return current when another conductor opens."""
        from reviewer.analysis.grounding import ground_shift

        return ground_shift.suspects(self.design, self.network)

    def stray(self, suspect: Suspect) -> Stray:
        """The largest stray current of a signal wire or shield. Raises NotAssessable.

        In the normal state and while the engine is cranked.
        """
        from reviewer.analysis.grounding import ground_shift

        dispatch = self.states.answers()[0].state.name
        states = [
            s.name for s in self.states.declared.values() if s.name == dispatch or s.engine == "cranking"
        ]
        return max(
            (
                ground_shift.stray(self.network, self.return_ohms, suspect, self._failed(state))
                for state in states
            ),
            key=lambda found: found.amps,
        )

    def _failed(self, state: str) -> Callable[[tuple[Failure, ...]], OperatingPoint]:
        return lambda case: self.points.operating_point(state, None, case)

    @cached_property
    def sensor_pairs(self) -> tuple[Pair, ...]:
        """Sensors of measured quantities and the instruments that read them."""
        from reviewer.analysis.grounding import sensor_offset

        return sensor_offset.pairs(self.design, self.network)

    @cached_property
    def _drops(self) -> Mapping[str, Mapping[int, float]]:
        from reviewer.analysis.grounding import sensor_offset

        return sensor_offset.drops_of(self.design, self.network, self.return_ohms)

    def offset(self, pair: Pair) -> Offset | None:
        """The largest difference of the two grounds of a pair, engine running, in normal flight.

        Raises NotAssessable with what is missing.
        """
        from reviewer.analysis.grounding import sensor_offset

        if missing := sensor_offset.lacking(self.network, self.return_ohms, pair):
            raise NotAssessable(gaps(missing, None))
        running = [f for f in self._flown_in_flight if self.states.declared[f.state].engine == "running"]
        return sensor_offset.worst(
            sensor_offset.offset(
                self.design, self.network, self.return_ohms, pair, self.points.point(f), self._drops
            )
            for f in running
        )

    @property
    def offset_limits(self) -> tuple[float, float, float]:
        """Limits of an offset: shares of the span, and volts that are nothing.

        The first share with a return that is shared, the second with a ground elsewhere.
        """
        from reviewer.analysis.grounding import sensor_offset

        return sensor_offset.MOST_SHARED, sensor_offset.MOST_APART, sensor_offset.NOTHING_V

    def drive(self, instrument: str, entry: SignalInput) -> signal_inputs.Drive:
        """What drives an input of an instrument."""
        return signal_inputs.drive(
            self.design, self.network, self.states.answers(), self._return_side, instrument, entry
        )

    @cached_property
    def _return_side(self) -> frozenset[int]:
        return frozenset(shared_returns.return_side(self.network))

    def highest_volts(self, terminal: str) -> High:
        """The most volts of a terminal over the negative of the main battery in normal flight.

        Raises NotAssessable with what is missing.
        """
        found = [High(self.points.point(f).volts.get(terminal, 0.0), f.state) for f in self._flown_in_flight]
        return max(found, key=lambda high: high.volts)

    @cached_property
    def dragged_inputs(self) -> Mapping[str, tuple[signal_inputs.Dragged, ...]]:
        """Instrument -> its inputs that an instrument without power can drag down.

        For each instrument with inputs on contacts.
        """
        return signal_inputs.dragged_inputs(self.design, self.network, self.states.answers())

    @cached_property
    def sensor_readers(self) -> Mapping[str, tuple[str, ...]]:
        """Instrument -> the sensors of a measurement that it reads, as of oil pressure, in the order of the
        file."""
        found: dict[str, tuple[str, ...]] = {}
        for sensor in self.design.of_kind(p.Sensor):
            if self.design.part(sensor, p.Sensor).carries == "measurement":
                for name in sorted(signal_inputs.sensor_readers(self.design, self.network, sensor)):
                    found[name] = (*found.get(name, ()), sensor)
        return found

    @cached_property
    def shared_sensors(self) -> Mapping[str, tuple[signal_inputs.SharedSensor, ...]]:
        """Function -> pairs of its channels that read one sensor.

        For each function that needs fewer channels than it has.
        """
        return signal_inputs.shared_sensors(self.design, self.network)

    @cached_property
    def redundant_instruments(self) -> Mapping[str, tuple[str, ...]]:
        """Function -> its instruments, where it needs fewer channels than it has and they are in two."""
        return signal_inputs.redundant_instruments(self.design)

    @cached_property
    def blinding_places(self) -> tuple[signal_inputs.BlindingPlace, ...]:
        """The connectors, bundles and openings at which instruments lose all the sensors they read."""
        return signal_inputs.blinding_places(self.design, self.network)
