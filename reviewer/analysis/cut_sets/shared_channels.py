"""Protective devices that redundant channels of a function share."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Set
from itertools import combinations

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import (
    StateAnswer,
    channel_mask,
    function_mask,
    function_masks,
    units_of,
)
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import bare, holder


def shared_protectors(design: Design, answer: StateAnswer, function: str) -> dict[str, tuple[str, ...]]:
    """Protectors whose opening loses a redundant function by two or more of its channels.

    Element -> the channels. Where enough channels stay powered by another path, the protector is
    not a common cause. It is no shared protector where the channels are lost by a load that they
    have in common, or by a relay that drops out.
    """
    spec = design.functions[function]
    if spec.any >= len(spec.of) or not answer.alive[function]:
        return {}
    opened = [
        failure
        for i, failure in enumerate(answer.failures)
        if failure.mode == OPEN and not answer.functions[function] >> i & 1 and _is_protector(design, failure)
    ]
    held = tuple(
        Failure(moved, HELD if answer.healthy.energised[moved] else DROPPED)
        for moved in answer.network.moved
        if moved not in answer.network.lamp_contacts
    )
    cases = [(failure, *held) for failure in opened]
    solved = conduct(answer.network, answer.state, cases, answer.healthy) if cases else answer.healthy
    works = function_mask(design, solved.powered, (1 << len(cases)) - 1, function)
    shared: dict[str, tuple[str, ...]] = {}
    for lane, failure in enumerate(opened):
        lost = {
            bare(element)
            for element, mask in solved.powered.items()
            if answer.healthy.powered[element] and not mask >> lane & 1
        }
        channels = _lost_channels(design, function, answer, lost)
        if not works >> lane & 1 and len(channels) >= 2:
            shared[failure.element] = channels
    return shared


def _lost_channels(design: Design, function: str, answer: StateAnswer, lost: Set[str]) -> tuple[str, ...]:
    """The channels of a function that some loads lose, if two of them each by a load of its own."""
    working = {
        e: mask & 1 and int(holder(e) != e or bare(e) not in lost)
        for e, mask in answer.healthy.powered.items()
    }
    before, after = _by_name(design, answer.healthy.powered), _by_name(design, working)
    channels = tuple(c for c in design.functions[function].of if before[c] and not after[c])
    loads = [set(units_of(design, c) if c in design.functions else (c,)) for c in channels]
    apart = any(lost & (one - other) and lost & (other - one) for one, other in combinations(loads, 2))
    return channels if apart else ()


def _by_name(design: Design, powered: Mapping[str, int]) -> Mapping[str, int]:
    """The masks of functions and of loads, by name; a function goes before a load of its name."""
    loads = {bare(e): channel_mask(design, powered, bare(e)) for e in powered if holder(e) == e}
    return {**loads, **function_masks(design, powered, 1)}


def _is_protector(design: Design, failure: Failure) -> bool:
    return failure.element.startswith("parts/") and isinstance(
        design.parts[bare(failure.element)], p.Protector
    )


def shared_in_states(
    design: Design,
    answers: tuple[StateAnswer, ...],
    function: str,
    restored: Callable[[str, Failure], bool],
) -> dict[str, tuple[str, tuple[str, ...]]]:
    """:func:`shared_protectors` over several states: element -> (first state, channels). Not where the
    function is ``restored`` in that state after the protector has opened."""
    shared: dict[str, tuple[str, tuple[str, ...]]] = {}
    for answer in answers:
        for element, channels in shared_protectors(design, answer, function).items():
            if element not in shared and not restored(answer.state.name, Failure(element, OPEN)):
                shared[element] = (answer.state.name, channels)
    return shared
