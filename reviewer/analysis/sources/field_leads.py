"""Regulators whose field lead goes to another alternator than the one that they regulate."""

from __future__ import annotations

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Link, Network, bare
from reviewer.network.search import conductors_and_protectors, reachable


@record
class StrayField:
    """The field of ``alternator`` (a name) is on the lead of a regulator that regulates another one;
    ``wires`` (names) bring it there. ``own`` are those on the field of the alternator that it
    regulates where the two are exchanged."""

    alternator: str
    wires: tuple[str, ...]
    own: tuple[str, ...]


def stray_field(design: Design, network: Network, regulator: str) -> StrayField | None:
    """Where the field lead of a regulator (a name) goes wrong; None where it reaches no field, or that of
    its own alternator. Circuit protection may lie on the way, a contact may not."""
    regulates = design.part(regulator, p.Regulator).regulates
    reached = _fields(design, network, regulator)
    if regulates in reached or not reached:
        return None
    others = (n for n in design.of_kind(p.Regulator) if n != regulator)
    crossed = next(
        (
            other
            for other in others
            if design.part(other, p.Regulator).regulates == reached[0]
            and regulates in _fields(design, network, other)
        ),
        "",
    )
    back = _from(design, network, crossed, regulates) if crossed else ()
    return StrayField(reached[0], _from(design, network, regulator, reached[0]), back)


def _fields(design: Design, network: Network, regulator: str) -> list[str]:
    """The alternators, by name, whose field is joined to the field lead of a regulator."""
    joined = reachable(network, [network.node(f"{regulator}.field")], conductors_and_protectors)
    wound = (n for n in design.of_kind(p.Alternator) if f"{n}.field" in network.index)
    return [name for name in wound if network.node(f"{name}.field") in joined]


def _from(design: Design, network: Network, regulator: str, alternator: str) -> tuple[str, ...]:
    """The wires (names) at the field of an alternator that come from a regulator."""
    field = f"{alternator}.field"
    at = {n: (w.from_, w.to) for n, w in design.wires.items() if field in (w.from_, w.to)}
    ends = {name: to if one == field else one for name, (one, to) in at.items()}

    def passes(link: Link, leaving: bool) -> bool:
        return bare(link.element) not in ends and conductors_and_protectors(link, leaving)

    joined = reachable(network, [network.node(f"{regulator}.field")], passes)
    return tuple(name for name, end in ends.items() if network.node(end) in joined)
