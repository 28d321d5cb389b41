"""Pieces of metal: what wires, bars and closed switches join, with no protector, diode or relay contact
between."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence

from reviewer.analysis.conduction.failure_modes import SHORT, Failure
from reviewer.model.resolved_states import ResolvedState
from reviewer.network.graph import MOVED, Gate, Network, bare


def possible(network: Network, state: ResolvedState | None, i: int) -> bool:
    """Whether switches and protectors let a link conduct, whatever relays do."""
    if state is None:
        return True
    link = network.links[i]
    if link.gate is Gate.PROTECTOR and bare(link.element) in state.pulled:
        return False
    if link.gate is Gate.PLUGGED:
        return state.external_power
    return not link.positions or state.switches.get(bare(link.element)) in link.positions


def solid_links(network: Network, state: ResolvedState) -> list[bool]:
    """Whether each link is metal in a state, whatever relays do."""
    return [
        possible(network, state, i)
        and not link.oneway
        and link.gate not in (Gate.PROTECTOR, Gate.PLUGGED, *MOVED)
        for i, link in enumerate(network.links)
    ]


def pieces(
    network: Network, nodes: Iterable[int], solid: Sequence[bool], without: Collection[str]
) -> dict[int, int]:
    """Each of some nodes -> one node of its piece of metal, with some elements open."""
    piece: dict[int, int] = {}
    for start in nodes:
        if start not in piece:
            piece[start] = start
            todo = [start]
            while todo:
                for i, other, _ in network.around[todo.pop()]:
                    if other not in piece and solid[i] and network.links[i].element not in without:
                        piece[other] = start
                        todo.append(other)
    return piece


def grounded_alike(network: Network, failure: Failure, piece: Mapping[int, int]) -> Hashable:
    """What shorts have in common that ground the same metal and are cleared alike; ``piece`` is as
    :func:`pieces` gives it. A unit with a battery inside it is lost by its own short alone."""
    own = failure.element if failure.element in network.self_powered else ""
    return frozenset(piece[n] for n in failure.nodes), failure.passes, failure.opened, own


def alike(network: Network, state: ResolvedState, failures: Sequence[Failure]) -> list[list[Failure]]:
    """Failures in groups: shorts of one piece of metal that the same protectors clear together, each
    other failure by itself, and each short at a protector, which may be asked to open."""
    piece = pieces(network, range(len(network.names)), solid_links(network, state), frozenset())
    protectors = {network.links[i].element for i in network.protectors}
    groups: dict[Hashable, list[Failure]] = {}
    for failure in failures:
        key: Hashable = failure
        if failure.mode == SHORT and failure.element not in protectors:
            key = grounded_alike(network, failure, piece)
        groups.setdefault(key, []).append(failure)
    return list(groups.values())


def gone_with(network: Network, failures: Iterable[Failure]) -> set[str]:
    """The elements that failures open, and all that have failed."""
    return {e for f in failures for e in (f.element, *f.opened, *network.opened_by(f.element))}


class MetalAfter:
    """Which shorts ground the same metal after other failures, whatever switches and relays do then."""

    def __init__(self, network: Network, failures: Sequence[Failure], state: ResolvedState | None = None):
        """With a ``state`` the contacts that its switches close are metal too."""
        self.network, self.failures = network, failures
        self._solid = [link.gate is Gate.ALWAYS and not link.oneway for link in network.links]
        if state is not None:
            self._solid = solid_links(network, state)
        self._whole = self._pieces(frozenset())
        self._protectors = {network.links[i].element for i in network.protectors}

    def _pieces(self, without: Collection[str]) -> dict[int, int]:
        return pieces(self.network, range(len(self.network.names)), self._solid, without)

    def pieces_after(self, gone: Collection[str]) -> Mapping[int, int]:
        """Each node -> one node of its piece of metal, without what is ``gone``."""
        parted = any(self._solid[i] for e in gone for i in self.network.links_of.get(e, ()))
        return self._pieces(gone) if parted else self._whole

    def alike(self, already: Iterable[Failure], shorts: Iterable[int]) -> list[list[int]]:
        """Some shorts, by number, in groups as :func:`alike` makes them, after failures that the state
        has already. A short at what has failed is by itself."""
        gone = gone_with(self.network, already)
        piece = self.pieces_after(gone)
        found: dict[Hashable, list[int]] = {}
        for i in shorts:
            failure = self.failures[i]
            alone = failure.element in self._protectors or failure.element in gone
            found.setdefault(i if alone else grounded_alike(self.network, failure, piece), []).append(i)
        return list(found.values())
