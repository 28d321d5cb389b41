"""Diode-OR buses: buses and units that several branches feed by diodes.

The branch with the highest voltage takes nearly all of the current, and once its protection opens
the next one does. So each branch must carry all of it: its protective devices then have their own
current of the solved state and that of the other branches.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.protection.protection_loading import SolvedCase, continuous_rating_share
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.search import reachable_by

if TYPE_CHECKING:
    from reviewer.analysis.operating_point.solved_state import OperatingPoint
    from reviewer.analysis.paths.answers import Paths


@record
class FeedingBranch:
    """One path into a bus or unit: by a diode, or by a supply terminal of a unit.

    ``inlet`` is the node before it, ``amps`` what it carries, ``beyond`` the protective devices
    between it and the bar.
    """

    name: str
    inlet: int
    amps: float
    beyond: tuple[str, ...]


@record
class SoleBranch:
    """A ``device``, a protective device or the diode, in the branch that alone feeds what is in ``feeds``
    (buses and loads; where there are none, as of a relay's coil, the other parts there).

    It then carries ``amps``, of which it may carry the ``share`` of its rating; it carries ``now``
    while the ``others`` carry their part.
    """

    device: str
    branch: str
    others: tuple[str, ...]
    feeds: tuple[str, ...]
    state: str
    now: float
    amps: float
    share: float

    def bar(self, design: Design) -> str:
        """The first bus that it feeds, else the first load or part."""
        return next((n for n in self.feeds if isinstance(design.parts[n], p.Bus)), self.feeds[0])

    def over(self, rating: float) -> bool:
        """Whether it carries more than a device of a rating, A, may."""
        return exceeds(self.amps, self.share * rating)


def has_diode_or_buses(design: Design, paths: Paths) -> bool:
    """Whether anything may be fed by diodes from several sides.

    Two diodes that suppress nothing, or a unit of several supplies.
    """
    diodes = [n for n in design.of_kind(p.Diode) if not paths.suppresses(n)]
    return len(diodes) > 1 or any(
        len(design.parts[n].supplies) > 1 for n in design.of_kind((p.Load, p.Instrument))
    )


def sole_branches(
    design: Design, network: Network, paths: Paths, answer: StateAnswer, case: SolvedCase
) -> Iterator[SoleBranch]:
    """The diode and every protective device of every branch of a diode-OR bus, the other branches open.

    In a solved case; with the intermittent loads and without them, if any take current.
    """
    whole = 1.0 if case.brief or case.intermittent else continuous_rating_share()
    yield from _sole_branches(design, network, paths, answer, case.point, whole)
    if case.intermittent and not case.brief:
        yield from _sole_branches(design, network, paths, answer, case.steady(), continuous_rating_share())


def _sole_branches(
    design: Design, network: Network, paths: Paths, answer: StateAnswer, point: OperatingPoint, share: float
) -> Iterator[SoleBranch]:
    buses = _buses(design, network, paths, answer, point)
    for feeds, branches in (*buses, *_units(design, network, answer, point)):
        upstream = [upstream_protectors(network, answer, branch.inlet) for branch in branches]
        for branch, own in zip(branches, upstream, strict=True):
            others = tuple(b.name for b in branches if b is not branch)
            alone = branch.name, others, feeds, answer.state.name
            if branch.name in design.parts:
                yield SoleBranch(branch.name, *alone, branch.amps, sum(b.amps for b in branches), 1.0)
            for protector in (*own, *branch.beyond):
                more = [
                    b
                    for b, theirs in zip(branches, upstream, strict=True)
                    if protector not in (*theirs, *b.beyond)
                ]
                now = abs(point.amps[f"parts/{protector}"])
                yield SoleBranch(protector, *alone, now, now + sum(b.amps for b in more), share)


def upstream_protectors(network: Network, answer: StateAnswer, node: int) -> tuple[str, ...]:
    """Protective devices, by name, that leave a node dead when they open."""
    live = answer.failed.lives[node]
    protectors = {network.links[i].element for i in network.protectors}
    return tuple(
        bare(f.element)
        for i, f in enumerate(answer.failures)
        if f.mode == OPEN and f.element in protectors and not live >> i & 1
    )


def _buses(
    design: Design, network: Network, paths: Paths, answer: StateAnswer, point: OperatingPoint
) -> Iterator[tuple[tuple[str, ...], list[FeedingBranch]]]:
    groups: dict[frozenset[int], list[int]] = {}
    for i, element in network.diodes:
        link = network.links[i]
        if not paths.suppresses(bare(element)) and answer.healthy.live(link.a):
            groups.setdefault(_bus(network, answer, link.b), []).append(i)
    for area, diodes in groups.items():
        if len(diodes) > 1:
            owners = {network.names[n].partition(".")[0] for n in area}
            legs = {bare(network.links[i].element) for i in diodes}
            there = [n for n in design.parts if n in owners - legs]
            users = [n for n in there if isinstance(design.parts[n], (p.Bus, p.Consumer))]
            feeds = tuple(users or there)
            found = []
            for i in diodes:
                link = network.links[i]
                found.append(
                    FeedingBranch(
                        bare(link.element),
                        link.a,
                        max(0.0, point.amps[link.element]),
                        _chain(network, link.b, i),
                    )
                )
            yield feeds, found


def _bus(network: Network, answer: StateAnswer, start: int) -> frozenset[int]:
    """All that is joined to the far side of a diode in a state, other diodes apart."""

    def onward(node: int) -> Iterator[int]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if not link.oneway and link.gate is not Gate.SHIELD and conducts(network, answer, i, leaving):
                yield other

    return frozenset(reachable_by([start], onward))


def _chain(network: Network, node: int, came: int) -> tuple[str, ...]:
    """Protective devices on a chain without a branch."""
    found: list[str] = []
    while len(network.around[node]) == 2:
        came, node = next((i, other) for i, other, _ in network.around[node] if i != came)
        if network.links[came].gate is Gate.PROTECTOR:
            found.append(bare(network.links[came].element))
    return tuple(found)


def _units(
    design: Design, network: Network, answer: StateAnswer, point: OperatingPoint
) -> Iterator[tuple[tuple[str, ...], list[FeedingBranch]]]:
    for consumer in network.consumers:
        live = [n for n in consumer.plus if answer.healthy.live(n)]
        if len(live) > 1:
            name = bare(consumer.element)
            yield (
                (name,),
                [FeedingBranch(network.names[n], n, _into(design, network, point, n), ()) for n in live],
            )


def _into(design: Design, network: Network, point: OperatingPoint, node: int) -> float:
    """Current that the wires at a terminal bring to it."""
    wires: Mapping[str, p.Wire] = design.wires
    ends: Sequence[tuple[str, int]] = [
        (network.links[i].element, 1 if leaving else -1) for i, _, leaving in network.around[node]
    ]
    return max(
        0.0,
        sum(
            -sign * point.amps[element]
            for element, sign in ends
            if bare(element) in wires and element in point.amps
        ),
    )
