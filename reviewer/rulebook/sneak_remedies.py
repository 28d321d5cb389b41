"""What parts the circuits that a sneak path joins: which lead goes where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.paths.sneak_circuits import Sneak


def circuits_apart(sneak: Sneak, design: Design) -> str:
    """The lead to move, for a sneak path that a lost return opens or that is there with nothing failed; ""
    where none of its leads is at the return of what passes the current."""
    found = _return_lead(sneak, design)
    if found is None:
        return ""
    unit, lead, end = found
    if not sneak.lost:
        return f"Move {lead} from {end} to ground: {unit} then has one feed; the other circuit needs its own."
    lost = bare(sneak.lost)
    second = f"Run a second lead beside {lost}, by another way" if lost in design.wires else f"Bridge {lost}"
    return f"{second}; or move {lead} from {end} to another ground, where no other circuit returns."


def _return_lead(sneak: Sneak, design: Design) -> tuple[str, str, str] | None:
    """The first part that passes the current, the wire at its return on the sneak path, and where that wire
    ends (a terminal)."""
    at = {element: i for i, element in enumerate(sneak.path)}
    for element in sneak.through:
        name, place = bare(element), at.get(element)
        if place is None:
            continue
        returns = {f"{name}.{terminal}" for terminal in _returns(design.parts[name])}
        for beside in sneak.path[max(place - 1, 0) : place + 2]:
            wire = design.wires.get(bare(beside)) if beside.startswith("wires/") else None
            if wire is not None and returns.intersection((wire.from_, wire.to)):
                other = wire.to if wire.from_ in returns else wire.from_
                return name, bare(beside), other
    return None


def _returns(part: p.Part) -> tuple[str, ...]:
    if isinstance(part, p.Consumer):
        return tuple(part.returns)
    return part.coil[1:] if isinstance(part, p.Electromagnet) else ()
