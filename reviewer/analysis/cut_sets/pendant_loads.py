"""What hangs behind a conductor where no source does: no other current can go through it.

All that hangs on a network behind one link gets its current by this link. With no source there, no
more goes in than its loads and coils take, and no more comes out than they return (Kirchhoff's law
of currents for all of it at once). A ring with no source on it or behind it carries in each of its
links no more than what hangs on it takes, as volts drive no current round in a circle.

A diode that is set aside is left out of the network: one across a coil would make a ring of the
coil's leads, the bus and the ground. It passes current one way only. What comes in at its cathode
takes the place of what the link would feed, and what goes out at its anode of what it would return.
So an anode behind a feed, or a cathode behind a return, counts as a source, and on a ring both do.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from reviewer.model.record import record
from reviewer.network.biconnected import blocks_from
from reviewer.network.graph import Network

NOBODY: frozenset[str] = frozenset()
NO_DIODES: frozenset[int] = frozenset()
#: the node at which a block hangs, and its links
Block = tuple[int, list[int]]


@record
class PendantLoads:
    """What hangs behind a link: the names of what takes current there, and the diodes set aside
    (links) that end there. One of these that fails shorted is a way for any current."""

    taking: frozenset[str]
    diodes: frozenset[int]


def pendant_loads(
    network: Network,
    taking: Mapping[str, Sequence[int]],
    sources: Collection[int],
    aside: Collection[int],
) -> tuple[Mapping[int, PendantLoads], Mapping[int, PendantLoads]]:
    """By link what hangs behind it, for the links behind which no source is: for current that goes
    there, and for current that comes from there. It holds in every state.

    ``taking`` are the nodes of what takes current, by name, ``sources`` those where current may come
    from or go to, ``aside`` the links of diodes that are left out.
    """
    left_out = frozenset(aside)
    found = blocks_from(network, sources, [i not in left_out for i in range(len(network.links))])
    ends = [(i, network.links[i].a, network.links[i].b) for i in aside]
    hanging = _hanging(network, found, taking, ends)
    feeds = _limited(network, found, hanging, {*sources, *(a for _, a, _ in ends)}, {b for *_, b in ends})
    returns = _limited(network, found, hanging, {*sources, *(b for *_, b in ends)}, {a for _, a, _ in ends})
    return feeds, returns


def _hanging(
    network: Network,
    found: Sequence[Block],
    taking: Mapping[str, Sequence[int]],
    aside: Sequence[tuple[int, int, int]],
) -> Sequence[PendantLoads]:
    """What hangs behind each block, seen from the root of its part."""
    names: dict[int, frozenset[str]] = {}
    diodes: dict[int, frozenset[int]] = {}
    for name, nodes in taking.items():
        for node in nodes:
            names[node] = names.get(node, NOBODY) | {name}
    for i, *nodes in aside:
        for node in nodes:
            diodes[node] = diodes.get(node, NO_DIODES) | {i}
    hanging = []
    for top, links in found:
        behind = _behind(network, top, links)
        own = PendantLoads(
            NOBODY.union(*(names.get(n, NOBODY) for n in behind)),
            NO_DIODES.union(*(diodes.get(n, NO_DIODES) for n in behind)),
        )
        names[top] = names.get(top, NOBODY) | own.taking
        diodes[top] = diodes.get(top, NO_DIODES) | own.diodes
        hanging.append(own)
    return hanging


def _limited(
    network: Network,
    found: Sequence[Block],
    hanging: Sequence[PendantLoads],
    unlimited: set[int],
    relieving: set[int],
) -> Mapping[int, PendantLoads]:
    """What hangs behind each link with no node ``unlimited`` there, nor one ``relieving`` where it is of a
    ring."""
    limited: dict[int, PendantLoads] = {}
    for (top, links), own in zip(found, hanging, strict=True):
        behind = _behind(network, top, links)
        for nodes in (unlimited, relieving):
            if not nodes.isdisjoint(behind):
                nodes.add(top)
        if unlimited.isdisjoint(behind) and (len(links) == 1 or relieving.isdisjoint(behind)):
            limited.update(dict.fromkeys(links, own))
    return limited


def _behind(network: Network, top: int, links: Sequence[int]) -> set[int]:
    return {n for i in links for n in (network.links[i].a, network.links[i].b)} - {top}
