"""Which way a current goes through a shunt, as far as it is certain without amperes.

A source drives a current through it where taking the shunt out would part the source from something that it carries: a load, or a battery that it charges.
What charges carries what it reaches; a battery carries only what nothing that charges reaches.
"""

from __future__ import annotations

from collections.abc import Mapping

from reviewer.analysis.conduction import Conduction, Without
from reviewer.analysis.spread import Reached
from reviewer.network.graph import Consumer, Network, Source

Reach = Mapping[str, Reached]


def flow(network: Network, solved: Conduction, cut: Without, line: int, load: int) -> tuple[int, int]:
    """The lanes in which a source drives a current from the node ``line`` of a shunt to ``load``, and the other way; ``cut`` is the state without it."""
    out = back = 0
    users = [*((c, solved.powered[c.element]) for c in network.consumers), *((c, solved.energised[c.element]) for c in network.coils)]
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
            parted = works & _serves(source, user, solved.fed, solved.returned) & ~_serves(source, user, cut.fed, cut.returned)
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
                    solved.alive[other.element] & _serves(source, post, solved.fed, solved.returned) & ~_serves(source, post, cut.fed, cut.returned)
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
    there, back = fed[source.element], returned[source.element]
    mask = _any(there, user.plus) & _any(back, user.minus)
    return mask | (_any(there, user.minus) & _any(back, user.plus)) if user.either_way else mask


def _any(reach: Reached, nodes: tuple[int, ...]) -> int:
    mask = 0
    for node in nodes:
        mask |= reach[node]
    return mask
