"""The sizes of wire and protective device that put a misfit of both right."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from reviewer.analysis.protection.protection_loading import CarriedCurrent
from reviewer.analysis.protection.wire_protection import TABLE_COLUMNS
from reviewer.analysis.ratings.wire_sizes import size_for_ratings
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import Gate, Link, Network, bare
from reviewer.network.kinds import entry_of
from reviewer.network.search import anything_along, reachable


def size_for_sources(design: Design, network: Network, wire: str, sources: Collection[str]) -> str:
    """The least size larger than that of a wire that carries all that each of some sources gives, all by
    name, and that the devices at its ends protect.

    "" where a source does not limit itself or say to what, or feeds anything but through the wire.
    """
    limits = [
        part.most
        for name, part in ((name, design.parts[name]) for name in sources)
        if isinstance(part, p.SELF_LIMITED) and part.most is not None and _passes(network, wire, name)
    ]
    if not 0 < len(limits) == len(sources):
        return ""
    spec = design.wires[wire]
    return size_for_ratings(spec, [("breaker", max(limits)), *_rated(design, spec.joined_parts)])


def output_through(design: Design, network: Network, wire: str) -> float:
    """What the alternators give together that feed nothing but their own control but through a wire, by
    name, A; 0 where there are none or one does not say what it gives."""
    given = [
        design.part(name, p.Alternator).most
        for name in design.of_kind(p.Alternator)
        if any(bare(s.element) == name for s in network.sources) and _passes(network, wire, name)
    ]
    return sum(amps or 0.0 for amps in given) if all(given) else 0.0


def size_for_devices(design: Design, wires: Collection[str], devices: Collection[str]) -> str:
    """The least size larger than that of each of some wires that each of some protective devices of stated
    rating protects, all by name; "" for none."""
    rated = _rated(design, devices)
    sizes = [size_for_ratings(design.wires[wire], rated) for wire in wires]
    return "" if "" in sizes else sizes[0]


def _rated(design: Design, names: Iterable[str]) -> list[tuple[str, float]]:
    """The column of Table 11-3 and the rating in A of those of some parts that are protective devices and
    state one."""
    return [
        (entry_of(TABLE_COLUMNS, part, "Table 11-3"), part.rating)
        for part in map(design.parts.get, names)
        if isinstance(part, p.Protector) and part.rating is not None
    ]


def _passes(network: Network, wire: str, source: str) -> bool:
    """Whether a source feeds nothing but its own control but through a wire, both by name."""
    own = next(s for s in network.sources if bare(s.element) == source)

    def other(link: Link, leaving: bool) -> bool:
        on = link.gate is not Gate.SHIELD and anything_along(link, leaving)
        return on and link.element != f"wires/{wire}"

    near = reachable(network, [own.positive], other)
    others = {s.positive for s in network.sources if s is not own}
    fed = (c for c in network.consumers if not near.isdisjoint(c.inlets))
    control = {own.element, own.leads.element if own.leads else ""}
    return near.isdisjoint(others) and {c.element for c in fed} <= control


def least_rating(
    design: Design, carried: Iterable[CarriedCurrent | None], alternators: Iterable[str], rating: float
) -> float:
    """What a protective device must be rated at least, A, for what is ``carried`` judged with ``rating``, and
    for the output of the ``alternators`` behind it."""
    outputs = (design.part(name, p.Alternator).most or 0.0 for name in alternators)
    return max((*(rating * c.amps / c.most for c in carried if c is not None), *outputs), default=0.0)
