"""How sources, loads and grounds are joined: backfeed, sneak circuits, isolation, returns, loops.

Each answer is computed once, when it is first asked for. The logic is in the modules beside this
one.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cached_property

from reviewer.analysis.conduction import states
from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.states import ShortedSource
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.operating_point.solved_state import OperatingPoint
from reviewer.analysis.paths import (
    dead_buses,
    dedicated_loads,
    diodes,
    external_power,
    isolation,
    loop_leads,
    one_way_ties,
    returns,
    reverse_feed,
    sneak_circuits,
)
from reviewer.analysis.paths.missing_returns import MissingReturn, MissingReturns, unsaid_structure
from reviewer.analysis.paths.shorted_sources import CombinedShort, combined_shorts
from reviewer.model import parts as p
from reviewer.tables.practice import practice


class Paths:
    """How sources, loads and grounds are joined: backfeed, sneak circuits, isolation, returns,
    loops."""

    def __init__(self, states: States, points: OperatingPoints):
        self.states, self.points = states, points
        self.design, self.network = states.design, states.network

    @cached_property
    def reverse_feeds(self) -> tuple[reverse_feed.ReverseFeed, ...]:
        """Sources that backfeed another: in the declared states first, then in any legal
        combination and in transit. Ties one way between main batteries in normal flight alone; those
        that only an abnormal state closes for an emergency are left out."""
        answers = self.states.answers()
        own = reverse_feed.own_alternators(self.design, self.network, answers[0])
        declared = tuple(reverse_feed.declared_ties(self.design, self.network, answers, own))
        more, untried = reverse_feed.combined_ties(
            self.design, self.network, self.states.cones, answers[0].state, declared, own
        )
        self.states.untried.extend(untried)
        one_way = one_way_ties.one_way_ties(self.design, self.network, answers, declared)
        meant = reverse_feed.for_an_emergency(self.design, self.network, answers, declared)
        return (*(d for d in declared if (d.source, d.into, d.path) not in meant), *one_way, *more)

    def beyond_purpose(self, reserve: str) -> tuple[reverse_feed.BeyondPurpose, ...]:
        """Loads that a reserve powers though it is dedicated to others."""
        found, untried = reverse_feed.beyond_purpose(
            self.design, self.network, self.states.cones, self.states.answers(), reserve
        )
        self.states.untried.extend(untried)
        return tuple(found)

    def not_served_by_others(self, reserve: str) -> frozenset[str]:
        """What some other reserve is dedicated to and does not power."""
        others = {n: self.design.part(n, p.Battery) for n in self.design.of_kind(p.Battery) if n != reserve}
        reserves = (n for n, battery in others.items() if battery.dedicated_to)
        return frozenset(name for other in reserves for name in self.not_served(other))

    def not_served(self, reserve: str) -> tuple[str, ...]:
        """What a reserve is dedicated to and does not power: loads, and functions that are lost
        without the loads that it does not power. Their names.
        """
        unpowered = dedicated_loads.never_powered(
            self.design, self.network, self.states.cones, self.states.answers(), reserve
        )
        return tuple(
            name
            for name in self.design.part(reserve, p.Battery).dedicated_to
            if (
                self.states.lost_with(name, unpowered) if name in self.design.functions else name in unpowered
            )
        )

    @cached_property
    def sneaks(self) -> tuple[sneak_circuits.Sneak, ...]:
        """Circuits that are off and get current through a load, a lamp or a coil.

        One for each circuit, of the first declared state that shows it; what is missing where none
        does.
        """
        first: dict[str, sneak_circuits.Sneak] = {}
        wider = sneak_circuits.with_loads(self.design, self.network)
        for answer in self.states.answers():
            for sneak in sneak_circuits.sneaks(self.design, self.network, answer, self._solve, wider):
                if sneak.victim not in first or first[sneak.victim].effect.missing:
                    first[sneak.victim] = sneak
        return tuple(first.values())

    def _solve(self, state: str, case: tuple[Failure, ...], largest: bool) -> OperatingPoint:
        if largest:
            return self.points.largest_point(state, case)
        return self.points.operating_point(state, None, case)

    def live_path(self, state: str, node: str) -> tuple[str, tuple[str, ...]] | None:
        """A source that feeds a terminal or bus in a state, and its path; None where it is dead."""
        return (
            isolation.live_path(self.network, self.states.answer(state), self.network.node(node))
            if node in self.network.index
            else None
        )

    @cached_property
    def live_buses(self) -> tuple[dead_buses.LiveBus, ...]:
        """Buses declared dead that a switch makes live, in a combination that no state declares."""
        found, untried = dead_buses.live_buses(
            self.design, self.network, self.states.cones, self.states.answers()
        )
        self.states.untried.extend(untried)
        return tuple(found)

    def diode_placement(self, name: str) -> diodes.DiodePlacement:
        """How a diode is placed to the part that it protects."""
        normal = self.states.answers()[0] if self.design.operation and self.states.declared else None
        return diodes.diode_placement(self.design, self.network, normal, name)

    def coil_diodes(self, name: str) -> dict[str, bool]:
        """Diodes across a coil -> whether their polarity is right."""
        return diodes.coil_diodes(self.design, self.network, name)

    def inner_diode_is_right(self, name: str) -> bool:
        """Whether the diode inside a relay has its cathode on the side of the coil that is fed."""
        return diodes.inner_diode_is_right(self.design, self.network, name)

    @cached_property
    def suppressors(self) -> Mapping[str, Mapping[str, bool]]:
        """Diode -> the coils, motors and other inductive loads that it lies across, each with
        whether its polarity is right."""
        found: dict[str, dict[str, bool]] = {}
        for name in self.design.of_kind((p.Electromagnet, p.Load)) if self.design.of_kind(p.Diode) else ():
            of = diodes.load_diodes if isinstance(self.design.parts[name], p.Load) else diodes.coil_diodes
            for diode, right in of(self.design, self.network, name).items():
                found.setdefault(diode, {})[name] = right
        return found

    def suppresses(self, diode: str) -> bool:
        """Whether a diode suppresses something: it lies across a coil, or is declared to."""
        part = self.design.part(diode, p.Diode)
        across = self.suppressors.get(diode, {})
        return part.duty == "suppression" or any(
            isinstance(self.design.parts[n], p.Electromagnet) for n in across
        )

    def lies_across(self, diode: str) -> bool:
        """Whether a diode lies across a coil or a supply and carries no current in use."""
        return self.suppresses(diode) or self.diode_direction(diode) in (diodes.BLOCKS, diodes.SHORTS)

    def diode_direction(self, diode: str) -> str:
        """What a diode does in its circuit: `right`, `reversed`, `blocks`, `shorts` or `idle`."""
        return diodes.direction(self.network, diode)

    def single_throw_tie(self, name: str) -> isolation.Tie | None:
        """The two sources that a single-throw switch is used to choose between."""
        return isolation.single_throw_ties(self.design, self.network, name)

    def one_feed(self, name: str) -> isolation.OneFeed | None:
        """Two throws of a switch that one bus or source feeds."""
        return isolation.one_feed(self.design, self.network, name)

    def senses_at_terminal(self, terminal: str, battery: str) -> bool:
        """Whether a sense point is at the positive terminal of a battery."""
        return isolation.senses_at_terminal(self.network, terminal, self.network.node(f"{battery}.positive"))

    def tie_through(self, state: str, elements: Sequence[str]) -> reverse_feed.ReverseFeed | None:
        """The first source that backfeeds another in a state through one of some elements, or in another
        state, which may stand for it, through the first and one more of them."""
        first, *others = elements
        through = [f for f in self.reverse_feeds if not set(elements).isdisjoint(f.path)]
        here = [f for f in through if f.state == state]
        alike = (f for f in through if first in f.path and not set(others).isdisjoint(f.path))
        return next(iter((*here, *alike)), None)

    def backfeed_along(self, state: str, path: tuple[str, ...]) -> tuple[str, ...]:
        """A path from a source to a load, if the source backfeeds another by a part of it; else ()."""
        tie = self.tie_through(state, path[1:-1]) if path[1:-1] else None
        return path if tie and tie.source == path[0] else ()

    def return_path(self, terminals: tuple[str, ...], source: str = "") -> tuple[str, ...] | None:
        """The elements by which one of some terminals reaches the negative of a source (an element), of
        the nearest one if none is named."""
        return returns.return_path(self.network, tuple(self.network.node(t) for t in terminals), source)

    def missing_return(self, element: str, unknown_joined: bool = False) -> MissingReturn | None:
        """What is missing of the return of a load, instrument, coil, sensor or source.

        With ``unknown_joined`` an instrument that does not say whether it joins its signal returns
        to its power return does.
        """
        return self._missing_returns[unknown_joined].missing(element)

    def crossed_sensor(self, sensor: str) -> returns.CrossedSensor | None:
        """What the leads of a sensor, by name, are at if they lead to two inputs; None where they do not."""
        return returns.crossed_sensor(self.design, self.network, sensor)

    def unsaid_structure(self, missing: MissingReturn) -> str:
        """The structure, as an engine, on which a missing return ends: it may conduct where that of the
        aircraft does not, and the file does not say; "" for none."""
        return unsaid_structure(self.design, missing)

    @cached_property
    def _missing_returns(self) -> tuple[MissingReturns, MissingReturns]:
        answers = self.states.answers() if self.design.operation else ()
        return (
            MissingReturns(self.design, self.network, answers),
            MissingReturns(self.design, self.network, answers, unknown_joined=True),
        )

    def signal_return_wires(self) -> tuple[str, ...]:
        """Names of the wires that carry a signal's return."""
        return returns.signal_return_wires(self.design)

    def signal_return_loop(self, wire: str, unknown_joined: bool = False) -> returns.Loop | None:
        """The loop that a signal-return wire closes."""
        return returns.signal_return_loop(self.design, self.network, wire, unknown_joined)

    def loop_leads(self, loop: returns.Loop) -> loop_leads.LoopLeads:
        """What the leads of a loop that a signal return closes are for."""
        return loop_leads.loop_leads(self.design, loop)

    def shield_loop(self, wire: str, unknown_joined: bool = False) -> returns.Loop | None:
        """How the two ends of a shield that is grounded twice are joined elsewhere."""
        return returns.shield_loop(self.design, self.network, wire, unknown_joined)

    def shorted_sources(self) -> tuple[ShortedSource, ...]:
        """Sources whose positive is joined to their own negative, over all declared states."""
        return tuple(s for a in self.states.answers() for s in states.shorted_sources(self.network, a))

    @cached_property
    def combined_shorts(self) -> tuple[CombinedShort, ...]:
        """Sources that only an undeclared combination, or a transit, shorts."""
        known = {s.source for s in self.shorted_sources()}
        found, untried = combined_shorts(
            self.design, self.network, self.states.cones, self.states.answers()[0].state, known
        )
        self.states.untried.extend(untried)
        return found

    @cached_property
    def sockets(self) -> Mapping[str, external_power.Socket]:
        """What is between each external power socket and the aircraft."""
        most = practice("amperes", "port-without-contactor").low
        return external_power.sockets(self.design, self.network, tuple(self.states.declared.values()), most)
