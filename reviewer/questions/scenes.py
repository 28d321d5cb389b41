"""What the schematic shows of each state and single failure, as rows of bits.

A row has one bit for each thing that the drawing shows of a part, in an order that is the same for
all rows of a design (:class:`Items`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import Failure, Mode
from reviewer.analysis.conduction.fixed_point import Conduction, link_masks
from reviewer.analysis.conduction.scenarios import Case, lanes_of_cases
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model.record import record
from reviewer.network.graph import Network
from reviewer.questions.effects import protection_opened, worse_outcomes
from reviewer.questions.naming import shown_answers

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts


@record
class Items:
    """What the bits of a row say.

    In this order: for each of ``sources`` whether it feeds each of ``nodes``; which of ``powered``
    and of ``channels`` work, which of ``coils`` are energised, which of ``sources`` are live; whether
    each of ``nodes`` lies where a short was cleared; whether each of ``directed`` is fed from its
    second end only; whether a short opened each of ``protectors``.
    """

    sources: tuple[str, ...]
    nodes: tuple[int, ...]
    powered: tuple[str, ...]
    #: channels of functions that are no loads
    channels: tuple[str, ...]
    coils: tuple[str, ...]
    #: (link, the end at which it should be fed, the other end)
    directed: tuple[tuple[int, int, int], ...]
    #: link by link
    protectors: tuple[int, ...]

    @property
    def width(self) -> int:
        """How many bits a row has."""
        return (
            (len(self.sources) + 1) * (len(self.nodes) + 1)
            - 1
            + len(self.powered)
            + len(self.channels)
            + len(self.coils)
            + len(self.directed)
            + len(self.protectors)
        )


@record
class StateView:
    """One state as bits, in ascending order.

    ``healthy`` are set with nothing failed; ``changes`` differ from them after each of
    ``failures``.
    """

    state: str
    healthy: tuple[int, ...]
    failures: tuple[Failure, ...]
    changes: tuple[tuple[int, ...], ...]


def contacts_closed(network: Network, failure: Failure) -> bool | None:
    """Whether the contacts of a relay are stuck as if energised, or those of a switch that follows
    something as if moved; None where they are not stuck."""
    if failure.mode is Mode.STAYS and failure.element in network.follower:
        return failure.position == network.follower[failure.element].moved_to
    return {Mode.HELD: True, Mode.DROPPED: False}.get(failure.mode)


def items_of(network: Network, directed: Sequence[tuple[int, int, int]], order: Sequence[int] = ()) -> Items:
    """What is shown of a network.

    Nodes that stand beside each other in ``order`` do so in the rows; ``directed`` gives the end
    from which each link should be fed.
    """
    first = dict.fromkeys(order)
    nodes = (*first, *(n for n in range(len(network.names)) if n not in first))
    return Items(
        tuple(s.element for s in network.sources),
        nodes,
        (*(c.element for c in network.consumers), *(m.element for m in network.magnetos)),
        tuple(c.element for c in network.channels),
        network.moved,
        tuple(directed),
        tuple(sorted(network.protectors)),
    )


def as_normally_fed(facts: Facts, drawn: Sequence[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """Links as (link, the end from which it is fed, the other end), from how they are ``drawn``.

    A link is fed from the end that feeds it in the first state of normal flight in which one end
    alone does; a link that is live in none, in the first other state. Where both ends feed it, or
    none does, from the end that is drawn first.
    """
    against: dict[int, bool] = {}
    links = facts.network.links
    flight = [a.state.name for a in facts.states.flight_answers()] if facts.design.operation else []
    live: set[int] = set()
    for answer in sorted(
        facts.states.answers() if facts.design.operation else (), key=lambda a: a.state.name not in flight
    ):
        lanes = lanes_of_cases(facts.network, answer.state, ())
        along_links, against_links = link_masks(lanes, answer.healthy.energised)
        forward, backward = flows(facts.network, answer.healthy, along_links, against_links)
        for link, begin, _ in drawn:
            ahead, back = bool(forward.get(link, 0)), bool(backward.get(link, 0))
            if answer.state.name in flight:
                live.update([link] if ahead or back else [])
            elif link in live:
                continue
            if ahead != back:
                against.setdefault(link, back if links[link].a == begin else ahead)
    return [(link, two, one) if against.get(link) else (link, one, two) for link, one, two in drawn]


def state_views(facts: Facts, items: Items) -> Iterator[StateView]:
    """Every declared state, the normal state first, with those in which a sneak current keeps a
    relay energised; none without an operation. Each is as large as all else of a state: one at a time."""
    for answer in shown_answers(facts) if facts.design.operation else ():
        yield state_view(answer, items, worse_outcomes(facts, answer, answer.failures))


def state_view(answer: StateAnswer, items: Items, late: Sequence[Failure] = ()) -> StateView:
    """One state with nothing failed, after every single failure, and with contacts stuck.

    ``late`` are shorts that are cleared further upstream.
    """
    others = (*answer.stuck_contacts, *late)
    set_before = [mask & 1 for mask in _masks(answer, items, (), answer.healthy)]
    healthy = tuple(i for i, before in enumerate(set_before) if before)
    changes: list[tuple[int, ...]] = []
    for failures, after in (
        (answer.failures, answer.after_each),
        (others, answer.conducting_after(others)),
    ):
        if failures:
            every = (1 << len(failures)) - 1
            masks = _masks(answer, items, after.cases, after.conducts)
            changed = (
                mask ^ every if before else mask for before, mask in zip(set_before, masks, strict=True)
            )
            changes += _rows(list(changed), every)
    return StateView(answer.state.name, healthy, (*answer.failures, *others), tuple(changes))


def _rows(masks: Sequence[int], every: int) -> list[tuple[int, ...]]:
    """For each lane the numbers of the masks that have its bit, one tuple for lanes with the same."""
    import numpy as np

    numbers = {mask: i for i, mask in enumerate(dict.fromkeys(masks))}
    lanes, octets = every.bit_length(), (every.bit_length() + 7) // 8
    written = np.frombuffer(b"".join(mask.to_bytes(octets, "little") for mask in numbers), np.uint8)
    columns = np.unpackbits(written.reshape(-1, octets), axis=1, count=lanes, bitorder="little")
    table = np.ascontiguousarray(columns.T).view(bool)
    which = np.array([numbers[mask] for mask in masks])
    keys = [row.tobytes() for row in np.packbits(table, axis=1)]
    lane_of = dict(zip(keys, table, strict=True))
    rows = {key: tuple(lane[which].nonzero()[0].tolist()) for key, lane in lane_of.items()}
    return [rows[key] for key in keys]


def _masks(answer: StateAnswer, items: Items, cases: Sequence[Case], solved: Conduction) -> list[int]:
    """For each item the cases in which it holds, as a mask."""
    lanes = lanes_of_cases(answer.network, answer.state, cases)
    along, against = link_masks(lanes, solved.energised)
    masks: list[int] = []
    for source in items.sources:
        fed = list(solved.fed[source])
        masks += [fed[node] for node in items.nodes]
    masks += [solved.powered[element] for element in (*items.powered, *items.channels)]
    masks += [solved.energised[element] for element in items.coils]
    masks += [solved.alive[element] for element in items.sources]
    masks += [solved.zone[node] for node in items.nodes]
    forward, backward = flows(answer.network, solved, along, against)
    for link, begin, _ in items.directed:
        along_it, against_it = (
            (forward, backward) if answer.network.links[link].a == begin else (backward, forward)
        )
        masks.append(against_it.get(link, 0) & ~along_it.get(link, 0))
    opened = protection_opened(answer, solved)
    return masks + [opened.get(answer.network.links[link].element, 0) for link in items.protectors]


def flows(
    network: Network, solved: Conduction, along: Sequence[int], against: Sequence[int]
) -> tuple[Mapping[int, int], Mapping[int, int]]:
    """The cases in which a source feeds each link from its a end, and from its b end.

    Each as masks by link, over the fewest links from each source.
    """
    forward: dict[int, int] = {}
    backward: dict[int, int] = {}
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
                        table = forward if leaving else backward
                        table[i] = table.get(i, 0) | mask
                        new[other] = new.get(other, 0) | mask
            for node, mask in new.items():
                reached[node] = reached.get(node, 0) | mask
            front = new
    return forward, backward
