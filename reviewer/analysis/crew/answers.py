"""What the crew can do: declared actions, change-over, inadvertent operation.

Each answer is computed once, when it is first asked for. The logic is in the modules beside this
one.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from functools import cached_property, partial
from math import inf
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.states import StateAnswer, function_mask
from reviewer.analysis.conduction.switch_effects import SwitchEffects
from reviewer.analysis.crew import (
    action_effects,
    changeover,
    inadvertent_moves,
    moves,
    recovery,
    smoke_drills,
)
from reviewer.analysis.not_assessable import A_STATE, NotAssessable
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.crew import recovery
    from reviewer.analysis.crew.course import MoveOrder
    from reviewer.model.design import Design


@record
class MissingAction:
    """A move by hand, of the switch or unit ``name`` to ``position``, that restores a function after
    ``failures`` and stands in no declared action that does."""

    name: str
    position: str
    failures: tuple[Failure, ...]


class Crew:
    """What the crew can do: declared actions, change-over, inadvertent operation."""

    def __init__(self, states: States):
        self.states = states
        self.design, self.network = states.design, states.network
        self._recovered_by: dict[tuple[str, str], recovery.Recoveries] = {}
        self._recoverable: dict[str, Mapping[str, int]] = {}
        self._recovered_stuck: dict[tuple[str, str], recovery.Recoveries] = {}
        self._unstuck: dict[str, Mapping[str, int]] = {}
        self._missing: dict[str, tuple[MissingAction, ...]] = {}
        self._hand: dict[str, Design] = {}

    def recoveries(self, function: str, state: str, failure: Failure) -> tuple[recovery.Recovery, ...]:
        """The shortest sequences of declared actions that restore a function after a failure in a
        state.

        () where none does.
        """
        stuck = failure in self.states.answer(state).stuck_relays
        found = self._stuck_recoveries(function, state) if stuck else self._recoveries(function, state)
        return found.ways.get(failure, ())

    def _stuck_recoveries(self, function: str, state: str) -> recovery.Recoveries:
        if (function, state) not in self._recovered_stuck:
            stuck = self.states.answer(state).stuck_relays
            self._recovered_stuck[function, state] = self.recoveries_from(function, state, stuck)
        return self._recovered_stuck[function, state]

    def _recoveries(self, function: str, state: str) -> recovery.Recoveries:
        if (function, state) not in self._recovered_by:
            self._recovered_by[function, state] = recovery.recoveries(
                self.design,
                self.network,
                self.states.answer(state),
                function,
                late=partial(self.states.late_failures, state),
            )
            self.states.untried.extend(filter(None, [self._recovered_by[function, state].untried]))
        return self._recovered_by[function, state]

    def bridged(self, function: str, state: str, failure: Failure, lost: Collection[str]) -> bool:
        """Whether a function goes on after a failure, until the crew has noticed it and made the moves
        that restore it, on batteries inside those of its ``lost`` units (names) that are whole.

        False where the `recognition-time`, or the time of an action, is not stated.
        """
        answer = self.states.answer(state)
        noticed = self.states.operation.recognition_time
        own = {n: self.design.works_on_for(n) for n in lost}
        if noticed is None or not any(own.values()) or failure not in answer.failures:
            return False
        times = [way.seconds for way in self.recoveries(function, state, failure)]
        needed = noticed + max((inf if t is None else t for t in times), default=inf)
        i = answer.failures.index(failure)
        works = {e: mask >> i & 1 for e, mask in answer.failed.powered.items()}
        for name in lost:
            whole = name != bare(failure.element) and not answer.state.is_off(name)
            works[f"parts/{name}"] = int(whole and own[name] >= needed)
        return bool(function_mask(self.design, works, 1, function))

    def recoverable(self, answer: StateAnswer) -> Mapping[str, int]:
        """For each critical function, the failures that a declared action recovers."""
        state = answer.state.name
        if state not in self._recoverable:
            self._recoverable[state] = recovery.restored(
                {f: self._recoveries(f, state) for f in self.states.critical_functions},
                self.design,
                answer.failures,
                answer.functions,
            )
        return self._recoverable[state]

    def recoverable_stuck(self, answer: StateAnswer) -> Mapping[str, int]:
        """For each critical function, the stuck relays of a state that a declared action
        recovers."""
        state = answer.state.name
        if state not in self._unstuck:
            every = (1 << len(answer.stuck_relays)) - 1
            critical = self.states.critical_functions
            lost = [f for f in critical if answer.alive[f] and answer.stuck_functions[f] != every]
            found = {f: self._stuck_recoveries(f, state) for f in lost}
            self._unstuck[state] = recovery.restored(
                found, self.design, answer.stuck_relays, answer.stuck_functions
            )
        return self._unstuck[state]

    def action_effect(self, action: str) -> action_effects.ActionEffect:
        """The effect of a declared action in the normal state, against what is declared."""
        return action_effects.action_effect(self.design, self.network, self.states.answers()[0], action)

    def order_of_moves(self, action: str) -> MoveOrder:
        """The best order of the moves of a declared action in the normal state, after what is declared
        to have failed."""
        from reviewer.analysis.crew.action_effects import situation
        from reviewer.analysis.crew.course import Course, move_order

        normal = self.states.answers()[0]
        _, before, case = situation(self.design, normal, action)
        answer = StateAnswer(self.design, self.network, before, normal.healthy)
        course = Course(self.design, self.network, answer, (case,), low={})
        return move_order(course, course.start(), action, self.states.critical_functions)

    def missing_actions(self, function: str) -> tuple[MissingAction, ...]:
        """The single moves by hand that restore a critical function after failures in the normal state,
        of those that no declared actions recover; failures of what is mechanical are left out: the backup
        is switched on then."""
        if function not in self._missing:
            self._missing[function] = self._missing_of(function)
        return self._missing[function]

    def _missing_of(self, function: str) -> tuple[MissingAction, ...]:
        from reviewer.analysis.crew.by_hand import hand_moves

        normal = self.states.answers()[0]
        state = normal.state.name
        mechanical = {c.element for c in self.network.channels if c.kind == "mechanical"}
        ways = self._recoveries(function, state).ways
        without = [f for f in ways if not ways[f] and f.element not in mechanical]
        if not without:
            return ()
        hand = hand_moves(self.design, normal.state)
        found: dict[str, list[Failure]] = {}
        for failure, single in self._by_hand(function, state, without).items():
            for way in single[:1]:
                found.setdefault(way.actions[0], []).append(failure)
        return tuple(
            MissingAction(*hand.moves[name], tuple(failures))
            for name, failures in found.items()
            if name in hand.moves
        )

    def _by_hand(
        self,
        function: str,
        state: str,
        failures: Sequence[Failure],
        longest: int = 1,
        begun: moves.Begun | None = None,
    ) -> Mapping[Failure, tuple[recovery.Recovery, ...]]:
        """What one declared action or one move by hand does about each of some failures, or so many in
        a row."""
        from reviewer.analysis.crew.by_hand import hand_moves

        answer = self.states.answer(state)
        if state not in self._hand:
            self._hand[state] = hand_moves(self.design, answer.state).design
        design = self._hand[state]
        assert design.operation is not None
        # as many at once as leave room for three outcomes of each
        height = max(1, recovery.MOST_LANES // (3 * max(1, len(design.operation.actions)) ** longest))
        late = partial(self.states.late_failures, state)
        found: dict[Failure, tuple[recovery.Recovery, ...]] = {}
        for some in (failures[i : i + height] for i in range(0, len(failures), height)):
            found |= recovery.recoveries(
                design, self.network, answer, function, some, late, longest, begun
            ).ways
        return found

    def out_of_reach(self, action: str) -> tuple[str, ...]:
        """Circuit protection (names) that an action moves and that is accessible on the ground
        only."""
        return moves.out_of_reach(self.design, self.states.operation.actions[action].move)

    def recoveries_from(
        self, function: str, state: str, failures: Sequence[Failure], begun: moves.Begun | None = None
    ) -> recovery.Recoveries:
        """What restores a function after each of some failures, welded contacts included; ``begun`` has
        all failures of the state, if they were solved before."""
        from reviewer.analysis.crew import recovery

        return recovery.recoveries(
            self.design,
            self.network,
            self.states.answer(state),
            function,
            failures,
            partial(self.states.late_failures, state),
            begun=begun,
        )

    def ways_back(
        self, function: str, state: str, failures: Sequence[Failure], begun: moves.Begun
    ) -> Mapping[Failure, tuple[tuple[str, ...], ...]]:
        """For each of some failures that loses a function, the shortest sequences of declared actions that
        restore it; where none does, the single moves by hand, by the names that
        :func:`by_hand.hand_moves` gives them; where none does and the function is of class major or worse,
        two actions or moves in a row. ``begun`` has all failures of the state."""
        declared = self.recoveries_from(function, state, failures, begun).ways
        found = {failure: tuple(way.actions for way in ways) for failure, ways in declared.items()}
        for longest in (1, 2):
            if longest > 1 and HazardClass.of(self.design.functions[function].loss) < HazardClass.MAJOR:
                break
            without = [failure for failure, ways in found.items() if not ways]
            by_hand = self._by_hand(function, state, without, longest, begun)
            found |= {f: tuple(way.actions for way in ways) for f, ways in by_hand.items()}
        return found

    def unrecovered(
        self, function: str, state: str, pairs: Sequence[tuple[Failure, Failure]]
    ) -> list[tuple[Failure, Failure]]:
        """Those of some pairs of failures of a state that lose a function which no declared actions
        then restore."""
        left, untried = recovery.unrecovered(
            self.design,
            self.network,
            self.states.answer(state),
            function,
            pairs,
            self.states.late_failures(state),
            self.states.late_failures_after(state, list(dict.fromkeys(first for first, _ in pairs))),
        )
        self.states.untried.extend(filter(None, [untried]))
        return left

    @cached_property
    def changeovers(self) -> tuple[changeover.Changeover, ...]:
        """Switches that change a critical function over between sources, each moved alone."""
        return tuple(
            changeover.changeovers(
                self.design,
                self.network,
                self.states.cones,
                self.states.answers()[0],
                self.states.critical_functions,
            )
        )

    def all_on_one_source(self, function: str) -> changeover.OneSource | None:
        """The change-over setting that leaves all channels of a function on one battery."""
        switches = tuple(dict.fromkeys(bare(c.switch) for c in self.changeovers if c.function == function))
        return (
            changeover.all_on_one_source(
                self.design, self.network, self.states.answers()[0], function, switches
            )
            if switches
            else None
        )

    @cached_property
    def better_positions(self) -> tuple[changeover.BetterPosition, ...]:
        """Change-over positions with fewer single points of failure than the normal one."""
        return tuple(
            changeover.better_positions(self.design, self.network, self.states.answers()[0], self.changeovers)
        )

    @cached_property
    def inadvertent_operations(self) -> tuple[inadvertent_moves.InadvertentMove, ...]:
        """Inadvertent moves of a single switch in normal flight that stop or start what matters."""
        return inadvertent_moves.inadvertent_moves(self.design, self.network, self.states.flight_answers())

    @cached_property
    def drills(self) -> tuple[smoke_drills.Drill, ...]:
        """States and actions that take buses off in flight with the engine running."""
        return smoke_drills.drills(self.design, self.network, self.states.answers())

    @cached_property
    def _lacks_drill(self) -> bool:
        declared = self.design.operation and self.design.has_engine
        return bool(declared and not self.drills and self._takes_a_bus_off)

    @cached_property
    def _takes_a_bus_off(self) -> bool:
        """Whether a switch takes a bus off in the first state."""
        return bool(SwitchEffects(self.design, self.network, self.states.answers()[0].state).masters)

    def need_drill(self, of_channels: bool = False) -> None:
        """Raise ``NotAssessable`` where no state is one of smoke or an electrical fire and a switch takes a
        bus off; ``of_channels``: only where a critical function has a channel to spare."""
        if of_channels and not smoke_drills.at_risk(self.design, self.states.answers()):
            return
        if self._lacks_drill:
            raise NotAssessable(
                "the state of smoke or an electrical fire: `use: abnormal`, `engine: running`, and under "
                "`dead` the buses that it de-energises",
                A_STATE,
            )

    def need_dead_buses(self) -> None:
        """Raise ``NotAssessable`` as ``need_drill`` does, and where a switch takes a bus off and no state
        says which buses are dead."""
        self.need_drill()
        if self._takes_a_bus_off and not any(state.dead for state in self.states.declared.values()):
            raise NotAssessable(
                "`dead` in a state: buses that must be de-energised with the master off", A_STATE
            )

    @cached_property
    def channels_lost_in_drills(self) -> tuple[smoke_drills.LostChannel, ...]:
        """Channels of critical functions that go off in such a drill, and others are left."""
        return tuple(smoke_drills.lost_channels(self.design, self.network, self.states.answers()))
