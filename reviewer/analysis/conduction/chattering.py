"""Relays that chatter: pulled in, their contacts take power off the coil; dropped out, they give it back."""

from __future__ import annotations

from reviewer.analysis.conduction.failure_modes import DROPPED, HELD, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer


def chattering_relays(answer: StateAnswer) -> tuple[str, ...]:
    """The relays (elements) of a state that does not settle whose coil has no power with their contacts held
    as energised, and has with their contacts held at rest; a field that does not settle has none."""
    if not answer.healthy.unsettled:
        return ()
    coils = [coil.element for coil in answer.network.coils]
    cases = [(Failure(coil, mode),) for coil in coils for mode in (HELD, DROPPED)]
    held = conduct(answer.network, answer.state, cases)
    return tuple(coil for i, coil in enumerate(coils) if held.energised[coil] >> 2 * i & 3 == 0b10)
