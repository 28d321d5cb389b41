"""Switches, relays and the start.

Each answer is computed once, on first asking. No logic lives here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from functools import cached_property, partial
from typing import TYPE_CHECKING, TypeVar

from reviewer.analysis.conduction import states
from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.voltage_sensing import voltage_sensing
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.not_assessable import A_STATE, NotAssessable
from reviewer.analysis.operating_point import cold_batteries, cranking
from reviewer.analysis.operating_point.answers import Flown, OperatingPoints, assessed
from reviewer.analysis.operating_point.assumptions import AssumedQuantity
from reviewer.analysis.switching import (
    bypasses,
    coil_leads,
    contact_loading,
    contact_rating,
    control_protection,
    drivers,
    held_states,
    holding_wires,
    low_at_start,
    master_switches,
    missing_inputs,
    never_energised,
    own_switches,
    relays,
    restoring_relays,
    reversing_relays,
    signal_contacts,
    sneak_held,
    starter_circuits,
    uncommanded,
    unpowered_phases,
    unstopped_motors,
    unswitched_feeds,
)
from reviewer.analysis.wiring import circuits
from reviewer.analysis.wiring.answers import Wires
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.tables.limits import silver_contact_least
from reviewer.tables.practice import practice

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint

T = TypeVar("T")

#: where a contact is used that no declared state uses
TRIED = "a position that no flight state sets"


class Switches:
    """Switches, relays and the start."""

    def __init__(self, states: States, points: OperatingPoints, wires: Wires, crew: Crew):
        self.states = states
        self.points = points
        self.wires = wires
        self.crew = crew
        self.design, self.network = states.design, states.network

    def _in_each_state(self, engine: Callable[[Design, Network, StateAnswer], Iterable[T]]) -> tuple[T, ...]:
        """What an engine finds in each declared state, in order."""
        return tuple(
            found for answer in self.states.answers() for found in engine(self.design, self.network, answer)
        )

    @cached_property
    def uncommanded(self) -> tuple[uncommanded.Uncommanded, ...]:
        """What one short to ground runs in each declared state, though no switch commands it."""
        return self._in_each_state(uncommanded.uncommanded)

    @cached_property
    def switched_loads(self) -> tuple[own_switches.OwnSwitch, ...]:
        """Each load with its own switch, in each declared state, and the position that is off."""
        return self._in_each_state(
            lambda design, network, answer: own_switches.own_switches(
                design, network, self.states.cones, answer
            )
        )

    @cached_property
    def bypasses(self) -> tuple[bypasses.Bypass, ...]:
        """The contacts of switches and relays that a conductor bypasses."""
        return tuple(bypasses.bypasses(self.design, self.network))

    @cached_property
    def never_energised(self) -> never_energised.NeverEnergisedUsers:
        """Loads, instruments and coils that nothing energises, and the reasons."""
        return never_energised.NeverEnergisedUsers(
            self.design, self.network, self.states.cones, self.states.answers()
        )

    @cached_property
    def one_way_motors(self) -> Mapping[str, str]:
        """Reversible motor (a pointer) that runs one way -> the terminal at which current enters in
        no declared state, nor with one or two switches moved."""
        return never_energised.one_way_motors(
            self.design, self.network, self.states.cones, self.states.answers()
        )

    @cached_property
    def dead_starters(self) -> tuple[tuple[str, str], ...]:
        """(starter, state) where a state cranks the engine and no starter has power."""
        return never_energised.dead_starters(
            self.design, self.network, self.states.cones, self.states.answers()
        )

    @cached_property
    def unswitched_feeds(self) -> Mapping[str, unswitched_feeds.UnswitchedFeed]:
        """Each load (a pointer) that is powered with every switch off, though a switch in its
        circuit feeds it as well."""
        normal = self.states.answers()[0]
        bypassed = {bypass.element for bypass in self.bypasses}
        found = unswitched_feeds.unswitched_feeds(self.design, self.network, normal, bypassed)
        return {feed.load: feed for feed in found}

    def stays_on(self, load: str) -> own_switches.StaysOn | None:
        """The first combination in which a load (a pointer) stays on with its own switch off."""
        for own in (o for o in self.switched_loads if o.load == load):
            found, untried = own_switches.stays_on(
                self.design, self.network, self.states.cones, self.states.answer(own.state), own
            )
            if untried and untried not in self.states.untried:
                self.states.untried.append(untried)
            if found is not None:
                return found
        return None

    @cached_property
    def loads_of_masters(self) -> tuple[master_switches.MasterOff, ...]:
        """Each load that goes off with its bus when one switch moves, in each declared state."""
        return self._in_each_state(master_switches.loads_of_masters)

    @cached_property
    def _masters_of(self) -> Mapping[str, list[master_switches.MasterOff]]:
        found: dict[str, list[master_switches.MasterOff]] = {}
        for off in self.loads_of_masters:
            found.setdefault(off.own.load, []).append(off)
        return found

    def stays_on_with_master_off(self, load: str) -> own_switches.StaysOn | None:
        """The first combination in which a load (a pointer) stays on with a master off."""
        for off in self._masters_of.get(load, ()):
            found, untried = master_switches.stays_on_with_master_off(
                self.design,
                self.network,
                self.states.cones,
                {a.state.name: a for a in self.states.answers()},
                off,
            )
            if untried and untried not in self.states.untried:
                self.states.untried.append(untried)
            if found is not None:
                return found
        return None

    @cached_property
    def contact_uses(self) -> tuple[tuple[str, str, contact_rating.Need], ...]:
        """What each contact needs in all that is flown.

        And with switches at positions that no state of flight sets. As (in which, the state's name, the
        need).
        """
        return tuple(
            (where, answer.state.name if where != TRIED else "", need)
            for where, answer, _, need in self._contact_needs
        )

    @cached_property
    def _other_start_uses(self) -> tuple[tuple[str, str, contact_rating.Need], ...]:
        """What each contact that passes the current of a starter needs in a start that no state declares."""
        found, joined = [], contact_loading.Joined(self.design, self.network)
        for name, start in self.states.other_starts.items():
            with suppress(NotAssessable):
                for use in joined.uses(self.points.operating_point(name)):
                    if any(one.element in self.starters for one in use.through):
                        found.append((name, start.base, contact_rating.need(self.design, use, ())))
        return tuple(found)

    @cached_property
    def _contact_needs(
        self,
    ) -> tuple[tuple[str, states.StateAnswer, OperatingPoint, contact_rating.Need], ...]:
        found = []
        points = self._contact_points  # first: where a figure is missing, the rest is for nothing
        joined = contact_loading.Joined(self.design, self.network)
        for where, answer, point in points:
            typical = {e for a in point.assumed if a.quantity is AssumedQuantity.CURRENT for e in a.elements}
            dead = {element for element, mask in answer.healthy.powered.items() if not mask}
            for use in joined.uses(point):
                need = contact_rating.need(self.design, use, typical, dead)
                found.append((where, answer, point, need))
        return tuple(found)

    def largest_currents(self, element: str) -> Mapping[tuple[str, str], float]:
        """Contact of a switch or relay (a pointer), by its terminals -> the largest current to what
        has power, A, at nominal volts; 0 for one that passes a signal alone.

        Without those that a conductor bypasses, which carry only what that leaves.
        """
        bypassed = {frozenset(b.terminals) for b in self.bypasses if b.element == element}
        most = {(a, b): 0.0 for own, a, b in self.signal_contacts if own == element}
        for _, answer, point, need in self._contact_needs:
            if need.use.element == element and contact_loading.serves(answer, need.use):
                pair = (need.use.a, need.use.b)
                amps = contact_rating.largest(self.design, need.use, point.phases)
                most[pair] = max(most.get(pair, 0.0), amps)
        return {
            pair: amps
            for pair, amps in most.items()
            if frozenset(t.partition(".")[2] for t in pair) not in bypassed
        }

    def contact_demands(self, element: str) -> tuple[contact_rating.Demand, ...]:
        """What each use of a switch or relay (a pointer) asks of the ratings of its contact."""
        cranking = {name for name, state in self.states.declared.items() if state.engine == "cranking"}
        return tuple(
            demand
            for where, state, need in self._uses_by_element.get(element, ())
            for demand in contact_rating.demands(self.design, where, state, state in cranking, need)
        )

    @cached_property
    def _uses_by_element(self) -> Mapping[str, Sequence[tuple[str, str, contact_rating.Need]]]:
        found: dict[str, list[tuple[str, str, contact_rating.Need]]] = {}
        for used in (*self.contact_uses, *self._other_start_uses):
            found.setdefault(used[2].use.element, []).append(used)
        return found

    @cached_property
    def _contact_points(self) -> tuple[tuple[str, states.StateAnswer, OperatingPoint], ...]:
        from reviewer.analysis.operating_point.solved_state import scenario_of, solve_state

        found = [(str(f), self.states.answer(f.state), self.points.point(f)) for f in self.points.flown]
        base = self.states.answers()[0]
        for state in contact_loading.untried_positions(
            self.design, self.network, self.states.declared.values(), base.state
        ):
            answer = states.solve_state(self.design, self.network, state)
            starting = contact_loading.started_by(self.design, self.network, base, answer)
            charges = self.points.charges_in(state)
            scenario = scenario_of(
                self.design, self.network, state, answer.healthy, None, (), starting, charges
            )
            found.append(
                (
                    TRIED,
                    answer,
                    assessed(
                        partial(solve_state, self.design, self.network, scenario, wiring=self.points.wiring)
                    ),
                )
            )
        return tuple(found)

    @cached_property
    def unknown_contacts(self) -> Mapping[str, str]:
        """Switches and relays whose current is not known -> the input that is missing.

        A load on them has no current, or a ring of wires no size.
        """
        found: dict[str, str] = {}
        for _, answer, point in self._contact_points:
            for element, needs in missing_inputs.unknown_contacts(self.design, self.network, answer, point):
                found.setdefault(element, needs)
        return found

    @cached_property
    def signal_contacts(self) -> tuple[tuple[str, str, str], ...]:
        """Contacts that join signals: (element, terminal, terminal)."""
        return signal_contacts.signal_contacts(self.design, self.network, self.states.answers())

    @cached_property
    def power_contacts(self) -> tuple[str, ...]:
        """Switches and relays with a contact that is no signal's."""
        return signal_contacts.power_contacts(self.network, self.signal_contacts)

    @property
    def least_of_silver(self) -> float:
        """Amperes below which silver contacts are unsuited, 11-53g."""
        return silver_contact_least()[1].value

    def cranking_basis(self, point: OperatingPoint, *subjects: str) -> tuple[tuple[str, str], ...]:
        """What a figure of the start rests on besides the file, as numbers of a finding."""
        batteries = tuple(f"parts/{n}" for n in self.design.of_kind(p.Battery))
        starts = (*self.cranked, *self.cranked_with_more, *self.turned, *self.turned_with_more)
        practised = next(c.practised for c in starts if c.point is point)
        cold = cold_batteries.cold_basis(self.design, practised)
        return (*cold, *self.wires.typical_in(point, (*batteries, *self.starters, *subjects)))

    @cached_property
    def starters(self) -> tuple[str, ...]:
        """The elements of the loads that are starters."""
        return tuple(f"parts/{n}" for n in self.design.starters)

    def coil_volts(self, point: OperatingPoint, relay: str) -> float:
        """Volts across the coil of a relay, either way round; 0 where no live source reaches it."""
        return point.coil_volts(relay, *self.design.parts[relay].coil)

    def energised_at(self, relay: str) -> tuple[tuple[float, str, str, OperatingPoint], ...]:
        """Volts across the coil of a relay in all that is flown and energises it.

        Then on batteries alone at the end of their charge. One that a full battery does not pick up has
        the lowest volts too that the regulator may hold. As (volts, state, where, point). Raises
        NotAssessable.
        """
        element, found = f"parts/{relay}", []
        senses = any(element == sensing[0] for sensing in voltage_sensing(self.network))
        for flown in self.points.flown:
            if self.states.answer(flown.state).healthy.energised[element]:
                point = self.points.point(flown)
                found.append((self.coil_volts(point, relay), flown.state, str(flown), point))
                ends = [f"{relay}.{end}" for end in self.design.part(relay, p.Electromagnet).coil]
                spread = self.points.spread(flown.state, phase=flown.phase) if senses else None
                if spread and (least := spread.between(*ends)) is not None:
                    lowest = min(map(abs, least))
                    found.append((lowest, flown.state, f"{flown} with the regulator at its lowest", point))
        for flown, case, point in self.wires.battery_points:
            if self.points.answer_of(flown, case).healthy.energised[element]:
                found.append(
                    (
                        self.coil_volts(point, relay),
                        flown.state,
                        f"{flown} with the batteries nearly discharged",
                        point,
                    )
                )
        return tuple(found)

    @cached_property
    def reversed_loads(self) -> tuple[str, ...]:
        """The loads (pointers) that relays reverse: a contact stands beside each of their leads."""
        return tuple(
            c.element for c in self.network.consumers if reversing_relays.reversible(self.network, c)
        )

    def both_at_the_bus(self, load: str) -> reversing_relays.BothAtTheBus | None:
        """The state in which two relays that are energised together put both leads of a load at the
        bus."""
        return reversing_relays.both_at_the_bus(self.network, self.states.answers(), load)

    def unreleased_starter(self, starter: str) -> starter_circuits.RunningOn | None:
        """The state in which a starter (a pointer) runs on when any one switch is released that springs
        back, and the relay that keeps itself energised, if that is why."""
        return starter_circuits.unreleased_starter(self.design, self.network, self.states.answers(), starter)

    def pressed_starter(self, state: str, starter: str) -> tuple[str, str] | None:
        """The switch, with its spring-return position, that by itself runs a starter (a pointer) from a
        state in which that has no power."""
        answer = self.states.answer(state)
        return starter_circuits.pressed_starter(self.design, self.network, answer, starter)

    def stopped_by_pressing(self, state: str, load: str) -> tuple[str, str] | None:
        """The switch that stops a load (a pointer) which runs in a state with it at rest, and where it is at
        rest."""
        return starter_circuits.stopped_by_pressing(
            self.design, self.network, self.states.answer(state), load
        )

    def held(self, state: str) -> tuple[str, ...]:
        """The switches that are held in a state, from which they spring back."""
        return starter_circuits.held(self.design, self.states.declared[state])

    def unstopped_starter(self, starter: str) -> starter_circuits.UnstoppedStarter | None:
        """What keeps a starter (a pointer) running in every setting of the switches."""
        found, untried = starter_circuits.unstopped_starter(
            self.design, self.network, self.states.cones, self.states.answers()[0].state, starter
        )
        self.states.untried.extend([untried] if untried else [])
        return found

    @cached_property
    def unstopped_motors(self) -> Mapping[str, tuple[unstopped_motors.UnstoppedMotor, ...]]:
        """For each motor that is off in the normal state and runs both ways, or while a switch is
        held: the stuck contacts that run it and that no single move undoes."""
        return unstopped_motors.unstopped_motors(
            self.design, self.network, self.states.answers()[0], self.reversed_loads
        )

    def volts_known(self, state: str, point: OperatingPoint, *terminals: str) -> None:
        """Raises NotAssessable where the voltage between some terminals is not known.

        It is not where it depends on an element without a size or a load without a current.
        """
        if missing := missing_inputs.lacking(
            self.design, self.network, self.states.answer(state), point, terminals
        ):
            raise NotAssessable(missing)

    @cached_property
    def flown_cranking(self) -> tuple[Flown, ...]:
        """What is flown with the engine cranked.

        Raises NotAssessable where the design has a starter and no such state.
        """
        found = self.wires.while_cranking
        if not found and self.design.starters:
            runs = " or ".join(self.design.starters)
            raise NotAssessable(f"a state with `engine: cranking` in which {runs} runs", A_STATE)
        return found

    @cached_property
    def cranked(self) -> tuple[cranking.Cranked, ...]:
        """The worst moment of the start in each of them, batteries without a declared cold
        resistance at the low end of the range of the trade. Raises NotAssessable."""
        low = cold_batteries.cold_range().low
        return tuple(self._cranked(flown, low) for flown in self.flown_cranking)

    @cached_property
    def cranked_with_more(self) -> tuple[cranking.Cranked, ...]:
        """The same at the high end of that range; nothing more where all batteries declare it."""
        high = cold_batteries.cold_range().high
        missing = cold_batteries.by_practice(self.design)
        return tuple(self._cranked(flown, high) for flown in self.flown_cranking) if missing else ()

    def low_at_start(self, load: str, with_more: bool = False) -> list[cranking.Cranked]:
        """What is ``cranked``, or ``cranked_with_more``, in which a load (an element) has less than its
        minimum voltage for longer than it bridges. Raises NotAssessable."""
        cranked = self.cranked_with_more if with_more else self.cranked
        return low_at_start.low_at_start(load, cranked, self.states)

    def lost_at_start(self, load: str, state: str) -> tuple[str, ...]:
        """The critical functions of a load (an element) that do not work in a cranking state without it and
        all others that may be low then. Raises NotAssessable."""
        cranked = (*self.cranked, *self.cranked_with_more)
        return low_at_start.lost_at_start(load, state, cranked, self.states)

    @cached_property
    def turned(self) -> tuple[cranking.Cranked, ...]:
        """The same while the starter turns the engine, at the current that the file gives for that:
        it lasts as long as the start does. Raises NotAssessable."""
        low = cold_batteries.cold_range().low
        return tuple(self._cranked(flown, low, stands=False) for flown in self.flown_cranking)

    @cached_property
    def turned_with_more(self) -> tuple[cranking.Cranked, ...]:
        """That at the high end of the range of batteries; nothing more where all declare it."""
        high = cold_batteries.cold_range().high
        missing = cold_batteries.by_practice(self.design)
        return (
            tuple(self._cranked(flown, high, stands=False) for flown in self.flown_cranking)
            if missing
            else ()
        )

    @property
    def cold_resistance(self) -> str:
        """The key that decides where the ends of that range differ in the verdict: of the battery
        that gives most, of those that do not declare it."""
        given = self.cranked_with_more[0].point.given
        most = max(cold_batteries.by_practice(self.design), key=lambda name: given[f"parts/{name}"])
        return f"`cold-resistance` of {most}"

    def _cranked(self, flown: Flown, practised: float, stands: bool = True) -> cranking.Cranked:
        from reviewer.analysis.operating_point.points import Figures
        from reviewer.analysis.operating_point.solved_state import solve_state

        powered = self.states.answer(flown.state).healthy.powered
        turning = tuple(n for n in self.design.starters if powered[f"parts/{n}"])
        if not turning:
            raise NotAssessable(f"a load of `type: starter` that has power in {flown.state}")
        for name in turning:
            part = self.design.parts[name]
            if (part.peak if stands else part.current) is None:
                raise NotAssessable(f"`{'peak' if stands else 'current'}` of {name}")
        figures = Figures(ageing=cold_batteries.cold_factors(self.design, practised))
        point = assessed(
            lambda: solve_state(
                self.design,
                self.network,
                self.points._scenario(flown.state, flown.phase, (), turning if stands else ()),
                figures,
                self.points.wiring,
            )
        )
        phase = self.states.operation.phases.get(flown.phase) if flown.phase else None
        return cranking.Cranked(flown, turning, point, phase.duration if phase else None, practised)

    def on_without(self, load: str, unit: str) -> str | None:
        """The first state in which a load (a pointer) has power with a unit (a name) gone, and its
        outputs with it; None where these drive it."""
        return drivers.on_without(self.states.answers(), load, f"parts/{unit}")

    def long_phases_on(self, load: str) -> unpowered_phases.LongPhases:
        """The phases through which a load, by name, stays on for so long that it is continuous."""
        return unpowered_phases.long_phases_on(self.states, load)

    @cached_property
    def unpowered_phases(self) -> tuple[unpowered_phases.UnpoweredPhase, ...]:
        """Loads with a current in a phase in whose state they have no power."""
        return tuple(unpowered_phases.unpowered_phases(self.states))

    def coil_fuses(self, relay: str) -> Mapping[str, str]:
        """The fuses that feed the coil of a relay.

        Each with the first state in which the coil is energised through it.
        """
        return control_protection.coil_fuses(
            self.design, self.network, self.states.answers(), f"parts/{relay}"
        )

    @property
    def opens_at_once(self) -> float:
        """Multiple of its rating at which a fuse opens before a relay has picked up.

        By one measurement.
        """
        return practice("factors", "fuse-opens-in-a-sixth-of-a-second").low

    @cached_property
    def coils(self) -> tuple[str, ...]:
        """The relays and contactors, as pointers."""
        return tuple(c.element for c in self.network.coils)

    def miswired_lead(self, relay: str) -> coil_leads.MiswiredLead | None:
        """The lead of the coil of a relay (a pointer) that goes to the wrong place."""
        return coil_leads.miswired_lead(self.network, self.network.coils[self.coils.index(relay)])

    @cached_property
    def restoring_relays(self) -> tuple[restoring_relays.RestoringRelay, ...]:
        """Relays that restore a bus or load in another state, or with one switch moved.

        Each with the failures after which they cannot.
        """
        return tuple(
            restoring_relays.restoring_relays(
                self.design, self.network, self.states.answers()[0], self.states.answers()
            )
        )

    @cached_property
    def relays_held_energised(self) -> tuple[relays.HeldRelay, ...]:
        """Relays that stay energised when a state is set that alone does not energise them."""
        return tuple(relays.relays_held_energised(self.design, self.network, self._changes))

    def holding_wires(self, held: Sequence[relays.HeldRelay]) -> tuple[str, ...]:
        """The wires without which one relay, held in some states after others, drops out in all, and which
        nothing else needs; () where there are none."""
        pairs = [(self.states.answer(h.after), self.states.answer(h.state).state) for h in held]
        return holding_wires.holding_wires(
            self.design, self.network, self.states.answers(), held[0].relay, pairs
        )

    @cached_property
    def sneak_held(self) -> tuple[sneak_held.SneakHeld, ...]:
        """Relays that a sneak current keeps energised in a legal combination of the switches."""
        found, untried = sneak_held.sneak_held(
            self.design,
            self.network,
            self.states.cones,
            tuple(a.state for a in self.states.answers()),
            self._held_volts,
        )
        self.states.untried.extend(untried)
        return found

    def sneaks_in(self, state: str) -> tuple[held_states.EnergisedBySneak, ...]:
        """The relays that sneak currents energise in a declared state, or may keep energised."""
        return tuple(one for one in self._sneaks if one.state == state)

    @cached_property
    def still_energised(self) -> Mapping[str, tuple[StateAnswer, ...]]:
        """For each declared state, the same with a relay that a sneak current keeps energised.

        ``states.answer`` knows them by name from then on.
        """
        found: dict[str, list[StateAnswer]] = {a.state.name: [] for a in self.states.answers()}
        for one in self._sneaks:
            if one.beside:
                found[one.state].append(self.states.held[one.beside])
        return {name: tuple(answers) for name, answers in found.items()}

    @cached_property
    def _sneaks(self) -> tuple[held_states.EnergisedBySneak, ...]:
        found = []
        for answer in self.states.answers():
            for one, beside in held_states.energised_by_sneaks(
                self.design, answer, self.sneak_held, self._held_volts
            ):
                found.append(one)
                if beside is not None:
                    self.states.held[beside.state.name] = beside
        return tuple(found)

    def _held_volts(self, answer: states.StateAnswer, relay: str) -> float:
        """Volts across the coil of a relay (a pointer) in a setting with the largest currents."""
        from reviewer.analysis.operating_point.circuit_build import Scenario
        from reviewer.analysis.operating_point.solved_state import solve_state

        scenario = Scenario(answer.state, answer.healthy, charges=self.points.charges_in(answer.state))
        point = assessed(lambda: solve_state(self.design, self.network, scenario, wiring=self.points.wiring))
        return self.coil_volts(point, bare(relay))

    def dropout(self, relay: str) -> tuple[float, float]:
        """Volts below which the coil of a relay drops out, and from which it stays energised."""
        return sneak_held.dropout(self.design, relay)

    @cached_property
    def revived_buses(self) -> tuple[relays.RevivedBus, ...]:
        """Buses that a state must leave dead and that live when it is set after another."""
        return tuple(relays.revived_buses(self.network, self._changes))

    @cached_property
    def _changes(self) -> relays.StateChanges:
        return relays.changes(self.network, self.states.answers())

    @cached_property
    def control_protectors(self) -> tuple[control_protection.ControlProtector, ...]:
        """Protective devices of a coil or field whose opening de-energises a bus.

        Over the states of normal flight.
        """
        return tuple(
            c
            for a in self.states.flight_answers()
            for c in control_protection.control_protectors(self.design, self.network, a)
        )

    @cached_property
    def emergency_switches(self) -> tuple[str, ...]:
        """Names of the switches in circuits of critical loads.

        Those that a declared action moves are among them.
        """
        return circuits.emergency_switches(self.design, self.network)
