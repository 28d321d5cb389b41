"""Ring terminals stacked on one stud or terminal of heavy current."""

from __future__ import annotations

from reviewer.model import parts as p
from reviewer.model.design import Design


def crowded_terminals(design: Design, most: int) -> dict[str, dict[str, tuple[str, ...]]]:
    """Parts that have studs or terminals -> terminal -> the wires and cases on it; a block of tabs
    is none, its lugs do not lie on each other.

    A stud is one terminal; of batteries, alternators, contactors, shunts, limiters and sockets for
    external power each terminal of heavy current is one.
    """
    lugs: dict[str, list[str]] = {}
    for name, wire in design.wires.items():
        for ref in (wire.from_, wire.to):
            lugs.setdefault(ref, []).append(name)
    for name, part in design.parts.items():
        if getattr(part, "mounted_on", None):
            lugs.setdefault(part.mounted_on, []).append(name)
    found: dict[str, dict[str, tuple[str, ...]]] = {}
    for name, part in design.parts.items():
        if isinstance(part, p.Stud):
            own = [lug for ref, on in lugs.items() if ref.partition(".")[0] == name for lug in on]
            found[name] = {name: tuple(own)}
        elif terminals := heavy_terminals(part):
            found[name] = {f"{name}.{t}": tuple(lugs.get(f"{name}.{t}", ())) for t in terminals}
    return {
        name: {terminal: on for terminal, on in own.items() if len(on) > most} for name, own in found.items()
    }


def heavy_terminals(part: p.Part) -> tuple[str, ...]:
    """The terminals of a part that take ring terminals for heavy current."""
    if isinstance(part, p.Contactor):
        return tuple(
            t
            for t in part.terminals()
            if t not in part.coil or any(t in getattr(c, "joins", ()) for c in part.contacts.values())
        )
    if isinstance(part, p.Alternator):
        return ("output", "ground")
    if isinstance(part, p.Load) and part.type == "starter":
        return part.terminals()
    return (
        part.terminals()
        if isinstance(part, (p.Battery, p.Shunt, p.Limiter, p.ExternalPower, p.Charger, p.Converter))
        else ()
    )
