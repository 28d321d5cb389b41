"""Returns through structure: resistance to the negatives of the sources that feed a load."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from reviewer.analysis.conduction.own_generators import own_generators
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.paths.series_leads import lead_from
from reviewer.analysis.solver.two_point_resistance import two_point_resistance
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare


@record
class StructureReturn:
    """From ``terminal`` on metal structure ``ohms`` to the negative of ``source``.

    ``load`` is grounded at the terminal; ``missing`` names what the file lacks, "" where nothing.
    """

    load: str
    terminal: str
    source: str
    ohms: float
    missing: str


def grounded_to_structure(design: Design, network: Network) -> Mapping[str, int]:
    """Loads and instruments (pointers) that are grounded to metal structure -> its node.

    Bolted to it, or with a wire to it from a return, joints in series in the wire.
    """
    airframe = design.aircraft.airframe
    structure = (n for n in design.of_kind(p.Airframe) if (design.parts[n].material or airframe) == "metal")
    metal = {node for name in structure for node in network.nodes_of[f"parts/{name}"]}
    found = {}
    for consumer in network.consumers:
        part = design.parts[bare(consumer.element)]
        if part.mounted_on and network.node(part.mounted_on) in metal:
            found[consumer.element] = network.node(part.mounted_on)
        for node in consumer.outlets:
            for i, other, _ in network.around[node]:
                if network.links[i].element.startswith("wires/"):
                    end = lead_from(design, network, i, other).end
                    if end in metal:
                        found.setdefault(consumer.element, end)
    return found


def feeding(design: Design, network: Network, load: str, answers: Sequence[StateAnswer]) -> tuple[str, ...]:
    """The sources that feed a load in any of some states.

    A reserve only where it is dedicated to the load, and no generator of its own: that returns by the
    leads of both.
    """
    consumer = next(c for c in network.consumers if c.element == load)
    found: dict[str, None] = {}
    for answer in answers:
        if answer.healthy.powered[load]:
            found.update(dict.fromkeys(source for node in consumer.inlets for source in answer.fed_by(node)))
    own = own_generators(answers[0]) if answers else ()
    parts = ((source, design.parts[bare(source)]) for source in found if source not in own)
    return tuple(
        s
        for s, part in parts
        if not (
            isinstance(part, p.Battery) and part.purpose == "reserve" and bare(load) not in part.dedicated_to
        )
    )


def tested_links(
    design: Design, network: Network, ohms: Mapping[int, float]
) -> tuple[tuple[int, int, float], ...]:
    """The conductors of the return side as (node, node, ohms).

    A bond that is tested has what its test accepts.
    """
    found = []
    for i, value in ohms.items():
        link = network.links[i]
        accepted = (
            design.wires[bare(link.element)].max_resistance if link.element.startswith("wires/") else None
        )
        found.append((link.a, link.b, value if accepted is None else accepted))
    return tuple(found)


def structure_returns(
    design: Design, network: Network, answers: Sequence[StateAnswer], ohms: Mapping[int, float], missing: str
) -> Mapping[str, StructureReturn]:
    """Load grounded to metal structure -> its worst resistance to a source's negative.

    Over the sources that feed it in a state. ``ohms`` by index of link are those of the return
    side.
    """
    tested = tested_links(design, network, ohms)
    negatives = {s.element: s.negative for s in network.sources}
    between: dict[tuple[int, int], float | None] = {}
    found = {}
    for load, node in grounded_to_structure(design, network).items():
        paths = []
        for source in feeding(design, network, load, answers):
            ends = (negatives[source], node)
            if ends not in between:
                between[ends] = two_point_resistance(tested, *ends)
            path = between[ends]
            if path is not None:
                paths.append((path, source))
        if paths:
            most, source = max(paths)
            found[load] = StructureReturn(load, network.names[node], source, most, missing)
    return found
