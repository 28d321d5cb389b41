"""Rows of bits: what they say is what the engine solved, and which way current comes is what a
search by networkx says.
"""

from __future__ import annotations

import base64
from pathlib import Path

import networkx as nx

from reviewer.analysis.conduction.failure_modes import SHORT
from reviewer.analysis.conduction.fixed_point import conduct, link_masks
from reviewer.analysis.conduction.scenarios import lanes_of_cases
from reviewer.analysis.facts import Facts
from reviewer.questions.scenes import as_normally_fed, flows, items_of, state_view
from reviewer.reading import read_design
from reviewer.reports.page.pack import packed
from tests.analysis.small_designs import SmallDesign
from tests.oracle.generator import awkward, realistic

ROOT = Path(__file__).parent.parent.parent


def unpacked(text: str) -> list[int]:
    """The reading of a packed row, as its docstring says and not as the page does it."""
    octets, at, bits, skip = iter(base64.b64decode(text)), 0, [], True
    while (first := next(octets, None)) is not None:
        value, shift = first & 127, 7
        while first & 128:
            first = next(octets)
            value += (first & 127) << shift
            shift += 7
        if not skip:
            bits += range(at, at + value)
        at += value
        skip = not skip
    return bits


def test_rows_say_what_the_engine_solved_of_each_failure_alone() -> None:
    for facts in (
        Facts(realistic(90, 4)),
        Facts(awkward(3)),
        Facts(read_design(ROOT / "examples" / "faulted-tourer.design.yaml")),
    ):
        network = facts.network
        items = items_of(network, [])
        for answer in facts.states.answers()[:3]:
            told = state_view(answer, items)
            for number in range(0, len(told.failures), 7):
                row = set(told.healthy) ^ set(told.changes[number])
                alone = conduct(network, answer.state, (told.failures[number],), answer.healthy)
                fed = {
                    s * len(items.nodes) + i
                    for s, source in enumerate(items.sources)
                    for i, node in enumerate(items.nodes)
                    if alone.fed[source][node]
                }
                base = len(items.sources) * len(items.nodes)
                works = {base + i for i, e in enumerate(items.powered) if alone.powered[e]}
                assert {b for b in row if b < base} == fed
                assert {b for b in row if base <= b < base + len(items.powered)} == works


def test_a_short_opens_the_closed_protection_between_it_and_what_is_fed() -> None:
    """Each short behind the breaker of its own circuit opens that alone; where that is pulled nothing opens."""
    for pulled in (False, True):
        made = SmallDesign()
        for name in ("lamp", "radio"):
            made.load(name, made.protector(f"{name}-breaker"))
        facts = made.facts(pulled=["lamp-breaker"] if pulled else [])
        items = items_of(facts.network, [])
        view = state_view(facts.states.answer("cruise"), items)
        opens = {}
        for failure, change in zip(view.failures, view.changes, strict=False):
            first = items.width - len(items.protectors)
            row = {b - first for b in set(view.healthy) ^ set(change) if b >= first}
            if failure.mode is SHORT:
                opens[failure.element] = {facts.network.links[items.protectors[i]].element for i in row}
        assert opens["parts/radio"] == {"parts/radio-breaker"}
        assert opens.get("parts/lamp", set()) == (set() if pulled else {"parts/lamp-breaker"})
        assert opens["parts/bus"] == set()


def test_the_way_of_the_current_is_that_of_a_breadth_first_search() -> None:
    for seed in range(25):
        facts = Facts(awkward(seed))
        network = facts.network
        for answer in facts.states.answers()[:2]:
            lanes = lanes_of_cases(network, answer.state, ())
            along, against = link_masks(lanes, answer.healthy.energised)
            forth, back = flows(network, answer.healthy, along, against)
            wanted_forth, wanted_back = set(), set()
            for source in network.sources:
                fed = answer.healthy.fed[source.element]
                if not fed[source.positive]:
                    continue
                graph = nx.MultiDiGraph()
                graph.add_node(source.positive)
                for i, link in enumerate(network.links):
                    if i in network.bridges:
                        continue  # a resistor across a source leads nowhere
                    if along[i] and fed[link.a] and fed[link.b]:
                        graph.add_edge(link.a, link.b, link=i, way=wanted_forth)
                    if against[i] and fed[link.a] and fed[link.b]:
                        graph.add_edge(link.b, link.a, link=i, way=wanted_back)
                steps = nx.single_source_shortest_path_length(graph, source.positive)
                for a, b, edge in graph.edges(data=True):
                    if a in steps and b in steps and steps[b] == steps[a] + 1:
                        edge["way"].add(edge["link"])
            assert {i for i, m in forth.items() if m} == wanted_forth and {
                i for i, m in back.items() if m
            } == wanted_back


def changed_over() -> Facts:
    """A selector takes the load from either battery; a tie joins the second bus to the first one in another state."""
    made = SmallDesign()
    made.second_battery()
    made.add("select", "switch", positions={"main": [["main", "out"]], "second": [["second", "out"]]})
    made.wire("bus", "select.main")
    made.wire("second-bus", "select.second")
    made.load("radio", start="select.out")
    made.run("bus", [made.switch("tie")], "second-bus")
    engine = {"engine": "running"}
    made.states["cruise"] = {**engine, "switches": {"select": "main", "tie": "off"}}
    made.states["alternate"] = {**engine, "switches": {"select": "second", "tie": "off"}}
    made.states["tied"] = {**engine, "switches": {"select": "main", "tie": "on"}}
    return made.facts()


def backfed(facts: Facts, state: str, lost: str = "") -> set[str]:
    """The wires that are shown as backfed in a state, drawn all the wrong way up."""
    drawn = [
        (i, link.b, link.a) for i, link in enumerate(facts.network.links) if link.element.startswith("wires/")
    ]
    items = items_of(facts.network, as_normally_fed(facts, drawn))
    view = state_view(facts.states.answer(state), items)
    row = set(view.healthy)
    if lost:
        row ^= set(view.changes[[(f.element, f.mode) for f in view.failures].index((lost, "open"))])
    first = items.width - len(items.protectors) - len(items.directed)
    return {
        facts.network.links[link].element for i, (link, _, _) in enumerate(items.directed) if first + i in row
    }


def test_the_normal_feeds_of_a_change_over_are_not_backfed() -> None:
    facts = changed_over()
    assert backfed(facts, "cruise") == backfed(facts, "alternate") == set()


def test_a_bus_that_another_source_feeds_through_a_tie_shows_its_own_feed_as_backfed() -> None:
    """With its battery open, the second one feeds the bus: by the tie's wire, and on into the battery's own."""
    facts = changed_over()
    assert backfed(facts, "tied") == set()
    tie = next(f"wires/{n}" for n, w in facts.design.wires.items() if w.to == "tie.line")
    assert backfed(facts, "tied", "parts/battery") == {"wires/W1", tie}


def test_packed_rows_are_read_back() -> None:
    for bits in (
        [],
        [0],
        [5],
        [0, 1, 2],
        [3, 4, 900, 901, 902, 50_000],
        list(range(0, 4000, 3)),
        list(range(20_000)),
    ):
        assert unpacked(packed(bits)) == bits
