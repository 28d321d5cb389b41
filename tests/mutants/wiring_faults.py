"""Which wires are not protected: by the plain evaluator and the printed Table 11-3."""

from __future__ import annotations

import heapq
from collections.abc import Iterator, Mapping

from reviewer.model import parts as p
from tests.mutants.evaluated import Evaluated
from tests.published.transcriptions import PRINTED

#: a wire this long between a source and its device needs no other, metres: 6 in
STUB = 0.1524
#: what current passes without being shared out: a wire reaches its device through these
_IN_LINE = (p.Shunt, p.Splice, p.Stud, p.Connector, p.Diode)


def most_amperes(kind: str, gauge: str) -> float | None:
    """The largest device of a kind for a wire size by AC 43.13-1B Table 11-3; None where it has no
    such row.
    """
    column = "breaker" if "breaker" in kind else "fuse"
    row = PRINTED[f"wire_protection/{column}"].get(gauge)
    return row[0] if row else None


def wire_faults(of: Evaluated) -> Mapping[str, str]:
    """Each wire that is not protected as Table 11-3 and the rule of 6 in want it -> what is wrong
    with it.
    """
    found: dict[str, str] = {}
    exempt = starting_cables(of)
    for state in of.widest:
        live = of.live(state)
        for name, wire in of.design.wires.items():
            if name in found or name in exempt or wire.from_ not in live or is_stub(of, name):
                continue
            short = of.short(state, wire.from_)
            if short.batteries and wire.length is None:
                continue  # nothing says that it is longer than a stub of 6 in
            if short.batteries:
                sources = " and ".join(short.batteries)
                found[name] = (
                    f"{name} shorted: {sources} reaches it with no device between, and it is no stub of 6 in"
                )
                continue
            for device in short.devices:
                if told := too_large(of, device, name):
                    found[name] = told
    for device, back in _returns(of):
        if back not in found and (told := too_large(of, device, back)):
            found[back] = f"{told}; it is the return of what that device feeds"
    return found


def too_large(of: Evaluated, device: str, wire: str) -> str:
    """What is wrong with a device that alone protects a wire, or nothing."""
    part, gauge = of.design.parts[device], of.design.wires[wire].gauge
    rating = getattr(part, "rating", None)
    if rating is None or gauge is None:
        return ""
    size = str(gauge).removesuffix(" AWG")
    most = most_amperes(part.kind, size)
    if most is None and size == "24" and rating > 5:
        return f"{wire} of 24 AWG behind {device} of {rating:g} A: Table 11-3 gives 5 A even for 22 AWG"
    if most is not None and rating > most:
        return f"{wire} of {size} AWG behind {device} of {rating:g} A; Table 11-3 gives {most:g} A"
    return ""


def starting_cables(of: Evaluated) -> set[str]:
    """The power cables of the starting circuit: wires on the way from a battery's positive to a
    starter.
    """
    ways: dict[str, list[tuple[str, str]]] = {}
    for way in of.circuit.ways:
        group, _, name = way.element.partition("/")
        part = of.design.parts.get(name) if group == "parts" else None
        if group == "wires" or isinstance(part, p.Electromagnet | p.Shunt | p.Splice | p.Stud | p.Connector):
            ways.setdefault(way.one, []).append((way.other, way.element))
            ways.setdefault(way.other, []).append((way.one, way.element))
    starters = {
        f"{n}.{t}"
        for n, part in of.design.parts.items()
        if isinstance(part, p.Load) and part.type == "starter"
        for t in part.supplies
    }
    found: set[str] = set()

    def walk(node: str, seen: list[str], crossed: list[str]) -> None:
        if node in starters:
            found.update(e.partition("/")[2] for e in crossed if e.startswith("wires/"))
            return
        for other, element in ways.get(node, ()):
            if other not in seen:
                walk(other, [*seen, other], [*crossed, element])

    for battery in of.design.of_kind(p.Battery):
        walk(f"{battery}.positive", [f"{battery}.positive"], [])
    return found


def is_stub(of: Evaluated, wire: str) -> bool:
    """Whether a wire and what follows it reach a device within 6 in. A length that is not given
    may be so short.
    """
    own = of.design.wires[wire]
    todo = [(own.length or 0.0, end) for end in (own.from_, own.to)]
    seen = {}
    while todo:
        length, node = heapq.heappop(todo)
        if node in seen or length > STUB + 1e-9:
            continue
        seen[node] = length
        part = of.design.parts[node.partition(".")[0]]
        if isinstance(part, p.Protector):
            return True
        for more, other in _onward(of, node, wire):
            heapq.heappush(todo, (length + more, other))
    return False


def _onward(of: Evaluated, node: str, but: str) -> Iterator[tuple[float, str]]:
    name = node.partition(".")[0]
    if isinstance(of.design.parts[name], _IN_LINE):
        for way in of.circuit.ways:
            if way.element == f"parts/{name}" and node in (way.one, way.other):
                yield 0.0, way.other if way.one == node else way.one
    for other, wire in of.design.wires.items():
        if other != but and node in (wire.from_, wire.to) and isinstance(of.design.parts[name], _IN_LINE):
            yield wire.length or 0.0, wire.to if wire.from_ == node else wire.from_


def _returns(of: Evaluated) -> Iterator[tuple[str, str]]:
    """Each wire at the return of a load, with the devices that feed the load."""
    for taker in of.circuit.consumers:
        part = of.design.parts[taker.element.partition("/")[2]]
        if isinstance(part, p.Load) and part.type == "starter":
            continue
        for state in of.widest:
            for node in sorted(set(taker.plus) & of.live(state)):
                for device in of.short(state, node).devices:
                    for name, wire in of.design.wires.items():
                        if wire.from_ in taker.minus or wire.to in taker.minus:
                            yield device, name
