"""Electronic breakers that stay closed without supply, and so protect nothing while they are fed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.conduction.fixed_point import Conduction
from reviewer.analysis.conduction.metal import gone_with
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Link, Network
from reviewer.network.search import anything_against, reachable


@record
class UnsuppliedBreaker:
    """A ``breaker`` (name) that is fed in ``state`` while the unit that it is inside of has no
    power: in the whole system, or after ``failure``."""

    breaker: str
    state: str
    failure: Failure | None


def stays_closed(design: Design) -> tuple[str, ...]:
    """The names of the electronic breakers that stay closed without supply."""
    breakers = design.of_kind(p.Breaker)
    return tuple(n for n in breakers if design.parts[n].inside and design.parts[n].without_supply == "closed")


def unsupplied_breakers(
    design: Design,
    network: Network,
    answers: Iterable[StateAnswer],
    allowed: Callable[[str], float | None],
) -> Iterator[UnsuppliedBreaker]:
    """For each breaker and state the whole system, or of the failures after which it is fed without
    supply the one by which least is lost. A failure of the unit itself opens the breaker.
    ``allowed`` gives the largest rating, A, that protects the wires behind a breaker, None where
    that is not known: a device of no more than that ahead of the breaker protects them still."""
    names = [n for n in stays_closed(design) if not _protected_ahead(design, network, n, allowed(n))]
    for answer in answers if names else ():
        for name in names:
            unit = f"parts/{design.parts[name].inside}"
            link = network.links[network.lone[f"parts/{name}"]]
            if not answer.healthy.powered[unit] and _fed(answer.healthy, link):
                yield UnsuppliedBreaker(name, answer.state.name, None)
                continue
            lanes = _fed(answer.failed, link) & ~answer.failed.powered[unit]
            found = [i for i in range(len(answer.failures)) if lanes >> i & 1]
            found = [
                i for i in found if not gone_with(network, (answer.failures[i],)) & {unit, f"parts/{name}"}
            ]
            if found:
                least = min(found, key=lambda i: _lost(answer, i))
                yield UnsuppliedBreaker(name, answer.state.name, answer.failures[least])


def _lost(answer: StateAnswer, lane: int) -> int:
    """How many loads and instruments lose their power by a failure."""
    healthy, failed = answer.healthy.powered, answer.failed.powered
    return sum(1 for e, powered in healthy.items() if powered and not failed[e] >> lane & 1)


def _protected_ahead(design: Design, network: Network, name: str, allowed: float | None) -> bool:
    """Whether every path from a battery or from external power to a breaker passes another device
    that protects what is behind it."""
    own = f"parts/{name}"
    stops = {
        f"parts/{n}"
        for n in design.of_kind(p.Protector)
        if allowed is None or ((rating := design.parts[n].rating) is not None and rating <= allowed)
    }
    link = network.links[network.lone[own]]

    def passes(link: Link, leaving: bool) -> bool:
        return link.element not in stops and anything_against(link, leaving)

    ahead = reachable(network, (link.a, link.b), passes)
    return not any(s.positive in ahead for s in network.sources if s.kind in ("battery", "external-power"))


def _fed(conduction: Conduction, link: Link) -> int:
    return conduction.live(link.a) | conduction.live(link.b)
