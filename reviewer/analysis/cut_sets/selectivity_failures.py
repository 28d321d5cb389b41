"""Failures of selectivity: shorts that a protector further upstream may clear first, and what is
lost then."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.late_outcomes import Share, late_outcomes
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.model.canonical_order import name_order
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare


@record
class SelectivityFailure:
    """A short that ``protector`` may not clear first: those of ``first``, further upstream, may
    open before it.

    ``lost`` are the functions that work if it opens first, and not otherwise; ``loads`` the loads
    (names) that do. ``unrated`` are those of ``protector`` and ``first``, and of those between,
    without a rating.
    """

    protector: str
    first: tuple[str, ...]
    state: str
    failure: Failure
    lost: tuple[str, ...]
    loads: tuple[str, ...]
    unrated: tuple[str, ...]


def selectivity_failures(
    design: Design, network: Network, answer: StateAnswer, share: Share
) -> tuple[SelectivityFailure, ...]:
    """Every nearest protector that may not open first, for one short of each fault zone in a state.

    Each with what is lost that would not be lost if the nearest protector opened first. Those that
    lose no function are included. ``share`` says how feeds in parallel share the current. Where
    what feeds the short cannot open those further upstream, no rating of theirs is at fault.
    """
    doubtful = [one for one in late_outcomes(design, network, answer, share) if not one.limited]
    if not doubtful:
        return ()
    solved = conduct(network, answer.state, [one.failure for one in doubtful], answer.healthy)
    works = function_masks(design, solved.powered, (1 << len(doubtful)) - 1)
    wanted = [f for f in answer.functions if answer.alive[f]]
    described = []
    for lane, one in enumerate(doubtful):
        lost = tuple(f for f in wanted if answer.functions[f] >> one.index & 1 and not works[f] >> lane & 1)
        loads = tuple(
            bare(e)
            for e in (c.element for c in network.consumers)
            if answer.healthy.powered[e]
            and answer.failed.powered[e] >> one.index & 1
            and not solved.powered[e] >> lane & 1
        )
        doubted = dict.fromkeys((one.nearest, *one.first, *sorted(one.failure.passes, key=name_order)))
        unrated = tuple(e for e in doubted if design.parts[bare(e)].rating is None)
        short = Failure(
            one.failure.element, one.failure.mode, one.failure.nodes, passes=frozenset({one.nearest})
        )
        described.append(
            SelectivityFailure(one.nearest, one.first, answer.state.name, short, lost, loads, unrated)
        )
    return tuple(described)
