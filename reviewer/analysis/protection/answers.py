"""Breakers, fuses and limiters: what each protects, carries and opens at. Each answer is computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.detection.answers import Detection
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.protection import (
    circuit_protection,
    diode_duty,
    diode_or_buses,
    fault_heating,
    fault_loops,
    protection_loading,
    recharge_inrush,
    wire_protection,
)
from reviewer.analysis.protection import crowbar as crowbars
from reviewer.model import parts as p
from reviewer.network.graph import bare
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


class Protection:
    """Breakers, fuses and limiters: what each protects, carries and opens at."""

    def __init__(self, states: States, points: OperatingPoints, crew: Crew, detection: Detection):
        self.states = states
        self.points = points
        self.crew = crew
        self.detection = detection
        self.design, self.network = states.design, states.network

    @cached_property
    def wire_feeds(self) -> Mapping[str, tuple[wire_protection.EndFeed, ...]]:
        """For each wire that a source can feed: how each end is fed, in each declared state."""
        return wire_protection.feeds_in_states(self.design, self.network, self.states.answers())

    def largest_rating(self, protector: str, wire: str) -> tuple[str, float]:
        """The column of Table 11-3 for a protector, and its largest rating in A there for a wire. Raises NotAssessable."""
        return wire_protection.largest_rating(self.design, protector, wire)

    def is_stub(self, wire: str) -> bool:
        """Whether a wire, by name, is a stub that needs no protector of its own: 0.15 m at most, at a protector."""
        return wire_protection.is_stub(self.design, wire)

    @cached_property
    def exempt_wires(self) -> frozenset[str]:
        """Wires that customarily have no protector."""
        return frozenset().union(
            *(wire_protection.exempt_wires(self.design, self.network, a) for a in self.states.answers())
        )

    @cached_property
    def _taken(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        return {
            a.state.name: circuit_protection.taken_by_opening(self.design, a)
            for a in self.states.flight_answers()
        }

    @cached_property
    def shared_circuits(self) -> Mapping[str, circuit_protection.Shared]:
        """Protectors of a critical circuit that protect another circuit too. Raises NotAssessable without functions."""
        if not self.states.critical_functions:
            return {}
        near = circuit_protection.nearest_protectors(self.design, self.network, self.states.answers())
        return {s.protector: s for s in circuit_protection.shared_circuits(self.design, near, self._taken)}

    @cached_property
    def needed_protectors(self) -> Mapping[str, tuple[circuit_protection.Needed, ...]]:
        """Protectors that take a load of a critical function when they open, in a state of normal flight. Raises NotAssessable without functions."""
        return (
            circuit_protection.needed_protectors(self.design, self._taken)
            if self.states.critical_functions
            else {}
        )

    @cached_property
    def solved_places(self) -> tuple[protection_loading.SolvedCase, ...]:
        """All that is flown, and each position of a switch that changes a critical function over in which no flown state has it, solved.

        Raises NotAssessable with what is missing, before anything is solved where no load has a current.
        """
        self._currents_wanted()
        found = [
            self._solved_place(f.state, str(f), (), self.states.answer(f.state), self.points.point(f))
            for f in self.points.flown
        ]
        for switch, position, answer in self._untried_positions():
            words = f"{self.states.operation.dispatch} with {switch} at {position}"
            found.append(
                self._solved_place("", words, ((switch, position),), answer, self.points.solved_of(answer))
            )
        return tuple(found)

    def _currents_wanted(self) -> None:
        consumers = [part for part in self.design.parts.values() if isinstance(part, p.Consumer)]
        if all(part.current is None for part in consumers):
            raise NotAssessable("`current` of the loads and instruments")

    def _solved_place(
        self,
        state: str,
        words: str,
        moved: tuple[tuple[str, str], ...],
        answer: StateAnswer,
        point: OperatingPoint,
    ) -> protection_loading.SolvedCase:
        powered = frozenset(bare(element) for element, works in answer.healthy.powered.items() if works)
        taken = cache(lambda: circuit_protection.taken_by_opening(self.design, answer))
        return protection_loading.SolvedCase(
            state, words, moved, answer.state.engine == "cranking", point, powered, taken
        )

    def _untried_positions(self) -> list[tuple[str, str, StateAnswer]]:
        if not self.design.functions or not self.states.critical_functions:
            return []
        declared = {
            (switch, at) for state in self.states.declared.values() for switch, at in state.switches.items()
        }
        wanted = dict.fromkeys(
            (bare(c.switch), at)
            for c in self.crew.changeovers
            for at, _ in c.sources
            if (bare(c.switch), at) not in declared
        )
        return [
            (
                switch,
                at,
                circuit_protection.moved(self.design, self.network, self.states.answers()[0], switch, at),
            )
            for switch, at in wanted
        ]

    @cached_property
    def loads_on(self) -> Mapping[str, tuple[str, ...]]:
        """For each protector, the loads and instruments between it and the next bar."""
        return protection_loading.loads_on(self.design, self.network)

    def worst_carried(self, protector: str, rating: float) -> protection_loading.CarriedCurrent | None:
        """Where a protector comes nearest to what it may carry on and on. Raises NotAssessable."""
        return protection_loading.worst_carried(self.solved_places, protector, rating)

    def worst_peak(self, protector: str, rating: float) -> protection_loading.CarriedCurrent | None:
        """Where a protector comes nearest to what it may carry for a moment. Raises NotAssessable."""
        return protection_loading.worst_peak(
            self.design, self.solved_places, protector, self.loads_on.get(protector, ()), rating
        )

    @cached_property
    def alone_in_a_branch(self) -> Mapping[str, tuple[diode_or_buses.SoleBranch, ...]]:
        """For each protector in a branch of what several branches feed: what it carries where the others are open, in the states of normal flight.

        Raises NotAssessable with what is missing; nothing is solved where there is no such bar.
        """
        if not diode_or_buses.has_common_bars(self.design):
            return {}
        self._currents_wanted()
        found: dict[str, list[diode_or_buses.SoleBranch]] = {}
        flight = {a.state.name: a for a in self.states.flight_answers()}
        for flown in self.points.flown:
            if flown.state in flight:
                for alone in diode_or_buses.alone_in_a_branch(
                    self.design, self.network, flight[flown.state], self.points.point(flown)
                ):
                    found.setdefault(alone.protector, []).append(alone)
        return {protector: tuple(each) for protector, each in found.items()}

    @property
    def steady_share(self) -> float:
        """The share of its rating that a protector carries on and on, by common practice."""
        return protection_loading.steady_share()

    @cached_property
    def loops(self) -> fault_loops.FaultLoops:
        """Ways of least resistance, for shorts and charging."""
        return fault_loops.FaultLoops(self.design, self.network)

    @cached_property
    def protected_wires(self) -> tuple[str, ...]:
        """Wires (pointers) that have a protector and are not exempt. Raises NotAssessable where the file does not say enough of a battery."""
        found = tuple(
            w
            for w, feeds in self.wire_feeds.items()
            if w not in self.exempt_wires and any(feed.protectors for feed in feeds)
        )
        for source in self.network.sources if found else ():
            if source.kind == "battery":
                self.loops.source(source)
        return found

    def typical_on(self, passed: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
        """Which typical values a current rests on that passed some elements, as a row of a finding; () for none."""
        found = self.loops.assumed(passed)
        return (("typical values", "; ".join(found)),) if found else ()

    def faults(self, wire: str) -> tuple[fault_loops.Fault, ...]:
        """Shorts at the far end of a wire (its pointer), through each protector that it has and from each end that is fed. Raises NotAssessable."""
        return tuple(
            f
            for feed in self.wire_feeds[wire]
            if feed.protectors
            for f in self.loops.faults(self.states.answer(feed.state), feed)
        )

    def fuses_of(self, wire: str) -> tuple[str, ...]:
        """The fuses, by name, that protect a wire (its pointer) from any of its ends."""
        names = (bare(protector) for feed in self.wire_feeds[wire] for protector in feed.protectors)
        return tuple(n for n in dict.fromkeys(names) if isinstance(self.design.parts[n], p.Fuse))

    def lowest_rating(self, fault: fault_loops.Fault) -> tuple[float | None, str]:
        """The lowest rating on the way of a short, and the protector that has it, the nearest of several; None where that one's own is not known."""
        return fault_loops.lowest_rating(self.design, fault)

    def heat_of(self, fault: fault_loops.Fault) -> fault_heating.FaultHeating:
        """What a fuse lets through in a short, and what the wire bears. Raises NotAssessable."""
        return fault_heating.heat_of(self.design, fault)

    @property
    def fault_multiple(self) -> float:
        """How many times its rating a short must drive through a protector so that it opens, by common practice."""
        return practice("factors", "fault-over-protector").low

    def first_charge(self, battery: str) -> recharge_inrush.RechargeInrush | None:
        """The first current into a battery that is flat, in the first state in which an alternator charges it. Raises NotAssessable."""
        if battery not in self._recharges:
            self._recharges[battery] = recharge_inrush.recharge(
                self.design, self.network, self.loops, self.states.flight_answers(), battery
            )
        return self._recharges[battery]

    @cached_property
    def _recharges(self) -> dict[str, recharge_inrush.RechargeInrush | None]:
        return {}

    def opening_shows(self, protector: str) -> bool:
        """Whether the crew learns of a protector that has opened: by use, a monitor, an alarm or a check."""
        return not any(f.element == f"parts/{protector}" and f.mode == OPEN for f in self.detection.latent)

    @property
    def recharge_multiple(self) -> float:
        """How many times its rating a first current may be so that a protector still waits, by common practice."""
        return practice("factors", "recharge-opens-protector").low

    def duty_of_diode(self, diode: str) -> diode_duty.DiodeDuty:
        """What an isolation diode bears. Raises NotAssessable."""
        recharges = [
            r
            for r in map(self.first_charge, self.design.of_kind(p.Battery))
            if r is not None and diode in r.diodes
        ]
        return diode_duty.diode_duty(
            self.design, self.network, self.states.flight_answers(), self.solved_places, recharges, diode
        )

    def crowbar(self, alternator: str) -> crowbars.Crowbar | None:
        """The short that an over-voltage trip makes of the field feed, in the first state of normal flight. Raises NotAssessable."""
        return crowbars.crowbar(
            self.design, self.network, self.loops, self.states.flight_answers(), alternator
        )

    def wire_hurt_by(self, found: crowbars.Crowbar) -> tuple[str, float, float] | None:
        """The first wire that does not bear a crowbar's current until a breaker opens: its name, the seconds it bears and those of the trip."""
        hurt = crowbars.hurt_wire(self.design, found.short)
        return None if hurt is None else (hurt[0], hurt[1].seconds(found.short.amps), crowbars.TRIP_S)

    @property
    def crowbar_multiple(self) -> float:
        """How many times the rating of its breaker a crowbar must draw, by common practice."""
        return practice("factors", "crowbar-over-field-protector").low

    def takes_critical_loads(self, protector: str) -> bool:
        """Whether a load of a critical function goes when a protector opens in a state of normal flight; not where no function is declared."""
        return bool(self.design.functions) and protector in self.needed_protectors

    @staticmethod
    def can_be_reset(part: p.Part) -> bool:
        """Whether the crew can put a protector back in flight."""
        return circuit_protection.can_be_reset(part)

    def guards_a_motor(self, protector: str) -> bool:
        """Whether a protector feeds nothing but motors and another protector stands before it."""
        return circuit_protection.guards_a_motor(self.design, self.network, self.states.answers(), protector)
