"""The graph of a design, whose reachability and dominators networkx works out, against the engine and the trace."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import networkx as nx
import pytest
from click.testing import CliRunner

from reviewer.analysis.conduction.common_elements import common_elements
from reviewer.analysis.conduction.simple_paths import feed_paths, return_paths
from reviewer.analysis.facts import Facts
from reviewer.cli.main import commands
from reviewer.model.design import Design
from reviewer.questions.trace import trace_of
from reviewer.reading import read_text
from reviewer.reports.graph_forms import graph_json, graph_xml
from reviewer.reports.wording import CAUTIONS
from tests.analysis.conduction.test_simple_paths import ladder
from tests.oracle.awkward import awkward
from tests.oracle.generator import realistic
from tests.test_questions import EVIL, GOOD, HOSTILE, NO_OPERATION

ROOT = Path(__file__).parents[2]
DESIGNS = {
    "bench": lambda: read_text(GOOD, "bench.yaml"),
    "realistic": lambda: realistic(40, 3),
    **{f"awkward {seed}": lambda seed=seed: awkward(seed) for seed in range(12)},
}


def in_state(graph: nx.MultiDiGraph, state: str, without: str = "") -> nx.MultiDiGraph:
    kept = [e for e, about in graph.edges.items() if state in about["states"] and about["element"] != without]
    part = nx.MultiDiGraph()
    part.add_nodes_from(graph)
    part.add_edges_from((*edge, graph.edges[edge]) for edge in kept)
    return part


def dominating(graph: nx.MultiDiGraph, start: str, goal: str) -> set[str]:
    """The elements of the links that lie on every path, each link a node between its ends."""
    halves: nx.DiGraph = nx.DiGraph()
    halves.add_node(start)
    for (a, b, _), about in graph.edges.items():
        link = ("link", about["link"], about["element"])
        # a link that conducts both ways is one node for each: no path turns round in it
        halves.add_edges_from([(a, (*link, a)), ((*link, a), b)])
    parents, found, at = nx.immediate_dominators(halves, start), set(), goal
    while at is not None and at != start:
        found |= {at[2]} if isinstance(at, tuple) else set()
        at = parents.get(at)
    return found


@pytest.mark.parametrize("name", DESIGNS)
def test_what_the_graph_reaches_and_what_all_its_paths_pass_is_what_the_engine_says(name: str) -> None:
    facts = Facts(DESIGNS[name]())
    names, compared, inner = facts.network.names, 0, 0
    users = [node for c in facts.network.consumers for node in (*c.plus, *c.minus)]
    for answer in facts.states.answers()[:3]:
        state = in_state(facts.graph, answer.state.name)
        back = state.reverse(copy=False)
        for source in facts.network.sources:
            if not answer.healthy.alive[source.element]:
                continue
            for graph, start, engine, paths in (
                (state, source.positive, answer.healthy.fed, feed_paths),
                (back, source.negative, answer.healthy.returned, return_paths),
            ):
                reached = nx.descendants(graph, names[start]) | {names[start]}
                assert reached == {n for i, n in enumerate(names) if engine[source.element][i]}
                for node in users[::4]:
                    if names[node] not in reached or node == start:
                        continue
                    found = set(common_elements(answer, paths(answer, source.element, node)))
                    found -= {source.element}
                    over = dominating(graph, names[start], names[node]) - {source.element}
                    assert over <= found
                    for element in found | {graph.edges[e]["element"] for e in list(graph.edges)[::9]}:
                        left = in_state(facts.graph, answer.state.name, element)
                        left = left if graph is state else left.reverse(copy=False)
                        if element != source.element:
                            cut = not nx.has_path(left, names[start], names[node])
                            assert cut == (element in found), (answer.state.name, source.element, element)
                            assert not cut or element in over or element not in facts.network.lone
                        compared += 1
                    inner += bool(found)
    assert compared and inner


def traced(design: Design) -> dict[str, tuple[str, ...]]:
    (state,) = trace_of(Facts(design), "lamp").states
    return {terminal.terminal: terminal.common for terminal in state.terminals}


def test_paths_that_are_not_listed_count_too() -> None:
    # the listed paths all leave by the same side; the many others do not
    (state,) = trace_of(Facts(read_text(ladder(16), "ladder.yaml")), "lamp").states
    (by,) = state.terminals[0].fed
    assert by.stopped and set.intersection(*(set(path.elements) for path in by.paths)) > set(by.common)
    assert by.common == ("parts/source", "parts/a-15", "wires/L")


def two_poles(second: str) -> str:
    """A lamp with two leads from a battery, one through a pole of a switch and one through ``second``."""
    return f"""
format: 1
aircraft: {{name: Two poles, nominal: 14 V, airframe: wood, stage: concept}}
parts:
  source: {{kind: battery}}
  lamp: {{kind: load}}
  double: {{kind: switch, positions: {{off: [], on: [[a, b], [c, d]]}}}}
  single: {{kind: switch, positions: {{off: [], on: [[c, d]]}}}}
wires:
  A1: {{from: source.positive, to: double.a}}
  A2: {{from: double.b, to: lamp.supply}}
  B1: {{from: source.positive, to: {second}.c}}
  B2: {{from: {second}.d, to: lamp.supply}}
  N: {{from: lamp.return, to: source.negative}}
operation: {{normal: on, states: {{on: {{engine: stopped, switches: {{double: on, single: on}}}}}}}}
"""


def test_two_poles_of_one_switch_are_one_part_that_every_path_passes() -> None:
    one = read_text(two_poles("double"), "one.yaml")
    assert traced(one)["lamp.supply"] == ("parts/source", "parts/double")
    graph = in_state(Facts(one).graph, "on")
    assert dominating(graph, "source.positive", "lamp.supply") == set()
    assert traced(read_text(two_poles("single"), "two.yaml"))["lamp.supply"] == ("parts/source",)


def test_a_trace_names_what_every_path_passes_or_that_nothing_is_on_all(tmp_path: Path) -> None:
    apart = two_poles("single").replace("B1: {from: source", "B1: {from: reserve")
    apart = apart.replace(
        "wires:", "  reserve: {kind: battery}\nwires:\n  M: {from: lamp.return, to: reserve.negative}"
    )
    told = {}
    for name, text, load in (
        ("one", two_poles("double"), "lamp"),
        ("two", apart, "lamp"),
        ("bench", GOOD, "left-ignition"),
    ):
        (tmp_path / name).write_text(text, encoding="utf-8")
        done = CliRunner().invoke(commands, ["trace", str(tmp_path / name), load], catch_exceptions=False)
        told[name] = " ".join(done.stdout.split())
    # the alternator's current comes to the left ignition by the post of the battery
    assert "on every path W20, left-fuse, W21, left-switch and W22 left-ignition.return" in told["bench"]
    assert "on every path W23 and main-ground In smoke-drill" in told["bench"]
    assert told["two"].count("on every path no part or wire") == 2
    # a return with one path alone needs no such line
    assert "on every path source and double" in told["one"] and told["one"].count("on every path") == 1


def test_the_graph_says_what_it_joins_and_cannot_be_changed() -> None:
    facts = Facts(read_text(GOOD, "bench.yaml"))
    graph = facts.graph
    assert graph is facts.graph and graph.graph == {
        "states": ("cruise", "smoke-drill", "parked"),
        "unsettled_states": (),
    }
    assert graph.nodes["main-battery.positive"] == {
        "part": "main-battery",
        "kind": "battery",
        "role": "source positive",
    }
    ((_, about),) = graph["left-switch.line"]["left-switch.load"].items()
    assert (about["element"], about["kind"], about["gate"]) == ("parts/left-switch", "switch", "switch")
    assert (about["positions"], about["states"]) == (("up",), ("cruise", "smoke-drill"))
    assert not graph.has_edge("left-ignition.supply", "left-ignition.return")
    one_way = {about["element"] for about in graph.edges.values() if about["one_way"]}
    assert one_way == {e for _, e in facts.network.diodes}
    with pytest.raises(nx.NetworkXError):
        graph.add_edge("main-battery.positive", "main-battery.negative")
    unstated = Facts(read_text(NO_OPERATION, "bench.yaml")).graph
    assert unstated.graph["states"] == () and unstated.number_of_edges() == graph.number_of_edges()


@pytest.mark.parametrize("text", [GOOD, HOSTILE], ids=["bench", "hostile names"])
def test_both_forms_read_back_as_the_same_graph(text: str) -> None:
    facts = Facts(read_text(text, "bench.yaml"))
    graph, listed = facts.graph, ("states", "positions")
    document = json.loads(graph_json("bench.yaml", facts.design, graph))
    again = nx.node_link_graph(document, edges="edges")
    plain = {
        edge: {k: list(v) if k in listed else v for k, v in about.items()}
        for edge, about in graph.edges.items()
    }
    assert dict(again.edges.items()) == plain and dict(again.nodes.items()) == dict(graph.nodes.items())
    xml = graph_xml(graph)
    assert all(c.isprintable() or c == "\n" for c in xml) and (EVIL.partition("\u202e")[0] in xml) == (
        text is HOSTILE
    )
    read = nx.read_graphml(io.BytesIO(xml.encode()), force_multigraph=True, edge_key_type=int)
    assert set(read.edges) == set(graph.edges) and set(read) == set(graph)
    for edge, about in read.edges.items():
        states = tuple(s for s in graph.graph["states"] if about[f"conducts in {s}"] is True)
        kept = {k: v for k, v in graph.edges[edge].items() if k not in listed}
        assert states == graph.edges[edge]["states"] and kept == {k: about[k] for k in kept}


def test_the_command_writes_either_form_with_the_cautions(tmp_path: Path) -> None:
    design = tmp_path / "bench.yaml"
    design.write_text(GOOD, encoding="utf-8")
    xml = CliRunner().invoke(commands, ["graph", str(design)], catch_exceptions=False)
    assert xml.exit_code == 0 and xml.stdout.startswith("<?xml") and all(c in xml.stderr for c in CAUTIONS)
    out = tmp_path / "graph.json"
    done = CliRunner().invoke(commands, ["graph", str(design), "--as", "json", "--out", str(out)])
    assert (done.exit_code, done.stdout) == (0, "")
    assert json.loads(out.read_text(encoding="utf-8"))["cautions"] == list(CAUTIONS)


def test_the_library_is_loaded_for_the_graph_alone() -> None:
    code = (
        "import sys; from reviewer.analysis.facts import Facts; from reviewer.reading import read_text\n"
        f"facts = Facts(read_text({GOOD!r}, 'bench.yaml')); facts.states.answers()\n"
        "before = 'networkx' in sys.modules; facts.graph; print(before, 'networkx' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    assert done.stdout.split() == ["False", "True"], done.stderr
