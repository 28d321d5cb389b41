"""Overvoltage relays that the file draws: which single failures keep them from tripping, unseen."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from reviewer.analysis.conduction.failure_modes import FULL_ON, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model.record import record
from reviewer.network.graph import bare


@record
class UnseenTripLoss:
    """The latent ``failures`` of a state with which an ``alternator`` (a name) works on although its
    ``regulator`` (a name) has failed full on: its overvoltage relay does not trip."""

    alternator: str
    regulator: str
    state: str
    failures: tuple[Failure, ...]


def unseen_trip_loss(
    answer: StateAnswer,
    relay: str,
    unused: Sequence[Failure],
    hidden: Callable[[Sequence[Failure]], Collection[Failure]],
) -> UnseenTripLoss | None:
    """Of the failures that use does not reveal (``unused``) those that ``hidden`` finds latent and that
    keep an overvoltage relay (an element) from tripping; None where there are none, or where the
    relay does not trip with nothing else failed."""
    for source in answer.network.sources:
        if source.relay is None or source.relay[0] != relay:
            continue
        full_on = Failure(source.tripped, FULL_ON)
        cases = [(one, full_on) for one in unused if one.element != source.tripped]
        solved = conduct(answer.network, answer.state, [*cases, (full_on,)], answer.healthy)
        on = solved.alive[source.element]
        if on >> len(cases) & 1:
            continue
        latent = set(hidden([one for i, (one, _) in enumerate(cases) if on >> i & 1]))
        if latent:
            failures = tuple(one for one, _ in cases if one in latent)
            return UnseenTripLoss(bare(source.element), bare(source.tripped), answer.state.name, failures)
    return None
