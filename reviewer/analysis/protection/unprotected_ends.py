"""Ends at which a source energises a wire with no circuit protection, and what it leads to so.

In the declared states by what feeds each end. A file without an operation shows by its drawing alone
what no position of a switch changes: no circuit protection between a source and a load, coil, field
or other source.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.wire_protection import STUB_M, EndFeed, unlimited_sources
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Gate, Link, Network, Source, bare
from reviewer.network.search import anything_against, anything_along, reachable, shortest

#: load or instrument, by name -> the nodes of its supplies and signal inputs
LoadTerminals = Mapping[str, set[int]]


@record
class EnergisedEnd:
    """An end at which ``sources`` energise a wire with more than it may carry.

    ``users`` are the loads and instruments that it leads to with no protective device before them,
    else other sources, else ``the coil of`` a relay and ``the field of`` an alternator. All are
    names. ``path`` leads from a source to the end, pointers, where no declared state does.
    """

    feed: EndFeed
    sources: tuple[str, ...]
    users: tuple[str, ...]
    path: tuple[str, ...] = ()


def unprotected_end(
    design: Design, network: Network, terminals: LoadTerminals, feeds: Sequence[EndFeed]
) -> EnergisedEnd | None:
    """The first unprotected end of a wire that is longer than a stub may be, one that a battery or external
    power energises before one at what limits itself; ``terminals`` are those of :func:`load_terminals`.

    Raises NotAssessable where a length is missing.
    """
    unknown, gap, limited = "", None, None
    for feed in feeds:
        length = design.wires[bare(feed.wire)].length
        try:
            sources = unlimited_sources(design, feed)
        except NotAssessable as missing:
            gap = gap or missing.kept()
            continue
        loads, others = users_behind(design, network, terminals, feed.wire, feed.end) if sources else ((), ())
        if not sources or (not loads and feed.run_m is not None and not exceeds(feed.run_m, STUB_M)):
            continue
        others = tuple(n for n in others if not _of_the_source(design, n, feed.sources))
        if not loads and not others and feed.run_m is None:
            others = tuple(inputs_behind(design, network, feed.wire, feed.end))
        short = length is not None and not exceeds(length, STUB_M)
        if not loads and feed.run_m is None and (short or (length is None and not others)):
            unknown = bare(feed.wire)
            continue
        end = EnergisedEnd(feed, tuple(sources), loads or (others if feed.run_m is None else ()))
        if not all(isinstance(design.parts[name], p.SELF_LIMITED) for name in sources):
            return end
        limited = limited or end
    if limited:
        return limited
    if gap:
        raise gap.kept()
    if unknown:
        raise NotAssessable(f"`length` of {unknown} and of the wires between it and its source")
    return None


def users_behind(
    design: Design, network: Network, terminals: LoadTerminals, wire: str, end: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The loads and instruments that a wire (its pointer) leads to from an end, and the sources, by name.

    Nothing where a protective device may follow in some position of switches and relays: the wire
    may be a stub. A wire that no device follows before its load is none, whatever its length.
    """
    behind = _behind(design, network, wire, end)
    return (
        tuple(n for n in design.parts if behind & terminals.get(n, set())),
        tuple(bare(s.element) for s in network.sources if s.positive in behind),
    )


def inputs_behind(design: Design, network: Network, wire: str, end: str) -> Mapping[str, frozenset[int]]:
    """``the coil of`` a relay or ``the field of`` an alternator that a wire (its pointer) leads to from an
    end, with its nodes.

    Nothing where a protective device may follow. Not the coil of a part at which the wire begins, or
    that has to be passed on the way, where no switch is between: that is a jumper on this part.
    """
    behind = _behind(design, network, wire, end)
    found = {}
    for what, name, nodes in _inputs(network):
        if not nodes & behind or nodes & _jumpered(design, network, wire, end, name):
            continue
        if nodes & _behind(design, network, wire, end, f"parts/{name}"):
            found[f"the {what} of {name}"] = nodes
    return found


def _inputs(network: Network) -> Iterable[tuple[str, str, frozenset[int]]]:
    for coil in network.coils:
        ends = frozenset((*coil.plus, *(coil.minus if coil.either_way else ())))
        # a coil at a contact of its own relay is on the cable of that contact
        joined = {
            n for n in ends for i, _, _ in network.around[n] if network.links[i].element == coil.element
        }
        yield "coil", bare(coil.element), ends - joined
    for source in network.sources:
        if source.field is not None:
            yield "field", bare(source.element), frozenset((source.field,))


def _behind(design: Design, network: Network, wire: str, end: str, without: str = "") -> set[int]:
    """The nodes that a wire leads to from an end, not by an element; none where a protective device may
    follow."""

    def passes(link: Link, leaving: bool) -> bool:
        return link.element not in (wire, without) and _unprotected(link) and anything_along(link, leaving)

    behind = reachable(network, [_far(design, network, wire, end)], passes)
    if any({network.links[i].a, network.links[i].b} & behind for i in network.protectors):
        return set()
    return behind


def _jumpered(design: Design, network: Network, wire: str, end: str, part: str) -> set[int]:
    """The nodes that a wire leads to by wires and diodes alone, where it begins at a part (a name) or at a
    diode on it."""
    beside = end.partition(".")[0]
    near = {beside}
    if isinstance(design.parts[beside], p.Diode):
        others = (w for n, w in design.wires.items() if n != bare(wire) and beside in w.joined_parts)
        near.update(name for w in others for name in w.joined_parts)
    if part not in near:
        return set()

    def passes(link: Link, leaving: bool) -> bool:
        still = link.element.startswith("wires/") or isinstance(design.parts[bare(link.element)], p.Diode)
        return link.element != wire and still and _unprotected(link) and anything_along(link, leaving)

    return reachable(network, [_far(design, network, wire, end)], passes)


def _far(design: Design, network: Network, wire: str, end: str) -> int:
    spec = design.wires[bare(wire)]
    return network.node(spec.to if end == spec.from_ else spec.from_)


def _of_the_source(design: Design, name: str, sources: Sequence[str]) -> bool:
    """Whether a source that a wire leads to is one that energises it, or one of a battery and an external
    power socket between which it may be a short cable."""
    if f"parts/{name}" in sources:
        return True
    between = {type(design.parts[n]) for n in (name, *map(bare, sources))}
    return between == {p.Battery, p.ExternalPower}


def load_terminals(design: Design, network: Network) -> LoadTerminals:
    """Load or instrument, by name -> the nodes of its supplies and signal inputs."""
    found = {bare(c.element): set(c.plus) for c in network.consumers if bare(c.element) in design.parts}
    for name in design.of_kind(p.Instrument):
        inputs = design.part(name, p.Instrument).inputs.values()
        found.setdefault(name, set()).update(network.node(f"{name}.{i.signal}") for i in inputs)
    return found


def _unprotected(link: Link) -> bool:
    return link.gate not in (Gate.PROTECTOR, Gate.SHIELD)


def drawn_unprotected(
    design: Design, network: Network, terminals: LoadTerminals
) -> Mapping[str, EnergisedEnd | None]:
    """Wire (its pointer) -> an end that a battery or external power may energise by some setting of
    switches and relays, with no circuit protection up to a load or another source.

    None where the drawing alone does not show it: a protective device may follow, or one switch would
    have to be at two positions. Wires that no such source reaches are left out.
    """
    sources = {
        s.positive: s
        for s in network.sources
        if not isinstance(design.parts[bare(s.element)], p.SELF_LIMITED)
    }
    found: dict[str, EnergisedEnd | None] = {}
    for name, spec in design.wires.items():
        for end, far in ((spec.from_, spec.to), (spec.to, spec.from_)):
            met = shortest(network.node(end), sources, _onward(network, f"wires/{name}", anything_against))
            if met is not None and not found.get(f"wires/{name}"):
                found[f"wires/{name}"] = _shown(
                    design, network, terminals, f"wires/{name}", end, far, sources[met[0]], met[1]
                )
    return found


def _shown(
    design: Design,
    network: Network,
    terminals: LoadTerminals,
    wire: str,
    end: str,
    far: str,
    source: Source,
    up: Sequence[Link],
) -> EnergisedEnd | None:
    """An end of a wire that a source reaches by some links, if every user behind it shows it so."""
    loads, others = users_behind(design, network, terminals, wire, end)
    positives = {bare(s.element): {s.positive} for s in network.sources}
    own = (source.element, *source.string)
    ways: Mapping[str, Collection[int]] = (
        {n: terminals[n] for n in loads}
        or {n: positives[n] for n in others if not _of_the_source(design, n, own)}
        or inputs_behind(design, network, wire, end)
    )
    users, goals = tuple(ways), {node for nodes in ways.values() for node in nodes}
    length = design.wires[bare(wire)].length
    if not loads and length is not None and not exceeds(length, STUB_M):
        return None
    down = shortest(network.node(far), goals, _onward(network, wire, anything_along))
    if down is None:
        return None
    contacts = [link.element for link in (*up, *down[1]) if link.gate is not Gate.ALWAYS]
    if len(set(contacts)) < len(contacts):
        return None
    path = (source.element, *dict.fromkeys(link.element for link in reversed(up)))
    return EnergisedEnd(
        EndFeed(wire, end, "", (source.element,), (), None), (bare(source.element),), users, path
    )


def _onward(
    network: Network, wire: str, passes: Callable[[Link, bool], bool]
) -> Callable[[int], Iterable[tuple[int, Link]]]:
    """The steps from a node by links without protection, not by a wire (its pointer)."""

    def onward(node: int) -> Iterable[tuple[int, Link]]:
        for i, other, leaving in network.around[node]:
            link = network.links[i]
            if link.element != wire and _unprotected(link) and passes(link, leaving):
                yield other, link

    return onward
