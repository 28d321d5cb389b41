"""Alternators, batteries and their charge, and what ammeters read of them. Each answer is computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cached_property, partial
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.switch_combinations import Combination
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.operating_point import cranking
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints, assessed
from reviewer.analysis.ratings.flat_battery import flat_state_of_charge
from reviewer.analysis.sources import alternators, ammeters, charging, overvoltage
from reviewer.model import parts as p
from reviewer.model.parts import Alternator, Battery
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.answers import Flown


class Sources:
    """Alternators, batteries and their charge, and what ammeters read of them."""

    def __init__(self, states: States, points: OperatingPoints):
        self.states = states
        self.points = points
        self.design, self.network = states.design, states.network

    def _powering(self, element: str) -> tuple[StateAnswer, ...]:
        return tuple(
            a
            for a in self.states.flight_answers()
            if alternators.powers(self.design, self.network, a.healthy, element)
        )

    @cached_property
    def at_work(self) -> Mapping[str, tuple[StateAnswer, ...]]:
        """For each alternator the states of normal flight in which it feeds a bus or another source, the dispatch state first."""
        return {s.element: self._powering(s.element) for s in self.network.sources if s.kind == "alternator"}

    @cached_property
    def charged(self) -> Mapping[str, tuple[alternators.Charge, ...]]:
        """For each battery that an alternator charges in a state of normal flight: in which, and by which alternator."""
        found: dict[str, list[alternators.Charge]] = {}
        for element, answers in self.at_work.items():
            for charge in (
                c for answer in answers for c in alternators.charges(self.network, answer, element)
            ):
                found.setdefault(charge.battery, []).append(charge)
        return {battery: tuple(own) for battery, own in found.items()}

    def unprotected_field(self, element: str) -> tuple[str, ...]:
        """The way from the last bus to the field of an alternator, in the first state in which it is at work, where it passes no protector."""
        first = self.at_work[element][:1]
        return alternators.unprotected_field(self.design, self.network, first[0], element) if first else ()

    def disconnection(self, element: str) -> alternators.Disconnection:
        """How the crew takes an alternator off in the first state in which it is at work."""
        return alternators.disconnection(self.design, self.network, self.at_work[element][0], element)

    def runs_alone(self, element: str) -> Combination | None:
        """The legal combination in which an alternator that was running goes on without a battery; None where there is none."""
        found, untried = alternators.runs_alone(
            self.design, self.network, self.states.cones, self.at_work[element][0], element
        )
        self.states.untried.extend(filter(None, [untried]))
        return found

    def taken_by_batteries(self, element: str) -> tuple[tuple[str, str], ...]:
        """(state, battery) pairs in which the opening of the battery stops an alternator."""
        found = (
            (a.state.name, b)
            for a in self.at_work[element]
            for b in alternators.taken_by_batteries(self.design, self.network, a, element)
        )
        return tuple(found)

    def starved(self, element: str) -> tuple[alternators.LoadLostWithBattery, ...]:
        """Loads that get less than their minimum from an alternator when a battery opens, and had it before, in what is flown while it is at work. Raises
        NotAssessable. Solved only where the loads may be more than it can give."""
        part = self.design.part(bare(element), Alternator)
        found: list[alternators.LoadLostWithBattery] = []
        limit = part.most
        if limit is None:
            raise NotAssessable(f"`rating` of {bare(element)}")
        for answer in self.at_work[element]:
            batteries = [c.battery for c in alternators.charges(self.network, answer, element)]
            for flown in self.flown([answer.state.name]) if batteries else ():
                drawn = alternators.drawn(self.design, self.network, answer, flown.phase, (element,))
                for load, key in drawn.unsaid.items():
                    if isinstance(self.design.parts[bare(load)], p.Consumer):
                        raise NotAssessable(f"{key} of {bare(load)}")
                if drawn.total <= alternators.SURELY * limit:
                    continue
                for battery in batteries:
                    point = self.points.operating_point(flown.state, flown.phase, (Failure(battery, OPEN),))
                    found += alternators.starved(
                        self.design, self.points.point(flown), point, str(flown), battery
                    )
        return tuple(found)

    def coil_shares(self, coil: str) -> tuple[alternators.CoilShare, ...]:
        """What a coil takes of all that its battery gives, in the states in which the engine runs, no alternator does, and it is energised.

        Raises NotAssessable.
        """
        found = []
        for answer in self.states.answers():
            if (
                answer.state.engine != "running"
                or answer.state.use == "ground"
                or not answer.healthy.energised[coil]
            ):
                continue
            if any(answer.healthy.alive[s.element] for s in self.network.sources if s.kind != "battery"):
                continue
            sources = tuple(
                s.element
                for s in self.network.sources
                if alternators.serves(self.network, answer, s.element, coil)
            )
            others = tuple(s.element for s in self.network.sources if s.element not in sources)
            drawn = alternators.drawn(self.design, self.network, answer, None, sources)
            if coil not in drawn.amps:  # a relay that does not settle
                continue
            elsewhere = alternators.drawn(self.design, self.network, answer, None, others)
            own = {e: amps for e, amps in drawn.amps.items() if e not in elsewhere.amps}
            for element in (e for e in drawn.unsaid if e in own or e == coil):
                raise NotAssessable(f"{drawn.unsaid[element]} of {bare(element)}")
            found.append(alternators.CoilShare(answer.state.name, drawn.amps[coil], sum(own.values())))
        return tuple(found)

    def ground_cuts(self, element: str) -> tuple[str, ...] | None:
        """The elements that every way passes from the ground terminal of an alternator to a ground block or a battery; None where there is no way."""
        return alternators.ground_cuts(self.design, self.network, element)

    def flown(self, states: Collection[str]) -> tuple[Flown, ...]:
        """What is flown in some states, in the order of the states."""
        return tuple(f for state in states for f in self.points.flown if f.state == state)

    def _ways(self, battery: str) -> tuple[int, ...]:
        links = (
            link
            for c in self.charged[battery]
            for link in charging.ways(self.network, self.states.answer(c.state), c)
        )
        return tuple(dict.fromkeys(links))

    def unsized(self, battery: str) -> tuple[str, ...]:
        """The keys that are missing on the ways of the current that charges a battery."""
        return charging.missing(self.design, self.network, self._ways(battery))

    def window(self, name: str) -> charging.Window:
        """The volts that a battery of known chemistry wants at its posts."""
        return charging.window(self.design, self.design.part(name, Battery))

    def most_into(self, battery: str) -> float:
        """More amperes than a battery can be charged with in normal flight: what the alternators can give, or, where it is less, what lead-acid accepts.

        Raises NotAssessable.
        """
        machines = tuple(dict.fromkeys(c.alternator for c in self.charged[battery]))
        part, most = self.design.part(bare(battery), Battery), 0.0
        for name in map(bare, machines):
            limit = self.design.parts[name].most
            if limit is None:
                raise NotAssessable(f"`rating` of {name}")
            most += limit
        steady = [
            self.design.parts[bare(m)].set_point
            for m in machines
            if self.design.parts[bare(m)].regulator_senses != "field"
        ]
        if (
            part.chemistry == "lead-acid"
            and part.capacity
            and len(steady) == len(machines)
            and None not in steady
        ):
            most = min(most, charging.most_accepted(self.design, part, max(steady)))
        return most

    def held(self, battery: str) -> tuple[charging.ChargingPoint, ...]:
        """A battery at its posts in each phase of normal flight in which it is charged. Raises NotAssessable, and for a load without a current too."""
        found, ways = [], {self.network.links[i].element for i in self._ways(battery)}
        for flown in self.flown(dict.fromkeys(c.state for c in self.charged[battery])):
            point = self.points.point(flown)
            _all_drawn(point.undrawn)
            phase = self.states.operation.phases.get(flown.phase or "")
            found.append(
                charging.held(
                    self.design, str(flown), phase.duration if phase else None, point, battery, ways
                )
            )
        return tuple(found)

    def recharge(self, battery: str, limit: float) -> charging.RechargeCourse:
        """How a flat battery is recharged in the first state in which it is charged, with the time in which it takes more than ``limit`` amperes.

        Lead-acid takes what it accepts; lithium whatever the alternators have left beside the loads. Raises NotAssessable.
        """
        from reviewer.analysis.operating_point.points import Figures

        part = self.design.part(bare(battery), Battery)
        flown = self.flown([self.charged[battery][0].state])[0]
        lithium = part.chemistry == "lithium-iron-phosphate"
        low = flat_state_of_charge(part, self.design.aircraft.nominal)
        charges = [low + (1 - low) * i / 10 for i in range(11)]
        points = self.points.operating_points(
            flown.state, Figures(charge={battery: charges}), len(charges), flown.phase
        )
        _all_drawn(points.undrawn)
        amps = charging.taken(points, battery)
        if lithium:
            amps = charging.left_over(self.design, self.network, points, battery)
        basis = "all that the alternators have left" if lithium else "typical acceptance of lead-acid"
        return charging.recharge(part, str(flown), flown.state, charges, amps, limit, basis)

    def exposed(self, alternator: str) -> Mapping[str, overvoltage.Exposed]:
        """What an alternator powers in each state of normal flight in which it is at work, by the state's name."""
        return {
            a.state.name: overvoltage.exposed(self.design, self.network, a, alternator)
            for a in self.at_work[alternator]
        }

    def beyond(self, alternator: str, volts: float) -> tuple[overvoltage.Beyond, ...]:
        """Loads and coils that an alternator whose regulator fails full on takes beyond what they endure, before its output reaches ``volts``, once
        the batteries are full; each once."""
        from reviewer.analysis.operating_point.points import Figures

        found: dict[str, overvoltage.Beyond] = {}
        full = {f"parts/{n}": 1.0 for n in self.design.of_kind(Battery)}
        for state, own in self.exposed(alternator).items():
            weak = [
                element
                for element, endures in own.endures.items()
                if endures < volts and element not in found
            ]
            for flown in self.flown([state]) if weak else ():
                points = self.points.operating_points(
                    flown.state, Figures(charge=full, runaway={alternator: volts}), 1, flown.phase
                )
                for one in overvoltage.beyond(
                    points, self.states.answer(state), alternator, str(flown), own.endures, weak
                ):
                    if one.element in points.undrawn:
                        raise NotAssessable(f"{points.undrawn[one.element]} of {bare(one.element)}")
                    found.setdefault(one.element, one)
        return tuple(found.values())

    def ceiling(self, alternator: str) -> overvoltage.Ceiling:
        """Up to what an alternator whose regulator fails full on may go. Raises NotAssessable where its trip is not stated."""
        found = overvoltage.ceiling(self.design, self.design.part(bare(alternator), Alternator))
        if found is None:
            raise NotAssessable(f"`over-voltage-trip` of {bare(alternator)}")
        return found

    def sense_rise(self, alternator: str) -> alternators.SenseRise | None:
        """What an alternator's bus has more than its field, in the first state in which it is at work; None where it does not feed its field itself.

        Raises NotAssessable.
        """
        answer = self.at_work[alternator][0]
        way = alternators.sense_way(self.design, self.network, answer, alternator)
        keys = charging.missing(self.design, self.network, (i for e in way for i in self.network.links_of[e]))
        if keys:
            raise NotAssessable("; ".join(keys))
        if not way:
            return None
        flown = self.flown([answer.state.name])[0]
        point = self.points.point(flown)
        start = self.network.names[alternators.sense_start(self.design, self.network, answer, alternator)]
        return alternators.SenseRise(
            flown, point.volts[start] - point.volts[f"{bare(alternator)}.field"], way
        )

    def misread(self, monitor: str, tells: str) -> ammeters.Misread | None:
        """The worst reading of an ammeter that is not what it is said to tell. Raises NotAssessable where a reading cannot be solved."""
        points = (*self._meter_points, *(self._charging if tells == "load" else ()))
        for at in points:
            value = at.point.readings[monitor].value
            if value is None or value != value:
                raise NotAssessable(f"a shunt of one way, beside wires of known size, for {monitor}")
        return ammeters.misread(self.network, points, monitor, tells)

    @cached_property
    def _meter_points(self) -> tuple[ammeters.MeterPoint, ...]:
        found = [
            ammeters.MeterPoint(str(f), f.state, self.points.point(f))
            for f in self.points.flown
            if not cranking.cranks(self.states.declared[f.state])
        ]
        lost = tuple(Failure(s.element, OPEN) for s in self.network.sources if s.kind == "alternator")
        dispatch = self.states.operation.dispatch
        if lost and all(
            any(at.point.given[f.element] for f in lost)
            for at in found
            if self.states.declared[at.state].engine == "running"
        ):
            found.append(
                ammeters.MeterPoint(
                    f"{dispatch}, alternator lost",
                    dispatch,
                    self.points.operating_point(dispatch, None, lost),
                )
            )
        return tuple(found)

    @cached_property
    def _charging(self) -> tuple[ammeters.MeterPoint, ...]:
        """The dispatch state with the main batteries half full; a reserve that is charged is a load of its bus."""
        from reviewer.analysis.operating_point.points import Figures
        from reviewer.analysis.operating_point.solved_state import solve_state

        flown = next(f for f in self.points.flown if f.state == self.states.operation.dispatch)
        figures = Figures(
            charge={
                f"parts/{n}": 0.5
                for n in self.design.of_kind(p.Battery)
                if self.design.parts[n].purpose == "main"
            }
        )
        scenario = self.points._scenario(flown.state, flown.phase, (), ())
        point = assessed(
            partial(solve_state, self.design, self.network, scenario, figures, self.points.wiring)
        )
        return (ammeters.MeterPoint(f"{flown.state}, main battery half full", flown.state, point, True),)


def _all_drawn(undrawn: Mapping[str, str]) -> None:
    """Raises NotAssessable for the first of some loads that were solved as drawing nothing for want of a key."""
    for element, key in undrawn.items():
        raise NotAssessable(f"{key} of {bare(element)}")
