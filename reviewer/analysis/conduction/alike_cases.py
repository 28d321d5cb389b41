"""Cases of failure after which the same comes of any moves of the crew: opens that cut the same chains
of the network, and shorts of the same metal."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Sequence

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.metal import MetalAfter, grounded_alike
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.network.graph import Network


def alike_cases(network: Network, cases: Sequence[Case]) -> list[list[int]]:
    """Some cases, by number, in groups that work, lose and tie alike whatever switches, relays and
    breakers do. Where several fail at once, a case is by itself."""
    every = tuple(f for case in cases for f in failures_of(case))
    metal = MetalAfter(network, every).pieces_after(())
    acting = acting_elements(network)
    groups: dict[Hashable, list[int]] = {}
    for i, case in enumerate(cases):
        key: Hashable = i
        if len(failures := failures_of(case)) == 1:
            (failure,) = failures
            if failure.mode == SHORT and failure.nodes:
                key = grounded_alike(network, failure, metal)
            elif failure.mode == OPEN:
                key = opened_alike(network, failure, acting) or key
        groups.setdefault(key, []).append(i)
    return list(groups.values())


def opened_alike(network: Network, failure: Failure, acting: Collection[str]) -> Hashable:
    """What opens have in common that cut the same chains, whatever else opens or moves: a dead end feeds
    nothing. None for one of what is ``acting``. A short within a chain tells them apart."""
    elements = network.opened_by(failure.element)
    if any(e in acting for e in elements):
        return None
    chain_of = network.contracted.chain_of
    return "cut", frozenset(chain_of[i] for e in elements for i in network.parting(e) if i in chain_of)


def acting_elements(network: Network) -> frozenset[str]:
    """The elements that do more than conduct."""
    own = {s.element for s in network.sources} | {s.smoothing.element for s in network.sources if s.smoothing}
    own.update(user.element for user in network.acting)
    return frozenset((*network.working, *network.moved, *network.inside, *own))
