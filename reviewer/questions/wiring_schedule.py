"""What the wiring schedules list beyond the design file: protection, supply, ground paths."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.fixed_point import conduct_states
from reviewer.analysis.conduction.held_switches import held_switches
from reviewer.analysis.conduction.states import feed_path
from reviewer.analysis.protection.end_sources import EndSources, Reason
from reviewer.model import parts as p
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts


__all__ = ["EndSources", "Reason", "WireSupply", "WiringSchedule", "wiring_schedule"]


@record
class WireSupply:
    """The protection of a wire fed from its ``from`` end, and from its ``to`` end, None where nothing can
    feed it from there.

    ``sources`` feed it in the normal state. Where none does, ``held`` are the spring-return switches
    that bring power to it, each alone, while they are held.
    """

    from_end: EndSources | None
    to_end: EndSources | None
    sources: tuple[str, ...]
    held: tuple[str, ...] = ()


@record
class WiringSchedule:
    """Wires by name, and the next protection towards the source of each protection ("" for none).

    ``grounds`` gives for each ground, stud and piece of structure the path to the negative of a
    source, None where there is none.
    """

    wires: Mapping[str, WireSupply]
    upstream: Mapping[str, str]
    grounds: Mapping[str, tuple[str, ...] | None]


def wiring_schedule(facts: Facts) -> WiringSchedule:
    """All of it; without an operation no wire is fed and no protection has another before it."""
    design = facts.design
    ends = facts.protection.end_sources if design.operation else {}
    held = _by_held_switches(facts)
    wires = {}
    for name, wire in design.wires.items():
        first, second = (ends.get((f"wires/{name}", end)) for end in (wire.from_, wire.to))
        sources = _sources(facts, wire.from_, wire.to)
        wires[name] = WireSupply(first, second, sources, () if sources else held.get(name, ()))
    upstream = {name: _upstream(facts, name) for name in design.of_kind(p.Protector)}
    return WiringSchedule(wires, upstream, _grounds(facts))


def _sources(facts: Facts, one: str, other: str) -> tuple[str, ...]:
    """The sources that feed either end of a wire in the normal state."""
    if facts.design.operation is None:
        return ()
    answer = facts.states.answer(facts.design.operation.normal)
    return tuple(dict.fromkeys(bare(s) for t in (one, other) for s in answer.fed_by(facts.network.node(t))))


def _by_held_switches(facts: Facts) -> Mapping[str, tuple[str, ...]]:
    """Wire -> the spring-return switches that bring power to it, each held alone in the normal state."""
    design, network = facts.design, facts.network
    if design.operation is None:
        return {}
    moves = list(held_switches(design, facts.states.answer(design.operation.normal).state))
    if not moves:
        return {}
    solved = conduct_states(network, [state for _, _, state in moves])
    found = {}
    for wire, drawn in design.wires.items():
        live = solved.live(network.node(drawn.from_)) | solved.live(network.node(drawn.to))
        found[wire] = tuple(dict.fromkeys(name for i, (name, _, _) in enumerate(moves) if live >> i & 1))
    return found


def _upstream(facts: Facts, name: str) -> str:
    """The last protection before this one on the shortest path in the normal state."""
    if facts.design.operation is None:
        return ""
    answer, network = facts.states.answer(facts.design.operation.normal), facts.network
    paths = []
    for terminal in facts.design.parts[name].posts(name):
        node = network.node(terminal)
        for source in answer.fed_by(node):
            path = feed_path(network, answer, source, node)
            if path and f"parts/{name}" not in path:
                paths.append(path)
    passed = [bare(e) for e in min(paths, key=len) if _protects(facts, e)] if paths else []
    return passed[-1] if passed else ""


def _protects(facts: Facts, element: str) -> bool:
    return element.startswith("parts/") and isinstance(facts.design.parts[bare(element)], p.Protector)


def _grounds(facts: Facts) -> Mapping[str, tuple[str, ...] | None]:
    """Ground blocks, airframes, and every stud and splice that reaches a negative."""
    found: dict[str, tuple[str, ...] | None] = {}
    for name, part in facts.design.parts.items():
        if not part.open_ended or isinstance(part, p.Bus):
            continue
        path = facts.paths.return_path((name,)) if name in facts.network.index else None
        if isinstance(part, (p.GroundBlock, p.Airframe)) or path:
            found[name] = tuple(map(bare, path)) if path else None
    return found
