"""The shape of the network in JSON, as a graph of nodes and edges."""

from __future__ import annotations

from typing import Annotated, Literal

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Beginning, Count, Element


class GraphNode(TypedDict):
    """One terminal."""

    id: Annotated[str, About("`part.terminal`, or the name of a part that is one bar.")]
    part: Annotated[str, About("Its part.")]
    kind: Annotated[str, About("The kind of the part.")]
    role: Annotated[
        str,
        About(
            "What it is to a source, a load or a coil.",
            enum=["source positive", "source negative", "supply", "return", "coil", ""],
        ),
    ]


class GraphEdge(TypedDict):
    """One direction of a link. A diode has one, all else two."""

    source: Annotated[str, About("The node that it leaves.")]
    target: Annotated[str, About("The node that it enters.")]
    key: Annotated[int, About("Its number.", minimum=0)]
    link: Annotated[Count, About("The number of its link, the same in both directions.")]
    element: Element
    kind: Annotated[str, About("`wire`, or the kind of the part.")]
    gate: Annotated[str, About("What decides whether it conducts.")]
    positions: Annotated[list[str], About("The positions of a switch in which it conducts.")]
    one_way: Annotated[bool, About("Whether the link conducts in this direction only.")]
    states: Annotated[list[str], About("The states in which it conducts, with nothing failed.")]


class GraphFacts(TypedDict):
    """What belongs to the whole graph."""

    states: Annotated[list[str], About("The states, the normal state first.")]
    unsettled_states: Annotated[list[str], About("Those in which relays do not settle.")]


class GraphDocument(Beginning):
    """Terminals and what joins them, with the states in which it conducts.

    A second opinion; the cautions are part of it.
    """

    format: Annotated[Literal["circuit-graph/1"], About("Name and number of this format.")]
    directed: Annotated[Literal[True], About("Edges have a direction.")]
    multigraph: Annotated[Literal[True], About("Two nodes may have several edges.")]
    graph: GraphFacts
    nodes: Annotated[list[GraphNode], About("One entry for each terminal.")]
    edges: Annotated[
        list[GraphEdge],
        About("One entry for each direction of a link. Loads, coils and resistors across a source are none."),
    ]
