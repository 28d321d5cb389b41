"""Breakers, fuses and limiters: what each protects, carries and opens at.

Each answer is computed once, on first asking. No logic lives here.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import cached_property

from reviewer.analysis.conduction import circuit_paths
from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.detection.answers import Detection
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.paths.answers import Paths
from reviewer.analysis.paths.exempt_cables import exempt_wires, starting_cables
from reviewer.analysis.protection import (
    circuit_protection,
    diode_duty,
    diode_or_buses,
    end_sources,
    fault_heating,
    fault_loops,
    output_protection,
    parallel_protection,
    protection_loading,
    protection_sizes,
    recharge_inrush,
    return_protection,
    solved_cases,
    unprotected_ends,
    unsupplied_breakers,
    wire_protection,
)
from reviewer.analysis.protection import crowbar as crowbars
from reviewer.analysis.protection.starter_cables import StarterCables
from reviewer.analysis.protection.thin_wires import ThinWires
from reviewer.analysis.ratings.wire_sizes import size_for_ratings
from reviewer.analysis.sources.answers import Sources
from reviewer.model import parts as p
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare
from reviewer.tables.lookup import ProtectorRow
from reviewer.tables.made_sizes import made_at_most
from reviewer.tables.practice import longest_brief, practice


class Protection:
    """Breakers, fuses and limiters: what each protects, carries and opens at."""

    def __init__(
        self,
        states: States,
        points: OperatingPoints,
        paths: Paths,
        crew: Crew,
        detection: Detection,
        sources: Sources,
    ):
        self.states = states
        self.points = points
        self.paths = paths
        self.crew = crew
        self.detection = detection
        self.sources = sources
        self.design, self.network = states.design, states.network

    @cached_property
    def wire_feeds(self) -> Mapping[str, tuple[wire_protection.EndFeed, ...]]:
        """How each end of each wire is fed, with the wire itself taken away.

        In the declared states, then with a switch at each position that no state of flight sets.
        For wires that a source can feed; what is the same in a later state is not repeated.
        """
        return wire_protection.feeds_in_states(
            self.design, self.network, self.states.answers(), self._untried, self.exempt_wires
        )

    def path_to(self, feed: wire_protection.EndFeed, element: str, *by: str) -> tuple[str, ...]:
        """From a source to an element as :meth:`States.path_to`, where an end of a wire is so fed; to that
        end where it is a terminal of the element."""
        at = element == f"parts/{feed.end.partition('.')[0]}"
        nodes = (self.network.node(feed.end),) if at else ()
        return circuit_paths.path_to(self._answer_of(feed), element, by, nodes)

    def _answer_of(self, feed: wire_protection.EndFeed) -> StateAnswer:
        return self.states.answer(feed.state) if feed.state else self._untried[feed.moved[0]]

    @cached_property
    def _untried(self) -> Mapping[tuple[str, str], StateAnswer]:
        return circuit_protection.untried(self.design, self.network, self.states.answers())

    @cached_property
    def _drawn_unprotected(self) -> Mapping[str, unprotected_ends.EnergisedEnd | None]:
        return unprotected_ends.drawn_unprotected(self.design, self.network, self._load_terminals)

    @cached_property
    def _load_terminals(self) -> unprotected_ends.LoadTerminals:
        return unprotected_ends.load_terminals(self.design, self.network)

    @cached_property
    def end_sources(self) -> Mapping[tuple[str, str], end_sources.EndSources]:
        """(Wire as a pointer, end) -> against which sources it is protected, and against which it is not."""
        answers = [*self.states.answers(), *self._untried.values()]
        return end_sources.end_sources(
            self.design, self.network, answers, self.wire_feeds, self._load_terminals, self.exempt_wires
        )

    @property
    def energised_wires(self) -> Iterable[str]:
        """Pointers of the wires that a source can feed, in the declared states or, where no operation is
        declared, by some setting of switches."""
        return self._drawn_unprotected if self.design.operation is None else self.wire_feeds

    def unprotected_end(self, wire: str) -> unprotected_ends.EnergisedEnd | None:
        """The first end at which sources energise a wire, a pointer, with no protection.

        Where no operation is declared, that which the drawing alone shows. Raises NotAssessable.
        """
        if self.design.operation is None and (drawn := self._drawn_unprotected[wire]):
            return drawn
        return self._unprotected_end(wire)

    @cached_property
    def _unprotected_end(self) -> Callable[[str], unprotected_ends.EnergisedEnd | None]:
        """The same in the declared states, as a function that holds what it needs and not this group, which
        holds those that ask it. Raises NotAssessable."""
        known = self.design, self.network, self._load_terminals
        feeds = self.wire_feeds
        return lambda wire: unprotected_ends.unprotected_end(*known, feeds[wire])

    @cached_property
    def thin_wires(self) -> ThinWires:
        """What protects each wire, and where it is too large for it."""
        return ThinWires(
            self.design, self.wire_feeds, self.exempt_wires, self.starting_cables, self._unprotected_end
        )

    @cached_property
    def return_duties(self) -> Mapping[str, tuple[return_protection.ReturnDuty, ...]]:
        """Wire (its pointer) -> what it alone carries back, of what protective devices feed."""
        return return_protection.return_duties(self.design, self.network, self.states.answers())

    def return_loop(self, duty: return_protection.ReturnDuty, wire: str) -> tuple[str, ...]:
        """The feed of a user through its protective device, and its return through a wire."""
        return return_protection.return_loop(duty, wire)

    def largest_rating(self, protector: str, wire: str) -> tuple[str, ProtectorRow]:
        """The column of Table 11-3 for a protective device, and the row that decides for a wire.

        Raises NotAssessable.
        """
        return wire_protection.largest_rating(self.design, protector, wire)

    def size_for(self, wire: str, column: str, amps: float) -> str:
        """The least size larger than that of a wire, by name, that a ``breaker`` or ``fuse`` of a rating in
        A protects; "" for none."""
        return size_for_ratings(self.design.wires[wire], [(column, amps)])

    def size_behind(self, protector: str, wires: Collection[str]) -> str:
        """The least size larger than that of any of some wires, by name, that a protective device, and every
        other one that is too large for one of them, protects; "" for none."""
        others = {other for wire in wires for other in self.thin_wires.too_large_for(wire)}
        return protection_sizes.size_for_devices(self.design, wires, {protector} | others)

    def size_for_sources(self, wire: str, sources: Collection[str]) -> str:
        """The least size of a wire that carries all that each of some sources gives, all by name, where all
        of them limit themselves and all that they give passes it; "" else."""
        return protection_sizes.size_for_sources(self.design, self.network, wire, sources)

    def output_through(self, wire: str) -> float:
        """What the alternators give together, A, that feed nothing but their own control but through a wire,
        by name; 0 where there are none or one does not say what it gives."""
        return protection_sizes.output_through(self.design, self.network, wire)

    def least_rating(self, protector: str, rating: float) -> float:
        """What a protective device, by name, must be rated at least for what it carries, A, judged with
        ``rating``. Raises NotAssessable."""
        carried = self.worst_continuous(protector, rating), self.worst_peak(protector, rating)
        machines = self.output_devices.get(protector, ())
        return protection_sizes.least_rating(self.design, carried, machines, rating)

    def ratings_of(self, wire: str) -> dict[str, float]:
        """``breaker`` and ``fuse`` -> the largest rating of Table 11-3 for a wire, by name, A."""
        return wire_protection.ratings_of(self.design.wires[wire])

    def too_thin_for(self, protector: str) -> tuple[str, ...]:
        """The wires, by name, on the way to what a protective device feeds and back, that its rating is too
        large for; of the way back those by which alone a load returns."""
        duties = self.return_duties.items()
        back = (bare(w) for w, duty in duties if any(d.protector == protector for d in duty))
        thin = self.thin_wires
        wires = dict.fromkeys((*thin.at_device(protector), *thin.alike(protector, 0.0), *back))
        return tuple(wire for wire in wires if thin.is_too_thin(protector, wire))

    def at_other_end(self, wire: str, end: str) -> str:
        """The breaker, fuse or limiter on the other end of a wire, by name, where the wire allows its
        rating and no battery or charger beyond it needs it there; "" for none."""
        ends = self.design.wires[wire]
        name = ends.joined_parts[end == ends.from_]
        part = self.design.parts.get(name)
        if not isinstance(part, p.Protector) or part.rating is None:
            return ""
        try:
            if part.rating > self.largest_rating(name, wire)[1].amps:
                return ""
        except NotAssessable:
            return ""
        beside = [other for other, _ in self.design.wire_ends.get(name, ()) if other != wire]
        machines = set(self.design.of_kind(p.Alternator))  # these limit themselves
        needed = any(
            set(map(bare, feed.sources)) - machines and feed.end.partition(".")[0] != name
            for other in beside
            for feed in self.wire_feeds.get(f"wires/{other}", ())
        )
        return "" if needed else name

    def rating_allowed(self, protector: str) -> float | None:
        """The largest rating of a protective device, by name, that all the wires allow which it
        protects, A.

        None where it protects none, or a wire is not in the table.
        """
        wires = {
            bare(w)
            for w, feeds in self.wire_feeds.items()
            if any(f"parts/{protector}" in feed.protectors for feed in feeds)
        }
        try:
            return min((self.largest_rating(protector, wire)[1].amps for wire in wires), default=None)
        except NotAssessable:
            return None

    def is_stub(self, wire: str) -> bool:
        """Whether a wire, by name, is a stub: 6 in (0.1524 m) at most, at a protective device.

        A stub needs no protection of its own.
        """
        return wire_protection.is_stub(self.design, wire)

    @cached_property
    def exempt_wires(self) -> frozenset[str]:
        """Wires that customarily have no protective device."""
        return exempt_wires(self.design, self.network)

    @cached_property
    def starting_cables(self) -> frozenset[str]:
        """The cables of the starters from their batteries, by way of buses too, and their returns."""
        return starting_cables(self.design, self.network)

    @cached_property
    def starter_cables(self) -> StarterCables:
        """The wires that carry a starter's current, and what it does to them."""
        return StarterCables(self.states, self.points)

    @cached_property
    def _taken(self) -> Mapping[str, Mapping[str, tuple[str, ...]]]:
        return {
            a.state.name: circuit_protection.lost_by_opening(self.design, a)
            for a in self.states.flight_answers()
        }

    @cached_property
    def _near(self) -> tuple[circuit_protection.Nearest, ...]:
        return circuit_protection.nearest_protectors(self.design, self.network, self.states.answers())

    def others_behind(self, protector: str, need: circuit_protection.Needed) -> tuple[str, ...]:
        """The loads that a protective device is the nearest to, but the load of ``need`` and
        channels of its function with it.
        """
        loads = dict.fromkeys(n.load for n in self._near if protector in n.protectors)
        return circuit_protection.unlike(self.design, need.function, need.load, loads)

    @cached_property
    def shared_circuits(self) -> Mapping[str, circuit_protection.Shared]:
        """Protective devices that feed a critical circuit and protect another circuit too.

        Raises NotAssessable without functions.
        """
        if not self.states.critical_functions:
            return {}
        found = circuit_protection.shared_circuits(self.design, self._near, self._taken)
        return {s.protector: s for s in found}

    @cached_property
    def needed_protectors(self) -> Mapping[str, tuple[circuit_protection.Needed, ...]]:
        """Protective devices whose opening loses a load of a critical function.

        In a state of normal flight, not where the function goes on without electricity. Raises
        NotAssessable without functions.
        """
        return (
            circuit_protection.needed_protectors(self.design, self.states.flight_answers(), self._taken)
            if self.states.critical_functions
            else {}
        )

    @cached_property
    def solved_places(self) -> tuple[protection_loading.SolvedCase, ...]:
        """All that is flown, solved, and change-over switches at positions that no flight state sets.

        Of the latter those that change a critical function over. Raises NotAssessable with what is
        missing, before anything is solved where no load has a current.
        """
        return solved_cases.solved_cases(self.states, self.points, self.crew)

    @cached_property
    def loads_on(self) -> Mapping[str, tuple[str, ...]]:
        """For each protective device, the loads and instruments between it and the next bar."""
        return protection_loading.loads_on(self.design, self.network)

    def worst_continuous(self, protector: str, rating: float) -> protection_loading.CarriedCurrent | None:
        """Where a protective device comes nearest to what it may carry continuously.

        Where the states cannot be solved, what the stated currents show: more than the rating.
        Raises NotAssessable.
        """
        try:
            return protection_loading.worst_continuous(self.solved_places, protector, rating)
        except NotAssessable:
            stated = self._stated_currents.get(protector, 0.0)
            normal = protection_loading.StatedCase(self.states.operation.normal, self.states.operation.normal)
            if (shown := protection_loading.stated_continuous(normal, stated, rating)) is None:
                raise
            return shown

    @cached_property
    def _stated_currents(self) -> Mapping[str, float]:
        if self.design.operation is None:
            return {}
        answer = self.states.answers()[0]
        taken = circuit_protection.lost_by_opening(self.design, answer)
        return protection_loading.stated_currents(self.design, self.network, answer, taken)

    @property
    def loads_known(self) -> bool:
        """Whether the currents of protective devices are known: solved, or shown by stated currents to pass a
        rating. Raises NotAssessable."""
        try:
            return bool(self.solved_places)
        except NotAssessable:
            ratings = {n: self.design.part(n, p.Protector).rating for n in self._stated_currents}
            over = (n for n, amps in self._stated_currents.items() if exceeds(amps, ratings[n] or math.inf))
            if next(over, None) is None:
                raise
            return True

    def worst_peak(self, protector: str, rating: float) -> protection_loading.CarriedCurrent | None:
        """Where a protective device comes nearest to what it may carry momentarily.

        Raises NotAssessable.
        """
        return protection_loading.worst_peak(
            self.design, self.solved_places, protector, self.loads_on.get(protector, ()), rating
        )

    @cached_property
    def output_devices(self) -> Mapping[str, tuple[str, ...]]:
        """Protective device -> the alternators whose whole output it carries, all by name."""
        return output_protection.output_devices(self.design, self.network)

    @cached_property
    def sole_branches(self) -> Mapping[str, tuple[diode_or_buses.SoleBranch, ...]]:
        """Protective device or diode in a branch of a diode-OR bus -> what it carries as the only branch.

        In the states of normal flight, with the other branches open.
        """
        if not diode_or_buses.has_diode_or_buses(self.design, self.paths):
            return {}
        solved_cases.require_currents(self.design)
        found: dict[str, list[diode_or_buses.SoleBranch]] = {}
        flight = {a.state.name: a for a in self.states.flight_answers()}
        for flown in self.points.flown:
            if flown.state in flight:
                case = solved_cases.flown_case(self.states, self.points, flown)
                for alone in diode_or_buses.sole_branches(
                    self.design, self.network, self.paths, flight[flown.state], case
                ):
                    found.setdefault(alone.device, []).append(alone)
        return {device: tuple(each) for device, each in found.items()}

    @cached_property
    def loops(self) -> fault_loops.FaultLoops:
        """Ways of least resistance, for shorts and charging."""
        return fault_loops.FaultLoops(self.design, self.network)

    @cached_property
    def protected_wires(self) -> tuple[str, ...]:
        """Wires (pointers) that have a protective device and are not exempt.

        Raises NotAssessable where the file does not say enough of a battery.
        """
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
        """Which typical values a current depends on, as a row of a finding; () for none.

        Those of the elements that it ``passed``.
        """
        found = self.loops.assumed(passed)
        return (("typical values", "; ".join(found)),) if found else ()

    def faults(self, wire: str) -> tuple[fault_loops.Fault, ...]:
        """Shorts at the far end of a wire (its pointer). Raises NotAssessable.

        Through each protective device that it has and from each end that is fed.
        """
        return tuple(
            replace(f, state=feed.state, moved=feed.moved)
            for feed in self.wire_feeds[wire]
            if feed.protectors
            for f in self.loops.faults(self._answer_of(feed), feed)
        )

    def fuses_of(self, wire: str) -> tuple[str, ...]:
        """The fuses, by name, that protect a wire (its pointer) from any of its ends."""
        names = (bare(protector) for feed in self.wire_feeds[wire] for protector in feed.protectors)
        return tuple(n for n in dict.fromkeys(names) if isinstance(self.design.parts[n], p.Fuse))

    def lowest_rating(self, fault: fault_loops.Fault) -> tuple[float | None, str]:
        """The lowest rating in a fault loop, and the protective device that has it.

        The nearest of several; None where that one's own is not known.
        """
        return fault_loops.lowest_rating(self.design, fault)

    def limited_by_a_resistor(self, fault: fault_loops.Fault) -> bool:
        """Whether resistors in a fault loop keep its current, at the highest voltage of any source,
        within the largest rating that Table 11-3 allows each wire of it."""
        most = fault_loops.most_behind_resistors(self.design, fault)
        try:
            return all(self.largest_rating(fault.protector, w)[1].amps >= most for w in fault.wires)
        except NotAssessable:
            return False

    def let_through_of(self, fault: fault_loops.Fault) -> fault_heating.FaultHeating:
        """The let-through of a fuse in a short circuit, against what the wire withstands."""
        return fault_heating.let_through_of(self.design, fault)

    def size_by_let_through(self, fault: fault_loops.Fault) -> str:
        """The least size larger than that of a shorted wire that withstands what its fuse lets through; ""
        for none. With more current a fuse lets no more heat through (common knowledge of fuses)."""
        return fault_heating.size_that_withstands(self.design, fault)

    def rating_by_let_through(self, fault: fault_loops.Fault) -> float:
        """The largest rating that is made of the fuse of a fault, A, that lets no more through than its
        wire withstands and carries what it has to; 0 for none."""
        amps = made_at_most("amperes", fault_heating.rating_that_spares(self.design, fault)) or 0.0
        try:
            least = self.least_rating(fault.protector, amps) if amps else 0.0
        except NotAssessable:
            return 0.0
        return 0.0 if exceeds(least, amps) else amps

    @cached_property
    def parallel(self) -> Mapping[str, parallel_protection.ParallelProtection]:
        """Breaker, fuse or limiter (a name) -> what is in parallel with it."""
        return parallel_protection.parallel_protection(self.design, self.network)

    def too_thin_together(self, protectors: Iterable[str], amperes: float) -> tuple[str, ...]:
        """The wires at some devices (names) whose largest rating by the published table is below some
        amperes; not those whose size is not known."""
        found: dict[str, None] = {}
        for device in protectors:
            for wire in self.thin_wires.at_device(device):
                with suppress(NotAssessable):
                    if exceeds(amperes, self.largest_rating(device, wire)[1].amps):
                        found[wire] = None
        return tuple(found)

    @cached_property
    def stay_closed(self) -> tuple[str, ...]:
        """The names of the electronic breakers that stay closed without supply."""
        return unsupplied_breakers.stays_closed(self.design)

    @cached_property
    def unsupplied(self) -> Mapping[str, unsupplied_breakers.UnsuppliedBreaker]:
        """Those of :attr:`stay_closed` that are fed while their unit has no power -> the first time,
        with nothing failed before any failure."""
        found = unsupplied_breakers.unsupplied_breakers(
            self.design, self.network, self.states.answers(), self.rating_allowed
        )
        return {u.breaker: u for u in sorted(found, key=lambda u: u.failure is None)}

    @property
    def fault_multiple(self) -> float:
        """The fault current, over its rating, that opens a protective device for certain.

        By common practice.
        """
        return practice("factors", "fault-over-protector").low

    def recharge_inrush_of(self, battery: str) -> recharge_inrush.RechargeInrush | None:
        """The recharge inrush into a flat battery, None where no alternator charges it. Raises
        NotAssessable.

        In the state and phase in which it is largest.
        """
        element = f"parts/{battery}"
        if element not in self.sources.charged:
            return None
        if battery not in self._recharges:
            first = self.sources.first_charge(element)
            answer = self.states.answer(first.flown.state)
            self._recharges[battery] = recharge_inrush.recharge(
                self.design, self.network, self.loops, answer, first, battery
            )
        return self._recharges[battery]

    def recharge_openings(
        self, charge: recharge_inrush.RechargeInrush
    ) -> Iterable[recharge_inrush.RechargeOpening]:
        """The circuit protection that the recharge of a flat battery opens. Raises NotAssessable."""
        return recharge_inrush.openings(
            self.design,
            charge,
            self.recharge_multiple,
            longest_brief(),
            lambda limits: self.sources.recharge(f"parts/{charge.battery}", math.inf, limits).carried,
        )

    @cached_property
    def _recharges(self) -> dict[str, recharge_inrush.RechargeInrush | None]:
        return {}

    def opening_shows(self, protector: str) -> bool:
        """Whether an opened protective device shows: by use, a monitor, an alarm or a check."""
        opened = Failure(f"parts/{protector}", OPEN)
        return opened not in self.detection.unused or not self.detection.hidden((opened,))

    @property
    def recharge_multiple(self) -> float:
        """The inrush, over its rating, that a protective device rides out, by common practice."""
        return practice("factors", "recharge-opens-protector").low

    def duty_of_diode(self, diode: str) -> diode_duty.DiodeDuty:
        """The duty of an isolation diode: current, inrush, heat and reverse voltage."""
        outputs = output_protection.outputs_through(self.design, self.network, diode)
        alone = self.sole_branches.get(diode, ())
        currents = [
            *diode_duty.currents(self.solved_places, self._recharges_through(diode), diode),
            *((b.amps, f"when it alone feeds {b.bar(self.design)}") for b in alone),
            *((amps, f"with all that {name} gives") for name, amps in outputs.items()),
        ]
        return diode_duty.diode_duty(self.design, self.network, self.states.flight_answers(), currents, diode)

    def most_amps(self, name: str) -> tuple[float, str]:
        """The largest current through a resistor, of all that is flown and of the recharge of a flat
        battery, and when that is. Raises NotAssessable."""
        return diode_duty.most_amps(
            diode_duty.currents(self.solved_places, self._recharges_through(name), name)
        )

    def _recharges_through(self, name: str) -> list[recharge_inrush.RechargeInrush]:
        found = map(self.recharge_inrush_of, self.design.of_kind(p.Battery))
        return [r for r in found if r is not None and name in r.diodes]

    def crowbar(self, alternator: str) -> crowbars.Crowbar | None:
        """The short that an overvoltage trip makes of the feed on which it acts. Raises NotAssessable.

        In the first state of normal flight.
        """
        return crowbars.crowbar(
            self.design, self.network, self.loops, self.states.flight_answers(), alternator
        )

    def wire_hurt_by(self, found: crowbars.Crowbar) -> tuple[str, float, float] | None:
        """The first wire that does not withstand a crowbar's current until a breaker opens.

        As (name, the seconds that it withstands, those of the trip); None where all do.
        """
        hurt = crowbars.hurt_wire(self.design, found.short)
        return None if hurt is None else (hurt[0], hurt[1].seconds(found.short.amps), crowbars.TRIP_S)

    @property
    def crowbar_multiple(self) -> float:
        """How many times the rating of its breaker a crowbar must draw, by common practice."""
        return practice("factors", "crowbar-over-field-protector").low

    def takes_critical_loads(self, protector: str) -> bool:
        """Whether the opening of a protective device loses a load of a critical function.

        In a state of normal flight; False where no function is declared.
        """
        return bool(self.design.functions) and protector in self.needed_protectors

    @staticmethod
    def can_be_reset(part: p.Part) -> bool:
        """Whether the crew can put a protective device back in flight."""
        return circuit_protection.can_be_reset(part)

    def spares_in_reach(self, part: p.Part) -> int | None:
        """How many spares are carried for a fuse in reach in flight; 0 for any other part, None where that is
        not stated."""
        return circuit_protection.spares_in_reach(self.design, part)

    def guards_a_motor(self, protector: str) -> bool:
        """Whether a protective device feeds motors alone and has another one ahead of it."""
        return circuit_protection.guards_a_motor(self.design, self.network, self.states.answers(), protector)
