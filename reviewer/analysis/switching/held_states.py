"""Declared states in which a sneak current energises a relay, for every question about them.

A relay that picks up by it is energised in the state itself. One that only stays energised where it
was energised before makes a second state beside the declared one, with a name of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.paths.sneak_effects import coil_limits
from reviewer.analysis.switching.sneak_held import SneakHeld, live_with
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import bare


@record
class EnergisedBySneak:
    """A ``relay`` (a pointer) that a current ``through`` loads and coils energises in ``state``.

    ``volts`` across its coil, and the ``limit`` that they reach: its pickup voltage where it
    ``picks_up``, else its dropout voltage. ``live`` are the buses, or loads, that live with it
    alone. ``missing`` is the input without which nobody knows whether it stays energised, else "".
    ``beside`` is the name of the state with the relay still energised, "" where there is none.
    """

    relay: str
    state: str
    picks_up: bool
    volts: float
    limit: float
    through: tuple[str, ...]
    path: tuple[str, ...]
    live: tuple[str, ...]
    missing: str
    beside: str


def energised_by_sneaks(
    design: Design,
    answer: StateAnswer,
    held: Sequence[SneakHeld],
    volts: Callable[[StateAnswer, str], float],
) -> Iterator[tuple[EnergisedBySneak, StateAnswer | None]]:
    """The relays that sneak currents energise in a declared state, each with the state beside it.

    ``held`` are those of every setting, ``volts`` gives those across the coil of a relay in a
    state.
    """
    state = answer.state
    if answer.healthy.unsettled:
        return
    for sneak in {s.relay: s for s in reversed(state.sneaks)}.values():
        if answer.healthy.energised[sneak.relay]:
            own = conduct(answer.network, state.by_own_circuits(sneak.relay))
            across, missing = 0.0, ""
            try:
                across = volts(answer, sneak.relay)
            except NotAssessable as lacking:
                missing = lacking.needs
            yield (
                EnergisedBySneak(
                    relay=sneak.relay,
                    state=state.name,
                    picks_up=True,
                    volts=across,
                    limit=_limit(design, sneak.relay, held=False),
                    through=sneak.through,
                    path=sneak.path,
                    live=live_with(design, answer.network, answer.healthy, own),
                    missing=missing,
                    beside="",
                ),
                None,
            )
    known = {sneak.relay for sneak in state.sneaks}
    for found in held:
        relay = found.relay
        if relay in known or answer.healthy.energised[relay] or not found.set_as(state):
            continue
        known.add(relay)
        beside = None
        if not found.missing and found.held.healthy.energised[relay]:
            name = f"{state.name} with {bare(relay)} still energised"
            sneaks = tuple(dict.fromkeys((*state.sneaks, *found.held.state.sneaks)))
            beside = replace(found.held, state=replace(state, name=name, sneaks=sneaks))
        yield (
            EnergisedBySneak(
                relay=relay,
                state=state.name,
                picks_up=False,
                volts=found.volts,
                limit=_limit(design, relay, held=True),
                through=found.through,
                path=found.path,
                live=found.live,
                missing=found.missing,
                beside=beside.state.name if beside else "",
            ),
            beside,
        )


def _limit(design: Design, relay: str, held: bool) -> float:
    return coil_limits(design.parts[bare(relay)], design.aircraft.volts, held)[1]
