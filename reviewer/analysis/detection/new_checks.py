"""Pre-flight checks that would show a latent failure: in the normal state with one switch moved a function
works, and with the failure it does not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from reviewer.analysis.conduction.exclusions import is_excluded
from reviewer.analysis.conduction.failure_modes import STAYS, Failure
from reviewer.analysis.conduction.fixed_point import conduct, conduct_pairs
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.model.record import record
from reviewer.network.graph import bare


@record
class NewCheck:
    """A check that nobody has declared: a ``switch`` at a ``position``, all else as in a state, and the
    ``function`` that is watched."""

    switch: str
    position: str
    function: str


def new_checks(
    normal: StateAnswer, failures: Sequence[Failure], functions: Iterable[str]
) -> dict[Failure, tuple[NewCheck, ...]]:
    """Failure -> the checks with one switch of the crew moved that would show it, by name."""
    design, network, state = normal.design, normal.network, normal.state
    moves = sorted(
        (
            move
            for move in normal.stuck_contacts
            if move.mode == STAYS
            and bare(move.element) in design.hand_switches
            and not is_excluded(design, {**state.switches, bare(move.element): move.position})
        ),
        key=lambda move: (move.element, move.position),
    )
    watched = sorted(set(functions))
    if not moves or not failures or not watched:
        return {}
    whole = conduct(network, state, moves, normal.healthy)
    works = function_masks(design, whole.powered, (1 << len(moves)) - 1, watched)
    pairs = conduct_pairs(network, state, moves, failures, normal.healthy)
    still = function_masks(design, pairs.powered, (1 << len(moves) * len(failures)) - 1, watched)
    return {
        failure: tuple(
            NewCheck(bare(move.element), move.position, function)
            for i, move in enumerate(moves)
            for function in watched
            if works[function] >> i & 1 and not still[function] >> (i * len(failures) + j) & 1
        )
        for j, failure in enumerate(failures)
    }
