"""The changes that put a finding right, as evidence: places and what is missing there."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.rulebook.lost_channels import LostChannels


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


def feeds(
    design: Design, functions: Iterable[str], lost: Collection[str], failed: str = ""
) -> tuple[str, ...]:
    """A second feed for one of the loads without which ``functions`` go, as a failure takes ``lost``; none
    for a unit that has ``failed`` itself (a pointer), nor for what it drives."""
    loads = " or ".join(LostChannels(design, lost, dead_with(design, failed)).needed(functions))
    return (f"parts/{loads}/feed",) if loads else ()


def dead_with(design: Design, failed: str) -> frozenset[str]:
    """The loads that no feed makes work while an element has failed: itself, and what it drives."""
    unit = failed.removeprefix("parts/")
    return frozenset(n for n in design.parts if unit in (n, getattr(design.parts[n], "driver", None)))


def one_feed(design: Design, loads: Sequence[str]) -> tuple[str, ...]:
    """Another feed for the one load (a name) that there is; of more, one alone does not do."""
    return tuple(f"parts/{name}/feed" for name in loads if name in design.parts) if len(loads) == 1 else ()


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
