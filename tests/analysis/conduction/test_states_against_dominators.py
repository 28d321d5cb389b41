"""Single failures against an independent answer: the dominators of a graph of terminals, by networkx."""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import pytest

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.reading import read_design
from tests.thinned import some_of

ROOT = Path(__file__).parents[3]
EXAMPLES = sorted((ROOT / "examples").glob("*.design.yaml"))
FILES = [
    *some_of(EXAMPLES, [path for path in EXAMPLES if not path.name.startswith("faulted")]),
    ROOT / "tests" / "rules" / "bases" / "bench.yaml",
]
ONE_LINK = (p.Protector, p.Diode, p.Shunt)
BARS = (p.Bus, p.GroundBlock, p.Stud, p.Splice)


def graph_of(facts: Facts, answer: StateAnswer, against: bool) -> nx.DiGraph:
    """Terminals, bars, and one node for each single-link element; edges are the ways of current, or against it."""
    network, graph = facts.network, nx.DiGraph()
    for i, link in enumerate(network.links):
        for one, other, leaving in ((link.a, link.b, True), (link.b, link.a, False)):
            if conducts(network, answer, i, leaving):
                middle = ("link", i)
                pair = [(one, middle), (middle, other)]
                graph.add_edges_from([(b, a) for a, b in pair] if against else pair)
    return graph


def comparable(facts: Facts, element: str) -> object | None:
    """The graph's node that opening an element takes away, where it is a single one."""
    head, _, name = element.partition("/")
    links = [i for i, link in enumerate(facts.network.links) if link.element == element]
    if head == "parts" and isinstance(facts.design.parts[name], BARS):
        return facts.network.index.get(name)
    if len(links) == 1 and (head == "wires" or isinstance(facts.design.parts[name], ONE_LINK)):
        return ("link", links[0])
    return None


@pytest.mark.parametrize(
    "path",
    [
        pytest.param(path, id=path.name, marks=pytest.mark.long if "tourer" in path.name else ())
        for path in FILES
    ],
)
def test_what_stands_between_a_source_and_a_terminal_is_what_the_dominators_say(path: Path) -> None:
    facts = Facts(read_design(path))
    compared = 0
    for answer in facts.states.answers():
        network, failed = facts.network, answer.failed
        opens = [(i, f.element) for i, f in enumerate(answer.failures) if f.mode == OPEN]
        steady = [
            (i, e)
            for i, e in opens
            if all(m >> i & 1 == answer.healthy.energised[k] for k, m in failed.energised.items())
            and all(m >> i & 1 == answer.healthy.alive[k] for k, m in failed.alive.items())
        ]
        for source in network.sources:
            if not answer.healthy.alive[source.element]:
                continue
            for start, reach, under, against in (
                (source.positive, answer.healthy.fed, failed.fed, False),
                (source.negative, answer.healthy.returned, failed.returned, True),
            ):
                graph = graph_of(facts, answer, against)
                if start not in graph:
                    continue
                parents = nx.immediate_dominators(graph, start)
                for consumer in network.consumers:
                    for node in consumer.minus if against else consumer.plus:
                        assert bool(reach[source.element][node]) == (node in parents or node == start)
                        if node not in parents:
                            continue
                        chain = set()
                        at = node
                        while at is not None and at != start:
                            chain.add(at)
                            at = parents.get(at)
                        for i, element in steady:
                            key = comparable(facts, element)
                            if key is not None and element != source.element:
                                cut = not under[source.element][node] >> i & 1
                                assert cut == (key in chain), (
                                    answer.state.name,
                                    source.element,
                                    element,
                                    network.names[node],
                                )
                                compared += 1
    assert compared > (500 if len(facts.design.parts) > 20 else 10)
