"""The direction of the current in a shunt, as far as it is certain without solving for amperes.

A source drives a current through a shunt where opening the shunt would part the source from
something that it supplies: a load, or a battery that it charges. An alternator or external power
supplies what it reaches; a battery supplies only what neither of these reaches.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction, OfMany
from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.propagation import OneLane, Propagator, Reached
from reviewer.model.record import record
from reviewer.network.graph import Network, PoweredDevice, Source

#: source -> for each node, the lanes in which the source feeds it (or has its return)
Reach = Mapping[str, Sequence[int]]


@record
class Without:
    """``fed`` and ``returned`` of every source if one element did not conduct.

    ``conducts`` are the lanes in which it does conduct.
    """

    fed: Reach
    returned: Reach
    conducts: int


def without(network: Network, solved: Conduction, element: str) -> Without:
    """Open one element after solving; relays, sources and fault zones stay as they are."""
    if isinstance(solved, OfMany):
        return _one_lane(without(network, solved.many, element), solved.place)
    reach = next(iter(solved.fed.values()), None)
    if not isinstance(reach, Reached):
        return Without(solved.fed, solved.returned, 0)  # nothing feeds anything
    opened = {i for i, link in enumerate(network.links) if link.element == element}
    ends = {n for i in opened for n in (network.links[i].a, network.links[i].b)}
    forward, backward, blocked = reach.conducting
    along, against = (_cleared(masks, opened) for masks in (forward, backward))
    fed, returned = solved.fed, solved.returned
    if _reaches_any(fed, ends):
        feeds = Propagator(network.contracted, along, against, blocked)
        fed = _again(network, feeds, fed, lambda source: source.positive)
    if _reaches_any(returned, ends):
        returns = Propagator(network.contracted, against, along, None)
        returned = _again(network, returns, returned, lambda source: source.negative)
    conducts = 0
    for i in opened:
        conducts |= forward[i]
    return Without(fed, returned, conducts)


def _one_lane(many: Without, lane: int) -> Without:
    fed, returned = (
        MappingProxyType({source: OneLane(reach, lane) for source, reach in reaches.items()})
        for reaches in (many.fed, many.returned)
    )
    return Without(fed, returned, many.conducts >> lane & 1)


def _cleared(masks: Sequence[int], links: Collection[int]) -> list[int]:
    """The masks of all links, with 0 for some of them."""
    return [0 if i in links else mask for i, mask in enumerate(masks)]


def _reaches_any(reaches: Reach, nodes: Collection[int]) -> bool:
    return any(reach[n] for reach in reaches.values() for n in nodes)


def _again(
    network: Network, propagator: Propagator, reaches: Reach, terminal: Callable[[Source], int]
) -> Reach:
    """What each source reaches from its terminal, started in the same lanes as before."""
    starts = {s.element: terminal(s) for s in network.sources}
    return MappingProxyType(
        {source: propagator.from_node(node, reaches[source][node]) for source, node in starts.items()}
    )


def flow(network: Network, solved: Conduction, cut: Without, line: int, load: int) -> tuple[int, int]:
    """The lanes in which a current flows in a shunt from node ``line`` to node ``load``, and from
    ``load`` to ``line``. ``cut`` is the state with the shunt open."""
    out = back = 0
    users = [
        *((c, solved.powered[c.element]) for c in network.consumers),
        *((c, solved.energised[c.element]) for c in network.coils),
    ]
    charged = {user.element: _charger_serves(network, user, solved) for user, _ in users}
    for source in network.sources:
        fed, returned = cut.fed[source.element], cut.returned[source.element]
        live = solved.alive[source.element]
        onward = live & ((fed[line] & ~fed[load]) | (returned[load] & ~returned[line]))
        backward = live & ((fed[load] & ~fed[line]) | (returned[line] & ~returned[load]))
        if not onward | backward:
            continue
        driven = _charges_through(network, source, solved, cut)
        for user, works in users:
            parted = works & _serves_through(source, user, solved, cut)
            driven |= parted & ~charged[user.element] if source.kind == "battery" else parted
        out |= onward & driven
        back |= backward & driven
    return out, back


def _charges_through(network: Network, source: Source, solved: Conduction, cut: Without) -> int:
    """The lanes in which a source charges a live battery through the shunt and not otherwise."""
    if source.kind == "battery":
        return 0
    mask = 0
    for other in network.sources:
        if other.kind == "battery":
            terminals = PoweredDevice(other.element, (other.positive,), (other.negative,))
            alive = solved.alive[other.element]
            mask |= alive & _serves_through(source, terminals, solved, cut)
    return mask


def _charger_serves(network: Network, user: PoweredDevice, solved: Conduction) -> int:
    """The lanes in which an alternator or external power supplies a consumer."""
    mask = 0
    for source in network.sources:
        if source.kind != "battery":
            mask |= _serves(source, user, solved.fed, solved.returned)
    return mask


def _serves_through(source: Source, user: PoweredDevice, solved: Conduction, cut: Without) -> int:
    """The lanes in which a source supplies a consumer through the shunt and not otherwise."""
    serves = _serves(source, user, solved.fed, solved.returned)
    return serves & ~_serves(source, user, cut.fed, cut.returned)


def _serves(source: Source, user: PoweredDevice, fed: Reach, returned: Reach) -> int:
    """The lanes in which a source both feeds a consumer and has its return."""
    return served(user, fed[source.element], returned[source.element])
