"""What is fitted later is taken out of the design, so that no analysis counts it as there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from reviewer.model.design import Provisions
from reviewer.model.parts import Wire


def provisions_of(parts: Mapping[str, Any], wires: Mapping[str, Wire]) -> Provisions:
    """The parts and wires that are fitted later, and the wires that lead to such a part."""
    later = {name: part for name, part in parts.items() if part.fitted == "later"}
    return Provisions(
        later,
        {
            name: wire
            for name, wire in wires.items()
            if wire.fitted == "later" or any(end in later for end in wire.joined_parts)
        },
    )


def without_provisions(data: dict[str, Any], found: Provisions) -> dict[str, Any]:
    """The data of the file as it is without what is fitted later."""
    groups = {"parts": found.parts, "wires": found.wires}
    return {
        key: {name: entry for name, entry in group.items() if name not in groups[key]}
        if key in groups and isinstance(group, dict)
        else group
        for key, group in data.items()
    }


def there_now(
    parts: Mapping[str, Any], wires: Mapping[str, Wire], found: Provisions
) -> tuple[dict[str, Any], dict[str, Wire]]:
    """The parts and wires without what is fitted later.

    A terminal to which only wires that are fitted later lead is unused on purpose.
    """
    left = {name: wire for name, wire in wires.items() if name not in found.wires}
    used = {end for wire in left.values() for end in (wire.from_, wire.to, *(wire.shield or ()))}
    waiting: dict[str, dict[str, None]] = {}
    for wire in found.wires.values():
        for end in (wire.from_, wire.to):
            if end not in used:
                owner, _, terminal = end.partition(".")
                waiting.setdefault(owner, {})[terminal] = None
    kept = {}
    for name, part in parts.items():
        if name in found.parts:
            continue
        open_ends = [t for t in waiting.get(name, ()) if t in part.terminals() and t not in part.unused]
        kept[name] = part.model_copy(update={"unused": (*part.unused, *open_ends)}) if open_ends else part
    return kept, left
