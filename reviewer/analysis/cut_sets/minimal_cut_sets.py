"""Minimal cut sets: the fewest failures that together lose a function, each of which is needed for
it.

Redundancy is judged here, from the sources to the function through whatever is between, never by
the name of a bus. Cut sets of order 1 and 2 are listed. All functions of a state are solved
together, as lanes of pairs; equivalent failures are solved once
(:mod:`reviewer.analysis.cut_sets.equivalence`). Term: IEC 61025, "minimal cut set" (from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import field
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_pairs
from reviewer.analysis.conduction.masks import bits, join
from reviewer.analysis.conduction.scenarios import mask_of
from reviewer.analysis.conduction.states import StateAnswer, function_masks, watched
from reviewer.analysis.cut_sets.equivalence import Group, Grouping, Sample, grouping
from reviewer.model.record import record

#: the most lanes that are solved side by side; more take more memory and no less time
BLOCK = 32_768


@record
class CutSet:
    """Failures that together lose a function in a state, none of which can be left out.

    Without failures: the function does not work in the healthy state.
    """

    function: str
    state: str
    failures: tuple[Failure, ...]


@record
class PairLosses:
    """The minimal pairs of a state: bit j of ``rows[function][i]`` says that failures i and j lose
    the function, and neither alone.

    The numbers are those of ``answer.failures``. Functions that do not work in the healthy state
    have no rows. Where relays chatter under a pair, the state after the last round counts.
    """

    rows: Mapping[str, tuple[int, ...]]
    #: how many lanes were solved for it
    lanes: int = field(compare=False)


def cut_sets(
    answer: StateAnswer, function: str, order: int = 2, pairs: PairLosses | None = None
) -> tuple[CutSet, ...]:
    """The minimal cut sets of at most ``order`` (1 or 2) failures, single ones first.

    Each is in the order of ``answer.failures``. ``pairs`` may be given where they are known. Raises
    KeyError for an unknown function and ValueError for another order.
    """
    if order not in (1, 2):
        raise ValueError(f"cut sets of order {order} are not listed")
    state, failures = answer.state.name, answer.failures
    if not answer.alive[function]:
        return (CutSet(function, state, ()),)
    cuts = [
        CutSet(function, state, (f,))
        for i, f in enumerate(failures)
        if not answer.functions[function] >> i & 1
    ]
    if order == 2:
        rows = (pairs or pair_losses(answer, (function,))).rows[function]
        cuts += [
            CutSet(function, state, (failures[i], failures[j]))
            for i, row in enumerate(rows)
            for j in bits(row >> i << i)
        ]
    return tuple(cuts)


def pair_losses(
    answer: StateAnswer,
    functions: Collection[str] | None = None,
    grouped: bool = True,
    firsts: int | None = None,
) -> PairLosses:
    """Solve a state under every pair of its single failures, for some functions or for all.

    With ``firsts``, a mask of failures, only the rows of these are filled. Without ``grouped``
    every pair is solved by itself, which gives the same and takes longer.
    """
    names = [f for f in answer.design.functions if answer.alive[f] and (functions is None or f in functions)]
    if not names:
        return PairLosses(MappingProxyType({}), 0)
    return _Pairs(answer, names, grouped, firsts).solved()


class _Pairs:
    def __init__(self, answer: StateAnswer, names: Sequence[str], grouped: bool, firsts: int | None):
        self.answer, self.names = answer, names
        self.count = len(answer.failures)
        self.firsts = firsts
        loads = watched(answer.design, answer.network, names)
        self.grouping = (
            grouping(answer.network, answer.state, answer.failures, loads)
            if grouped
            else Grouping.of_each(self.count)
        )
        #: for each function the failures that do not lose it alone
        self.survived = {name: answer.functions[name] for name in names}
        self.rows: dict[str, list[int]] = {name: [0] * self.count for name in names}
        self.lanes = 0

    def solved(self) -> PairLosses:
        """Every pair of groups, then the pairs that the groups do not stand for."""
        self._groups()
        self._samples([s for s in self.grouping.samples if self._wanted(s)])
        firsts = (1 << self.count) - 1 if self.firsts is None else self.firsts
        for name, rows in self.rows.items():
            survived = self.survived[name]
            for i, row in enumerate(rows):
                rows[i] = row & survived & ~(1 << i) if survived & firsts & 1 << i else 0
        return PairLosses(
            MappingProxyType({name: tuple(rows) for name, rows in self.rows.items()}), self.lanes
        )

    def _matters(self, failure: int) -> bool:
        """Whether a failure leaves a function for a second one to lose."""
        return any(mask >> failure & 1 for mask in self.survived.values())

    def _is_first(self, failures: Iterable[int]) -> bool:
        return self.firsts is None or any(self.firsts >> i & 1 for i in failures)

    def _wanted(self, sample: Sample) -> bool:
        return all(map(self._matters, sample.pair)) and self._is_first((*sample.firsts, *sample.seconds))

    def _groups(self) -> None:
        """Every pair of two groups, by the first member of each."""
        kept = [(n, g) for n, g in enumerate(self.grouping.groups) if self._matters(g.members[0])]
        cases = [self.answer.failures[g.members[0]] for _, g in kept]
        lost: dict[str, list[int]] = {name: [0] * len(kept) for name in self.names}
        for rows, columns in self._blocks(kept):
            solved = conduct_pairs(
                self.answer.network,
                self.answer.state,
                [cases[i] for i in rows],
                cases[columns.start : columns.stop],
                self.answer.healthy,
            )
            width = len(columns)
            for name, mask in self._lost(solved).items():
                for k, i in enumerate(rows):
                    row = (mask >> k * width & (1 << width) - 1) << columns.start
                    lost[name][i] |= row & ~(1 << i)
        self._enter_groups(kept, lost)

    def _blocks(self, kept: Sequence[tuple[int, Group]]) -> Iterator[tuple[Sequence[int], range]]:
        """(rows, columns) of blocks that together hold every pair that is wanted."""
        if self.firsts is None:
            for start, stop, left, right in blocks(len(kept)):
                yield range(start, stop), range(left, right)
            return
        firsts = [i for i, (_, group) in enumerate(kept) if self._is_first(group.members)]
        height = max(1, BLOCK // max(1, len(kept)))
        for at in range(0, len(firsts), height):
            yield firsts[at : at + height], range(len(kept))

    def _enter_groups(self, kept: Sequence[tuple[int, Group]], lost: Mapping[str, Sequence[int]]) -> None:
        """Enter what pairs of groups lose for all pairs of their members."""
        place = {number: i for i, (number, _) in enumerate(kept)}
        apart = [0] * len(kept)
        for pair in self.grouping.apart:
            one, other = (place.get(number, -1) for number in pair)
            if min(one, other) >= 0:
                apart[one] |= 1 << other
                apart[other] |= 1 << one
        members = [mask_of(g.members, self.count) for _, g in kept]
        for name, rows in lost.items():
            partners = [0] * len(kept)
            by_row: dict[int, list[int]] = {}
            for i, row in enumerate(rows):
                by_row.setdefault(row & ~apart[i], []).append(i)
            for row, alike in by_row.items():
                others, own = list(bits(row)), join(members[i] for i in alike)
                each = join(members[j] for j in others)
                for i in alike:
                    partners[i] |= each
                for j in others:
                    partners[j] |= own
            self._note(name, {g.members: mask for (_, g), mask in zip(kept, partners, strict=True)})

    def _samples(self, samples: Sequence[Sample]) -> None:
        """The pairs solved one by one, each standing for those equivalent to it."""
        failures = self.answer.failures
        for start in range(0, len(samples), BLOCK):
            block = samples[start : start + BLOCK]
            cases = [(failures[s.pair[0]], failures[s.pair[1]]) for s in block]
            solved = conduct(self.answer.network, self.answer.state, cases, self.answer.healthy)
            several = dict.fromkeys(members for s in block for members in (s.firsts, s.seconds))
            masks = {members: mask_of(members, self.count) for members in several}
            for name, mask in self._lost(solved).items():
                partners = dict.fromkeys(several, 0)
                for k in bits(mask):
                    one, other = block[k].firsts, block[k].seconds
                    partners[one] |= masks[other]
                    partners[other] |= masks[one]
                self._note(name, partners)

    def _lost(self, solved: Conduction) -> dict[str, int]:
        """For each function, the lanes in which it is lost."""
        every = (1 << solved.width) - 1
        self.lanes += solved.width
        lives = function_masks(self.answer.design, solved.powered, every)
        return {name: every & ~lives[name] for name in self.names}

    def _note(self, name: str, partners: Mapping[tuple[int, ...], int]) -> None:
        """Enter every pair of one of some members and one of their ``partners`` as a loss."""
        rows = self.rows[name]
        for members, mask in partners.items():
            for i in members if mask else ():
                rows[i] |= mask


def blocks(count: int) -> Iterator[tuple[int, int, int, int]]:
    """Blocks (start, stop, left, right) of at most :data:`BLOCK` pairs that hold every pair of
    ``count``.

    A block has the rows from start to stop and the columns from left to right.
    """
    start = 0
    while start < count:
        left = start
        width = min(count - left, BLOCK)
        stop = min(count, start + max(1, BLOCK // width))
        while left < count:
            yield start, stop, left, min(count, left + width)
            left += width
        start = stop
