"""What ends wires: terminals, contacts and splices by kind; stacks on studs; connectors pin by pin."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.questions.terminations import EndKind, Termination, Terminations
from reviewer.questions.wires import WireTable
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names, number
from reviewer.reports.handoff.schedules.work_shares import largest_currents, wire_doer
from reviewer.reports.wording import counted

_SIZE_UNKNOWN = "stud size not stated"


def terminal_counts(design: Design, found: Terminations) -> Schedule:
    """Ring terminals, contacts and other ends counted by kind, stud and gauge; splices by their wires."""
    groups: dict[tuple[str, str, str], list[str]] = {}
    for end in found.ends:
        if end.kind is EndKind.SPLICE:
            continue
        wire = design.wires[end.wire]
        gauge = "shield" if end.shield else wire.size or "gauge not stated"
        groups.setdefault((end.kind.value, _for_what(design, end), gauge), []).append(end.at)
    for name in design.of_kind(p.Splice):
        sizes = sorted(
            "shield" if e.shield else design.wires[e.wire].size or "gauge not stated"
            for e in found.ends
            if e.part == name
        )
        groups.setdefault((EndKind.SPLICE.value, counted(len(sizes), "wire"), names(sizes)), []).append(name)
    rows: list[tuple[Cell, ...]] = [
        (*key, len(which), names(dict.fromkeys(which))) for key, which in sorted(groups.items())
    ]
    about = (
        "Every end of a wire or shield, counted by what it needs: ring terminals by stud and gauge, contacts "
        "by connector and gauge, splices by the wires in them. Connectors and splices themselves stand in "
        "the parts list."
    )
    columns = ("kind", "stud or connector", "gauge", "quantity", "fitted at")
    return Schedule("terminals", "Terminals, contacts and splices", about, columns, tuple(rows))


def _for_what(design: Design, end: Termination) -> str:
    if end.kind is EndKind.RING:
        return f"stud {end.stud_size}" if end.stud_size else _SIZE_UNKNOWN
    if end.kind in (EndKind.PLUG, EndKind.SOCKET):
        part = design.part(end.part, p.Connector)
        known = " ".join(filter(None, (part.maker, part.part_number)))
        return known or f"connector of {counted(len(part.pins), 'pin')}"
    return ""


def ring_stacks(found: Terminations) -> Schedule | None:
    """What lies on each stud and ground, from the base outwards; None where there is none."""
    rows: list[tuple[Cell, ...]] = []
    for stack in found.stacks:
        for place, one in enumerate(stack.on, 1):
            rows.append(
                (
                    stack.part,
                    stack.at,
                    stack.stud_size,
                    len(stack.on),
                    place,
                    one.what,
                    one.other_end,
                    one.gauge,
                )
            )
    if not rows:
        return None
    about = (
        "Ring terminals on each stud, heavy-current terminal and tab, the largest conductor next to the "
        f"base, and {found.most} ring terminals on a stud at most (common practice, no published source). "
        "Tabs of a block stand side by side."
    )
    columns = (
        "part",
        "stud or tab",
        "stud size",
        "terminals on it",
        "position from the base",
        "wire or case",
        "other end",
        "gauge",
    )
    return Schedule("ring-terminals", "Studs and grounds", about, columns, tuple(rows))


def connectors(design: Design, table: WireTable | None) -> Schedule | None:
    """Every connector pin by pin, with the wires on both of its sides; None where there is none."""
    load = largest_currents(table)
    on: dict[str, list[str]] = {}
    for name, wire in design.wires.items():
        for end in (wire.from_, wire.to, *(wire.shield or ())):
            on.setdefault(end, []).append(name)
    rows = [row for name in design.of_kind(p.Connector) for row in _pins(design, name, on, load)]
    if not rows:
        return None
    about = (
        "Every connector, pin by pin: the wires on its plug and on its socket, with their gauge, colour and "
        "other end, and who runs them. The current is the largest solved one."
    )
    columns = (
        "connector",
        "zone",
        "pin",
        "plug: wire",
        "plug: gauge",
        "plug: colour",
        "plug: other end",
        "plug: by",
        "socket: wire",
        "socket: gauge",
        "socket: colour",
        "socket: other end",
        "socket: by",
        "current, A",
        "pin rating, A",
        "use",
    )
    return Schedule("connectors", "Connectors, pin by pin", about, columns, tuple(rows))


def _pins(
    design: Design, name: str, on: dict[str, list[str]], load: dict[str, float]
) -> Iterator[tuple[Cell, ...]]:
    part = design.part(name, p.Connector)
    for pin in part.pins:
        plug, socket = (on.get(f"{name}.{pin}-{side}", []) for side in ("plug", "socket"))
        amperes = max((load[w] for w in (*plug, *socket) if w in load), default=None)
        unused = {f"{pin}-plug", f"{pin}-socket"} <= set(part.unused)
        use = "" if plug or socket else "unused on purpose" if unused else "nothing connected"
        yield (
            name,
            part.zone or "",
            pin,
            *_side(design, name, plug),
            *_side(design, name, socket),
            number(amperes, 2),
            number(part.pin_rating),
            use,
        )


def _side(design: Design, connector: str, on: Sequence[str]) -> tuple[str, str, str, str, str]:
    wires = [design.wires[w] for w in on]
    others = [w.to if w.from_.partition(".")[0] == connector else w.from_ for w in wires]
    return (
        names(on),
        names(w.size for w in wires),
        names(filter(None, (w.colour for w in wires))),
        names(others),
        names(dict.fromkeys(filter(None, (wire_doer(design, w) for w in wires)))),
    )
