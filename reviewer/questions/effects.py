"""What every single failure of a state does.

What loses its power, what indicates the failure, and the remaining redundancy of each function.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from functools import cached_property
from itertools import groupby, product
from typing import Any, TypeVar

from reviewer.analysis.conduction.failure_modes import FULL_ON, OPEN, SHORT, Failure, mode_key, mode_words
from reviewer.analysis.conduction.failure_modes import MODE_KEYS as MODE_KEYS
from reviewer.analysis.conduction.fixed_point import Conduction, carriers, conduct
from reviewer.analysis.conduction.masks import bits, pick_each, serves
from reviewer.analysis.conduction.scenarios import mask_of
from reviewer.analysis.conduction.states import StateAnswer, channel_mask, conducts, function_masks
from reviewer.analysis.conduction.too_low import less
from reviewer.analysis.cut_sets.late_pairs import late_pairs
from reviewer.analysis.cut_sets.minimal_cut_sets import PairLosses, pair_losses
from reviewer.analysis.cut_sets.pair_works import pair_works
from reviewer.analysis.detection.indications import Indications
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.sources.alternators import no_longer_charged
from reviewer.analysis.sources.regulator_leads import FullField, failed_full_on, full_fields, lost_leads
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.model.review import HazardClass
from reviewer.network.graph import bare
from reviewer.questions.naming import functions_off, state_named
from reviewer.questions.sneak_relays import EnergisedBySneak


@record
class RemainingRedundancy:
    """A function that still works:

    ``channels`` of ``of`` that work, where ``needed`` are enough. ``before`` the failure so many
    worked. ``next_failures`` are the further single failures that would now cause its loss and
    would not alone.
    """

    function: str
    channels: tuple[str, ...]
    of: tuple[str, ...]
    needed: int
    before: int
    next_failures: tuple[Failure, ...]

    @property
    def reduced(self) -> bool:
        """Whether the failure costs the function a channel or lets a further one cause its loss."""
        return bool(self.next_failures) or len(self.channels) < self.before


T = TypeVar("T")


@record
class Effect:
    """What one failure does in a state, against the state with nothing failed.

    ``words`` name the failure and ``at`` the terminal that is meant, where a part has more than one
    circuit. Elements: ``sources`` that are lost, ``fields_on`` the alternators among them that fail
    themselves and whose field draws on; those ``unloaded``, which live and feed no load or coil any
    more; batteries ``uncharged``, which live and no alternator charges any more; those
    ``overloaded``: alternators that give all they can, batteries that give more than they may;
    circuit ``protection`` that opens to clear a short; relays that have ``dropped_out`` or been
    ``energised``; switches ``moved`` to a position by what they follow; ``buses`` and ``loads`` that
    lose power, or next to all their volts; loads ``low`` that have power and less than their minimum
    voltage; loads ``newly_powered``, with less than their minimum where they are ``low`` too; magnetos
    ``silenced``, and those that are ``hot``: no longer grounded. ``functions`` are those lost, each
    with its hazard class, the worst first; ``remaining`` has those that still work. ``unsettled``
    where relays do not settle, so that nothing else is certain.
    ``full_field`` are alternators that are driven to full field, or may be, because their regulator
    has lost a lead. ``uncommanded`` where a short to ground gives loads and coils the return that
    they lack: what is energised or powered then runs though nothing commands it.
    """

    failure: Failure
    words: str
    #: the mode in words without the terminal, and as one word
    mode: str
    key: str
    at: str
    sources: tuple[str, ...]
    fields_on: tuple[str, ...]
    unloaded: tuple[str, ...]
    uncharged: tuple[str, ...]
    overloaded: tuple[str, ...]
    protection: tuple[str, ...]
    dropped_out: tuple[str, ...]
    energised: tuple[str, ...]
    moved: tuple[tuple[str, str], ...]
    buses: tuple[str, ...]
    loads: tuple[str, ...]
    low: tuple[str, ...]
    newly_powered: tuple[str, ...]
    silenced: tuple[str, ...]
    hot: tuple[str, ...]
    functions: tuple[tuple[str, HazardClass], ...]
    remaining: tuple[RemainingRedundancy, ...]
    signs: Indications
    unsettled: bool
    uncommanded: bool
    full_field: tuple[FullField, ...]
    #: units (elements) without power that work on a battery of their own, each with its seconds
    on_own_battery: tuple[tuple[str, float], ...] = ()
    #: those of the ``functions`` that such batteries keep on at first, with the seconds until they are lost
    lost_after: tuple[tuple[str, float], ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether no source, charge, protector, relay, bus or load changes."""
        return not any(
            (
                self.sources,
                self.unloaded,
                self.uncharged,
                self.overloaded,
                self.protection,
                self.dropped_out,
                self.energised,
                self.moved,
                self.buses,
                self.loads,
                self.low,
                self.newly_powered,
                self.silenced,
                self.hot,
                self.functions,
                self.full_field,
                self.unsettled,
            )
        )

    @property
    def hazard(self) -> HazardClass | None:
        """The gravest class among the functions that are lost."""
        return self.functions[0][1] if self.functions else None


@record
class EffectsTable:
    """The effects of every single failure of a state, stuck contacts included.

    ``off`` are the functions that do not work in it with nothing failed.
    """

    state: str
    switches: tuple[tuple[str, str], ...]
    off: tuple[str, ...]
    effects: tuple[Effect, ...]
    #: the relays that sneak currents energise in the state, or keep energised
    sneaks: tuple[EnergisedBySneak, ...] = ()


def effects_of(facts: Facts, state: str | None = None) -> EffectsTable:
    """What every single failure does in a state, stuck contacts included. Raises NoAnswer."""
    answer = state_named(facts, state)
    name, stuck = answer.state.name, answer.stuck_contacts
    # solved here and not kept: they are as large as all else that the effects rest on
    pairs = next_failures_after(facts, answer, answer.failures, pair_losses(answer))
    late = worse_outcomes(facts, answer, answer.failures)
    # what they do and what shows them is solved for all at once
    every = (*answer.failures, *late, *stuck)
    signs = facts.detection.indications_of(name, every)
    each = (pairs, *(next_failures_after(facts, answer, some) for some in (late, stuck)))
    next_failures = {function: [row for table in each for row in table[function]] for function in pairs}
    rows = effects(facts, answer, every, signs, next_failures)
    in_order = tuple(sorted(rows, key=lambda row: facts.file_order[row.failure.element]))
    sneaks = facts.switches.sneaks_in(name)
    return EffectsTable(name, answer.switches, functions_off(answer), in_order, sneaks)


def effects(
    facts: Facts,
    answer: StateAnswer,
    failures: Sequence[Failure],
    signs: Sequence[Indications],
    next_failures: Mapping[str, Sequence[int]],
) -> tuple[Effect, ...]:
    """The effects of some failures in a state. ``signs`` has an entry for each.

    In ``next_failures[function][i]`` bit j says that ``answer.failures[j]`` causes its loss
    after failure i, and neither alone.
    """
    if not failures:
        return ()
    return _Table(facts, answer, failures, signs, next_failures).rows()


def worse_outcomes(facts: Facts, answer: StateAnswer, failures: Sequence[Failure]) -> tuple[Failure, ...]:
    """Those of some shorts, each as a protector further upstream may clear it, that take a load
    which is left where the nearest one clears it; of one short those alone that no other outcome
    of it is worse than."""
    late = facts.states.late_failures(answer.state.name)
    shorts = ((i, failure) for i, failure in enumerate(failures) if failure.nodes)
    pairs = [(i, other) for i, failure in shorts for other in late.get(failure, ())]
    if not pairs:
        return ()
    near = pick_each(answer.failed_by(failures).powered, [i for i, _ in pairs])
    far = conduct(answer.network, answer.state, [other for _, other in pairs], answer.healthy).powered
    lost: list[set[str]] = [set() for _ in pairs]
    for element, mask in near.items():
        for i in bits(mask & ~far[element]):
            lost[i].add(element)
    found: list[Failure] = []
    for _, several in groupby(range(len(pairs)), key=lambda i: pairs[i][0]):
        places = list(several)
        found += [pairs[i][1] for i in places if lost[i] and not any(lost[i] < lost[j] for j in places)]
    return tuple(found)


def worst_outcome(facts: Facts, answer: StateAnswer, failures: Sequence[Failure]) -> tuple[Failure, ...]:
    """Some failures at once, of shorts the outcomes in which the fewest loads have power: each as
    it may be cleared with the others failed."""
    if not failures:
        return ()
    outcomes = []
    for i, failure in enumerate(failures):
        others = (*failures[:i], *failures[i + 1 :])
        late = facts.states.late_failures_with(answer.state.name, others)
        outcomes.append((failure, *late.get(failure, ())))
    cases = list(product(*outcomes))
    powered = conduct(answer.network, answer.state, cases, answer.healthy).powered.values()
    return min(enumerate(cases), key=lambda case: sum(mask >> case[0] & 1 for mask in powered))[1]


def next_failures_after(
    facts: Facts, answer: StateAnswer, failures: Sequence[Failure], known: PairLosses | None = None
) -> Mapping[str, Sequence[int]]:
    """For each function that works, after each of some failures, the next to cause its loss.

    They are bits of ``answer.failures``, shorts in the worse outcome; neither failure causes the
    loss alone. ``known`` are the pairs of single failures, where they were solved already.
    """
    names = [f for f in answer.design.functions if answer.alive[f]]
    state = answer.state.name
    late = late_pairs(
        answer,
        names,
        failures,
        facts.states.late_failures(state),
        facts.states.late_failures_after(state, failures),
    )
    near = _next_failures(answer, names, failures, known)
    masks: dict[int, int] = {}
    for shorts in (shorts for name in names for shorts in late[name]):
        if id(shorts) not in masks:  # several failures have one table
            masks[id(shorts)] = mask_of(shorts, len(answer.failures))
    return {
        name: [row | masks[id(shorts)] for row, shorts in zip(near[name], late[name], strict=True)]
        for name in names
    }


def _next_failures(
    answer: StateAnswer, names: Sequence[str], failures: Sequence[Failure], known: PairLosses | None
) -> Mapping[str, Sequence[int]]:
    """:func:`next_failures_after` where the nearest protectors clear each short."""
    if known is not None and tuple(failures) == answer.failures:
        return {name: known.rows[name] for name in names}
    if not failures:
        return {name: [] for name in names}
    solved = conduct(answer.network, answer.state, failures, answer.healthy)
    alone = function_masks(answer.design, solved.powered, (1 << len(failures)) - 1)
    both = pair_works(answer, names, failures, answer.failures)
    return {
        name: [
            answer.functions[name] & ~both[name][i] if alone[name] >> i & 1 else 0
            for i in range(len(failures))
        ]
        for name in names
    }


def protection_opened(answer: StateAnswer, solved: Conduction) -> dict[str, int]:
    """Protection at the edge of a short's zone that is still energised from outside, with the lanes
    of ``solved`` in which it opens."""
    found: dict[str, int] = {}
    for i, carried in carriers(answer.network, solved):
        if conducts(answer.network, answer, i):
            found[answer.network.links[i].element] = carried
    return found


class _Table:
    def __init__(
        self,
        facts: Facts,
        answer: StateAnswer,
        failures: Sequence[Failure],
        signs: Sequence[Indications],
        next_failures: Mapping[str, Sequence[int]],
    ):
        self.answer, self.failures, self.signs, self.next_failures = answer, failures, signs, next_failures
        single = failures is answer.failures
        after = answer.after_each if single else answer.conducting_after(failures)
        outcomes, self.solved = after.cases, after.conducts
        self.every = (1 << len(failures)) - 1
        self.low = answer.low(outcomes, self.solved, each=True)
        dark = answer.low(outcomes, self.solved, each=True, dark=True) if self.low else {}
        self.working = less(self.solved.powered, self.low)
        self.functions = function_masks(answer.design, self.working, self.every)
        self.opened = protection_opened(answer, self.solved)
        healthy = answer.healthy
        self.healthy = function_masks(answer.design, healthy.powered, 1)
        self.lost_sources = {e: self.every & ~m for e, m in self.solved.alive.items() if healthy.alive[e]}
        useful = self._useful(healthy)
        self.unloaded = {
            e: self.solved.alive[e] & ~m for e, m in self._useful(self.solved).items() if useful[e]
        }
        self.overloaded: Sequence[tuple[str, ...]] = [()] * len(failures)
        with suppress(NotAssessable):  # what is not solved is not named
            self.overloaded = facts.points.under_failures.overloaded(answer, outcomes, self.solved)
        self.uncharged = no_longer_charged(answer.network, healthy, self.solved)
        coils = {c.element: self.solved.energised[c.element] for c in answer.network.coils}
        self.dropped_out = {e: self.every & ~m for e, m in coils.items() if healthy.energised[e]}
        self.energised = {e: m for e, m in coils.items() if not healthy.energised[e]}
        self.moved = self._moved()
        hot = self.solved.hot
        # sources and buses are named as such
        others = hot.keys() | {c.element for c in answer.network.channels}
        powered = {e: m & ~dark.get(e, 0) for e, m in self.solved.powered.items() if e not in others}
        self.low = less(self.low, dark)
        self.dead = {e: self.every & ~m for e, m in powered.items() if healthy.powered[e]}
        self.newly_powered = {e: m for e, m in powered.items() if not healthy.powered[e]}
        self.silenced = {e: self.every & ~m for e, m in hot.items() if healthy.hot[e]}
        self.hot = {e: m for e, m in hot.items() if not healthy.hot[e]}
        self.dead_buses = self._dead_buses()
        self.lost_leads = [
            lead
            for lead in lost_leads(answer.design, answer.network, self.solved)
            if healthy.alive[f"parts/{lead.alternator}"]
        ]

    def rows(self) -> tuple[Effect, ...]:
        return tuple(self._row(i) for i in range(len(self.failures)))

    def _by_lane(self, masks: Mapping[T, int]) -> list[tuple[T, ...]]:
        """For each lane those whose mask has its bit, in their order."""
        found: list[list[T]] = [[] for _ in self.failures]
        for one, mask in masks.items():
            for lane in bits(mask & self.every):
                found[lane].append(one)
        return list(map(tuple, found))

    @cached_property
    def _lost(self) -> list[tuple[str, ...]]:
        """The functions that are lost in each lane."""
        alive = self.answer.alive
        return self._by_lane({n: self.every & ~m for n, m in self.functions.items() if alive[n]})

    @cached_property
    def _changed(self) -> Mapping[str, list[tuple[Any, ...]]]:
        """By the name of a field of an effect, what stands in it in each lane."""
        return {
            "sources": self._by_lane(self.lost_sources),
            "fields_on": self._by_lane(self._fields_on()),
            "unloaded": self._by_lane(self.unloaded),
            "uncharged": self._by_lane(self.uncharged),
            "protection": self._by_lane(self.opened),
            "dropped_out": self._by_lane(self.dropped_out),
            "energised": self._by_lane(self.energised),
            "moved": self._by_lane(self.moved),
            "buses": self._by_lane(self.dead_buses),
            "loads": self._by_lane(self.dead),
            "low": self._by_lane(self.low),
            "newly_powered": self._by_lane(self.newly_powered),
            "silenced": self._by_lane(self.silenced),
            "hot": self._by_lane(self.hot),
        }

    def _fields_on(self) -> Mapping[str, int]:
        """The lanes in which an alternator that gives nothing any more is what fails, its field fed."""
        opened: dict[str, int] = {}
        for i, failure in enumerate(self.failures):
            if failure.mode == OPEN:
                opened[failure.element] = opened.get(failure.element, 0) | 1 << i
        return {
            s.element: self.lost_sources.get(s.element, 0) & own & self.solved.live(s.field)
            for s in self.answer.network.sources
            if s.field is not None and (own := opened.get(s.element, 0))
        }

    def _row(self, i: int) -> Effect:
        design = self.answer.design
        lost = [(n, HazardClass.of(design.functions[n].loss)) for n in self._lost[i]]
        failure, full_field = self.failures[i], self._full_field(i)
        changed = {name: by_lane[i] for name, by_lane in self._changed.items()}
        return Effect(
            failure=failure,
            words=failure.words(self.answer.network),
            mode=mode_words(self.answer.network, failure.element, failure.mode),
            key=mode_key(self.answer.network, failure.element, failure.mode),
            at=self._at(failure),
            **{**changed, "uncharged": tuple(e for e in changed["uncharged"] if e != failure.element)},
            overloaded=tuple(
                e for e in self.overloaded[i] if e not in {f"parts/{one.alternator}" for one in full_field}
            ),
            functions=tuple(sorted(lost, key=lambda function: -function[1])),
            remaining=self._remaining[i],
            signs=self.signs[i],
            unsettled=bool(self.solved.unsettled >> i & 1),
            uncommanded=failure.mode == SHORT and not self.answer.switched_returns.isdisjoint(failure.nodes),
            full_field=full_field,
            on_own_battery=(own := tuple(self._on_own_battery(i))),
            lost_after=self._lost_after(i, own),
        )

    def _lost_after(self, i: int, own: Sequence[tuple[str, float]]) -> tuple[tuple[str, float], ...]:
        """See :class:`Effect`: the longest time in which the units that still run are enough."""
        found: dict[str, float] = {}
        if not own or not self._lost[i]:  # as after most failures
            return ()
        works = {element: mask >> i & 1 for element, mask in self.working.items()}
        for seconds in sorted({seconds for _, seconds in own}):
            runs = works | {element: 1 for element, until in own if until >= seconds}
            left = function_masks(self.answer.design, runs, 1, self._lost[i])
            found |= {name: seconds for name, mask in left.items() if mask}
        return tuple(found.items())

    def _on_own_battery(self, i: int) -> Iterator[tuple[str, float]]:
        """The units that lose their power and work on, whether long enough to count or not."""
        for element, mask, own in self._own_batteries:
            if mask >> i & 1 and element != self.failures[i].element:
                yield element, own

    @cached_property
    def _own_batteries(self) -> Sequence[tuple[str, int, float]]:
        """The units that work on without power, with the lanes in which they have none and for how long."""
        design, state = self.answer.design, self.answer.state
        return [
            (element, mask, own)
            for element in {**self.dead, **self.low}
            if (mask := self.dead.get(element, 0) | self.low.get(element, 0))
            and (own := design.works_on_for(bare(element)))
            and not state.is_off(bare(element))
        ]

    def _full_field(self, i: int) -> tuple[FullField, ...]:
        """The alternators that a failure drives to full field, but one that is itself what fails."""
        design, failure = self.answer.design, self.failures[i]
        found = full_fields(design, self.lost_leads, i)
        healthy, network = self.answer.healthy, self.answer.network
        own = failed_full_on(design, network, healthy, failure, self.solved, i)
        if own is not None and healthy.alive[f"parts/{own.alternator}"]:
            found = (*(one for one in found if one.alternator != own.alternator), own)
        if failure.mode == FULL_ON:
            return found
        return tuple(one for one in found if failure.element != f"parts/{one.alternator}")

    def _at(self, failure: Failure) -> str:
        network = self.answer.network
        several = (
            failure.mode == SHORT and len(failure.nodes) == 1 and len(network.nodes_of[failure.element]) > 1
        )
        return network.names[failure.nodes[0]] if several else ""

    @cached_property
    def _remaining(self) -> list[tuple[RemainingRedundancy, ...]]:
        """By lane, of the functions that work with nothing failed, those that still do."""
        found: list[list[RemainingRedundancy]] = [[] for _ in self.failures]
        for name in self.answer.design.functions:
            if self.answer.alive[name]:
                self._enter_left(name, found)
        return [tuple(left) for left in found]

    def _enter_left(self, name: str, found: Sequence[list[RemainingRedundancy]]) -> None:
        """Add what is left of a function to each lane in which it works: one object for all failures that
        leave the same."""
        function, rows = self.answer.design.functions[name], self.next_failures.get(name, ())
        channels, before, whole = self._channels[name]
        for works, all_do in ((self.functions[name] & whole, True), (self.functions[name] & ~whole, False)):
            known: dict[tuple[tuple[str, ...], int], RemainingRedundancy] = {}
            working = function.of
            for i in bits(works):
                if not all_do:
                    working = tuple(c for c, m in channels if m >> i & 1)
                mask = rows[i] if rows else 0
                if (left := known.get((working, mask))) is None:
                    next_failures = tuple(self.answer.failures[j] for j in bits(mask))
                    left = known[working, mask] = RemainingRedundancy(
                        name, working, function.of, function.any, before, next_failures
                    )
                found[i].append(left)

    @cached_property
    def _channels(self) -> Mapping[str, tuple[list[tuple[str, int]], int, int]]:
        """By function its channels, each with the lanes in which it works; how many do with nothing failed;
        and the lanes in which all do."""
        healthy, powered = self.healthy, self.answer.healthy.powered
        found = {}
        for name, function in self.answer.design.functions.items():
            channels = [(c, self._works(c)) for c in function.of]
            before = sum(healthy[c] if c in healthy else powered[f"parts/{c}"] for c in function.of)
            whole = self.every
            for _, mask in channels:
                whole &= mask
            found[name] = channels, before, whole
        return found

    def _works(self, channel: str) -> int:
        return (
            self.functions[channel]
            if channel in self.functions
            else channel_mask(self.answer.design, self.working, channel)
        )

    def _useful(self, solved: Conduction) -> dict[str, int]:
        """For each source the lanes in which it works, feeds something and has its return."""
        network, found = self.answer.network, {}
        for source, alive in solved.alive.items():
            mask = 0
            for consumer in (*network.consumers, *network.coils):
                mask |= serves(network, solved, source, consumer)
            found[source] = mask & alive
        return found

    def _moved(self) -> dict[tuple[str, str], int]:
        """(switch, position) -> the lanes in which it moves there because what it follows changes, or
        by an overvoltage."""
        found = {}
        for follower in self.answer.network.followers:
            element, moved = follower.element, self.solved.energised[follower.element]
            if self.answer.healthy.energised[element]:
                rest = self.answer.design.parts[bare(element)].at_rest
                found[element, rest] = self.every & ~moved
            else:
                found[element, follower.moved_to] = moved
        for relay, tripped in self.answer.network.overvoltage_relays:
            moved = self.solved.energised[relay]
            if not self.answer.healthy.energised[relay]:
                found[relay, tripped] = moved
            else:
                rest = self.answer.design.parts[bare(relay)].at_rest
                found[relay, rest] = self.every & ~moved
        return found

    def _dead_buses(self) -> dict[str, int]:
        found = {}
        for name in self.answer.design.of_kind(p.Bus):
            node = self.answer.network.index.get(name)
            if node is not None and self.answer.healthy.live(node):
                found[f"parts/{name}"] = self.every & ~self.solved.live(node)
        return found
