"""The declared states solved, what must survive, and which switches can matter.

Each answer is computed once, when it is first asked for. The logic is in the modules beside this
one.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from functools import cached_property
from types import MappingProxyType

from reviewer.analysis.conduction import (
    chattering,
    circuit_paths,
    late_outcomes,
    other_starts,
    own_generators,
    sensed_positions,
    states,
    switch_combinations,
)
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct_states
from reviewer.analysis.conduction.metal import alike
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.conduction.too_low import TooLow
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.design import Design, Operation
from reviewer.model.parts import Switch
from reviewer.model.resolved_states import ResolvedState, resolved
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.network_build import build_network
from reviewer.tables.practice import longest_brief

#: some states by name -> the same with the sneak currents that pick up relays in them, in volts
PickedUp = Callable[[Design, Network, Mapping[str, StateAnswer], list[str]], Mapping[str, StateAnswer]]


def _no_states(design: Design) -> NotAssessable:
    """What is missing for states: the rest of the positions from which they are made, or all."""
    stated = any(getattr(part, "normal", None) for part in design.parts.values())
    if stated and design.unstated:
        names = ", ".join(design.unstated)
        lacks = [(f"parts/{name}", "normal") for name in design.unstated]
        return NotAssessable(f"`normal` of {names}, from which the states are made", lacks)
    return NotAssessable("`operation` with its normal state and switch positions")


class States:
    """The declared states solved, what must survive, and which switches can matter."""

    def __init__(self, design: Design, picked_up: PickedUp, too_low: TooLow | None = None):
        self.design, self._picked_up, self._too_low = design, picked_up, too_low
        #: what the enumerations did not cover, one sentence each
        self.untried: list[str] = []
        #: declared states with a relay that a sneak current keeps energised, once they are known, by
        #: names of their own
        self.held: dict[str, StateAnswer] = {}
        self.network: Network = build_network(design)
        self._late: dict[str, late_outcomes.Late] = {}
        self._late_after: dict[str, dict[Failure, late_outcomes.Late]] = {}

    @cached_property
    def declared(self) -> Mapping[str, ResolvedState]:
        """The declared states, inheritance resolved, with the sneak currents that pick up relays.

        Raises NotAssessable without an operation.
        """
        return {name: answer.state for name, answer in self._solved.items()}

    @property
    def operation(self) -> Operation:
        """How the system is operated. Raises NotAssessable where the file does not say."""
        if self.design.operation is None:
            raise _no_states(self.design)
        return self.design.operation

    @cached_property
    def _solved(self) -> Mapping[str, StateAnswer]:
        declared = tuple(resolved(self.operation).values())
        solved = states.solve_states(self.design, self.network, declared, self._too_low)
        return self._picked_up(self.design, self.network, solved, self.untried)

    def answer(self, state: str) -> StateAnswer:
        """One declared state solved, or one of :attr:`held` or :attr:`other_starts`, healthy and under
        every single failure."""
        for known in (self.held, self._solved):
            if state in known:
                return known[state]
        return self.other_starts[state].answer

    def undeclared(self, state: str) -> tuple[tuple[str, str], ...]:
        """Where every switch stands in one of :attr:`other_starts`; () in any other state."""
        start = self.other_starts.get(state)
        return tuple(start.answer.state.switches.items()) if start else ()

    @cached_property
    def other_starts(self) -> Mapping[str, other_starts.OtherStart]:
        """Starts by other batteries or contacts than those of a declared state, by names of their own."""
        starters = {f"parts/{n}" for n in self.design.starters}
        ends = [n for c in self.network.consumers if c.element in starters for n in c.inlets]
        ends += [s.positive for s in self.network.sources if s.kind == "battery"]
        contacts = (Gate.SWITCH, Gate.ENERGISED, Gate.DE_ENERGISED)
        between = self.cones.tree.between(ends) if starters else ()
        passed = frozenset(i for i in between if self.network.links[i].gate in contacts)
        found = other_starts.other_starts(self.design, self.network, self.answers(), passed)
        return {start.answer.state.name: start for start in found}

    def answers(self) -> tuple[StateAnswer, ...]:
        """Every declared state solved, the normal state first."""
        normal = self.design.operation.normal if self.design.operation else ""
        return tuple(self.answer(s) for s in sorted(self.declared, key=lambda s: s != normal))

    def flight_answers(self) -> tuple[StateAnswer, ...]:
        """The states of normal flight solved, the normal state first."""
        normal = self.design.operation.normal if self.design.operation else ""
        return tuple(a for a in self.answers() if a.state.use == "flight" or a.state.name == normal)

    def chattering_relays(self, state: str) -> tuple[str, ...]:
        """The relays (elements) that chatter in a state that does not settle."""
        return chattering.chattering_relays(self.answer(state))

    def late_failures(self, state: str) -> late_outcomes.Late:
        """Each short of a state that may be cleared further upstream -> the short with each such
        outcome."""
        if state not in self._late:
            (found,) = late_outcomes.late_failures(self.design, self.network, self.answer(state))
            self._late[state] = found
        return self._late[state]

    def late_failures_with(self, state: str, already: tuple[Failure, ...]) -> late_outcomes.Late:
        """The same with some failures in the state already."""
        if not already:
            return self.late_failures(state)
        return late_outcomes.late_failures(self.design, self.network, self.answer(state), [already])[0]

    def late_failures_after(self, state: str, failures: Sequence[Failure]) -> late_outcomes.LateAfter:
        """The same after each of some failures of a state that alter it."""
        known, usual = self._late_after.setdefault(state, {}), self.late_failures(state)
        answer, new = self.answer(state), [failure for failure in failures if failure not in known]
        known.update(dict.fromkeys(new, usual))
        closing = alike(self.network, answer.state, late_outcomes.closing_paths(answer, new))
        tables = late_outcomes.late_failures(
            self.design, self.network, answer, [(group[0],) for group in closing]
        )
        # of tables that are the same one is kept, so that who asks looks through each but once
        distinct = {id(table): table for table in (*known.values(), usual)}.values() if closing else ()
        kept = {frozenset(table.items()): table for table in distinct}
        for group, after in zip(closing, tables, strict=True):
            known.update(dict.fromkeys(group, kept.setdefault(frozenset(after.items()), after)))
        return {failure: known[failure] for failure in failures if known[failure] is not usual}

    def path_to(self, state: str, element: str, *by: str, nodes: Sequence[int] = ()) -> tuple[str, ...]:
        """From a source to an element in a state, both included, by one of ``by`` where one leads
        there; () where nothing feeds it. It ends at one of ``nodes``, where some are given, else
        where the element is supplied.
        """
        return circuit_paths.path_to(self._answer(state), element, by, nodes)

    def path_from(self, state: str, source: str, element: str) -> tuple[str, ...]:
        """From one source to an element that it feeds in a state, both included; () where it does not."""
        return circuit_paths.path_from(self._answer(state), source, element)

    def motors_in_reverse(self, state: str) -> Mapping[str, tuple[str, ...]]:
        """The motors that are not reversible and that a state feeds at their return, each with the
        path from the source to it."""
        answer = self.answer(state)
        found = answer.searched.get("motors in reverse")
        if found is None:
            found = answer.searched["motors in reverse"] = self._in_reverse(answer)
        return found

    def _in_reverse(self, answer: StateAnswer) -> Mapping[str, tuple[str, ...]]:
        found, state = {}, answer.state.name
        for user in self.network.consumers:
            motor = getattr(self.design.parts[bare(user.element)], "type", None) == "motor"
            if motor and not answer.healthy.powered[user.element] and states.runs_in_reverse(answer, user):
                found[user.element] = self.path_to(state, user.element, nodes=user.minus)
        return found

    def path_back(self, state: str, element: str, *by: str) -> tuple[str, ...]:
        """From an element to the negative of a source that feeds it, as :meth:`path_to`."""
        return circuit_paths.path_back(self._answer(state), element, by)

    def dead_path(self, state: str, element: str) -> tuple[str, ...]:
        """From a working source to where its power ends in a state, on the path that feeds an element in
        the normal state, and the element; () where none does."""
        return circuit_paths.dead_path(self._answer(""), self.answer(state), element)

    def circuit_path(self, state: str, users: Collection[str], *by: str) -> tuple[str, ...]:
        """The path in the circuits of some users (pointers) that passes one of some elements: of a
        feed, a return, or the coil of a relay on the feed.
        """
        return circuit_paths.circuit_path(self._answer(state), tuple(users), by)

    def _answer(self, state: str) -> StateAnswer:
        """A declared state solved; the normal one where none is named."""
        return self.answer(state or self.operation.normal)

    @cached_property
    def critical_functions(self) -> tuple[str, ...]:
        """Functions whose loss is hazardous or catastrophic.

        Raises NotAssessable without functions.
        """
        if not self.design.functions:
            raise NotAssessable("`functions`: what must survive, and the hazard class of losing it")
        return states.critical_functions(self.design)

    def loads_of(self, function: str) -> tuple[str, ...]:
        """Names of all loads that a function needs."""
        return states.loads_of(self.design, function)

    @cached_property
    def own_generators(self) -> frozenset[str]:
        """The alternators, as elements, that feed one load alone in the normal state; none where that is
        not known."""
        try:
            answers = self.answers()
        except NotAssessable:
            return frozenset()
        return own_generators.own_generators(answers[0]) if answers else frozenset()

    @cached_property
    def generation(self) -> tuple[str, ...]:
        """The sources on which nobody can rely once the system is without generation, as elements."""
        return self.without_own(self.network.generation)

    def without_own(self, sources: tuple[str, ...]) -> tuple[str, ...]:
        """Those of some sources (elements) that are lost with all generation: a generator of a unit's own
        goes on, unless there is no other."""
        return tuple(e for e in sources if e not in self.own_generators) or sources

    @cached_property
    def stops_with_electricity(self) -> bool:
        """Whether a function of catastrophic loss is lost in the normal state once all electricity is
        gone."""
        goes_on = states.without_electricity(self.design, self.answers()[0])
        return any(f.loss == "catastrophic" and not goes_on[n] for n, f in self.design.functions.items())

    def units_of(self, function: str) -> tuple[str, ...]:
        """Names of all loads, instruments and magnetos that a function needs."""
        return states.units_of(self.design, function)

    def lost_with(self, function: str, loads: Collection[str]) -> bool:
        """Whether a function is lost when some of its loads do not work and all others do."""
        works = defaultdict(lambda: 1, {f"parts/{n}": 0 for n in loads})
        return not states.function_mask(self.design, works, 1, function)

    def works_for_a_time(self, answer: StateAnswer, function: str) -> bool:
        """Whether a function works in a state with nothing failed, while the batteries inside its
        units last. A unit that is turned off at its own switch does not."""
        powered = dict(answer.healthy.powered)
        for name in states.loads_of(self.design, function):
            on = not answer.state.is_off(name)
            powered[f"parts/{name}"] |= int(on and self.design.works_on_for(name) > 0)
        return bool(states.function_mask(self.design, powered, 1, function))

    def works_without(self, answer: StateAnswer, function: str, loads: Collection[str]) -> bool:
        """Whether a function works in a state with nothing failed when some loads (names) do not."""
        off = {f"parts/{name}": 0 for name in loads}
        return bool(states.function_mask(self.design, {**answer.healthy.powered, **off}, 1, function))

    def brief_phases(self, state: str) -> Mapping[str, float]:
        """The phases in which a state is flown, with the seconds of each, where a load that is on in all of
        them is not continuous; none where one is longer, or says no duration."""
        phases = {n: phase.duration for n, phase in self.operation.phases.items() if phase.state == state}
        known = {n: s for n, s in phases.items() if s is not None and not exceeds(s, longest_brief())}
        return known if len(known) == len(phases) else {}

    def works_while_held(self, answer: StateAnswer, function: str) -> bool:
        """Whether a function works in a state with nothing failed while one spring-return switch is held,
        and all of its loads that are off are of intermittent duty. What works in a declared state with
        none held, as a warning that has a test button, does not wait for one.
        """
        off = self.off_channels(answer, function)
        duties = {getattr(self.design.parts[n], "duty", None) for n in off.get("load", ())}
        if set(off) != {"load"} or duties != {"intermittent"}:
            return False
        switches = answer.state.switches
        spring = {n: self.design.parts[n].momentary for n in self.design.of_kind(Switch)}
        held = [
            replace(answer.state, switches=MappingProxyType({**switches, n: at}))
            for n, positions in spring.items()
            for at in positions
            if switches.get(n) not in (None, *positions)
        ]
        alone = any(
            a.alive[function] and not any(a.state.switches.get(n) in spring[n] for n in spring)
            for a in self.answers()
        )
        if alone or not held:
            return False
        solved = conduct_states(self.network, held)
        return bool(states.function_mask(self.design, solved.powered, (1 << len(held)) - 1, function))

    def waits_for_its_sensor(self, answer: StateAnswer, function: str) -> bool:
        """:func:`sensed_positions.waits_for_its_sensor` of this design."""
        flights = [state for state in self.declared.values() if state.use != "ground"]
        return sensed_positions.waits_for_its_sensor(self.design, self.network, answer, function, flights)

    def without_electricity(self, answer: StateAnswer) -> Mapping[str, int]:
        """Function -> 1 where it goes on in a state with all electricity gone; else 0."""
        return states.without_electricity(self.design, answer)

    def powered_by_sensors(self, answer: StateAnswer, loads: Collection[str]) -> tuple[tuple[str, str], ...]:
        """:func:`sensed_positions.powered_by_sensors` of this design."""
        return sensed_positions.powered_by_sensors(self.design, self.network, answer, loads)

    def state_with(self, load: str) -> str:
        """What to write for a state in which a load (a name) is on that is on in none."""
        for switch, at in self.powered_by_sensors(self.answers()[0], [load])[:1]:
            return f"a state with {switch} at {at} under `switches`, in which {load} is on"
        if following := sensed_positions.following_switch_of(self.design, self.network, load):
            switch, works = following
            what = self.design.parts[switch].follows
            if not works and (lacks := sensed_positions.unknown_volts(self.design, switch)):
                return f"{lacks}, for the state in which {load} is on"
            return f"a state in which {what} {'works' if works else 'has no power'} and {load} is fed"
        if "all-on" in self.declared:
            return f"a state in which {load} is on, as by an output under `outputs-on`"
        return f"`all-on` under `standard-states`, or a state in which {load} is on"

    def off_channels(self, answer: StateAnswer, function: str) -> Mapping[str, list[str]]:
        """What a function rests on and what does not work in a state with nothing failed, by kind: loads
        and magnetos (``"load"``), sources, buses, what is mechanical."""
        tree, powered = self.design.function_tree, answer.healthy.powered
        kinds = {bare(c.element): c.kind for c in self.network.channels}
        found: dict[str, list[str]] = {}
        for name in (*tree.loads[function], *tree.others[function]):
            if not powered[f"parts/{name}"]:
                kind = "load" if name in tree.loads[function] else kinds[name]
                found.setdefault(kind, []).append(name)
        return found

    @cached_property
    def cones(self) -> switch_combinations.Cones:
        """Which switches can matter between some nodes."""
        return switch_combinations.Cones(self.design, self.network)
