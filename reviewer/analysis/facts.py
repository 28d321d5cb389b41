"""Facts: the answers of the engines about one design, each computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property

from reviewer.analysis import alarms, evidence, isolation, latent, monitors, protection, returns, single_points, states
from reviewer.analysis.failures import Failure
from reviewer.analysis.lanes import Case
from reviewer.analysis.states import ShortedSource, StateAnswer
from reviewer.model.design import Check, Design
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
        self._scenes: dict[str, evidence.Scene] = {}
        self._evidence: dict[tuple[str, Case], evidence.Evidence] = {}

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
    def single_points(self) -> Mapping[str, tuple[single_points.SinglePoint, ...]]:
        """Single points of failure by element, over the states of normal flight."""
        found: dict[str, tuple[single_points.SinglePoint, ...]] = {}
        for answer in self.flight_answers():
            for point in single_points.single_points(self.design, self.network, answer):
                found[point.element] = (*found.get(point.element, ()), point)
        return found

    @cached_property
    def meters(self) -> Mapping[str, monitors.Meter]:
        """The monitors, as the network has them."""
        return monitors.meters(self.design, self.network)

    def evidence(self, state: str, case: Case) -> evidence.Evidence:
        """The names of monitors, functions and loads that a failure, or several at once, change in a declared state."""
        if state not in self._scenes:
            answer = self.answer(state)
            self._scenes[state] = evidence.Scene(answer, self.meters, answer.failures)
        if (state, case) not in self._evidence:
            self._evidence[state, case] = evidence.evidence_of(self._scenes[state], case)
        return self._evidence[state, case]

    @cached_property
    def phase_answers(self) -> tuple[StateAnswer, ...]:
        """The states of the phases of the flight solved; the dispatch state alone where no phase is declared."""
        phases = self.design.operation.phases.values() if self.design.operation else ()
        return tuple(self.answer(s) for s in dict.fromkeys(phase.state for phase in phases)) or self.answers()[:1]

    @cached_property
    def check_answers(self) -> tuple[tuple[Check, StateAnswer], ...]:
        """Each check before flight with its state solved."""
        return tuple((check, self.answer(check.state)) for check in self.design.watch.checks.values())

    @cached_property
    def latent(self) -> tuple[Failure, ...]:
        """The single failures of the dispatch state that no use, monitor or check reveals. Raises NotAssessable without an operation."""
        return evidence.latent_failures(self.design, self.meters, self.answers()[0], self.phase_answers, self.check_answers)

    @cached_property
    def latent_losses(self) -> Mapping[str, latent.LatentLoss]:
        """Latent failures that complete the loss of a critical function, by element."""
        found = latent.latent_losses(self.design, self.network, self.answers()[0], self.latent) if self.critical_functions else ()
        return {loss.element: loss for loss in found}

    @cached_property
    def missed_sources(self) -> Mapping[str, alarms.Missed | None]:
        """For each battery and alternator, the first thing that shows its loss in a declared state, monitors of checks and flight first."""
        flown = {a.state.name for a in (*self.answers()[:1], *self.phase_answers)}
        order = {a.state.name: a for a in (*self.answers()[:1], *(a for _, a in self.check_answers), *self.phase_answers, *self.answers())}
        return alarms.missed_sources(self.network, self.meters, tuple(order.values()), flown)

    def unseen_cuts(self, monitor: str, silent: bool) -> tuple[str, ...]:
        """Elements of a monitor's sense leads whose opening nobody sees."""
        return alarms.unseen_cuts(self.meters, monitor, silent, self.answers()[0], self.check_answers)

    def silencing(self, monitor: str) -> tuple[Failure, ...]:
        """Failures of the dispatch state that take what a monitor senses and what shows it."""
        return alarms.silencing(self.meters, monitor, self.answers()[0])

    @cached_property
    def stuck_starters(self) -> tuple[alarms.StuckStarter, ...]:
        """Contactors that run a starter when they stick in a state of normal flight."""
        return alarms.stuck_starters(self.design, self.meters, self.flight_answers())

    def charge_meters(self, alternator: str) -> tuple[str, ...] | None:
        """Monitors of the current that an alternator gives, or a battery gets from it."""
        return alarms.charge_meters(self.network, self.meters, self.answers()[0], alternator)

    def check_evidence(self, name: str) -> alarms.CheckEvidence:
        """What a check before flight would notice."""
        check = self.design.watch.checks[name]
        return alarms.check_evidence(self.design, self.meters, check, self.answer(check.state))

    def told_of_alternator(self, alternator: str) -> tuple[alarms.Told, ...] | None:
        """What the monitors show of the loss of an alternator in the dispatch state."""
        return alarms.told_of_alternator(self.meters, self.answers()[0], alternator)

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
