"""Scenes: what a schematic shows of each declared state, healthy and under every single failure, as rows of bits.

A row has one bit for each thing that can be told of a part of the drawing, in an order that is the same for all rows of a design (:class:`Items`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import Failure, stuck_contacts
from reviewer.analysis.conduction.fixed_point import Conduction, conduct, link_masks
from reviewer.analysis.conduction.masks import bits
from reviewer.analysis.conduction.scenarios import lanes_of_cases
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model.record import record
from reviewer.network.graph import Gate, Network, bare


@record
class Items:
    """What the bits of a row tell, in this order: for each of ``sources``, whether it feeds each of ``nodes``; then which of ``powered`` work, which
    of ``coils`` pull, which of ``sources`` live; whether each of ``nodes`` lies where a short was cleared; whether current comes along each of
    ``ways`` from its second end only; and whether each of ``protectors`` was opened by a short."""

    sources: tuple[str, ...]
    nodes: tuple[int, ...]
    powered: tuple[str, ...]
    coils: tuple[str, ...]
    #: (link, the end at which it should be fed, the other end)
    ways: tuple[tuple[int, int, int], ...]
    #: link by link
    protectors: tuple[int, ...]

    @property
    def width(self) -> int:
        """How many bits a row has."""
        return (
            (len(self.sources) + 1) * (len(self.nodes) + 1)
            - 1
            + len(self.powered)
            + len(self.coils)
            + len(self.ways)
            + len(self.protectors)
        )


@record
class Scene:
    """One state: the bits of the healthy system, and for each failure the numbers of the bits that differ from it, in ascending order."""

    state: str
    healthy: tuple[int, ...]
    failures: tuple[Failure, ...]
    changes: tuple[tuple[int, ...], ...]


def items_of(network: Network, ways: Sequence[tuple[int, int, int]], order: Sequence[int] = ()) -> Items:
    """What is told of a network. Nodes that stand beside each other in ``order`` stand so in the rows; ``ways`` say from which end each link should be fed."""
    first = dict.fromkeys(order)
    nodes = (*first, *(n for n in range(len(network.names)) if n not in first))
    return Items(
        tuple(s.element for s in network.sources),
        nodes,
        tuple(c.element for c in network.consumers),
        tuple(c.element for c in network.coils),
        tuple(ways),
        tuple(sorted(network.protectors)),
    )


def scene(answer: StateAnswer, items: Items) -> Scene:
    """One state as rows, under every single failure and with every contact stuck."""
    stuck = stuck_contacts(answer.design, dict(answer.state.switches))
    healthy = tuple(i for i, mask in enumerate(_masks(answer, items, (), answer.healthy)) if mask & 1)
    base = frozenset(healthy)
    changes: list[tuple[int, ...]] = []
    for failures, solved in (
        (answer.failures, answer.failed),
        (stuck, conduct(answer.network, answer.state, stuck, answer.healthy)),
    ):
        if failures:
            rows: list[list[int]] = [[] for _ in failures]
            every = (1 << len(failures)) - 1
            for i, mask in enumerate(_masks(answer, items, failures, solved)):
                for lane in bits(mask ^ every if i in base else mask):
                    rows[lane].append(i)
            changes += map(tuple, rows)
    return Scene(answer.state.name, healthy, (*answer.failures, *stuck), tuple(changes))


def _masks(answer: StateAnswer, items: Items, cases: Sequence[Failure], solved: Conduction) -> Iterator[int]:
    """For each item the lanes in which it holds."""
    lanes = lanes_of_cases(answer.network, answer.state, cases)
    along, against = link_masks(lanes, solved.energised)
    for source in items.sources:
        fed = solved.fed[source]
        for node in items.nodes:
            yield fed[node]
    for element in items.powered:
        yield solved.powered[element]
    for element in items.coils:
        yield solved.energised[element]
    for element in items.sources:
        yield solved.alive[element]
    for node in items.nodes:
        yield solved.zone[node]
    forth, back = flows(answer.network, solved, along, against)
    for link, begin, _ in items.ways:
        towards, away = (forth, back) if answer.network.links[link].a == begin else (back, forth)
        yield away.get(link, 0) & ~towards.get(link, 0)
    opened = _opened(answer, solved)
    for link in items.protectors:
        yield opened.get(link, 0)


def flows(
    network: Network, solved: Conduction, along: Sequence[int], against: Sequence[int]
) -> tuple[Mapping[int, int], Mapping[int, int]]:
    """The lanes in which a source feeds the b end of each link by its a end, and the a end by its b end: by the fewest links from each source."""
    forth: dict[int, int] = {}
    back: dict[int, int] = {}
    for source in network.sources:
        fed = solved.fed[source.element]
        reached = {source.positive: fed[source.positive]}
        front = dict(reached)
        while front:
            new: dict[int, int] = {}
            for node, lanes in front.items():
                for i, other, leaving in network.around[node]:
                    mask = lanes & (along[i] if leaving else against[i]) & fed[other] & ~reached.get(other, 0)
                    if mask:
                        table = forth if leaving else back
                        table[i] = table.get(i, 0) | mask
                        new[other] = new.get(other, 0) | mask
            for node, mask in new.items():
                reached[node] = reached.get(node, 0) | mask
            front = new
    return forth, back


def _opened(answer: StateAnswer, solved: Conduction) -> dict[int, int]:
    """The lanes in which a protector stands between what a short made dead and something that is still fed, and conducts otherwise."""
    found: dict[int, int] = {}
    zone = solved.zone
    if not any(zone):
        return found
    for i, link in enumerate(answer.network.links):
        name = bare(link.element)
        if link.gate is not Gate.PROTECTOR or name in answer.state.pulled:
            continue
        if link.positions and answer.state.switches.get(name) not in link.positions:
            continue
        mask = zone[link.a] & ~zone[link.b] & solved.live(link.b) | zone[link.b] & ~zone[
            link.a
        ] & solved.live(link.a)
        if mask:
            found[i] = mask
    return found
