"""Latent failures that complete a loss: with one further failure a critical function is lost, which
neither failure loses alone, or which the crew restores after the further failure alone."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import chain

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.late_outcomes import NONE_AFTER, NONE_LATE, Late, LateAfter
from reviewer.analysis.conduction.states import StateAnswer, critical_functions
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.cut_sets.low_pairs import low_pairs
from reviewer.analysis.cut_sets.low_volts import LowVolts
from reviewer.analysis.cut_sets.single_points import outermost
from reviewer.analysis.detection.completing_pairs import (
    CompletingPair,
    completing_pairs,
    unrecovered_pairs,
)
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network


@record
class LostRecovery:
    """The moves, (switch or protector, position) pairs, that restore a critical function after one
    further failure of some elements, and no longer do."""

    function: str
    moves: tuple[tuple[str, str], ...]
    elements: tuple[str, ...]


@record
class LatentLoss:
    """An element whose latent failure completes a loss in a state.

    ``modes`` are its latent failures that do; ``losses`` are (critical function, the elements of
    which one further failure then loses it); ``recoveries`` are those that the crew then has no
    more; ``equivalent`` are other elements with equivalent latent failures; ``partners`` are those
    whose latent failures complete no pair that is not reported otherwise, with its failures in the
    other order.
    """

    element: str
    state: str
    modes: tuple[str, ...]
    losses: tuple[tuple[str, tuple[str, ...]], ...]
    recoveries: tuple[LostRecovery, ...]
    equivalent: tuple[str, ...] = ()
    partners: tuple[str, ...] = ()


def latent_losses(
    design: Design,
    network: Network,
    normal: StateAnswer,
    unused: Sequence[Failure],
    hidden: Callable[[Sequence[Failure]], Collection[Failure]],
    crew: Crew,
    late: Late = NONE_LATE,
    after: LateAfter = NONE_AFTER,
    volts: LowVolts | None = None,
) -> tuple[LatentLoss, ...]:
    """Every element with a latent failure that completes a loss in the normal state.

    ``unused`` are the failures that use does not reveal, ``hidden`` gives those of some that no
    monitor shows either: it is asked of those that complete something.
    Elements that lead to the same losses are reported at one of them. ``late[failure]`` is a short
    with each other outcome that the ratings of the protectors allow, ``after[first]`` has the same
    after a latent failure that alters it. With ``volts`` a function that is left with too few counts as
    lost.
    """
    by_volts = _by_volts(design, normal, unused, volts)
    pairs = [
        [pair for pair in some if pair.second.element != pair.first.element]
        for some in (
            chain(completing_pairs(design, normal, unused, late, after), by_volts),
            unrecovered_pairs(normal, unused, crew),
        )
    ]
    latent = set(hidden(tuple(dict.fromkeys(pair.first for some in pairs for pair in some))))
    lost, unrecovered = (_by_element(pair for pair in some if pair.first in latent) for some in pairs)
    losses = [
        _loss(normal, element, lost.get(element, ()), unrecovered.get(element, ()), crew)
        for element in sorted({*lost, *unrecovered}, key=network.order.__getitem__)
    ]
    groups: list[list[LatentLoss]] = []
    for loss in losses:
        same = next((group for group in groups if _equivalent(group[0], loss)), None)
        if same is None:
            groups.append([loss])
        else:
            same.append(loss)
    done: list[LatentLoss] = []
    for group in groups:
        # an element that matters when open is easier to find than the place of a short
        first = next((loss for loss in group if OPEN in loss.modes), group[0])
        done.append(replace(first, equivalent=tuple(loss.element for loss in group if loss is not first)))
    return tuple(sorted(_each_pair_once(done), key=lambda loss: network.order[loss.element]))


def _by_volts(
    design: Design, normal: StateAnswer, unused: Sequence[Failure], volts: LowVolts | None
) -> Iterator[CompletingPair]:
    """The pairs that leave a critical function with too few volts."""
    if volts is not None:
        for pair in low_pairs(volts, normal, critical_functions(design), unused):
            yield CompletingPair(pair.first, pair.second, pair.function)


def _completed(loss: LatentLoss) -> dict[tuple[str, object], frozenset[str]]:
    """What a latent failure completes: (function, moves or None) -> the further failures' elements."""
    return {
        **{(function, None): frozenset(elements) for function, elements in loss.losses},
        **{(r.function, r.moves): frozenset(r.elements) for r in loss.recoveries},
    }


def _equivalent(one: LatentLoss, other: LatentLoss) -> bool:
    """Whether two latent failures lead to the same losses; each lacks itself among its own."""
    both = {one.element, other.element}
    first, second = _completed(one), _completed(other)
    return first.keys() == second.keys() and all(first[key] - both == second[key] - both for key in first)


def _each_pair_once(losses: Sequence[LatentLoss]) -> Iterator[LatentLoss]:
    """The losses without those whose every pair another has with the other failure as the latent
    one; these are partners of the one with which they have most pairs."""
    pairs = [
        {
            (frozenset((element, second)), key)
            for element in (loss.element, *loss.equivalent)
            for key, seconds in _completed(loss).items()
            for second in seconds
        }
        for loss in losses
    ]
    told = Counter(pair for some in pairs for pair in some)
    kept = list(range(len(losses)))
    for i in reversed(range(len(losses))):
        if all(told[pair] > 1 for pair in pairs[i]):
            told.subtract(pairs[i])
            kept.remove(i)
    partners: dict[int, list[str]] = {i: [] for i in kept}
    for i in set(range(len(losses))) - set(kept):
        beside = max(kept, key=lambda k: len(pairs[i] & pairs[k]))
        partners[beside] += (losses[i].element, *losses[i].equivalent)
    for i in kept:
        yield replace(losses[i], partners=tuple(partners[i]))


def _by_element(pairs: Iterable[CompletingPair]) -> dict[str, list[CompletingPair]]:
    """Pairs of failures by the element of the latent one."""
    by_element: dict[str, list[CompletingPair]] = {}
    for pair in pairs:
        by_element.setdefault(pair.first.element, []).append(pair)
    return by_element


def _seconds(network: Network, pairs: Iterable[CompletingPair]) -> tuple[str, ...]:
    """The elements of the further failures."""
    return tuple(sorted({pair.second.element for pair in pairs}, key=network.order.__getitem__))


def _loss(
    normal: StateAnswer,
    element: str,
    lost: Sequence[CompletingPair],
    unrecovered: Sequence[CompletingPair],
    crew: Crew,
) -> LatentLoss:
    """What the latent failures of an element complete."""

    def named(pairs: Sequence[CompletingPair]) -> Iterator[tuple[str, list[CompletingPair]]]:
        for function in outermost(normal.design, tuple(dict.fromkeys(p.function for p in pairs))):
            yield function, [p for p in pairs if p.function == function]

    losses, recoveries = [], []
    modes: dict[str, None] = {}
    for function, pairs in named(lost):
        modes.update(dict.fromkeys(p.first.words(normal.network) for p in pairs))
        losses.append((function, _seconds(normal.network, pairs)))
    for function, pairs in named(unrecovered):
        modes.update(dict.fromkeys(p.first.words(normal.network) for p in pairs))
        way = crew.recoveries(function, normal.state.name, pairs[0].second)[0]
        recoveries.append(LostRecovery(function, way.moves, _seconds(normal.network, pairs)))
    return LatentLoss(element, normal.state.name, tuple(modes), tuple(losses), tuple(recoveries))
