"""Pairs of a latent failure and a further one that lose a critical function, which the latent one
does not lose, and the further one not for good."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import product
from typing import NamedTuple

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct_pairs
from reviewer.analysis.conduction.late_outcomes import NONE_AFTER, NONE_LATE, Late, LateAfter
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import (
    StateAnswer,
    critical_functions,
    function_masks,
    needs,
    watched,
)
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.cut_sets.equivalence import grouping
from reviewer.analysis.cut_sets.late_pairs import late_pairs
from reviewer.analysis.cut_sets.minimal_cut_sets import pair_losses
from reviewer.analysis.cut_sets.single_points import outermost
from reviewer.model.design import Design


class CompletingPair(NamedTuple):
    """A latent failure and the further failure that loses a function with it."""

    first: Failure
    second: Failure
    function: str


def completing_pairs(
    design: Design,
    normal: StateAnswer,
    latent: Sequence[Failure],
    late: Late = NONE_LATE,
    after: LateAfter = NONE_AFTER,
) -> Iterator[CompletingPair]:
    """Every pair of a latent failure and another that loses a critical function in the normal
    state, which neither loses alone; the other in each outcome that ``late`` has of it, and
    ``after`` the latent one."""
    functions = [f for f in critical_functions(design) if normal.alive[f]]
    number = {failure: i for i, failure in enumerate(normal.failures)}
    listed = [failure for failure in latent if failure in number]
    if not functions or not latent:
        return
    firsts = sum(1 << number[failure] for failure in listed)
    rows = pair_losses(normal, functions, firsts=firsts).rows if listed else {}
    for function, of_function in rows.items():
        for first in listed:
            for j in bits(of_function[number[first]]):
                yield CompletingPair(first, normal.failures[j], function)
    yield from _with_stuck_relays(design, normal, [f for f in latent if f not in number], functions)
    for function, shorts in late_pairs(normal, functions, latent, late, after).items():
        for first, by_index in zip(latent, shorts, strict=True):
            for short in by_index.values():
                yield CompletingPair(first, short, function)


def _with_stuck_relays(
    design: Design, normal: StateAnswer, stuck: Sequence[Failure], functions: Sequence[str]
) -> Iterator[CompletingPair]:
    """:func:`completing_pairs` for latent failures that are not among those of the state."""
    seconds = normal.failures
    for first in stuck if seconds else ():
        solved = conduct_pairs(normal.network, normal.state, [first], seconds, normal.healthy)
        works = function_masks(design, solved.powered, (1 << len(seconds)) - 1)
        for function in functions:
            for j in bits(normal.functions[function] & ~works[function]):
                yield CompletingPair(first, seconds[j], function)


def unrecovered_pairs(normal: StateAnswer, latent: Sequence[Failure], crew: Crew) -> Iterator[CompletingPair]:
    """Every pair of a latent failure and another after which declared actions restore a critical
    function in the normal state, if it is alone, and not after both.

    A function is left out after a failure that loses another of at least the same class too, which
    needs it and is restored.
    """
    restored = {
        function: mask & ~normal.functions[function]
        for function, mask in crew.recoverable(normal).items()
        if normal.alive[function] or function not in normal.state.without
    }
    alike = _Alike(normal, latent) if any(restored.values()) else None
    for function, mask in restored.items():
        for outer, other in restored.items():
            if needs(normal.design, outer, function) and outermost(normal.design, (function, outer)) == (
                outer,
            ):
                mask &= ~other
        if not mask or alike is None:
            continue
        samples = dict(alike.samples(set(bits(mask))))
        for pair in crew.unrecovered(function, normal.state.name, list(samples)):
            firsts, seconds = samples[pair]
            for first, second in product(firsts, seconds):
                if first.element != second.element:
                    yield CompletingPair(first, second, function)


class _Alike:
    """Latent failures and others, those together of which one stands for all in every state."""

    def __init__(self, normal: StateAnswer, latent: Sequence[Failure]):
        self.failures = normal.failures
        number = {failure: i for i, failure in enumerate(self.failures)}
        self.latent = {number[failure] for failure in latent if failure in number}
        self.others = [failure for failure in latent if failure not in number]
        loads = watched(normal.design, normal.network, critical_functions(normal.design))
        self.grouping = grouping(normal.network, None, self.failures, loads)

    def samples(
        self, seconds: Collection[int]
    ) -> Iterator[tuple[tuple[Failure, Failure], tuple[list[Failure], list[Failure]]]]:
        """Pairs of a latent failure and one of ``seconds`` (numbers), each with all for which each
        of the two stands."""
        groups = [group.members for group in self.grouping.groups]
        later = [(j, some) for j, group in enumerate(groups) if (some := _those(group, seconds))]
        for failure in self.others:
            for _, some in later:
                yield self._sample([failure], self._named(some))
        for i, group in enumerate(groups):
            latent = _those(group, self.latent)
            for j, some in later if latent else ():
                if i != j and (min(i, j), max(i, j)) not in self.grouping.apart:
                    yield self._sample(self._named(latent), self._named(some))
        for sample in self.grouping.samples:
            for one, other in ((sample.firsts, sample.seconds), (sample.seconds, sample.firsts)):
                latent, some = _those(one, self.latent), _those(other, seconds)
                if latent and some:
                    yield self._sample(self._named(latent), self._named(some))

    def _named(self, numbers: Iterable[int]) -> list[Failure]:
        return [self.failures[i] for i in numbers]

    def _sample(
        self, firsts: list[Failure], seconds: list[Failure]
    ) -> tuple[tuple[Failure, Failure], tuple[list[Failure], list[Failure]]]:
        return (firsts[0], seconds[0]), (firsts, seconds)


def _those(members: Iterable[int], wanted: Collection[int]) -> list[int]:
    return [i for i in members if i in wanted]
