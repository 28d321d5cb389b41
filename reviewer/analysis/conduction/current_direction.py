"""Which way a current goes through a shunt, as far as it is certain without amperes.

A source drives a current through it where taking the shunt out would part the source from something that it carries: a load, or a battery that it charges.
What charges carries what it reaches; a battery carries only what nothing that charges reaches.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from reviewer.analysis.conduction.fixed_point import Conduction, OfMany
from reviewer.analysis.conduction.masks import served
from reviewer.analysis.conduction.propagation import OneLane, Reached, Spreader
from reviewer.model.record import record
from reviewer.network.graph import Consumer, Network, Source

Reach = Mapping[str, Sequence[int]]


@record
class Without:
    """Where every source would reach and get back from, had one element not conducted; ``conducts``: the lanes in which it does."""

    fed: Reach
    returned: Reach
    conducts: int


def without(network: Network, solved: Conduction, element: str) -> Without:
    """Take one element out of what was solved, with relays, sources and zones left as they are."""
    if isinstance(solved, OfMany):
        cut, lane = without(network, solved.many, element), solved.place
        one = [
            MappingProxyType({source: OneLane(reach, lane) for source, reach in reaches.items()})
            for reaches in (cut.fed, cut.returned)
        ]
        return Without(one[0], one[1], cut.conducts >> lane & 1)
    reach = next(iter(solved.fed.values()), None)
    if not isinstance(reach, Reached):
        return Without(solved.fed, solved.returned, 0)  # nothing feeds anything
    own = {i for i, link in enumerate(network.links) if link.element == element}
    ends = {n for i in own for n in (network.links[i].a, network.links[i].b)}
    whole, counter, blocked = reach.ways
    along, against = ([0 if i in own else mask for i, mask in enumerate(masks)] for masks in (whole, counter))
    fed, returned = solved.fed, solved.returned
    if any(r[n] for r in fed.values() for n in ends):
        forth = Spreader(network.trunk, along, against, blocked)
        fed = MappingProxyType(
            {s.element: forth.from_node(s.positive, fed[s.element][s.positive]) for s in network.sources}
        )
    if any(r[n] for r in returned.values() for n in ends):
        back = Spreader(network.trunk, against, along, None)
        returned = MappingProxyType(
            {s.element: back.from_node(s.negative, returned[s.element][s.negative]) for s in network.sources}
        )
    conducts = 0
    for i in own:
        conducts |= whole[i]
    return Without(fed, returned, conducts)


def flow(network: Network, solved: Conduction, cut: Without, line: int, load: int) -> tuple[int, int]:
    """The lanes in which a source drives a current from the node ``line`` of a shunt to ``load``, and the other way; ``cut`` is the state without it."""
    out = back = 0
    users = [
        *((c, solved.powered[c.element]) for c in network.consumers),
        *((c, solved.energised[c.element]) for c in network.coils),
    ]
    carried = {user.element: _carried(network, user, solved.fed, solved.returned) for user, _ in users}
    for source in network.sources:
        fed, returned = cut.fed[source.element], cut.returned[source.element]
        live = solved.alive[source.element]
        onward = live & ((fed[line] & ~fed[load]) | (returned[load] & ~returned[line]))
        backward = live & ((fed[load] & ~fed[line]) | (returned[line] & ~returned[load]))
        if not onward | backward:
            continue
        driven = _charge(network, source, solved, cut)
        for user, works in users:
            parted = (
                works
                & _serves(source, user, solved.fed, solved.returned)
                & ~_serves(source, user, cut.fed, cut.returned)
            )
            driven |= parted & ~carried[user.element] if source.kind == "battery" else parted
        out |= onward & driven
        back |= backward & driven
    return out, back


def _charge(network: Network, source: Source, solved: Conduction, cut: Without) -> int:
    mask = 0
    if source.kind != "battery":
        for other in network.sources:
            if other.kind == "battery":
                post = Consumer(other.element, (other.positive,), (other.negative,))
                mask |= (
                    solved.alive[other.element]
                    & _serves(source, post, solved.fed, solved.returned)
                    & ~_serves(source, post, cut.fed, cut.returned)
                )
    return mask


def _carried(network: Network, user: Consumer, fed: Reach, returned: Reach) -> int:
    mask = 0
    for source in network.sources:
        if source.kind != "battery":
            mask |= _serves(source, user, fed, returned)
    return mask


def _serves(source: Source, user: Consumer, fed: Reach, returned: Reach) -> int:
    """The lanes in which a source both feeds a user and gets it back."""
    return served(user, fed[source.element], returned[source.element])
