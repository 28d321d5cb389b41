"""Bundles that lose a function when they are severed, short runs left aside."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from math import inf

from reviewer.analysis.conduction.failure_modes import OPEN, SHORT, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import StateAnswer, function_masks
from reviewer.analysis.cut_sets.single_points import BUNDLE, SinglePoint
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Network, bare
from reviewer.network.search import reachable
from reviewer.tables.practice import practice

#: a common run up to this length, metres (1 ft), is not what two channels share: common practice (no
#: published source)
SHORT_RUN_M = practice("metres", "common-run").high
_JOINTS = (p.Splice, p.Stud, p.Connector)


def cut_bundles(
    design: Design, network: Network, answer: StateAnswer, points: Iterable[SinglePoint]
) -> Iterator[SinglePoint]:
    """Those single points that are severed bundles and lose the function by their long runs alone."""
    severed = [point for point in points if point.side == BUNDLE and point.state == answer.state.name]
    cases = [
        tuple(
            _severed(network, answer, wire)
            for wire in long_runs(design, network, network.bundles[bare(point.element)])
        )
        for point in severed
    ]
    solved = conduct(network, answer.state, cases, answer.healthy) if cases else answer.healthy
    works = function_masks(design, solved.powered, (1 << len(cases)) - 1)
    for i, point in enumerate(severed):
        if not works[point.function] >> i & 1:
            yield point


def works_without(
    design: Design, network: Network, answer: StateAnswer, bundle: str, kept: Collection[str]
) -> frozenset[str]:
    """The functions that work in a state with a bundle (its pointer) severed but for some of its wires, which
    are ``kept`` (pointers)."""
    cut = tuple(_severed(network, answer, w) for w in network.bundles[bare(bundle)] if w not in kept)
    solved = conduct(network, answer.state, [cut], answer.healthy)
    return frozenset(f for f, mask in function_masks(design, solved.powered, 1).items() if mask)


def _severed(network: Network, answer: StateAnswer, wire: str) -> Failure:
    """One wire of a severed bundle: open, or grounded where it is the p-lead of a magneto that fires."""
    touching = tuple(n for n in network.nodes_of[wire] if n in answer.p_leads)
    return Failure(wire, SHORT, touching) if touching else Failure(wire, OPEN)


def long_runs(design: Design, network: Network, bundle: Collection[str]) -> Iterator[str]:
    """The wires of a bundle in a run of more than a foot: a wire with those joined to it by
    splices, studs and connectors in the bundle. A wire without a length counts as long."""
    ends = {wire: _ends(network, wire) for wire in bundle}
    for wire, two_ends in ends.items():
        run = _length(design, wire)
        run += sum(_onward(design, network, ends, node, wire, frozenset()) for node in two_ends)
        if run > SHORT_RUN_M:
            yield wire


def _length(design: Design, wire: str) -> float:
    known = design.wires[bare(wire)].length
    return inf if known is None else known


def _onward(
    design: Design,
    network: Network,
    ends: Mapping[str, tuple[int, int]],
    node: int,
    came: str,
    seen: frozenset[int],
) -> float:
    """The longest run of further wires from a node to which a wire came; no joint twice."""
    joined = _joined(design, network, node)
    if joined & seen:
        return 0.0
    found = [
        _length(design, wire)
        + _onward(design, network, ends, two if one in joined else one, wire, seen | joined)
        for wire, (one, two) in ends.items()
        if wire != came and (one in joined or two in joined)
    ]
    return max(found, default=0.0)


def _ends(network: Network, wire: str) -> tuple[int, int]:
    link = network.links[network.links_of[wire][0]]
    return link.a, link.b


def _joined(design: Design, network: Network, node: int) -> set[int]:
    """A node and the nodes that its splice, stud or connector joins to it; none at another part."""
    name = network.names[node].partition(".")[0]
    if not isinstance(design.parts[name], _JOINTS):
        return set()
    inside = f"parts/{name}"
    return reachable(network, [node], lambda link, _: link.element == inside)
