"""Generators that belong to one unit, as that of an ignition."""

from __future__ import annotations

from reviewer.analysis.conduction.masks import at_any, serves
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p


def own_generators(answer: StateAnswer) -> frozenset[str]:
    """The alternators (elements) that, with nothing failed in a state, feed one load and nothing else.

    Their output reaches no bus and no other source, and no other source reaches it: they work without
    a battery at all times, beside another feed of that load or alone.
    """
    network, solved = answer.network, answer.healthy
    buses = [network.index[name] for name in answer.design.of_kind(p.Bus) if name in network.index]
    found = set()
    for source in (s for s in network.sources if s.kind == "alternator" and solved.alive[s.element]):
        others = [s for s in network.sources if s is not source]
        fed = solved.fed[source.element]
        apart = not at_any(fed, [*buses, *(s.positive for s in others)]) and not any(
            solved.fed[s.element][source.positive] for s in others
        )
        units = [c for c in network.consumers if serves(network, solved, source.element, c)]
        if apart and len(units) == 1:
            found.add(source.element)
    return frozenset(found)
