"""Facts: the answers of the engines about one design, each computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from reviewer.analysis import changeover, combinations, isolation, protection, returns, single_points, sneak, states, ties
from reviewer.analysis.states import ShortedSource, StateAnswer
from reviewer.model.design import Design
from reviewer.model.operating import ResolvedState, resolved
from reviewer.network.graph import Network, bare, build_network

if TYPE_CHECKING:  # loaded where volts and amperes are asked for
    from reviewer.analysis.electrical.build import Scenario
    from reviewer.analysis.electrical.points import Figures, Points
    from reviewer.analysis.electrical.state import OperatingPoint
    from reviewer.analysis.failures import Failure

T = TypeVar("T")


class NotAssessable(Exception):
    """An answer that cannot be given; ``needs`` names the input that is missing."""

    def __init__(self, needs: str):
        super().__init__(needs)
        self.needs = needs


class Facts:
    """What a rule may ask. All answers are frozen; asking twice costs nothing."""

    def __init__(self, design: Design):
        self.design = design
        self._answers: dict[str, StateAnswer] = {}
        self._points: dict[tuple[str, str | None, tuple[Failure, ...]], OperatingPoint] = {}
        #: what an enumeration did not cover, one sentence each
        self.untried: list[str] = []

    @cached_property
    def network(self) -> Network:
        """The network of the design."""
        return build_network(self.design)

    @cached_property
    def states(self) -> Mapping[str, ResolvedState]:
        """The declared states, inheritance resolved. Raises NotAssessable without an operation."""
        if self.design.operation is None:
            raise NotAssessable("`operation` with its dispatch state and switch positions")
        return resolved(self.design.operation)

    def answer(self, state: str) -> StateAnswer:
        """One declared state solved, healthy and under every single failure."""
        if state not in self._answers:
            self._answers[state] = states.solve_state(self.design, self.network, self.states[state])
        return self._answers[state]

    def answers(self) -> tuple[StateAnswer, ...]:
        """Every declared state solved, the dispatch state first."""
        dispatch = self.design.operation.dispatch if self.design.operation else ""
        return tuple(self.answer(s) for s in sorted(self.states, key=lambda s: s != dispatch))

    def flight_answers(self) -> tuple[StateAnswer, ...]:
        """The states of normal flight solved, the dispatch state first."""
        dispatch = self.design.operation.dispatch if self.design.operation else ""
        return tuple(a for a in self.answers() if a.state.use == "flight" or a.state.name == dispatch)

    @cached_property
    def critical_functions(self) -> tuple[str, ...]:
        """Functions whose loss is hazardous or catastrophic. Raises NotAssessable where no function is declared."""
        if not self.design.functions:
            raise NotAssessable("`functions`: what must survive, and the hazard class of losing it")
        return states.critical_functions(self.design)

    def loads_of(self, function: str) -> tuple[str, ...]:
        """Names of all loads a function rests on."""
        return states.loads_of(self.design, function)

    @cached_property
    def single_points(self) -> Mapping[str, tuple[single_points.SinglePoint, ...]]:
        """Single points of failure by element, over the states of normal flight."""
        found: dict[str, tuple[single_points.SinglePoint, ...]] = {}
        for answer in self.flight_answers():
            for point in single_points.single_points(self.design, self.network, answer):
                found[point.element] = (*found.get(point.element, ()), point)
        return found

    def elements_on(self, side: str) -> tuple[str, ...]:
        """Elements on the supply side, the return side, or in shared bodies, where a critical function is declared."""
        return single_points.elements_on(self.design, self.network, self.flight_answers(), side) if self.critical_functions else ()

    def shared_protectors(self, function: str) -> dict[str, tuple[str, tuple[str, ...]]]:
        """Protectors that take two or more channels of a function -> (state, channels)."""
        return single_points.shared_in_states(self.design, self.flight_answers(), function)

    @cached_property
    def wire_feeds(self) -> Mapping[str, tuple[protection.EndFeed, ...]]:
        """For each wire that a source can feed: how each end is fed, in each declared state."""
        return protection.feeds_in_states(self.design, self.network, self.answers())

    @cached_property
    def exempt_wires(self) -> frozenset[str]:
        """Wires that customarily have no protector."""
        return frozenset().union(*(protection.exempt_wires(self.design, self.network, a) for a in self.answers()))

    @cached_property
    def cones(self) -> combinations.Cones:
        """Which switches can matter between some nodes."""
        return combinations.Cones(self.design, self.network)

    @cached_property
    def reverse_feeds(self) -> tuple[ties.ReverseFeed, ...]:
        """Sources that feed back into another, in the declared states first, then in any legal combination and in transit."""
        declared = tuple(ties.declared_ties(self.design, self.network, self.answers()))
        known = {(f.source, f.into) for f in declared}
        more, untried = ties.combined_ties(self.design, self.network, self.cones, self.answers()[0].state, known)
        self.untried.extend(untried)
        return (*declared, *more)

    def beyond_purpose(self, reserve: str) -> tuple[ties.BeyondPurpose, ...]:
        """Loads that a reserve powers beyond what it is kept for, in any legal combination."""
        found, untried = ties.beyond_purpose(self.design, self.network, self.cones, self.answers(), reserve)
        self.untried.extend(untried)
        return tuple(found)

    @cached_property
    def changeovers(self) -> tuple[changeover.Changeover, ...]:
        """Switches that change a critical function over between sources, each moved alone from the dispatch state."""
        return tuple(changeover.changeovers(self.design, self.network, self.cones, self.answers()[0], self.critical_functions))

    def all_on_one_source(self, function: str) -> changeover.OneSource | None:
        """The setting of the change-over switches of a function that leaves all of its channels on one battery."""
        switches = tuple(dict.fromkeys(bare(c.switch) for c in self.changeovers if c.function == function))
        return changeover.all_on_one_source(self.design, self.network, self.answers()[0], function, switches) if switches else None

    @cached_property
    def better_positions(self) -> tuple[changeover.BetterPosition, ...]:
        """Positions of change-over switches with fewer single points of failure than the dispatch position."""
        return tuple(changeover.better_positions(self.design, self.network, self.answers()[0], self.changeovers))

    @cached_property
    def sneaks(self) -> tuple[sneak.Sneak, ...]:
        """Circuits that are off and get current through a load, a lamp or a coil."""
        return tuple(sneak.sneaks(self.design, self.network, self.answers()[0]))

    def operating_point(self, state: str, phase: str | None = None, case: tuple[Failure, ...] = ()) -> OperatingPoint:
        """Volts and amperes of a state, with the figures of a phase, under some failures. Raises NotAssessable with the figure that is missing."""
        from reviewer.analysis.electrical.state import solve_state

        key = (state, phase, case)
        if key not in self._points:
            self._points[key] = self._solved(lambda: solve_state(self.design, self.network, self._scenario(state, phase, case)))
        return self._points[key]

    def operating_points(self, state: str, figures: Figures, points: int, phase: str | None = None) -> Points:
        """Many operating points of a state. Raises NotAssessable with the figure that is missing."""
        from reviewer.analysis.electrical.points import solve_points

        return self._solved(lambda: solve_points(self.design, self.network, self._scenario(state, phase), figures, points))

    def _scenario(self, state: str, phase: str | None, case: tuple[Failure, ...] = ()) -> Scenario:
        from reviewer.analysis.electrical.state import scenario_of

        return scenario_of(self.design, self.network, self.states[state], self.answer(state).healthy, phase, case)

    def _solved(self, solve: Callable[[], T]) -> T:
        from reviewer.analysis.electrical.notes import NotSolvable
        from reviewer.tables.table import OutsideTable

        try:
            return solve()
        except NotSolvable as missing:
            raise NotAssessable(missing.needs) from missing
        except OutsideTable as outside:
            raise NotAssessable(str(outside)) from outside

    def live_path(self, state: str, node: str) -> tuple[str, tuple[str, ...]] | None:
        """A source that feeds a terminal or bar in a state, and by which way; None where it is dead."""
        return isolation.live_path(self.network, self.answer(state), self.network.node(node)) if node in self.network.index else None

    def diode_stand(self, name: str) -> isolation.DiodeStand:
        """How an isolation diode stands to what it protects."""
        return isolation.diode_stand(self.design, self.network, name)

    def coil_diodes(self, name: str) -> dict[str, bool]:
        """Diodes across a coil -> whether they stand the right way."""
        return isolation.coil_diodes(self.design, self.network, name)

    def single_throw_tie(self, name: str) -> isolation.Tie | None:
        """The two sources that a single-throw switch is used to choose between."""
        return isolation.single_throw_ties(self.design, self.network, name)

    def senses_at_post(self, terminal: str, battery: str) -> bool:
        """Whether a sense point is at a battery's positive post."""
        return isolation.senses_at_post(self.network, terminal, self.network.node(f"{battery}.positive"))

    def return_way(self, terminals: tuple[str, ...], unknown_joined: bool = False) -> tuple[str, ...] | None:
        """The elements by which one of some terminals can reach the negative of a source."""
        return returns.return_way(self.design, self.network, tuple(self.network.node(t) for t in terminals), unknown_joined)

    def sensor_return_way(self, sensor: str, unknown_joined: bool = False) -> tuple[str, ...] | None:
        """The elements by which the return of a sensor reaches the negative of a source, or the signal return of its instrument."""
        return returns.sensor_return_way(self.design, self.network, sensor, unknown_joined)

    def signal_return_wires(self) -> tuple[str, ...]:
        """Names of the wires that carry a signal's return."""
        return returns.signal_return_wires(self.design)

    def signal_return_loop(self, wire: str, unknown_joined: bool = False) -> returns.Loop | None:
        """The loop that a signal-return wire closes."""
        return returns.signal_return_loop(self.design, self.network, wire, unknown_joined)

    def shield_loop(self, wire: str) -> returns.Loop | None:
        """How the two ends of a doubly grounded shield are joined anyway."""
        return returns.shield_loop(self.design, self.network, wire)

    def shorted_sources(self) -> tuple[ShortedSource, ...]:
        """Sources whose feed reaches their own return without a load, over all declared states."""
        return tuple(s for a in self.answers() for s in states.shorted_sources(self.network, a))
