"""Uncommanded operation: what one short to ground runs, though no switch commands it.

A load or coil that is switched in its return stands at the voltage of its feed while it is off. A
short to ground of that return completes its circuit.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from reviewer.analysis.conduction.failure_modes import Failure, shorts_at
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.states import StateAnswer, critical_functions, feed_path, loads_of
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network
from reviewer.network.search import reachable


@record
class Uncommanded:
    """``element``, a load or contactor, runs in a state by any of the ``shorts``.

    ``path`` leads from its source to it, or to its coil; ``through`` is what conducts then:
    relays whose coils pick up, dimmers, and what an input commands.
    """

    element: str
    state: str
    shorts: tuple[Failure, ...]
    through: tuple[str, ...]
    path: tuple[str, ...]


def uncommanded(design: Design, network: Network, answer: StateAnswer) -> Iterator[Uncommanded]:
    """What a single short to ground runs in a state: starters, contactors, critical loads.

    A contactor that runs a starter is reported with the starter. The contactor or relay by which a battery
    is connected is left out, with what it then feeds: a short leaves it closed, as a weld would.
    """
    shorts = shorts_at(design, network, answer.switched_returns, answer.hot, answer.held_up)
    if not shorts:
        return
    healthy, failed = answer.healthy, conduct(network, answer.state, shorts, answer.healthy)
    gained = {e: m for e, m in failed.powered.items() if not healthy.powered[e]}
    coils = {
        c.element: failed.energised[c.element] for c in network.acting if not healthy.energised[c.element]
    }
    connecting = connecting_relays(design, network)
    spared = _any(mask for e, mask in coils.items() if e in connecting)
    starters = {f"parts/{n}" for n in design.starters}
    cranked = _any(mask for e, mask in gained.items() if e in starters)
    critical = {f"parts/{n}" for f in critical_functions(design) for n in loads_of(design, f)}
    contactors = {f"parts/{n}" for n in design.of_kind(p.Contactor)} - connecting
    found = {e: m for e, m in gained.items() if e in starters}
    found |= {e: m & ~spared for e, m in gained.items() if e in critical - starters}
    found |= {e: m & ~(cranked | spared) for e, m in coils.items() if e in contactors}
    for element, mask in found.items():
        lanes = tuple(bits(mask))
        if lanes:
            through = tuple(e for e, m in coils.items() if m >> lanes[0] & 1 and e != element)
            user = next(u for u in (*network.consumers, *network.acting) if u.element == element)
            if not through and answer.switched_returns.isdisjoint((*user.plus, *user.minus)):
                continue  # its own return is lost
            path = next(filter(None, (_path(network, answer, e) for e in (element, *through))), ())
            running = tuple(shorts[i] for i in lanes)
            yield Uncommanded(element, answer.state.name, running, through, path)


def _any(masks: Iterable[int]) -> int:
    union = 0
    for mask in masks:
        union |= mask
    return union


def _path(network: Network, answer: StateAnswer, element: str) -> tuple[str, ...]:
    """From a source to what it feeds of an element in the healthy state; () where none does."""
    user = next(u for u in (*network.consumers, *network.acting) if u.element == element)
    for node in user.inlets:
        for source in answer.fed_by(node):
            return feed_path(network, answer, source, node)
    return ()


def connecting_relays(design: Design, network: Network) -> frozenset[str]:
    """Contactors and relays with a battery on one side of a contact, a bus or the output of an
    alternator on the other, and not both on both, unless the cable of the battery ends at the contact.

    Between them are wires, bars and protectors, no switch and no load; along the cable wires alone.
    """

    def cable(link: Link, _: bool) -> bool:
        return link.gate is Gate.ALWAYS and not link.positions and not link.oneway

    def solid(link: Link, _: bool) -> bool:
        return link.gate in (Gate.ALWAYS, Gate.PROTECTOR) and not link.positions and not link.oneway

    batteries = {s.positive for s in network.sources if s.kind == "battery"}
    buses = {network.index[n] for n in design.of_kind(p.Bus) if n in network.index}
    buses |= {s.positive for s in network.sources if s.kind == "alternator"}
    found = set()
    for link in network.links:
        if link.gate is Gate.ENERGISED and link.element not in network.follower:
            sides = [reachable(network, [node], solid) for node in (link.a, link.b)]
            cables = [reachable(network, [node], cable) for node in (link.a, link.b)]
            for one, other, ending in ((*sides, cables[0]), (*sides[::-1], cables[1])):
                tie = one & buses and other & batteries and not (ending & batteries and not ending & buses)
                if one & batteries and other & buses and not tie:
                    found.add(link.element)
    return frozenset(found)
