"""Latent failures that complete a loss: with one further failure a critical function is lost, which
neither failure loses alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct_pairs
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, critical_functions, function_masks
from reviewer.analysis.cut_sets.late_pairs import NONE_LATE, Late, late_pairs
from reviewer.analysis.cut_sets.minimal_cut_sets import pair_losses
from reviewer.analysis.cut_sets.single_points import outermost
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network


@record
class LatentLoss:
    """An element whose latent failure completes a loss in a state.

    ``modes`` are its latent failures that do; ``losses`` are (critical function, the elements of
    which one further failure then loses it); ``equivalent`` are other elements with equivalent
    latent failures.
    """

    element: str
    state: str
    modes: tuple[str, ...]
    losses: tuple[tuple[str, tuple[str, ...]], ...]
    equivalent: tuple[str, ...] = ()


class CompletingPair(NamedTuple):
    """A latent failure and the further failure that loses a function with it."""

    first: Failure
    second: Failure
    function: str


def latent_losses(
    design: Design,
    network: Network,
    normal: StateAnswer,
    latent: Sequence[Failure],
    late: Late = NONE_LATE,
) -> tuple[LatentLoss, ...]:
    """Every element with a latent failure that completes a loss in the normal state.

    Elements that lead to the same losses are reported at one of them. ``late[failure]`` is a short
    with each other outcome that the ratings of the protectors allow.
    """
    by_element: dict[str, list[CompletingPair]] = {}
    for pair in completing_pairs(design, normal, latent, late):
        if pair.second.element != pair.first.element:
            by_element.setdefault(pair.first.element, []).append(pair)
    order = {
        element: i
        for i, element in enumerate((*network.elements, *(f"bundles/{b}" for b in network.bundles)))
    }
    losses = [
        _loss(design, network, normal, element, by_element[element])
        for element in sorted(by_element, key=order.__getitem__)
    ]
    groups: dict[object, list[LatentLoss]] = {}
    for loss in losses:
        groups.setdefault(loss.losses, []).append(loss)
    done = []
    for group in groups.values():
        # an element that matters when open is easier to find than the place of a short
        first = next((loss for loss in group if OPEN in loss.modes), group[0])
        done.append(replace(first, equivalent=tuple(loss.element for loss in group if loss is not first)))
    return tuple(sorted(done, key=lambda loss: order[loss.element]))


def _loss(
    design: Design, network: Network, normal: StateAnswer, element: str, pairs: Sequence[CompletingPair]
) -> LatentLoss:
    functions = outermost(design, tuple(dict.fromkeys(p.function for p in pairs)))
    modes = dict.fromkeys(p.first.words(network) for p in pairs if p.function in functions)
    losses = tuple(
        (f, tuple(sorted({p.second.element for p in pairs if p.function == f}))) for f in functions
    )
    return LatentLoss(element, normal.state.name, tuple(modes), losses)


def completing_pairs(
    design: Design, normal: StateAnswer, latent: Sequence[Failure], late: Late = NONE_LATE
) -> Iterator[CompletingPair]:
    """Every pair of a latent failure and another that loses a critical function in the normal
    state, which neither loses alone; the other in each outcome that ``late`` has of it."""
    functions = [f for f in critical_functions(design) if normal.alive[f] and f not in normal.state.without]
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
    for function, shorts in late_pairs(normal, functions, latent, late).items():
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
