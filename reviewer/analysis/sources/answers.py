"""Alternators, batteries and their charge, and what ammeters read of them. Each answer is computed
once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property, partial
from types import MappingProxyType
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.states import StateAnswer, powers
from reviewer.analysis.conduction.switch_combinations import Combination
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints
from reviewer.analysis.sources import (
    alternator_loading,
    alternators,
    ammeters,
    battery_disconnection,
    capacitors,
    charging,
    field_circuit,
    field_leads,
    lost_together,
    overvoltage,
    paralleled,
    recharge_course,
    regulator_leads,
    source_polarity,
    switched_sense,
    unlisted_chargers,
)
from reviewer.model.parts import Alternator, Battery, Charger, Regulator
from reviewer.network.graph import bare
from reviewer.network.meters import meters
from reviewer.network.regulators import Regulation, has_control, regulation, trip_node
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.points import Figures, Points
    from reviewer.analysis.operating_point.solved_state import OperatingPoint


class Sources:
    """Alternators, batteries and their charge, and what ammeters read of them."""

    def __init__(self, states: States, points: OperatingPoints):
        self.states = states
        self.points = points
        self.design, self.network = states.design, states.network

    def _powering(self, element: str) -> tuple[StateAnswer, ...]:
        return tuple(
            a for a in self.states.flight_answers() if powers(self.design, self.network, a.healthy, element)
        )

    @cached_property
    def at_work(self) -> Mapping[str, tuple[StateAnswer, ...]]:
        """For each alternator the states of normal flight in which it feeds a bus or another
        source, the normal state first."""
        return {s.element: self._powering(s.element) for s in self.network.sources if s.kind == "alternator"}

    def unexcited(self, answer: StateAnswer, among: Collection[str] | None = None) -> tuple[str, ...]:
        """The alternators (of some names) that are driven in a state of normal flight and feed nothing
        there, as the changes that put that right: ``parts/NAME/excitation``."""
        if answer.state.use != "flight" or answer.state.engine != "running":
            return ()
        dead = [e for e in self.at_work if not answer.healthy.alive[e]]
        return tuple(f"{e}/excitation" for e in dead if among is None or bare(e) in among)

    @cached_property
    def charged(self) -> Mapping[str, tuple[alternators.Charge, ...]]:
        """For each battery that an alternator charges in a state of normal flight, itself or by a
        converter, or a charger in any declared state: in which, and by which of them."""
        working = [(element, answer) for element, answers in self.at_work.items() for answer in answers]
        chargers = [s.element for s in self.network.sources if s.kind == "charger"]
        working += [(element, answer) for element in chargers for answer in self.states.answers()]
        working += [(c.element, a) for c in self.network.converters for a in self.states.flight_answers()]
        found: dict[str, list[alternators.Charge]] = {}
        for element, answer in working:
            for charge in alternators.charges(self.network, answer, element):
                found.setdefault(charge.battery, []).append(charge)
        return {battery: tuple(own) for battery, own in found.items()}

    def charged_in_flight(self, battery: str) -> bool:
        """Whether a battery is charged in a state of normal flight."""
        flight = {answer.state.name for answer in self.states.flight_answers()}
        return any(charge.state in flight for charge in self.charged.get(battery, ()))

    def set_points(self, givers: Sequence[str]) -> tuple[str, ...]:
        """The keys of the volts that what charges a battery holds: ``parts/NAME/output-voltage`` of a
        converter, else ``parts/NAME/set-point``."""
        converters = {c.element for c in self.network.converters}
        return tuple(f"{g}/{'output-voltage' if g in converters else 'set-point'}" for g in givers)

    @cached_property
    def unlisted_charges(self) -> Mapping[str, tuple[unlisted_chargers.UnlistedCharge, ...]]:
        """For each battery what chargers that no state lists give it, in a state in which they would."""
        found: dict[str, list[unlisted_chargers.UnlistedCharge]] = {}
        for one in unlisted_chargers.unlisted_charges(self.design, self.network, self.states.answers()):
            found.setdefault(one.charge.battery, []).append(one)
        return {battery: tuple(own) for battery, own in found.items()}

    @cached_property
    def depended_on(self) -> tuple[str, ...]:
        """The batteries that power a load or a coil in a state of normal flight, or are dedicated
        to one."""
        found = set(alternators.depended_on(self.network, self.states.flight_answers()))
        batteries = self.design.of_kind(Battery)
        return tuple(
            f"parts/{n}"
            for n in batteries
            if f"parts/{n}" in found or self.design.part(n, Battery).dedicated_to
        )

    def idle_beside(self, alternator: str) -> paralleled.Uneven | None:
        """Where an alternator that shares the load gives nothing beside one that does. Raises
        NotAssessable."""
        return paralleled.idle_beside(self.points, alternator)

    def waits(self, alternator: str) -> bool:
        """Whether a standby alternator gives nothing while those that it stands by for work; without
        figures it is taken to give some."""
        try:
            return paralleled.waits(self.points, alternator)
        except NotAssessable:
            return False

    def carries_beside(self, alternator: str) -> paralleled.Uneven | None:
        """Where an alternator that stands by gives current beside one that gives less than it can.
        Raises NotAssessable."""
        return paralleled.carries_beside(self.points, alternator)

    def never_takes_over(self, alternator: str) -> str | None:
        """The state where an alternator that stands by powers nothing after the loss of the others,
        or None."""
        return paralleled.never_takes_over(self.points, alternator)

    def shed_with(self, alternator: str) -> str | None:
        """The action of the shed plan that takes an alternator that stands by off line, or None."""
        return paralleled.shed_with(self.points, alternator)

    def without_charging_return(self, battery: str) -> tuple[str, ...]:
        """The alternators and chargers that feed the positive of an uncharged battery in normal
        flight, and do not get its negative back."""
        answers = self.states.flight_answers()
        return tuple(alternators.without_charging_return(self.network, answers, battery))

    def unprotected_trip(self, element: str) -> tuple[str, ...]:
        """The path from the last bus to what the overvoltage trip of an alternator shorts, in the first
        state in which it is at work, where it is unprotected."""
        acts_on = self.design.part(bare(element), Alternator).trip_acts_on
        fed = trip_node(self.network, alternators.source_of(self.network, element), acts_on)
        first = self.at_work[element][:1]
        if not first or fed is None:
            return ()
        return field_circuit.unprotected_feed(self.design, self.network, first[0], fed)

    def stopped_at_its_control(self, element: str) -> bool:
        """Whether a wire leads to the control without which an alternator of permanent magnets gives
        nothing."""
        return has_control(self.design, bare(element))

    def ungrounded_relays(self, relay: str) -> Iterator[tuple[str, str]]:
        """The alternators (pointers) that an overvoltage relay (a pointer) would not stop, as no source has
        its return at its own ground, each with the first state in which it is at work so."""
        for source in self.network.sources:
            ground = source.relay_ground
            if ground is not None and source.relay and source.relay[0] == relay:
                for answer in self.at_work[source.element]:
                    if not any(each[ground] for each in answer.healthy.returned.values()):
                        yield source.element, answer.state.name
                        break

    def left_on_output(self, element: str) -> tuple[str, ...]:
        """What a trip that opens the output of an alternator leaves on it: nothing opens between."""
        return overvoltage.left_on_output(self.network, element)

    def always_live(self, battery: str) -> battery_disconnection.AlwaysLive | None:
        """What a battery (a pointer) feeds in every setting of the switches, and may not."""
        critical = self.states.critical_functions if self.design.functions else ()
        search = battery_disconnection.BatteryDisconnection(
            self.design,
            self.network,
            self.states.cones,
            self.states.answers(),
            next(s for s in self.network.sources if s.element == battery),
            {load for function in critical for load in self.states.loads_of(function)},
            self.largest_always_live,
        )
        found = search.always_live()
        self.states.untried.extend(search.untried)
        return found

    @property
    def largest_always_live(self) -> float:
        """Amperes of the largest circuit protection of a circuit that may stay live with the master
        off."""
        return practice("amperes", "live-with-the-master-off").low

    @cached_property
    def reversed_sources(self) -> Mapping[str, source_polarity.ReversedSource]:
        """The batteries and alternators that are wired the wrong way round to what they feed."""
        return source_polarity.reversed_sources(self.network)

    def reversed_capacitor(self, name: str) -> str:
        """The first state in which a capacitor is fed at its negative; "" for none."""
        answers = self.states.answers() if self.design.operation else ()
        return capacitors.reversed_in(self.network, answers, name)

    @cached_property
    def regulators_at_work(self) -> tuple[str, ...]:
        """The regulators (pointers) of which the alternator is at work in some state."""
        regulators = self.design.of_kind(Regulator) if self.design.operation else ()
        regulates = {name: self.design.part(name, Regulator).regulates for name in regulators}
        return tuple(f"parts/{name}" for name, own in regulates.items() if self.at_work[f"parts/{own}"])

    def stray_field(self, regulator: str) -> field_leads.StrayField | None:
        """Where the field lead of a regulator (a name) goes to another alternator than its own."""
        return field_leads.stray_field(self.design, self.network, regulator)

    def reversed_at(self, name: str) -> str:
        """The alternator to which its smoothing capacitor is wired the wrong way round; "" for none."""
        return capacitors.reversed_at(self.design, self.network, name)

    def apart_from_its_capacitor(self, element: str) -> tuple[tuple[str, str], ...]:
        """(terminal of its smoothing capacitor, own terminal) that are not joined, of an
        alternator; none of one that is reversed, which is a finding of its own."""
        found = capacitors.apart(self.design, self.network, element)
        names = {p.partition(".")[0] for p, _ in found}
        return () if any(self.reversed_at(n) or self.reversed_capacitor(n) for n in names) else found

    def disconnection(self, element: str) -> alternators.Disconnection:
        """How the crew takes an alternator off in the first state in which it is at work."""
        return alternators.disconnection(self.design, self.network, self.at_work[element][0], element)

    def driven_in_reverse(self, element: str) -> alternators.ReverseCurrent | None:
        """A battery that drives a generator in a declared state."""
        return alternators.driven_in_reverse(self.network, self.states.answers(), element)

    def runs_without_battery(self, element: str) -> Combination | None:
        """The permitted combination of switches in which a running alternator has no battery in
        parallel; None where there is none."""
        found, untried = alternators.runs_without_battery(
            self.design, self.network, self.states.cones, self.at_work[element][0], element
        )
        self.states.untried.extend(filter(None, [untried]))
        return found

    def stopped_by_batteries(self, element: str) -> tuple[tuple[str, str, bool], ...]:
        """(state, battery or relay, whether the overvoltage trip does it) where the opening of the second
        stops an alternator."""
        found = (
            (a.state.name, *b)
            for a in self.at_work[element]
            for b in alternators.stopped_by_batteries(self.design, self.network, a, element)
        )
        return tuple(found)

    @cached_property
    def lost_together(self) -> Mapping[str, tuple[lost_together.LostTogether, ...]]:
        """The single failures that stop all of several alternators through their excitation or control in
        normal flight, by the first alternator (a pointer) that could go on; of each the first state."""
        found: dict[str, dict[tuple[str, ...], lost_together.LostTogether]] = {}
        for answer in self.states.flight_answers():
            for lost in lost_together.lost_together(self.design, self.network, answer):
                found.setdefault(lost.spared[0], {}).setdefault(lost.spared, lost)
        return {element: tuple(each.values()) for element, each in found.items()}

    def undervoltage_on_battery_loss(
        self, element: str
    ) -> tuple[alternator_loading.LoadLostWithBattery, ...]:
        """Loads that get less than their minimum from an alternator when a battery opens, and had
        it before, in what is flown while it is at work. Raises NotAssessable."""
        return alternator_loading.lost_with_battery(self.states, self.points, self.at_work[element], element)

    def coil_shares(self, coil: str) -> tuple[alternator_loading.CoilShare, ...]:
        """What a coil takes of all that its battery gives, in the states in which the engine runs,
        no alternator does, and it is energised. Raises NotAssessable."""
        return alternator_loading.coil_shares(self.states, coil)

    def ground_cuts(self, element: str) -> tuple[str, ...] | None:
        """The elements that every path passes from the ground terminal of an alternator to a ground
        block or a battery; None where there is no path."""
        return alternators.ground_cuts(self.design, self.network, element)

    def _charging_links(self, battery: str) -> tuple[int, ...]:
        ways = [(self.states.answer(c.state), c) for c in self.charged.get(battery, ())]
        ways += [(one.answer, one.charge) for one in self.unlisted_charges.get(battery, ())]
        links = (link for at, c in ways for link in charging.charging_links(self.network, at, c))
        return tuple(dict.fromkeys(links))

    def unsized(self, battery: str) -> tuple[str, ...]:
        """The keys that are missing on the paths of the current that charges a battery."""
        return charging.missing(self.design, self.network, self._charging_links(battery))

    def untimed(self, held: Sequence[charging.ChargingPoint]) -> str:
        """What is missing to know how long some charging points last."""
        return charging.untimed(self.states.operation, held)

    def window(self, name: str) -> charging.Window:
        """The charging voltage window of a battery of known chemistry."""
        return charging.window(self.design, self.design.part(name, Battery))

    def largest_charge_current(self, battery: str) -> float:
        """More amperes than a battery can be charged with in normal flight. Raises
        NotAssessable."""
        givers = dict.fromkeys(c.giver for c in self.charged[battery])
        return charging.largest_charge(self.design, self.design.part(bare(battery), Battery), givers)

    def charging_points(self, battery: str) -> tuple[charging.ChargingPoint, ...]:
        """A battery at its terminals in each phase and state in which it is charged, and with each charger
        that no state lists. Raises NotAssessable, and for a load without a current too."""
        found: list[charging.ChargingPoint] = []
        charged = self.charged.get(battery, ())
        for flown in self.points.flown_in(dict.fromkeys(c.state for c in charged)):
            point, phase = self.points.point(flown), self.states.operation.phases.get(flown.phase or "")
            givers = tuple(dict.fromkeys(c.giver for c in charged if c.state == flown.state))
            solve = partial(self.points.figured, flown, ())
            seconds = phase.duration if phase else None
            found += self._charging_points(battery, str(flown), "", seconds, givers, point, solve)
        for one in self.unlisted_charges.get(battery, ()):
            point, solve = self.points.solved_of(one.answer), partial(self.points.solved_of, one.answer)
            givers = (one.charge.giver,)
            on = f" with {bare(one.charge.giver)} on"
            each = self._charging_points(battery, one.base, on, None, givers, point, solve)
            found += [replace(held, state=one.base) for held in each]
        return tuple(found)

    def _charging_points(
        self,
        battery: str,
        words: str,
        on: str,
        seconds: float | None,
        givers: Sequence[str],
        point: OperatingPoint,
        solve: Callable[[Figures], OperatingPoint],
    ) -> Iterator[charging.ChargingPoint]:
        """A battery at a point, and once its chargers that give all their current hold their set point, as
        they do when less is taken, if no alternator charges it. Raises NotAssessable."""
        from reviewer.analysis.operating_point.points import Figures

        carrying = {self.network.links[i].element for i in self._charging_links(battery)}
        charging.all_drawn(point.undrawn)
        held = charging.held(self.design, words + on, seconds, point, battery, carrying, givers)
        yield held
        chargers = [g for g in held.overloaded if isinstance(self.design.parts[bare(g)], Charger)]
        if chargers and held.by_charger:
            after = solve(Figures(speed=point.speed, unlimited=frozenset(chargers)))
            at_last = f"{words} with {' and '.join(map(bare, chargers))} at the set point"
            then = charging.held(self.design, at_last, seconds, after, battery, carrying, chargers)
            yield replace(then, overloaded=held.overloaded)

    def first_charge(self, battery: str) -> recharge_course.FirstCharge:
        """The largest first current into a flat battery in what is flown while it is charged.
        Raises NotAssessable."""
        if battery not in self._first_charges:
            flown = self.points.flown_in(dict.fromkeys(c.state for c in self.charged[battery]))
            self._first_charges[battery] = recharge_course.first_charge_of(
                self.design, self.points, flown, battery
            )
        return self._first_charges[battery]

    @cached_property
    def _first_charges(self) -> dict[str, recharge_course.FirstCharge]:
        return {}

    def recharge(
        self, battery: str, limit: float, limits: Mapping[str, float] = recharge_course.NO_OTHERS
    ) -> recharge_course.RechargeCourse:
        """How a flat battery is recharged where its first current is the largest, with the time in
        which it takes more than ``limit`` amperes, and in which others, by element, carry more than
        their ``limits``. Raises NotAssessable."""
        first = self.first_charge(battery)
        return recharge_course.recharge_of(self.design, self.points, first, battery, limit, limits)

    def rated_key(self, element: str) -> str:
        """The key of the voltage for which a load, coil or capacitor (an element) is rated."""
        return f"{element}/{overvoltage.rated_key(self.design.parts[bare(element)]).replace('_', '-')}"

    def exposed(self, alternator: str) -> Mapping[str, overvoltage.Exposed]:
        """What an alternator powers in each state of normal flight in which it is at work, by the
        state's name."""
        return {
            a.state.name: overvoltage.exposed(self.design, self.network, a, alternator)
            for a in self.at_work[alternator]
        }

    def _failed_full_on(
        self,
        alternator: str,
        flown: Flown,
        ends: overvoltage.Ceiling,
        taking: Mapping[str, float] = MappingProxyType({}),
    ) -> Points:
        """What is flown while the regulator of an alternator fails full on, once the batteries are
        full, but for those ``taking`` what their resistance alone limits. Raises NotAssessable."""
        from reviewer.analysis.operating_point.points import Figures

        full, rises = {f"parts/{n}": 1.0 for n in self.design.of_kind(Battery)}, {alternator: ends.volts}
        figures = (
            Figures(state_of_charge=full, tripping=rises)
            if ends.sensed
            else Figures(state_of_charge=full, failed_full_on=rises, charged_from=taking)
        )
        points = self.points.operating_points(flown.state, figures, 1, flown.phase)
        points.require_found()
        return points

    def overshoot(
        self, alternator: str, ends: overvoltage.Ceiling | None = None, at: tuple[str, str] | None = None
    ) -> float:
        """The most volts that the output of an alternator, or the terminals ``at``, the positive first,
        have above what its regulator senses, in what is flown while it is at work: in regulation, or
        when it has failed full on and ``ends`` there. 0 where it senses its output, and where it is
        less. Raises NotAssessable."""
        held = regulation(self.design, bare(alternator))
        if not held.remote:
            return 0.0
        found, name = [0.0], bare(alternator)
        plus, minus = at or (f"{name}.output", f"{name}.ground")
        for flown in self.points.flown_in(a.state.name for a in self.at_work[alternator]):
            if ends is None:
                volts = dict(self.points.point(flown).volts)
            else:
                points = self._failed_full_on(alternator, flown, ends)
                volts = points.all_volts()
            found.append(volts[plus] - volts[minus] - volts[held.plus] + volts[held.minus])
        return max(found)

    def beyond(self, alternator: str, ends: overvoltage.Ceiling) -> tuple[overvoltage.Beyond, ...]:
        """Loads and coils that an alternator whose regulator fails full on takes beyond their
        rating, before it ``ends``, once the batteries are full; each once."""
        found: dict[str, overvoltage.Beyond] = {}
        most = ends.volts + self.overshoot(alternator, ends) if ends.sensed else ends.volts
        for state, own in self.exposed(alternator).items():
            weak = [element for element, rated in own.rated.items() if rated < most and element not in found]
            for flown in self.points.flown_in([state]) if weak else ():
                points, answer = self._failed_full_on(alternator, flown, ends), self.states.answer(state)
                those = overvoltage.beyond(
                    self.design, points, answer, alternator, str(flown), own.rated, weak
                )
                for one in those:
                    if one.element in points.undrawn:
                        raise NotAssessable(f"{points.undrawn[one.element]} of {bare(one.element)}")
                if those and not ends.sensed:
                    charged = [b for b, by in self.charged.items() if self._charges(by, alternator, state)]
                    solve = partial(self._failed_full_on, alternator, flown, ends)
                    least = overvoltage.held_down(self.design, answer, alternator, charged, those, solve)
                    those = tuple(least)
                for one in those:
                    found.setdefault(one.element, one)
        return tuple(found.values())

    @staticmethod
    def _charges(charges: Sequence[alternators.Charge], giver: str, state: str) -> bool:
        return any(charge.giver == giver and charge.state == state for charge in charges)

    def ceiling(self, alternator: str) -> overvoltage.Ceiling:
        """The highest voltage of an alternator whose regulator fails full on. Raises NotAssessable
        where its trip is not stated."""
        found = overvoltage.ceiling(self.design, bare(alternator))
        if found is None:
            raise NotAssessable(f"`overvoltage-trip` of {bare(alternator)}")
        return found

    def sense_rise(self, alternator: str) -> field_circuit.SenseRise | None:
        """Drop between the bus of an alternator and what its regulator senses, in the first state in
        which it is at work; None where the alternator does not feed that itself.

        Raises NotAssessable.
        """
        answer = self.at_work[alternator][0]
        path = field_circuit.sense_path(self.design, self.network, answer, alternator)
        keys = charging.missing(
            self.design, self.network, (i for e in path for i in self.network.links_of[e])
        )
        if keys:
            raise NotAssessable("; ".join(keys))
        if not path:
            return None
        flown = self.points.flown_in([answer.state.name])[0]
        point = self.points.point(flown)
        start = self.network.names[field_circuit.sense_start(self.design, self.network, answer, alternator)]
        return field_circuit.SenseRise(
            flown, point.volts[start] - point.volts[regulation(self.design, bare(alternator)).plus], path
        )

    def sense_carries_current(self, alternator: str) -> bool:
        """:func:`field_circuit.sense_carries_current` in the first state in which an alternator is at
        work."""
        answer = self.at_work[alternator][0]
        return field_circuit.sense_carries_current(self.design, self.network, answer, alternator)

    def switched_sense(self, alternator: str) -> switched_sense.SwitchedSense | None:
        """A switch that takes off what a separate regulator senses while its field is fed; None where
        there is none."""
        return switched_sense.switched_sense(self.design, self.network, self.at_work[alternator], alternator)

    def regulation(self, alternator: str) -> Regulation:
        """How an alternator (a pointer) is regulated."""
        return regulation(self.design, bare(alternator))

    def uncontrolled_leads(self, regulator: str) -> tuple[regulator_leads.UncontrolledLead, ...]:
        """The leads of a regulator (a pointer) whose loss drives its alternator to full field with
        no trip apart from the regulator, in the first state in which it is at work; and what it
        senses where the switches of any state part that from the alternator.

        Raises NotAssessable where the file does not state what their loss does.
        """
        alternator = f"parts/{self.design.part(bare(regulator), Regulator).regulates}"
        first = self.at_work[alternator][:1]
        if not first:
            return ()
        every = self.states.answers()
        return regulator_leads.uncontrolled_leads(self.design, first[0], bare(regulator), every)

    def misread(self, monitor: str, tells: str) -> ammeters.Misread | None:
        """The worst wrong reading of an ammeter, None where all are right. Raises NotAssessable
        where a reading cannot be solved, or is right or wrong by the input that is high."""
        points = (*self._meter_points, *(self._charging if tells == "load" else ()))
        for at in points:
            value = at.point.readings[monitor].value
            if value is None or value != value:
                raise NotAssessable(f"a shunt of one path, beside wires of known size, for {monitor}")
        found = [ammeters.misread(self.design, self.network, points, monitor, tells, s) for s in (1, -1)]
        shown = self.design.watch.monitors[monitor]
        if all(found) or not any(found) or meters(self.design, self.network)[monitor].paired:
            return found[0] and replace(found[0], reversed=not found[1])
        raise NotAssessable(
            f"`return` of the input of {shown.displayed_on} that is at the high side of {shown.senses}: its "
            "input at the low side"
        )

    @cached_property
    def _meter_points(self) -> tuple[ammeters.MeterPoint, ...]:
        return ammeters.meter_points(self.states, self.points)

    @cached_property
    def _charging(self) -> tuple[ammeters.MeterPoint, ...]:
        return (ammeters.charging_point(self.states, self.points),)
