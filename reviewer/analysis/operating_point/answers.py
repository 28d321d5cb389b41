"""Operating points of the declared states: volts and amperes. Each answer is computed once, on
first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeVar

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NoOperatingPoint, NotAssessable
from reviewer.model import parts as p
from reviewer.model.record import record

if TYPE_CHECKING:
    from reviewer.analysis.conduction.failure_modes import Failure
    from reviewer.analysis.conduction.fixed_point import Conduction
    from reviewer.analysis.conduction.scenarios import Case
    from reviewer.analysis.conduction.states import StateAnswer
    from reviewer.analysis.operating_point.circuit_build import Scenario
    from reviewer.analysis.operating_point.failure_readings import FailureReadings
    from reviewer.analysis.operating_point.failure_spreads import FailureSpreads
    from reviewer.analysis.operating_point.flight_charges import FlightCharges
    from reviewer.analysis.operating_point.points import Figures, Points
    from reviewer.analysis.operating_point.resistances import Wiring
    from reviewer.analysis.operating_point.solved_state import OperatingPoint
    from reviewer.analysis.operating_point.tolerances import Spread
    from reviewer.model.resolved_states import ResolvedState


T = TypeVar("T")
#: states of charge of batteries (elements) that are not as full as the file says, else full
Charges = Mapping[str, float]
AS_WRITTEN: Charges = MappingProxyType({})
#: with which charges of the batteries failures are solved, see :meth:`OperatingPoints.failed_points_in`
PLAIN, LEAST = "plain", "least"


@record
class Flown:
    """A state of the switches with the loads of a phase; ``phase`` None where no phase is flown in
    the state."""

    state: str
    phase: str | None

    def __str__(self) -> str:
        return self.state if self.phase in (None, self.state) else f"{self.state} ({self.phase})"


class OperatingPoints:
    """Operating points of the declared states: volts and amperes."""

    def __init__(self, states: States):
        self.states = states
        self.design, self.network = states.design, states.network
        self._points: dict[tuple[object, ...], OperatingPoint | NotAssessable] = {}
        self._largest: dict[tuple[str, tuple[Failure, ...]], OperatingPoint] = {}
        self._spreads: dict[tuple[str, tuple[Failure, ...], tuple[str, ...]], Spread] = {}
        #: the points with nothing failed, by state and phases: their circuits serve again
        self._circuits: dict[tuple[str, tuple[str, ...]], Points] = {}
        #: points of what is flown, that rules ask for many times
        self._flown: dict[tuple[str, str | None], OperatingPoint] = {}

    @cached_property
    def flown(self) -> tuple[Flown, ...]:
        """What is flown, for rules in volts and amperes: each state with each phase flown in it, a
        state without a phase once. A state that is not the state of a phase has the figures of
        none: the largest current of each load."""
        phases = self.design.operation.phases if self.design.operation else {}
        by_state = {
            state: tuple(name for name, phase in phases.items() if phase.state == state)
            for state in self.states.declared
        }
        return tuple(Flown(state, phase) for state, own in by_state.items() for phase in own or (None,))

    def flown_in(self, states: Iterable[str]) -> tuple[Flown, ...]:
        """What is flown in some states, in the order of the states."""
        return tuple(f for state in states for f in self.flown if f.state == state)

    def point(self, flown: Flown) -> OperatingPoint:
        """The operating point of a state with the loads of a phase. Raises NotAssessable with what
        is missing."""
        known = self._flown.get((flown.state, flown.phase))
        if known is None:
            known = self._flown[flown.state, flown.phase] = self.operating_point(flown.state, flown.phase)
        return known

    def operating_point(
        self,
        state: str,
        phase: str | None = None,
        case: tuple[Failure, ...] = (),
        starting: tuple[str, ...] = (),
    ) -> OperatingPoint:
        """Volts and amperes of a state, with the figures of a phase, under some failures, while
        some motors start or lamps are cold.

        Raises NotAssessable with what is missing.
        """
        charges = self.charges_in(self.states.answer(state).state)
        return self._point(state, phase, case, starting, charges)

    def charged_point(self, flown: Flown, charges: Charges) -> OperatingPoint:
        """A point of what is flown with other charges of the batteries. Raises NotAssessable with
        what is missing."""
        if charges:
            return assessed(lambda: self._solved(flown.state, flown.phase, (), (), charges))
        return self._point(flown.state, flown.phase, (), (), AS_WRITTEN)

    def charges_in(self, state: ResolvedState) -> Charges:
        """How full the batteries are in a state: as normal flight leaves them in the air, as the file
        says, else full, on the ground before it and where that is not known."""
        return AS_WRITTEN if state.use == "ground" else self._left_by_flight

    @cached_property
    def _left_by_flight(self) -> Charges:
        from reviewer.analysis.operating_point.flight_charges import full

        if not self.design.of_kind(p.Alternator):
            return AS_WRITTEN
        try:
            least = self.flight_charges.least
        except NotAssessable:
            return AS_WRITTEN
        parts = {f"parts/{n}": self.design.part(n, p.Battery) for n in self.design.of_kind(p.Battery)}
        return MappingProxyType({e: least[e] for e, part in parts.items() if least[e] < full(part)})

    @cached_property
    def flight_charges(self) -> FlightCharges:
        """How full normal flight leaves the batteries of an aircraft with an alternator. Raises
        NotAssessable with what is missing."""
        from reviewer.analysis.operating_point.flight_charges import flight_charges

        return flight_charges(self)

    def _point(
        self,
        state: str,
        phase: str | None,
        case: tuple[Failure, ...],
        starting: tuple[str, ...],
        charges: Charges,
    ) -> OperatingPoint:
        from reviewer.analysis.operating_point.solved_state import phases_of

        phases = phases_of(self.design, self.states.answer(state).state, phase)
        key = (state, phases, case, starting, frozenset(charges.items()))
        if key not in self._points:
            try:
                found = assessed(lambda: self._solved(state, phase, case, starting, charges))
                self._points[key] = found
            except NotAssessable as missing:
                # to find out a second time that there is none may take seconds
                self._points[key] = missing.kept()
        known = self._points[key]
        if isinstance(known, NotAssessable):
            raise known.kept()
        return known

    def _solved(
        self,
        state: str,
        phase: str | None,
        case: tuple[Failure, ...],
        starting: tuple[str, ...],
        charges: Charges,
    ) -> OperatingPoint:
        from reviewer.analysis.operating_point.solved_state import OperatingPoint, solved_points

        scenario = self._scenario(state, phase, case, starting, charges)
        points = solved_points(self.design, self.network, scenario, wiring=self.wiring)
        if not case and not starting:
            self._circuits[state, scenario.phases] = points
        return OperatingPoint(self.design, scenario, points, self.wiring)

    def solved_of(self, answer: StateAnswer, figures: Figures | None = None) -> OperatingPoint:
        """The operating point of a state that is not declared, with the largest current of each
        load, but where ``figures`` say otherwise. Raises NotAssessable with what is missing."""
        from reviewer.analysis.operating_point.solved_state import scenario_of, solve_state

        charges = self.charges_in(answer.state)
        scenario = scenario_of(self.design, self.network, answer.state, answer.healthy, charges=charges)
        return assessed(lambda: solve_state(self.design, self.network, scenario, figures, self.wiring))

    def without_loads(self, point: OperatingPoint, loads: Collection[str]) -> OperatingPoint:
        """A point with some of its loads (elements) that take nothing. Raises NotAssessable with what is
        missing."""
        from reviewer.analysis.operating_point.solved_state import without_loads

        return assessed(lambda: without_loads(point, loads))

    def largest_point(self, state: str, case: tuple[Failure, ...]) -> OperatingPoint:
        """The operating point of a declared state under some failures, with the largest current of
        each load. Raises NotAssessable with what is missing."""
        if (state, case) not in self._largest:
            from reviewer.analysis.operating_point.solved_state import solve_state

            scenario = replace(self._scenario(state, None, case, ()), phases=())
            self._largest[state, case] = assessed(
                lambda: solve_state(self.design, self.network, scenario, wiring=self.wiring)
            )
        return self._largest[state, case]

    def operating_points(
        self,
        state: str,
        figures: Figures,
        points: int,
        phase: str | None = None,
        starting: tuple[str, ...] = (),
    ) -> Points:
        """Many operating points of a state, that differ in their figures. Raises NotAssessable with
        what is missing."""
        from reviewer.analysis.operating_point.points import solve_points

        return assessed(
            lambda: solve_points(
                self.design,
                self.network,
                self._scenario(state, phase, (), starting),
                figures,
                points,
                self.wiring,
            )
        )

    def figured(self, flown: Flown, case: tuple[Failure, ...], figures: Figures) -> OperatingPoint:
        """One point with figures of its own, under some failures. Raises NotAssessable with what is
        missing."""
        from reviewer.analysis.operating_point.solved_state import solve_state

        return assessed(
            lambda: solve_state(
                self.design,
                self.network,
                self._scenario(flown.state, flown.phase, case, ()),
                figures,
                self.wiring,
            )
        )

    def failed_points(
        self,
        state: str,
        cases: tuple[Case, ...],
        conduction: Conduction,
        charges: Sequence[str] = (PLAIN, LEAST),
    ) -> Points:
        """:meth:`failed_points_in` of a declared state."""
        return self.failed_points_in(self.states.answer(state), cases, conduction, charges)

    def failed_points_in(
        self,
        answer: StateAnswer,
        cases: tuple[Case, ...],
        conduction: Conduction,
        charges: Sequence[str] = (PLAIN, LEAST),
    ) -> Points:
        """A point of a state for each of some cases, which are the lanes of ``conduction``, and each
        of some charges of the batteries: PLAIN as :meth:`charges_in` has them, LEAST with each at the
        least charge with which it is ready for flight, if that is less. Raises NotAssessable with
        what is missing."""
        from reviewer.analysis.operating_point.points import Figures, solve_points
        from reviewer.analysis.operating_point.solved_state import scenario_of

        each = [self._battery_charges(answer.state, one) for one in charges]
        charge = {battery: tuple(one[battery] for one in each) for battery in each[0]}
        plain = scenario_of(self.design, self.network, answer.state, answer.healthy)
        scenario = replace(plain, conduction=conduction, cases=cases)
        figures = Figures(state_of_charge=charge, speed=scenario.state.speed)
        return assessed(
            lambda: solve_points(self.design, self.network, scenario, figures, len(charges), self.wiring)
        )

    def failed_point(self, answer: StateAnswer, case: tuple[Failure, ...], charge: str) -> OperatingPoint:
        """One of :meth:`failed_points_in`, in a circuit of its own. Raises NotAssessable."""
        from reviewer.analysis.operating_point.points import Figures

        state = answer.state
        if charge == PLAIN:
            return self.operating_point(state.name, None, case)
        figures = Figures(state_of_charge=self._battery_charges(state, charge), speed=state.speed)
        return self.figured(Flown(state.name, None), case, figures)

    def _battery_charges(self, state: ResolvedState, which: str) -> dict[str, float]:
        """PLAIN or LEAST charge of each battery (element) in a state."""
        from reviewer.analysis.operating_point.flight_charges import full
        from reviewer.analysis.operating_point.tolerances import READY

        usual, found = self.charges_in(state), {}
        for name in self.design.of_kind(p.Battery):
            own = usual.get(f"parts/{name}", full(self.design.part(name, p.Battery)))
            found[f"parts/{name}"] = own if which == PLAIN else min(own, READY)
        return found

    @cached_property
    def half_charged(self) -> OperatingPoint:
        """The normal state with the main batteries half full; a reserve that is charged is a load of
        its bus. Raises NotAssessable with what is missing."""
        from reviewer.analysis.operating_point.points import Figures

        parts = self.design.parts
        mains = [n for n in self.design.of_kind(p.Battery) if parts[n].purpose == "main"]
        (flown, *_) = self.flown_in([self.states.operation.normal])
        return self.figured(flown, (), Figures(state_of_charge={f"parts/{n}": 0.5 for n in mains}))

    def alarm_sign(self, monitor: str) -> int:
        """-1 where what a monitor of a current reads is less than zero while the batteries are
        charged, as the alarms of it count from there; else 1."""
        own = self.design.watch.monitors[monitor]
        if own.shows != "current" or own.alarm_below is own.alarm_above is None:
            return 1
        try:
            reads = self.half_charged.readings[monitor].value
        except NotAssessable:
            return 1
        return -1 if reads is not None and reads < 0 else 1

    @cached_property
    def under_failures(self) -> FailureReadings:
        """What the monitors read under many failures of a state."""
        from reviewer.analysis.operating_point.failure_readings import FailureReadings

        return FailureReadings(self)

    @cached_property
    def spreads_under(self) -> FailureSpreads:
        """What the monitors may read under some failures of a state."""
        from reviewer.analysis.operating_point.failure_spreads import FailureSpreads

        return FailureSpreads(self)

    def spread(self, state: str, case: tuple[Failure, ...] = (), phase: str | None = None) -> Spread:
        """Between which limits volts are and meters may read in a state, with the figures of a
        phase, under some failures. Raises NotAssessable with what is missing."""
        from reviewer.analysis.operating_point.tolerances import spread

        scenario = self._scenario(state, phase, case, ())
        key = (state, case, scenario.phases)
        if key not in self._spreads:
            like = None if case else self._circuits.get((state, scenario.phases))
            self._spreads[key] = assessed(
                lambda: spread(self.design, self.network, scenario, self.wiring, like)
            )
        return self._spreads[key]

    def spread_in(self, answer: StateAnswer, case: tuple[Failure, ...] = ()) -> Spread:
        """:meth:`spread` of a state that is not declared. Raises NotAssessable with what is missing."""
        from reviewer.analysis.operating_point.solved_state import scenario_of
        from reviewer.analysis.operating_point.tolerances import spread

        charges = self.charges_in(answer.state)
        scenario = scenario_of(
            self.design, self.network, answer.state, answer.healthy, None, case, charges=charges
        )
        return assessed(lambda: spread(self.design, self.network, scenario, self.wiring))

    @cached_property
    def wiring(self) -> Wiring:
        """The resistances of all wires and contacts, which serve every point."""
        from reviewer.analysis.operating_point.resistances import Wiring

        return Wiring(self.design, self.network)

    def _scenario(
        self,
        state: str,
        phase: str | None,
        case: tuple[Failure, ...],
        starting: tuple[str, ...],
        charges: Charges | None = None,
    ) -> Scenario:
        from reviewer.analysis.operating_point.solved_state import scenario_of

        answer = self.states.answer(state)
        if charges is None:
            charges = self.charges_in(answer.state)
        return scenario_of(
            self.design, self.network, answer.state, answer.healthy, phase, case, starting, charges
        )

    def answer_of(self, flown: Flown, case: tuple[Failure, ...]) -> StateAnswer:
        """A state solved under some failures, in the place of its healthy answer."""
        from reviewer.analysis.conduction.fixed_point import conduct

        answer = self.states.answer(flown.state)
        return (
            StateAnswer(
                self.design,
                self.network,
                answer.state,
                conduct(self.network, answer.state, (case,), answer.healthy),
            )
            if case
            else answer
        )


def assessed(solve: Callable[[], T]) -> T:
    """What a solver answers. Raises NotAssessable where it lacks a figure, or its figures are such
    that no numbers come of them."""
    from reviewer.analysis.solver.circuit import Singular
    from reviewer.tables.lookup import OutsideTable

    try:
        return solve()
    except OutsideTable as missing:
        raise NotAssessable(str(missing)) from missing
    except Singular as singular:
        raise NoOperatingPoint("currents and resistances of a size that can be solved") from singular
