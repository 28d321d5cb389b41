"""From which ends a wire can be fed, what protects it, how far it runs unprotected.

For each end of a wire, the wire is taken away and the network is searched against the current from
that end, stopping at protective devices. A source that is met feeds the end unprotected; the
devices met, with something live behind them, protect the wire from that end.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from contextlib import suppress
from functools import partial

from reviewer.analysis.conduction.feeds import feeding_of
from reviewer.analysis.conduction.states import StateAnswer, conducts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Gate, Network, bare
from reviewer.network.kinds import entry_of
from reviewer.network.search import CheapestPaths, reachable_by
from reviewer.tables.lookup import OutsideTable, ProtectorRow, deciding_row, protector_limit
from reviewer.tables.practice import practice

#: the column of AC 43.13-1B Table 11-3 for each kind of protection
TABLE_COLUMNS: Mapping[type[p.Part], str] = {
    p.Breaker: "breaker",
    p.BreakerSwitch: "breaker",
    p.Fuse: "fuse",
    p.Limiter: "fuse",
}
#: unprotected length allowed between a source or bus and the first protective device, metres (6
#: in); common practice (no published source)
STUB_M = practice("metres", "unprotected-conductor").high


@record
class EndFeed:
    """How one end of a wire is fed in one state.

    ``state`` is "" where the switch ``moved`` is at a position that no flight state sets.
    ``sources`` reach the end unprotected; ``protectors`` stand between the end and something live;
    ``run_m`` is the length of unprotected conductor up to and including this wire, None where a
    length is missing.
    """

    wire: str
    end: str
    state: str
    sources: tuple[str, ...]
    protectors: tuple[str, ...]
    run_m: float | None
    moved: tuple[tuple[str, str], ...] = ()


def _unprotected_distance(
    design: Design,
    network: Network,
    answer: StateAnswer,
    exempt: Collection[str],
    metres: Sequence[float | None],
) -> Mapping[int, float]:
    """Metres of unprotected wire to each node from the nearest source, bus or exempt cable; ``metres`` are
    those of each link.

    A wire without a length blocks the path.
    """
    start = {s.positive for s in network.sources}
    start |= {n for name in design.of_kind(p.Bus) for n in network.nodes_of[f"parts/{name}"]}
    start |= {n for element in exempt for n in network.nodes_of[element]}
    start |= _limited_leads(design, network, answer)

    forth, back = answer.conducting

    def onward(node: int) -> Iterator[tuple[int, float, int]]:
        for i, other, leaving in network.around[node]:
            if (length := metres[i]) is not None and (forth if leaving else back)[i]:
                yield other, length, i

    return CheapestPaths(start, onward).cost


def _metres(design: Design, network: Network) -> list[float | None]:
    """The length of each link, 0 of one that is no wire; None of protective devices, shields, and wires
    without a length."""
    return [
        None
        if link.gate in (Gate.PROTECTOR, Gate.SHIELD)
        else design.wires[bare(link.element)].length
        if link.element.startswith("wires/")
        else 0.0
        for link in network.links
    ]


def _limited_leads(design: Design, network: Network, answer: StateAnswer) -> set[int]:
    """Nodes that only sources which limit themselves feed unprotected, by wires of their limit.

    The lead limits itself.
    """
    near: dict[int, set[int]] = {}
    for source in network.sources:
        part = design.parts[bare(source.element)]
        if (
            not isinstance(part, p.SELF_LIMITED)
            or part.most is None
            or not answer.healthy.live(source.positive)
        ):
            continue
        near[source.positive] = reachable_by(
            [source.positive], partial(_limited_onward, design, network, answer, part)
        )
    nodes = sorted(set().union(*near.values()))
    fed = feeding_of(network, [answer], [(n, "") for n in nodes])[0]
    alone = {
        n
        for n, (sources, _) in zip(nodes, fed, strict=True)
        if all(isinstance(design.parts[bare(s)], p.SELF_LIMITED) for s in sources)
    }
    return alone | set(near)


def _limited_onward(
    design: Design, network: Network, answer: StateAnswer, part: p.Part, node: int
) -> Iterator[int]:
    """The next nodes by what conducts in a state with no circuit protection, by wires only where they
    may carry the limit of a source."""
    for i, other, leaving in network.around[node]:
        link = network.links[i]
        if link.gate in (Gate.PROTECTOR, Gate.SHIELD) or not conducts(network, answer, i, leaving):
            continue
        if not link.element.startswith("wires/") or carries_limit(design.wires[bare(link.element)], part):
            yield other


def carries_limit(wire: p.Wire, part: p.Part) -> bool:
    """Whether a wire may carry all that a source which limits itself gives.

    False where gauge or limit is missing or outside the table.
    """
    try:
        return may_carry_limit(wire, part)
    except NotAssessable:
        return False


def may_carry_limit(wire: p.Wire, part: p.Part) -> bool:
    """Whether a wire may carry all that such a source gives. Raises NotAssessable."""
    limit = part.most if isinstance(part, p.SELF_LIMITED) else None
    if wire.copper_gauge is None or limit is None:
        kind = next(k for k, own in p.PART_KINDS.items() if isinstance(part, own))
        key = "current-limit" if isinstance(part, p.Charger) else "rating"
        raise NotAssessable(f"`gauge` of the wires at the {kind}'s output and `{key}` of the {kind}")
    try:
        return deciding_row(wire.copper_gauge, "breaker", limit).amps >= limit
    except OutsideTable as error:
        raise NotAssessable(str(error)) from None


def unlimited_sources(design: Design, feed: EndFeed) -> list[str]:
    """The sources, by name, that energise a wire unprotected with more than it may carry.

    An alternator, charger or converter limits itself, so that a wire for its limit is none of its. Raises
    NotAssessable where that is not known of any source.
    """
    names = [bare(s) for s in feed.sources]
    limited = [n for n in names if isinstance(design.parts[n], p.SELF_LIMITED)]
    others = [n for n in names if n not in limited]
    mild = []
    for name in limited:
        try:
            if may_carry_limit(design.wires[bare(feed.wire)], design.parts[name]):
                mild.append(name)
        except NotAssessable as missing:
            if others:
                return others
            key = "current-limit" if isinstance(design.parts[name], p.Charger) else "rating"
            raise NotAssessable(missing.needs, ((feed.wire, "gauge"), (f"parts/{name}", key))) from None
    return [n for n in names if n not in mild]


def is_stub(design: Design, wire: str) -> bool:
    """Whether a wire is as short as a stub may be and ends at a protective device.

    Such a stub needs no protection of its own.
    """
    spec = design.wires[wire]
    at_a_protector = any(
        isinstance(design.parts[end.partition(".")[0]], p.Protector) for end in (spec.from_, spec.to)
    )
    return at_a_protector and spec.length is not None and not exceeds(spec.length, STUB_M)


def largest_rating(design: Design, protector: str, wire: str) -> tuple[str, ProtectorRow]:
    """The column of Table 11-3 for a kind of protection, and the row that decides for a wire.

    Raises NotAssessable, also where the table has no row that decides for this rating.
    """
    gauge, rating = design.wires[wire].copper_gauge, design.part(protector, p.Protector).rating
    if gauge is None or rating is None:
        raise NotAssessable(f"`gauge` of {wire}" if gauge is None else f"`rating` of {protector}")
    column = entry_of(TABLE_COLUMNS, design.parts[protector], "Table 11-3")
    try:
        return column, deciding_row(gauge, column, rating)
    except OutsideTable as outside:
        raise NotAssessable(str(outside)) from None


def ratings_of(wire: p.Wire) -> dict[str, float]:
    """Breaker and fuse -> the largest rating that Table 11-3 prints for a wire, A, if any."""
    gauge, found = wire.copper_gauge, dict[str, float]()
    if gauge is None:
        return found
    for column in ("breaker", "fuse"):
        with suppress(OutsideTable):
            found[column] = protector_limit(gauge, column)
    return found


def feeds_in_states(
    design: Design,
    network: Network,
    answers: Sequence[StateAnswer],
    untried: Mapping[tuple[str, str], StateAnswer],
    exempt: Collection[str],
) -> dict[str, tuple[EndFeed, ...]]:
    """How each end of each wire is fed, with the wire itself taken away; ``exempt`` are the wires that
    need no protection.

    In the declared states, then with a switch at each position of ``untried``. For wires that a
    source can feed; what is the same in a later state is not repeated.
    """
    cases: list[tuple[str, tuple[tuple[str, str], ...], StateAnswer]] = [
        *((a.state.name, (), a) for a in answers),
        *(("", (move,), a) for move, a in untried.items()),
    ]
    ends = [
        (f"wires/{name}", terminal)
        for name, wire in design.wires.items()
        for terminal in (wire.from_, wire.to)
    ]
    fed = feeding_of(
        network,
        [answer for _, _, answer in cases],
        [(network.node(terminal), element) for element, terminal in ends],
    )
    metres = _metres(design, network)
    found: dict[str, dict[tuple, EndFeed]] = {}
    for (state, moved, answer), feedings in zip(cases, fed, strict=True):
        distance: Mapping[int, float] | None = None
        for (element, terminal), (sources, protectors) in zip(ends, feedings, strict=True):
            if (not sources and not protectors) or (terminal, sources, protectors) in found.get(element, ()):
                continue
            if distance is None:
                distance = _unprotected_distance(design, network, answer, exempt, metres)
            run, length = distance.get(network.node(terminal)), design.wires[bare(element)].length
            run_m = None if run is None or length is None else run + length
            found.setdefault(element, {})[terminal, sources, protectors] = EndFeed(
                element, terminal, state, sources, protectors, run_m, moved
            )
    return {
        f"wires/{name}": tuple(found[f"wires/{name}"].values())
        for name in design.wires
        if f"wires/{name}" in found
    }
