"""Minimal cut sets: the fewest failures that together lose a function, each of which is needed for it.

Redundancy is judged here, from the sources to the function through whatever stands between, never by the name of a bus. Order 1 and 2
are listed. All functions of a state are solved together, as lanes of pairs; failures that are alike are solved once
(:mod:`reviewer.analysis.cut_sets.equivalence`). Term: IEC 61025, "minimal cut set" (from memory).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import field
from types import MappingProxyType

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, conduct_pairs
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.scenarios import mask_of
from reviewer.analysis.conduction.states import StateAnswer, function_masks, loads_of
from reviewer.analysis.cut_sets.equivalence import Grouping, Sample, grouping
from reviewer.model.record import record

#: lanes that are solved side by side; more would cost memory and no less time
BLOCK = 32_768


@record
class CutSet:
    """Failures that together lose a function in a state, none of which can be left out. Without failures: the function does not live anyway."""

    function: str
    state: str
    failures: tuple[Failure, ...]


@record
class PairLosses:
    """The minimal pairs of a state: bit j of ``rows[function][i]`` says that failures i and j lose the function, and neither alone.

    The numbers are those of ``answer.failures``. Functions that do not live in the healthy state have no rows. Where relays hunt under a pair, what
    the last round left counts.
    """

    rows: Mapping[str, tuple[int, ...]]
    #: how many lanes were solved for it
    lanes: int = field(compare=False)


def cut_sets(
    answer: StateAnswer, function: str, order: int = 2, pairs: PairLosses | None = None
) -> tuple[CutSet, ...]:
    """The minimal cut sets of at most ``order`` (1 or 2) failures, single ones first, each in the order of ``answer.failures``.

    ``pairs`` may be given where they are known. Raises KeyError for an unknown function and ValueError for another order.
    """
    if order not in (1, 2):
        raise ValueError(f"cut sets of order {order} are not listed")
    state, failures = answer.state.name, answer.failures
    if not answer.alive[function]:
        return (CutSet(function, state, ()),)
    found = [
        CutSet(function, state, (f,))
        for i, f in enumerate(failures)
        if not answer.functions[function] >> i & 1
    ]
    if order == 2:
        rows = (pairs or pair_losses(answer, (function,))).rows[function]
        found += [
            CutSet(function, state, (failures[i], failures[j]))
            for i, row in enumerate(rows)
            for j in bits(row >> i << i)
        ]
    return tuple(found)


def pair_losses(
    answer: StateAnswer, functions: Collection[str] | None = None, alike: bool = True
) -> PairLosses:
    """Solve a state under every pair of its single failures, for some functions or for all.

    Without ``alike`` every pair is solved by itself, which gives the same and takes longer.
    """
    names = [f for f in answer.design.functions if answer.alive[f] and (functions is None or f in functions)]
    if not names:
        return PairLosses(MappingProxyType({}), 0)
    return _Pairs(answer, names, alike).solved()


class _Pairs:
    def __init__(self, answer: StateAnswer, names: Sequence[str], alike: bool):
        self.answer, self.names = answer, names
        self.count = len(answer.failures)
        loads = {f"parts/{load}" for name in names for load in loads_of(answer.design, name)}
        self.grouping = (
            grouping(answer.network, answer.state, answer.failures, loads)
            if alike
            else Grouping.of_each(self.count)
        )
        #: for each function the failures that do not lose it alone
        self.spared = {name: answer.functions[name] for name in names}
        self.rows: dict[str, list[int]] = {name: [0] * self.count for name in names}
        self.lanes = 0

    def solved(self) -> PairLosses:
        self._groups()
        self._samples(
            [s for s in self.grouping.samples if self._matters(s.pair[0]) and self._matters(s.pair[1])]
        )
        for name, rows in self.rows.items():
            spared = self.spared[name]
            for i, row in enumerate(rows):
                rows[i] = row & spared & ~(1 << i) if spared >> i & 1 else 0
        return PairLosses(
            MappingProxyType({name: tuple(rows) for name, rows in self.rows.items()}), self.lanes
        )

    def _matters(self, failure: int) -> bool:
        """Whether a failure leaves a function for a second one to lose."""
        return any(mask >> failure & 1 for mask in self.spared.values())

    def _groups(self) -> None:
        """Every pair of two groups, by the first member of each."""
        kept = [(n, g) for n, g in enumerate(self.grouping.groups) if self._matters(g.members[0])]
        number = [n for n, _ in kept]
        members = [mask_of(g.members, self.count) for _, g in kept]
        cases = [self.answer.failures[g.members[0]] for _, g in kept]
        lost: dict[str, list[int]] = {name: [0] * len(kept) for name in self.names}
        for start, stop, left, right in blocks(len(kept)):
            solved = conduct_pairs(
                self.answer.network,
                self.answer.state,
                cases[start:stop],
                cases[left:right],
                self.answer.healthy,
            )
            width = right - left
            for name, mask in self._lost(solved).items():
                for i in range(start, stop):
                    # only pairs of two different groups, each once
                    lost[name][i] |= (
                        (mask >> (i - start) * width & (1 << width) - 1) << left >> i + 1 << i + 1
                    )
        for name, rows in lost.items():
            partners = [0] * len(kept)
            for i, row in enumerate(rows):
                for j in bits(row):
                    if (number[i], number[j]) not in self.grouping.apart:
                        partners[i] |= members[j]
                        partners[j] |= members[i]
            for (_, group), seconds in zip(kept, partners, strict=True):
                for i in group.members:
                    self.rows[name][i] |= seconds

    def _samples(self, samples: Sequence[Sample]) -> None:
        """The pairs that are told of one by one, each standing for those that are like it."""
        failures = self.answer.failures
        for start in range(0, len(samples), BLOCK):
            block = samples[start : start + BLOCK]
            cases = [(failures[s.pair[0]], failures[s.pair[1]]) for s in block]
            solved = conduct(self.answer.network, self.answer.state, cases, self.answer.healthy)
            for name, mask in self._lost(solved).items():
                for k in bits(mask):
                    self._note(
                        name, mask_of(block[k].firsts, self.count), mask_of(block[k].seconds, self.count)
                    )

    def _lost(self, solved: Conduction) -> dict[str, int]:
        every = (1 << solved.width) - 1
        self.lanes += solved.width
        lives = function_masks(self.answer.design, solved.powered, every)
        return {name: every & ~lives[name] for name in self.names}

    def _note(self, name: str, firsts: int, seconds: int) -> None:
        rows = self.rows[name]
        for i in bits(firsts):
            rows[i] |= seconds
        for j in bits(seconds):
            rows[j] |= firsts


def blocks(count: int) -> Iterator[tuple[int, int, int, int]]:
    """Blocks (start, stop, left, right) of at most :data:`BLOCK` pairs that hold every pair of two of ``count`` things."""
    start = 0
    while start < count:
        left = start
        width = min(count - left, BLOCK)
        stop = min(count, start + max(1, BLOCK // width))
        while left < count:
            yield start, stop, left, min(count, left + width)
            left += width
        start = stop
