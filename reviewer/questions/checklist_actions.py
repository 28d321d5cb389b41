"""What else a card of a checklist has the crew do: shed loads, and reset circuit protection once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cached_property

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.masks import bits, serves
from reviewer.analysis.conduction.scenarios import failures_of, mask_of
from reviewer.analysis.crew.course import Course, CourseStep
from reviewer.analysis.crew.course_choice import Prohibition
from reviewer.analysis.crew.moves import ActionSequence, continued, moved, some
from reviewer.model import parts as p
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.questions.checklist_cards import BreakerReset
from reviewer.questions.checklist_state import ChecklistState
from reviewer.questions.state_signs import Look, Sign


class CardActions:
    """The shed plan and the circuit protection of a state, after the failures of a card."""

    def __init__(self, of: ChecklistState):
        self.of = of

    def shed(
        self, course: Course, now: CourseStep, lanes: Sequence[int]
    ) -> tuple[tuple[str, ...], tuple[Prohibition, ...], ResolvedState]:
        """The actions of the shed plan, in their order, that after none of the causes lose a function of
        class major or worse, take an alternator off line that works, or leave a function on batteries that
        an alternator keeps on; those that do; the state after the first ones."""
        taken: list[str] = []
        harmful: list[Prohibition] = []
        before = self.of.minutes.on_batteries(lanes, now.state)
        for action in self.of.facts.states.operation.load_shedding if lanes else ():
            after = course.then(now, action, volts=False)
            if after is None or not self._turns_off(now, after):
                continue
            lost, tied = course.loses(now, after, self.of.major), course.ties(now, after)
            then = self.of.minutes.on_batteries(lanes, after.state)
            more = {i: [f for f in then[i] if f not in before[i] and f not in lost] for i in lanes}
            leaves = tuple(dict.fromkeys(f for functions in more.values() for f in functions))
            stopped = self.of.turned_off(lanes, now.now.solved, after.now.solved)
            if lost or tied or leaves or stopped:
                moves = tuple(self.of.facts.states.operation.actions[action].move.items())
                always = all(
                    mask == course.every
                    for mask in (
                        *(now.works[f] & ~after.works[f] for f in lost),
                        *(after.ties[pair] & ~now.ties.get(pair, 0) for pair in tied),
                        *(sum((f in more[i]) << k for k, i in enumerate(lanes)) for f in leaves),
                        *stopped.values(),
                    )
                )
                harmful.append(Prohibition(moves, lost, tied, leaves, tuple(stopped), always))
            else:
                taken.append(action)
                now, before = after, then
        return tuple(taken), tuple(harmful), now.state

    def _turns_off(self, before: CourseStep, after: CourseStep) -> bool:
        """Whether an action takes from a battery a load, a coil or a field that it supplies, in any case."""
        network, one, other = self.of.network, before.now.solved, after.now.solved
        batteries = [s.element for s in network.sources if s.kind == "battery"]
        users = [(u, one.powered[u.element], other.powered[u.element]) for u in network.consumers]
        users += [(c, one.energised[c.element], other.energised[c.element]) for c in network.coils]
        if any(
            off & serves(network, one, battery, user)
            for user, was, still in users
            if (off := was & ~still)
            for battery in batteries
        ):
            return True
        fields = [s.field for s in network.sources if s.field is not None]
        return any(one.fed[battery][field] & ~other.live(field) for field in fields for battery in batteries)

    def resets(self, course: Course, lanes: Sequence[int], left: Sequence[str]) -> Iterator[BreakerReset]:
        """The circuit protection in reach that may be open after a cause, and is closed in the state."""
        those = mask_of(lanes, len(self.of.signs.cases))
        open_after = [name for name, mask in self._may_be_open.items() if mask & those]
        one_by_one = course.dropping or not self._reset_where_they_are.issuperset(open_after)
        if one_by_one:
            retripped = course.retripped(course.start(), open_after)
        else:
            retripped = frozenset(n for n in open_after if self._retripped.get(n, 0) & those)
        for name in open_after:
            grave = self._restored_by(name, left)
            action = self._reset_by(name)
            once = bool(grave or action) and not self._harmful_reset(course, name)
            restores = grave or (self.of.facts.states.operation.actions[action].restores if action else ())
            yield BreakerReset(name, name in retripped, once, action, tuple(restores))

    @cached_property
    def _may_be_open(self) -> Mapping[str, int]:
        """By circuit protection that can be reset, and is closed in the state, the cases after which it may
        be open."""
        found = {}
        for name in self.of.design.of_kind(p.Protector):
            if name in self.of.state.state.pulled:
                continue
            if self.of.facts.protection.can_be_reset(self.of.design.parts[name]):
                seen = self.of.signs.seen(Sign(Look.PROTECTION, name))
                some = (i for i, one in enumerate(seen) if one is not None and one[1] > 0)
                found[name] = mask_of(some, len(seen))
        return found

    @cached_property
    def _reset_where_they_are(self) -> frozenset[str]:
        """Those that are one link and of which a reset leaves the switches as they stand in the state."""
        state, links = self.of.state.state, self.of.network.links
        count = Counter(bare(links[i].element) for i in self.of.network.protectors)
        return frozenset(
            name
            for name in self._may_be_open
            if count[name] == 1 and moved(self.of.hand.design, state, {name: "in"})[0] == state
        )

    @cached_property
    def _retripped(self) -> Mapping[str, int]:
        """By those the cases after which they have opened and open again when each is reset: all solved at
        once, a lane for each case of each."""
        failed, links = self.of.failed, self.of.network.links
        found = {bare(links[i].element): i for i, mask in failed.tripped.items() if mask}
        link_of = {name: found[name] for name in self._reset_where_they_are if name in found}
        pairs = [(i, lane) for i in link_of.values() for lane in bits(failed.tripped[i])]
        if not pairs:
            return {}
        now = some(failed, [lane for _, lane in pairs])
        reset: dict[int, int] = {}
        for k, (i, _) in enumerate(pairs):
            reset[i] = reset.get(i, 0) | 1 << k
        now = replace(now, tripped={i: mask & ~reset.get(i, 0) for i, mask in now.tripped.items()})
        cases = [self.of.signs.cases[lane] for _, lane in pairs]
        after = continued(self.of.network, now, cases, [ActionSequence(("",), self.of.state.state)])
        again: dict[int, int] = {}
        for k, (i, lane) in enumerate(pairs):
            again[i] = again.get(i, 0) | (after.tripped.get(i, 0) >> k & 1) << lane
        return {name: again[i] for name, i in link_of.items()}

    def _harmful_reset(self, course: Course, protector: str) -> bool:
        """Whether a reset loses a function of class major or worse after any of the causes."""
        begin = course.start()
        after = course.then(begin, f"{protector} to in", volts=False)
        return after is not None and bool(course.loses(begin, after, self.of.major))

    def _restored_by(self, protector: str, left: Sequence[str]) -> tuple[str, ...]:
        """The functions of class major or worse, of those left lost, that work once a protector which
        opened by itself is reset."""
        lane = self._lane_of.get((Failure(f"parts/{protector}", OPEN),))
        if lane is None:
            return ()
        functions = self.of.design.functions
        return tuple(
            f
            for f in left
            if HazardClass.of(functions[f].loss) >= HazardClass.MAJOR and not self.of.works[f] >> lane & 1
        )

    @cached_property
    def _lane_of(self) -> Mapping[tuple[Failure, ...], int]:
        """The first lane of each case."""
        cases = self.of.signs.cases
        return {failures_of(cases[i]): i for i in reversed(range(len(cases)))}

    def _reset_by(self, protector: str) -> str:
        """The first action of the file for a protector that has opened, which has its effect; "" if
        none."""
        for name, action in self.of.facts.states.operation.actions.items():
            if protector in action.after_failure_of and action.move.get(protector) in ("in", "closed"):
                effect = self.of.facts.crew.action_effect(name)
                if effect.possible and effect.settled and not effect.dead:
                    return name
        return ""
