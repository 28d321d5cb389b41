"""The changes that put a finding right, as evidence: places and what is missing there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from reviewer.model import parts as p
from reviewer.model.design import Design


def placed(changes: Iterable[str], path: Sequence[str]) -> tuple[str, ...]:
    """The changes with each that names no place, as ``isolation``, made at every place of a path but the
    parts at its two ends."""
    places = [e for i, e in enumerate(path) if 0 < i < len(path) - 1 or (i and e.startswith("wires/"))]
    return tuple(
        change
        for given in changes
        for change in ([given] if "/" in given else [f"{element}/{given}" for element in places])
    )


def checks(elements: Iterable[str]) -> tuple[str, ...]:
    """That a check or monitor shows the failure of any of some elements."""
    return tuple(f"{element}/check" for element in elements)


def feeds(design: Design, functions: Iterable[str], lost: Collection[str]) -> tuple[str, ...]:
    """A second feed for one of the loads without which ``functions`` go, as a failure takes ``lost``."""
    loads = " or ".join(needed(design, functions, lost))
    return (f"parts/{loads}/feed",) if loads else ()


def own_returns(users: Sequence[str]) -> tuple[str, ...]:
    """A return of its own for one of two loads (names) that share one; of more, one alone does not do."""
    return tuple(f"parts/{user}/return" for user in users) if len(users) == 2 else ()


def thicker(design: Design, wire: str, sources: Collection[str]) -> tuple[str, ...]:
    """A thicker wire (a pointer), where only sources (names) that limit themselves energise it."""
    limited = design.of_kind((p.Alternator, p.Charger, p.Converter))
    return (f"{wire}/gauge",) if set(sources) <= set(limited) else ()


def strapped(design: Design, element: str) -> tuple[str, ...]:
    """A strap to what holds a return (an element) if it is structure or a ground block."""
    part = design.parts.get(element.removeprefix("parts/"))
    return (f"{element}/strap",) if isinstance(part, p.Airframe | p.GroundBlock) else ()


def needed(design: Design, functions: Iterable[str], lost: Collection[str]) -> tuple[str, ...]:
    """The lost loads of which one more that works would save the functions.

    Of a function that still has channels enough, no load is named.
    """
    known: dict[str, list[str]] = {}
    found: dict[str, None] = {}
    todo, seen = list(functions), set[str]()
    while todo:
        function = todo.pop(0)
        if function in seen:
            continue
        seen.add(function)
        for channel in _gone(design, function, lost, known):
            if channel in design.functions:
                todo.append(channel)
            elif channel in design.parts:
                found[channel] = None
    return tuple(found)


def _gone(design: Design, function: str, lost: Collection[str], known: dict[str, list[str]]) -> list[str]:
    """The lost channels of a function that has not enough left, else none; each function once."""
    if function not in known:
        spec = design.functions[function]
        gone = [c for c in spec.of if c in lost or (c in design.functions and _gone(design, c, lost, known))]
        known[function] = gone if len(spec.of) - len(gone) < spec.any else []
    return known[function]
