"""Cases of failure after which the same comes of any moves of the crew: opens that cut the same chains
of the network, and shorts of the same metal."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.metal import MetalAfter, grounded_alike
from reviewer.analysis.conduction.scenarios import Case, failures_of
from reviewer.network.graph import Network


def alike_cases(network: Network, cases: Sequence[Case]) -> list[list[int]]:
    """Some cases, by number, in groups that work, lose and tie alike whatever switches, relays and
    breakers do. Where several fail at once, a case is by itself."""
    every = tuple(f for case in cases for f in failures_of(case))
    metal = MetalAfter(network, every).pieces_after(())
    acting = _acting(network)
    groups: dict[Hashable, list[int]] = {}
    for i, case in enumerate(cases):
        key: Hashable = i
        if len(failures := failures_of(case)) == 1:
            (failure,) = failures
            if failure.mode == SHORT and failure.nodes:
                key = grounded_alike(network, failure, metal)
            elif failure.mode == OPEN and acting.isdisjoint(network.opened_by(failure.element)):
                key = _cut(network, failure)
        groups.setdefault(key, []).append(i)
    return list(groups.values())


def _cut(network: Network, failure: Failure) -> Hashable:
    """The chains that an open cuts; a dead end feeds nothing."""
    links = (i for e in network.opened_by(failure.element) for i in network.parting(e))
    chain_of = network.contracted.chain_of
    return "cut", frozenset(chain_of[i] for i in links if i in chain_of)


def _acting(network: Network) -> frozenset[str]:
    """The elements that do more than conduct."""
    users = (*network.sources, *network.acting, *(s.smoothing for s in network.sources if s.smoothing))
    return frozenset((*network.working, *network.moved, *network.inside, *(one.element for one in users)))
