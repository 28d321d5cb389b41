"""What could pass a current through a coil when the coil's own circuit is open."""

from __future__ import annotations

from collections import Counter

from reviewer.network.graph import Network, PoweredDevice
from reviewer.network.search import conductors, reachable, reachable_by


def beside_coils(network: Network) -> list[tuple[PoweredDevice, tuple[PoweredDevice, ...]]]:
    """Each coil with the loads and coils that could pass a current through it when its own circuit is
    open; coils without any are left out.

    On a side of the coil that leads to no source and not to the ground but by switches, all that
    have an end there. On the side of the sources, those with their other end there too, or on a
    piece without the ground that another load or coil is joined to.
    """
    ground = reachable(network, [s.negative for s in network.sources], conductors)
    positives = {s.positive for s in network.sources}
    users = (*network.consumers, *network.coils)
    piece: dict[int, int] = {}
    for user in users:
        for start in {*user.plus, *user.minus} - ground - piece.keys():
            whole = reachable_by(
                [start], lambda node: (other for _, other, _ in network.around[node] if other not in ground)
            )
            piece |= dict.fromkeys(whole, start)
    pieces = [{piece[n] for n in (*u.plus, *u.minus) if n in piece} for u in users]
    fed = {piece[n] for n in positives if n in piece}
    joined = Counter(at for own in pieces for at in own)
    shared = {at for at, users_there in joined.items() if users_there > 1} | fed

    def passes(user: PoweredDevice, own: set[int], sides: set[int]) -> bool:
        if own & sides - fed:
            return True
        ends = {*user.plus, *user.minus}
        return bool(own & sides) and not ends & ground and own <= shared

    found = []
    for coil in network.coils:
        sides = {piece[n] for n in (*coil.plus, *coil.minus) if n in piece}
        both = zip(users, pieces, strict=True)
        found.append((coil, tuple(u for u, own in both if u is not coil and passes(u, own, sides))))
    return [(coil, others) for coil, others in found if others]
