"""What else may come of a short: a protector further upstream may clear it first.

Around the fault zone of a short are the protectors that carry its current. Let one of them not
open: the zone then extends up to the next protectors. Where the ratings of each of these ensure
that it opens later, selectivity holds. Where some do not, these may open with the nearest one;
where none does, and no source is between, they may open instead of it, and all that they feed is
dead. Let these not open either, and a third device in series may be the one: it is in doubt against
the nearest and against one of those between.

A failure that closes a path, such as a shorted diode, lets other sources and protectors carry the
current of a short: with it, the outcomes are found anew.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache, partial
from itertools import accumulate, pairwise
from types import MappingProxyType
from typing import Any

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, carriers, conduct, link_masks
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.metal import MetalAfter, gone_with
from reviewer.analysis.conduction.scenarios import lanes_of_cases, mask_of
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.ratings.opening_order import Selectivity, selectivity
from reviewer.model import parts as p
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare
from reviewer.network.work_count import LATE_SHORT, add_work

#: the most lanes solved at once
MOST_LANES = 20_000
#: each short that may be cleared further upstream -> the short with each such outcome
Late = Mapping[Failure, tuple[Failure, ...]]
NONE_LATE: Late = MappingProxyType({})
#: a failure that closes a path -> what else may come of each short after it
LateAfter = Mapping[Failure, Late]
NONE_AFTER: LateAfter = MappingProxyType({})
#: number of a short, protector further upstream, protector -> the share of the current of the one
#: that the other carries, 0 to 1
Share = Callable[[int, str, str], float]
#: as :func:`opens_later` has it of one design
Later = Callable[[str, str, float], bool]


def all_of_it(index: int, upper: str, lower: str) -> float:
    """The share of a protector in series."""
    return 1.0


@record
class LateOutcome:
    """A short, ``failures[index]`` of a state, that ``nearest`` may not clear first.

    Those of ``first``, further upstream, may open before it: the next ones, or those behind them.
    ``failure`` is the short with what then happens; those that open in it and are not in ``first``
    carry what alternators that limit themselves deliver, which opens none. ``limited`` where alternators
    that limit themselves cannot open any of them: then they hold the current, and the zone is dead until
    the crew takes them off; it is told as the loss of what is behind.
    """

    index: int
    nearest: str
    first: tuple[str, ...]
    failure: Failure
    limited: bool = False


def of_parts(design: Design, upper: str, lower: str, share: float = 1.0) -> Selectivity:
    """Whether the ratings of two protectors, by name, are selective where the upper one carries a
    ``share`` of the current of the lower one: 1 in series.

    Raises NotAssessable, naming the rating that is missing.
    """
    one, other = design.parts[upper], design.parts[lower]
    if one.rating is None or other.rating is None:
        raise NotAssessable(f"`rating` of {upper if one.rating is None else lower}")
    return selectivity(_opens_like(one), one.rating, _opens_like(other), other.rating * share)


def _opens_like(part: Any) -> str:
    """The kind that a protector opens like: a resettable fuse is as slow as a limiter (common
    practice, no source)."""
    return "limiter" if isinstance(part, p.Fuse) and part.construction == "resettable" else str(part.kind)


def late_outcomes(
    design: Design, network: Network, answer: StateAnswer, share: Share = all_of_it
) -> tuple[LateOutcome, ...]:
    """Every late outcome of one short of each fault zone, in the healthy state otherwise.

    ``share`` says how several feeds in parallel share the current. It counts where all of them hold
    with it: where one opens, the others carry its share too.
    """
    (found,) = _outcomes(design, network, answer, *_begun(network, answer, [()]), share)
    return tuple(found)


def _outcomes(
    design: Design,
    network: Network,
    answer: StateAnswer,
    states: Sequence[_After],
    nearest: _Level,
    share: Share = all_of_it,
) -> list[list[LateOutcome]]:
    """:func:`late_outcomes` after the failures of each of some states, solved together. ``nearest`` has
    the protectors nearest to each short."""
    outcomes: list[list[LateOutcome]] = [[] for _ in states]
    later = cache(partial(opens_later, design))
    beyond: list[dict[str, set[str]]] = [{} for _ in states]
    level, passed, then = nearest
    first_level = True
    while level:
        carrying = _by_lane(then)
        further = [
            tuple(e for e in carrying.get(j, ()) if e not in doubt.known) for j, doubt in enumerate(level)
        ]
        if first_level:
            for doubt, those in zip(level, further, strict=True):
                beyond[doubt.after].setdefault(doubt.nearest, set()).update(those)
            beyond = [{one: _all_behind(next_ones, one) for one in next_ones} for next_ones in beyond]
            first_level = False
        deeper: list[_Doubt] = []
        for j, doubt in enumerate(level):
            early = tuple(e for e in further[j] if doubt.may_open_first(later, e))
            if early and not any(doubt.may_open_first(later, e, share) for e in further[j]):
                early = ()
            sources = _sources_in_zone(network, answer, passed, j)
            if early:
                whole = len(early) == len(further[j])
                # those that are passed carry nothing more once all behind them have opened
                idle = doubt.only if whole and sources <= doubt.sources else frozenset()
                opened = replace(answer.failures[doubt.index], opened=doubt.early - idle | set(early))
                late = doubt.passing if whole and doubt.alone and not sources else opened
                first = tuple(dict.fromkeys((*early, *sorted(late.opened, key=name_order))))
                opening = tuple(e for e in first if can_open(design, network, passed, j, e))
                limited = not any(e in opening for e in early)
                named = first if limited else opening
                outcomes[doubt.after].append(LateOutcome(doubt.index, doubt.nearest, named, late, limited))
            deeper += doubt.behind(later, further[j], early, beyond[doubt.after], sources)
        level, passed, then = _level(network, answer, states, deeper)
    return outcomes


#: doubts, the state with each as it stands, and the protectors that then carry current
_Level = tuple[list["_Doubt"], Conduction, dict[str, int]]


def _level(network: Network, answer: StateAnswer, states: Sequence[_After], doubts: list[_Doubt]) -> _Level:
    if not doubts:
        return [], answer.healthy, {}
    passed = _solved(answer, [(states[doubt.after].already, doubt.passing) for doubt in doubts])
    return doubts, passed, _carrying(network, answer, passed)


def _begun(
    network: Network, answer: StateAnswer, groups: Sequence[tuple[Failure, ...]]
) -> tuple[list[_After], _Level]:
    """A state after each of some groups of failures, with the protectors nearest to each short. Where
    there is only the state itself that is the same whoever asks, and is kept."""
    alone = list(groups) == [()]
    if alone and "late" in answer.searched:
        return answer.searched["late"]
    states = _after(network, answer, groups)
    level = [doubt for s, state in enumerate(states) for doubt in _nearest(answer, s, state)]
    begun = states, _level(network, answer, states, level)
    if alone:
        answer.searched["late"] = begun
    return begun


def _nearest(answer: StateAnswer, after: int, state: _After) -> Iterator[_Doubt]:
    """One short of each fault zone of a state, the number ``after``, with each of the protectors
    that carry its current not open."""
    carrying = _by_lane(state.carrying)
    for zone in state.zones:
        i = zone[0]
        known = frozenset(carrying.get(i, ()))
        for element in carrying.get(i, ()):
            passing = replace(answer.failures[i], passes=frozenset({element}))
            yield _Doubt(after, passing, i, element, known)


def _by_lane(masks: Mapping[str, int]) -> dict[int, list[str]]:
    """For each lane those whose mask has its bit, in their order."""
    found: dict[int, list[str]] = {}
    for one, mask in masks.items():
        for lane in bits(mask):
            found.setdefault(lane, []).append(one)
    return found


def _solved(answer: StateAnswer, cases: Sequence[tuple[tuple[Failure, ...], Failure]]) -> Conduction:
    """A state under a failure after others, a lane for each case."""
    together = [(*already, failure) if already else failure for already, failure in cases]
    return conduct(answer.network, answer.state, together, answer.healthy)


def _all_behind(beyond: Mapping[str, Collection[str]], one: str) -> set[str]:
    """What is behind a protector, and what is behind that, and so on."""
    found: set[str] = set()
    left = [one]
    while left:
        new = set(beyond.get(left.pop(), ())) - found
        found |= new
        left += new
    return found


@record
class _Doubt:
    """The short ``index`` with the ``nearest`` protector and those behind it in series not open.

    ``known`` are the protectors that carry its current so far, ``early`` those of them that may
    open first; ``alone`` says that they may where none of those that are passed opens; ``sources``
    are those in the zone up to the last one. ``only`` are those passed whose current all comes from
    behind the last one and from ``early``. ``after`` is the number of the state in which it is.
    """

    after: int
    passing: Failure
    index: int
    nearest: str
    known: frozenset[str]
    early: frozenset[str] = frozenset()
    alone: bool = True
    sources: frozenset[str] = frozenset()
    only: frozenset[str] = frozenset()

    def may_open_first(self, later: Later, further: str, share: Share = all_of_it) -> bool:
        """Whether a protector may open before all that are passed."""
        return not any(
            later(further, passed, share(self.index, further, passed)) for passed in self.passing.passes
        )

    def behind(
        self,
        later: Later,
        further: Sequence[str],
        early: Sequence[str],
        beyond: Mapping[str, Collection[str]],
        sources: frozenset[str],
    ) -> Iterator[_Doubt]:
        """The same one protector further upstream, where one ``beyond`` that may open first too.

        ``beyond`` has all that is behind a protector.
        """
        for one in further:
            passing = replace(self.passing, passes=self.passing.passes | {one})
            whole = set(further) - {one} <= set(early)
            doubt = _Doubt(
                self.after,
                passing,
                self.index,
                self.nearest,
                self.known | set(further),
                self.early | set(early),
                self.alone and whole,
                sources,
                (self.only if whole and sources <= self.sources else frozenset()) | {one},
            )
            if any(t not in doubt.known and doubt.may_open_first(later, t) for t in beyond.get(one, ())):
                yield doubt


@record
class _After:
    """A state with some failures in it ``already``, under every single failure more: the shorts, by
    number, of each piece of metal in each fault zone, and for each protector those whose current it
    carries."""

    already: tuple[Failure, ...]
    zones: list[list[int]]
    carrying: Mapping[str, int]


def _after(
    network: Network, answer: StateAnswer, groups: Sequence[tuple[Failure, ...]], each: bool = False
) -> list[_After]:
    """A state after each of some groups of failures. One short of each piece of metal is solved, or
    with ``each`` every one."""
    shorts = [i for i, failure in enumerate(answer.failures) if failure.grounds]
    add_work(LATE_SHORT * len(shorts) * len(groups))
    each_alone = [[i] for i in shorts]
    if list(groups) == [()]:
        alike_ones, lanes, failed = [each_alone], [shorts], answer.failed
    else:
        metal = MetalAfter(network, answer.failures)
        alike_ones = [each_alone if each else metal.alike(group, shorts) for group in groups]
        cases = [
            (group, answer.failures[one[0]])
            for group, ones in zip(groups, alike_ones, strict=True)
            for one in ones
        ]
        starts = [0, *accumulate(map(len, alike_ones))]
        lanes, failed = [[*range(*span)] for span in pairwise(starts)], _solved(answer, cases)
    carrying = [(e, mask) for e, mask in _carrying(network, answer, failed).items()]
    columns, found = _columns(failed.zone, failed.width), []
    standing = MetalAfter(network, answer.failures, answer.state)
    for group, ones, own in zip(groups, alike_ones, lanes, strict=True):
        piece = standing.pieces_after(gone_with(network, group))
        zones: dict[tuple[tuple[int, ...], frozenset[int]], list[int]] = {}
        first: dict[int, int] = {}
        for one, lane in zip(ones, own, strict=True):
            # a relay that drops out once the zone is larger may part what was one zone
            metal_of = frozenset(piece[n] for n in answer.failures[one[0]].nodes)
            zones.setdefault((columns[lane], metal_of), []).extend(one)
            first[lane] = one[0]
        mine = mask_of(own, failed.width)
        carried = {
            e: mask_of([first[i] for i in bits(mask & mine)], len(answer.failures)) for e, mask in carrying
        }
        found.append(
            _After(group, [sorted(zone) for zone in zones.values()], {e: m for e, m in carried.items() if m})
        )
    return found


def late_failures(
    design: Design,
    network: Network,
    answer: StateAnswer,
    already: Sequence[tuple[Failure, ...]] = ((),),
) -> list[Late]:
    """Each short of a state that may be cleared further upstream -> the short with each late outcome.

    One such table for each group of failures that the state has ``already``. The shorts of one
    piece of metal in one fault zone have the same outcomes.
    """
    found: list[Late] = []
    step = max(1, MOST_LANES // max(1, len(answer.failures)))
    for start in range(0, len(already), step):
        states, nearest = _begun(network, answer, already[start : start + step])
        outcomes = _outcomes(design, network, answer, states, nearest)
        found += (_by_short(answer, *one) for one in zip(states, outcomes, strict=True))
    return found


def _by_short(answer: StateAnswer, state: _After, outcomes: Sequence[LateOutcome]) -> Late:
    by_zone: dict[int, list[Failure]] = {}
    for outcome in outcomes:
        those = by_zone.setdefault(outcome.index, [])
        if outcome.failure not in those:
            those.append(outcome.failure)
    return {
        answer.failures[i]: tuple(
            replace(answer.failures[i], passes=late.passes, opened=late.opened) for late in by_zone[zone[0]]
        )
        for zone in state.zones
        if zone[0] in by_zone
        for i in zone
    }


def closing_paths(answer: StateAnswer, failures: Sequence[Failure]) -> list[Failure]:
    """Those of some failures after which a part conducts that did not, or did one way only."""
    if not failures:
        return []
    healthy = link_masks(lanes_of_cases(answer.network, answer.state, ()), answer.healthy.energised)
    cases = tuple(failures)
    solved = answer.failed_by(cases)
    failed = link_masks(lanes_of_cases(answer.network, answer.state, cases), solved.energised)
    closed = 0
    for before, after in zip(healthy, failed, strict=True):
        for was, now in zip(before, after, strict=True):
            closed |= 0 if was else now
    return [failures[i] for i in bits(closed)]


def _sources_in_zone(network: Network, answer: StateAnswer, solved: Conduction, lane: int) -> frozenset[str]:
    """The live sources that are in the fault zone of a lane."""
    alive = answer.healthy.alive
    return frozenset(
        s.element for s in network.sources if solved.zone[s.positive] >> lane & 1 and alive[s.element]
    )


def _columns(zone: Sequence[int], width: int) -> list[tuple[int, ...]]:
    """For each lane what tells its fault zone from that of another; ``zone`` has by node the lanes, as
    a mask, in whose zone it is."""
    rows: list[list[int]] = [[] for _ in range(width)]
    for number, mask in enumerate(dict.fromkeys(zone)):
        for lane in bits(mask):
            rows[lane].append(number)
    return list(map(tuple, rows))


def _carrying(network: Network, answer: StateAnswer, solved: Conduction) -> dict[str, int]:
    """For each protector, the lanes in which it carries current into the fault zone."""
    lanes = dict.fromkeys((network.links[i].element for i in sorted(network.protectors)), 0)
    for i, mask in carriers(network, solved):
        if conducts(network, answer, i):
            lanes[network.links[i].element] |= mask
    return {element: mask for element, mask in lanes.items() if mask}


def can_open(design: Design, network: Network, solved: Conduction, lane: int, protector: str) -> bool:
    """Whether what feeds a protector that carries the current of a short can open it: more than
    alternators, chargers and converters that limit themselves, all together, to its rating or less."""
    rating = design.parts[bare(protector)].rating
    limits = {f"parts/{n}": design.parts[n].most for n in design.of_kind(p.SELF_LIMITED)}
    if rating is None or not any(most is not None and most <= rating for most in limits.values()):
        return True
    links = (network.links[i] for i in network.protectors if network.links[i].element == protector)
    ends = [n for link in links for n in (link.a, link.b)]
    feeding = [s for s, fed in solved.fed.items() if any(fed[n] >> lane & 1 for n in ends)]
    amperes = [most for s in feeding if (most := limits.get(s)) is not None]
    return len(amperes) < len(feeding) or sum(amperes) > rating


def opens_later(design: Design, further: str, nearest: str, share: float = 1.0) -> bool:
    """Whether the ratings ensure that a protector further upstream opens later than the nearest,
    of whose current it carries a ``share``.

    One that carries none of it ensures it; an unknown rating is taken to at the concept stage only.
    """
    if not share:
        return True
    try:
        return of_parts(design, bare(further), bare(nearest), share).promised
    except NotAssessable:
        return design.aircraft.stage == "concept"
