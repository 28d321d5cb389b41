"""Another feed for a load, as a trial gives it: a breaker, wires and a return of its own at a battery."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import count
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.rulebook.trial_repairs import (
    Change,
    feed_of,
    oriented,
    part_of,
    short_lead,
    unused_name,
    wires_at,
)


def second_feed(loads: Sequence[str], state: str, facts: Facts) -> Change | None:
    """Another feed for one of some loads, and a return.

    Of several loads one is moved to another source behind what it shares; one alone has it besides its
    own. A source that is dedicated to a load is the one that it gets; one that is dedicated to others
    comes last.
    """
    design = facts.design
    paths = {load: feed_of(f"parts/{load}", state, facts) for load in loads}
    used = {path[0] for path in paths.values() if path}
    used |= {source.element for source in facts.network.sources if source.string}  # a part of the voltage
    batteries = [name for name in design.of_kind(p.Battery) if f"parts/{name}" not in used]
    pairs = [(load, b) for load in loads for b in batteries if isinstance(design.parts[load], p.Consumer)]
    wanted = [(load, b) for load, b in pairs if load in design.part(b, p.Battery).dedicated_to]
    pairs.sort(key=lambda pair: bool(design.part(pair[1], p.Battery).dedicated_to))
    for load, battery in wanted or pairs:
        others = {e for other, path in paths.items() if other != load for e in path}
        change = _fed(load, battery, paths[load], others, design)
        if change is not None:
            back = {
                wire: {far: f"{battery}.negative"}
                for wire, far in wires_at(design, f"{load}.{design.parts[load].returns[0]}")
            }
            return change.with_moved(back)
    return None


def _fed(
    load: str, battery: str, path: Sequence[str], shared: Collection[str], design: Design
) -> Change | None:
    """A load behind a breaker of its own at a battery: moved there from what it shares, or fed besides."""
    guards = [bare(e) for e in path if isinstance(design.parts.get(bare(e)), p.Protector)]
    unshared = path[max((i for i, e in enumerate(path) if e in shared), default=-1) + 1 :]
    wires = [bare(e) for e in unshared if e.startswith("wires/")]
    entered = {name: near for name, near, _ in oriented(path, design)}
    if not guards or not wires or wires[0] not in entered:
        return None
    like, name = design.parts[guards[-1]], unused_name(design, f"{load} second breaker")
    breaker = p.Breaker(kind="breaker", label=name, reset="trip-free", zone=like.zone)
    parts: dict[str, Any] = {name: breaker.model_copy(update={"rating": like.rating})}
    line = short_lead(design, wires[0], _tap(battery, path, name, design), f"{name}.line")
    new = {f"{name} line": line}
    if shared:
        return Change(
            {wires[0]: {entered[wires[0]]: f"{name}.load"}},
            new,
            parts,
            sources=frozenset({f"parts/{battery}"}),
        )
    part = design.parts[load]
    supply = next(f"supply-{n}" for n in count(2) if f"supply-{n}" not in part.terminals())
    parts[load] = part.model_copy(update={"supplies": (*part.supplies, supply)})
    new[f"{name} load"] = short_lead(design, wires[-1], f"{name}.load", f"{load}.{supply}")
    return Change({}, new, parts, sources=frozenset({f"parts/{battery}"}))


def _tap(battery: str, path: Collection[str], name: str, design: Design) -> str:
    """Where a feed is taken from a battery: at the first bus behind it, else at its terminal."""
    todo, seen = [f"{battery}.positive"], {battery}
    for terminal in todo:
        for wire, far in wires_at(design, terminal):
            part = part_of(far)
            if part in seen or {f"wires/{wire}", f"parts/{part}"} & set(path):
                continue
            seen.add(part)
            if isinstance(design.parts.get(part), p.Bus):
                return f"{part}.{name}"
            if isinstance(design.parts.get(part), p.Protector):
                todo += [post for post in design.parts[part].posts(part) if post != far]
    return f"{battery}.positive"
