"""How the ends of wires are fed: all lanes at once, compared with a plain walk against the current from one end at a time."""

from __future__ import annotations

import pytest

from reviewer.analysis.conduction.feeds import feeding_of
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.facts import Facts
from reviewer.network.graph import Gate, Network
from tests.oracle.generator import realistic


def walked(network: Network, answer: StateAnswer, node: int, without: str) -> tuple[set[str], set[str]]:
    positives = {s.positive: s.element for s in network.sources if answer.healthy.alive[s.element]}

    def ways(at: int) -> list[tuple[int, int]]:
        return [
            (i, other)
            for i, other, leaving in network.around[at]
            if conducts(network, answer, i)
            and not (network.links[i].oneway and leaving)
            and network.links[i].element != without
        ]

    def sourced(start: int, zone: set[int]) -> bool:
        seen, todo = {start}, [start]
        while todo:
            at = todo.pop()
            if at in positives:
                return True
            for _, other in ways(at):
                if other not in zone and other not in seen:
                    seen.add(other)
                    todo.append(other)
        return False

    if not answer.healthy.live(node):
        return set(), set()
    zone, todo, edges = {node}, [node], []
    while todo:
        for i, other in ways(todo.pop()):
            if network.links[i].gate is Gate.PROTECTOR:
                edges.append((network.links[i].element, other))
            elif other not in zone:
                zone.add(other)
                todo.append(other)
    return {positives[n] for n in zone if n in positives}, {
        e for e, far in edges if far not in zone and sourced(far, zone)
    }


@pytest.mark.parametrize("seed", range(6))
def test_the_ends_of_every_wire_are_fed_as_a_plain_walk_says(seed: int) -> None:
    facts = Facts(realistic(60 + 20 * seed, seed))
    network, answers = facts.network, facts.states.answers()
    ends = [
        (network.node(t), f"wires/{name}")
        for name, wire in facts.design.wires.items()
        for t in (wire.from_, wire.to)
    ]
    protected = bare = 0
    for answer, found in zip(answers, feeding_of(network, answers, ends), strict=True):
        for (node, element), (sources, protectors) in zip(ends, found, strict=True):
            assert (set(sources), set(protectors)) == walked(network, answer, node, element), (
                answer.state.name,
                network.names[node],
                element,
            )
            bare += bool(sources)
            protected += bool(protectors)
    assert bare > 20 and protected > 100
