"""The network as GraphML and as versioned JSON, for other programs."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from reviewer.model.design import Design
from reviewer.reports.documents.graph_document import GraphDocument
from reviewer.reports.review.json import beginning, dumped
from reviewer.reports.wording import escaped

if TYPE_CHECKING:
    import networkx as nx

FORMAT: Final = "circuit-graph/1"
#: what XML 1.0 has no place for among the characters that a name may have
_NO_XML = ("\ufffe", "\uffff")


def graph_json(file: str, design: Design, graph: nx.MultiDiGraph) -> str:
    """The whole graph; ``schemas/graph.schema.json`` describes it."""
    document: GraphDocument = {
        "format": FORMAT,
        **beginning(file, design),
        "directed": True,
        "multigraph": True,
        "graph": {
            "states": list(graph.graph["states"]),
            "unsettled_states": list(graph.graph["unsettled_states"]),
        },
        "nodes": [
            {"id": node, "part": about["part"], "kind": about["kind"], "role": about["role"]}
            for node, about in graph.nodes.items()
        ],
        "edges": [
            {
                "source": source,
                "target": target,
                "key": key,
                "link": about["link"],
                "element": about["element"],
                "kind": about["kind"],
                "gate": about["gate"],
                "positions": list(about["positions"]),
                "one_way": about["one_way"],
                "states": list(about["states"]),
            }
            for (source, target, key), about in graph.edges.items()
        ],
    }
    return dumped(document)


def graph_xml(graph: nx.MultiDiGraph) -> str:
    """The whole graph as GraphML. An edge has ``conducts in STATE``, true or false, for each state,
    and the positions of its switch in one text; the graph has ``unsettled_states`` in one text."""
    import networkx as nx

    plain = nx.MultiDiGraph(unsettled_states="; ".join(graph.graph["unsettled_states"]))
    plain.add_nodes_from(graph.nodes.items())
    for (source, target, key), about in graph.edges.items():
        kept = {name: value for name, value in about.items() if name not in ("states", "positions")}
        conducts = {f"conducts in {state}": state in about["states"] for state in graph.graph["states"]}
        positions = "; ".join(about["positions"])
        plain.add_edge(source, target, key, **kept, positions=positions, **conducts)
    text = '<?xml version="1.0" encoding="utf-8"?>\n' + "\n".join(nx.generate_graphml(plain)) + "\n"
    for key in re.findall(r'<key id="(\w+)" [^>]*attr\.type="boolean"', text):
        text = re.sub(rf'(<data key="{key}">)(True|False)<', lambda b: f"{b[1]}{b[2].lower()}<", text)
    return "".join(c if c.isprintable() or c == "\n" else _hidden(c) for c in text)


def _hidden(character: str) -> str:
    """A character that cannot be seen or moves the cursor, as a reference that reads as itself."""
    return escaped(character) if character in _NO_XML else f"&#x{ord(character):x};"
