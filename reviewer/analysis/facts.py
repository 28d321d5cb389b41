"""Facts: the answers of the engines about one design, each computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from reviewer.analysis import claims, feeds, isolation, notice, outside, protection, recovery, relays, returns, selectivity, single_points, states
from reviewer.analysis.failures import Failure
from reviewer.analysis.single_points import SinglePoint
from reviewer.analysis.states import ShortedSource, StateAnswer
from reviewer.model.design import Design
from reviewer.model.operating import ResolvedState, resolved
from reviewer.network.graph import Network, build_network


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
        self._ways: dict[tuple[str, str], recovery.Recoveries] = {}
        self._notices: dict[str, Mapping[str, int]] = {}
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

    @cached_property
    def single_points(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Single points of failure that no declared action makes good, by element, over the states of normal flight."""
        return single_points.by_element(single_points.single_points(self.design, self.network, a, self._restored(a)) for a in self.flight_answers())

    @cached_property
    def restorable_points(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Single points of failure that a declared action makes good, by element, over the states of normal flight."""
        return single_points.by_element(
            single_points.restorable_points(self.design, self.network, a, self._restored(a)) for a in self.flight_answers()
        )

    def recoveries(self, function: str, state: str, failure: Failure) -> tuple[recovery.Recovery, ...]:
        """The shortest courses of declared actions that bring a function back after a failure that loses it in a state; () where none does."""
        return self._recoveries(function, state).ways.get(failure, ())

    def _recoveries(self, function: str, state: str) -> recovery.Recoveries:
        if (function, state) not in self._ways:
            self._ways[function, state] = recovery.recoveries(self.design, self.network, self.answer(state), function)
            self.untried.extend(filter(None, [self._ways[function, state].untried]))
        return self._ways[function, state]

    def _restored(self, answer: StateAnswer) -> Mapping[str, int]:
        return recovery.restored({f: self._recoveries(f, answer.state.name) for f in self.critical_functions}, self.design, answer)

    def action_outcome(self, action: str) -> claims.Outcome:
        """What a declared action does in the dispatch state, against what the file says of it."""
        return claims.outcome(self.design, self.network, self.answers()[0], action)

    def noticed(self, state: str, failure: Failure) -> tuple[str, ...]:
        """Monitors that tell the crew of a single failure in a state."""
        if state not in self._notices:
            self._notices[state] = notice.notices(self.design, self.network, self.answer(state))
        place = self.answer(state).failures.index(failure)
        return tuple(name for name, mask in self._notices[state].items() if mask >> place & 1)

    @cached_property
    def cut_bundles(self) -> Mapping[str, tuple[SinglePoint, ...]]:
        """Bundles that lose a critical function when they are severed, and that no declared action makes good, over the states of normal flight."""
        points = [p for points in self.single_points.values() for p in points]
        return single_points.by_element(tuple(single_points.cut_bundles(self.design, self.network, a, points)) for a in self.flight_answers())

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

    def reverse_feeds(self) -> tuple[isolation.ReverseFeed, ...]:
        """Sources that feed back into another, over all declared states."""
        return tuple(f for a in self.answers() for f in isolation.reverse_feeds(self.design, self.network, a))

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
        return tuple(c for a in self.flight_answers() for c in relays.control_protectors(self.design, self.network, a))

    @cached_property
    def on_alternator_alone(self) -> tuple[feeds.Alone, ...]:
        """The single failures that leave a critical function to alternators alone, over the states of normal flight."""
        return tuple(alone for a in self.flight_answers() for alone in feeds.on_alternator_alone(self.design, self.network, a))

    @cached_property
    def major_functions(self) -> tuple[str, ...]:
        """Functions whose loss is major. Raises NotAssessable where no function is declared."""
        if not self.design.functions:
            raise NotAssessable("`functions`: what must survive, and the hazard class of losing it")
        return feeds.major_functions(self.design)

    def shared_feeds(self, function: str) -> tuple[feeds.SharedFeed, ...]:
        """The single failures that take a function and something else with it, by state of normal flight; a declared action may make them good."""
        return tuple(feeds.shared_feed(self.design, self.network, a, function) for a in self.flight_answers())

    @cached_property
    def sockets(self) -> Mapping[str, outside.Socket]:
        """What stands between each socket for outside power and the aircraft."""
        return outside.sockets(self.design, self.network, tuple(self.states.values()))

    @cached_property
    def late_protectors(self) -> tuple[selectivity.Late, ...]:
        """Protectors that may clear a short too late, over the states of normal flight."""
        return tuple(late for a in self.flight_answers() for late in selectivity.late_protectors(self.design, self.network, a))
