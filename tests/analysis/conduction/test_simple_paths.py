"""SimplePaths through the network against networkx, and by hand on the base design."""

from __future__ import annotations

from pathlib import Path

import networkx as nx
import pytest

from reviewer.analysis.conduction import simple_paths
from reviewer.analysis.conduction.simple_paths import (
    BlockedPath,
    feed_paths,
    may_pass,
    nearest_blocked_path,
    return_paths,
)
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.facts import Facts
from reviewer.questions.trace import BAR, RETURN, SUPPLY, trace
from reviewer.reading import read_design, read_text
from tests.oracle.generator import awkward, realistic

ROOT = Path(__file__).parents[3]
BASE = ROOT / "tests" / "rules" / "bases" / "bench.yaml"
FILES = [BASE, *sorted((ROOT / "examples").glob("*tourer.design.yaml"))]


def graph_of(answer: StateAnswer) -> nx.MultiDiGraph:
    graph: nx.MultiDiGraph = nx.MultiDiGraph()
    for i, link in enumerate(answer.network.links):
        for one, other, leaving in ((link.a, link.b, True), (link.b, link.a, False)):
            if one != other and conducts(answer.network, answer, i, leaving):
                graph.add_edge(one, other, i)
    return graph


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_the_ways_are_all_simple_paths_and_the_shortest_comes_first(path: Path) -> None:
    facts = Facts(read_design(path))
    answer = facts.states.answer("cruise")
    graph, compared, several = graph_of(answer), 0, 0
    for source in facts.network.sources:
        if not answer.healthy.alive[source.element]:
            continue
        for consumer in facts.network.consumers:
            for goals, walk, back in (
                (consumer.plus, feed_paths, False),
                (consumer.minus, return_paths, True),
            ):
                for node in goals:
                    found = walk(answer, source.element, node, most=10_000)
                    assert not found.stopped
                    one, other = (node, source.negative) if back else (source.positive, node)
                    wanted = (
                        {tuple(e[2] for e in p) for p in nx.all_simple_edge_paths(graph, one, other)}
                        if {one, other} <= set(graph)
                        else set()
                    )
                    assert {w.links for w in found.paths} == wanted
                    lengths = [len(w.links) for w in found.paths]
                    assert lengths == sorted(lengths)
                    compared += len(wanted)
                    several += len(wanted) > 1
    assert compared > 4 and (several or path == BASE)


def ladder(rungs: int) -> str:
    """A feed from which two bars go side by side, joined at every rung: ways double with each."""
    wires = [
        "P: {from: source.positive, to: a-0.in}",
        "Q: {from: source.positive, to: b-0.in}",
        "N: {from: lamp.return, to: source.negative}",
    ]
    for i in range(rungs):
        wires.append(f"R{i}: {{from: a-{i}.rung, to: b-{i}.rung}}")
        if i:
            wires += [
                f"A{i}: {{from: a-{i - 1}.out, to: a-{i}.in}}",
                f"B{i}: {{from: b-{i - 1}.out, to: b-{i}.in}}",
            ]
    wires.append(f"L: {{from: a-{rungs - 1}.out, to: lamp.supply}}")
    bars = "\n".join(f"  {side}-{i}: {{kind: splice}}" for side in "ab" for i in range(rungs))
    return (
        "format: 1\naircraft: {name: Ladder, nominal: 14 V, airframe: wood, stage: concept}\nparts:\n"
        f"  source: {{kind: battery}}\n  lamp: {{kind: load}}\n{bars}\nwires:\n  " + "\n  ".join(wires) + "\n"
        "operation: {normal: on, states: {on: {engine: stopped}}}\n"
    )


def test_the_search_for_ways_stops_and_says_so() -> None:
    facts = Facts(read_text(ladder(16), "ladder.yaml"))
    answer = facts.states.answer("on")
    node = facts.network.node("lamp.supply")
    many, few = (
        feed_paths(answer, "parts/source", node),
        feed_paths(answer, "parts/source", node, most=10_000, steps=50),
    )
    assert many.stopped and len(many.paths) == 12
    assert few.stopped and 1 <= len(few.paths) < 50
    assert many.paths[0].elements[0] == "parts/source" and len(many.paths[0].links) == min(
        len(w.links) for w in many.paths
    )
    whole = feed_paths(
        Facts(read_text(ladder(2), "ladder.yaml")).states.answer("on"),
        "parts/source",
        Facts(read_text(ladder(2), "l")).network.node("lamp.supply"),
    )
    # straight, over at the first rung, over at the second, and both halves of the other side: by hand 4
    assert (len(whole.paths), whole.stopped) == (4, False)


@pytest.mark.parametrize(("end", "stopped"), [("a-15.out", True), ("source.positive", False)])
def test_what_hangs_on_a_path_costs_no_step_of_its_search(end: str, stopped: bool) -> None:
    """The lamp past sixteen rungs has more paths than are listed; beside them it has the one of its wire, with
    no rung searched."""
    drawn = ladder(16).replace("L: {from: a-15.out,", f"L: {{from: {end},")
    facts = Facts(read_text(drawn, "ladder.yaml"))
    answer, node = facts.states.answer("on"), facts.network.node("lamp.supply")
    found = feed_paths(answer, "parts/source", node, steps=50)
    assert found.stopped is stopped
    assert stopped or [path.elements for path in found.paths] == [("parts/source", "wires/L")]
    assert may_pass(answer, "parts/source", node, ["wires/R7"]) is stopped
    assert may_pass(answer, "parts/source", node, ["wires/L"])
    back = answer.network.node("lamp.return")
    assert may_pass(answer, "parts/source", back, ["wires/N"], returns=True)
    assert not may_pass(answer, "parts/source", back, ["wires/L"], returns=True)


def test_a_dead_terminal_is_told_with_what_holds_its_way_open() -> None:
    facts = Facts(read_design(BASE))
    parked = facts.states.answer("parked")
    assert nearest_blocked_path(parked, facts.network.node("left-ignition.supply")) == BlockedPath(
        "parts/main-battery",
        ("parts/main-battery", "wires/W20", "parts/left-fuse", "wires/W21", "parts/left-switch", "wires/W22"),
        ("parts/left-switch",),
    )
    coil = nearest_blocked_path(parked, facts.network.node("main-contactor.coil-minus"), returns=True)
    assert coil is not None and coil.at == ("parts/master",) and coil.elements[-1] == "parts/main-battery"
    # the microphone's signal can be fed by nothing, however anything stands
    assert nearest_blocked_path(parked, facts.network.node("mic-jack.signal")) is None


def test_a_load_is_traced_from_its_source_and_back() -> None:
    facts = Facts(read_design(BASE))
    found = trace(facts.design, facts.network, facts.states.answers(), "left-ignition")
    assert [(s.state, s.works) for s in found.states] == [
        ("cruise", True),
        ("smoke-drill", True),
        ("parked", False),
    ]
    cruise, drill, parked = found.states
    supply, back = cruise.terminals
    assert (supply.role, back.role, cruise.by) == (SUPPLY, RETURN, ("parts/main-battery", "parts/alternator"))
    by = {w.source: w.paths for w in supply.fed}
    assert list(by) == ["parts/main-battery", "parts/alternator"] and [len(w) for w in by.values()] == [1, 1]
    way = by["parts/main-battery"][0]
    assert way.elements == (
        "parts/main-battery",
        "wires/W20",
        "parts/left-fuse",
        "wires/W21",
        "parts/left-switch",
        "wires/W22",
    )
    assert (way.protection, way.switches, way.relays) == (
        ("parts/left-fuse",),
        (("parts/left-switch", "up"),),
        (),
    )
    other = by["parts/alternator"][0]
    assert other.relays == (("parts/main-contactor", True),) and other.protection == (
        "parts/alternator-limiter",
        "parts/bus-limiter",
        "parts/left-fuse",
    )
    assert [w.paths[0].elements for w in back.returned] == [
        ("wires/W23", "parts/main-ground", "wires/W2", "parts/main-battery"),
        ("wires/W23", "parts/main-ground", "wires/W10", "parts/engine", "wires/W9", "parts/alternator"),
    ]
    assert drill.by == ("parts/main-battery",)
    assert parked.terminals[0].dead and parked.terminals[0].held_open == (("parts/left-switch", "at down"),)


def test_a_relay_that_holds_a_way_open_is_told_with_what_holds_it_off() -> None:
    facts = Facts(read_design(BASE))
    found = trace(facts.design, facts.network, (facts.states.answer("parked"),), "main-bus")
    (point,) = found.states[0].terminals
    assert (point.terminal, point.role, point.dead) == ("main-bus", BAR, True)
    assert point.held_open == (("parts/main-contactor", "not energised (held off by master at down)"),)


def test_a_feed_from_one_source_and_a_return_to_another_is_not_powered() -> None:
    text = BASE.read_text(encoding="utf-8").replace(
        "  W35: {from: reserve-ground.bond, to: main-ground.bond, gauge: 8 AWG, length: 0.8 m}\n", ""
    )
    text = text.replace(
        "from: left-ignition.return, to: main-ground.left",
        "from: left-ignition.return, to: reserve-ground.left",
    )
    facts = Facts(read_text(text, "unbonded.yaml"))
    (state,) = trace(facts.design, facts.network, (facts.states.answer("cruise"),), "left-ignition").states
    supply, back = state.terminals
    assert (state.works, state.by) == (False, ())
    assert [w.source for w in supply.fed] == ["parts/main-battery", "parts/alternator"] and [
        w.source for w in back.returned
    ] == ["parts/reserve-battery"]


@pytest.mark.parametrize(
    "path",
    [pytest.param(f, id=f.name, marks=pytest.mark.long if "tourer" in f.name else ()) for f in FILES],
)
def test_every_part_and_terminal_can_be_traced(path: Path) -> None:
    facts = Facts(read_design(path))
    answers = (facts.states.answer("cruise"),)
    for name in (*facts.design.parts, *facts.network.index):
        for state in trace(facts.design, facts.network, answers, name).states:
            for point in state.terminals:
                node = facts.network.node(point.terminal)
                assert {w.source for w in point.fed} == {
                    s for s, r in answers[0].healthy.fed.items() if r[node] and point.role != RETURN
                }
    with pytest.raises(KeyError):
        trace(facts.design, facts.network, answers, "no-such-part")
    with pytest.raises(KeyError):
        trace(facts.design, facts.network, answers, "main-battery.no-such-terminal")


@pytest.mark.parametrize("design", ["realistic 1", "realistic 2", *(f"awkward {n}" for n in range(8))])
def test_edges_that_are_worked_out_once_for_joined_ends_are_those_of_each_end(design: str) -> None:
    kind, number = design.split()
    facts = Facts(realistic(90, int(number)) if kind == "realistic" else awkward(int(number)))
    compared = 0
    for answer in facts.states.answers()[:4]:
        conducting = simple_paths._conducting(answer)
        for source in facts.network.sources:
            fed, back = answer.healthy.fed[source.element], answer.healthy.returned[source.element]
            for node in range(len(facts.network.names)):
                for name, allowed, ends in (
                    ("feed", fed, (source.positive, node)),
                    ("return", back, (node, source.negative)),
                ):
                    if allowed[node]:
                        shared = simple_paths._edges_of(answer, (name, source.element), *ends, allowed)
                        assert shared == simple_paths.useful_edges(conducting, *ends, allowed)
                        assert all(allowed[o] for out in shared.values() for _, o in out)
                        compared += 1
    assert compared > 25
