"""What is needed to wire the aircraft: the wire list, the schedule of protectors, the ground map, the parts with their quantities."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reviewer.analysis.conduction.states import feed_path
from reviewer.analysis.facts import Facts
from reviewer.model import parts as p
from reviewer.model.quantities import written
from reviewer.network.graph import bare
from reviewer.questions.effects import EffectsTable
from reviewer.reports.handoff.schedules.table import Cell, Table, names, number
from reviewer.reports.wording import counted

#: what is said of a part's place, use and upkeep, which does not tell it from another in a shop
_NOT_DETAILS = {
    "kind", "open_ended", "label", "zone", "note", "rating", "capacity", "protects", "mounted_on", "placard", "purpose", "duty", "figures", "used",
    "noise", "held_down", "vented", "posts_covered", "tested_every", "replaced_below", "endurance", "state_of_charge", "inspected", "spares", "reach",
    "locked", "heat_sink",
}  # fmt: skip


def wire_list(facts: Facts) -> Table:
    """Every wire in the order of the file."""
    columns = (
        "wire", "marked", "from", "to", "gauge", "length, m", "bundle", "zone", "insulation class, C", "shield grounded at",
        "protected from its first end by", "protected from its second end by", "fed from", "note",
    )  # fmt: skip
    feeds = facts.protection.wire_feeds if facts.design.operation else {}
    rows = []
    for name, wire in facts.design.wires.items():
        ends = [e for e in feeds.get(f"wires/{name}", ())]
        rows.append((
            name, wire.label or name, wire.from_, wire.to, str(wire.gauge) if wire.gauge else "", number(wire.length), wire.bundle or "", wire.zone or "",
            number(wire.insulation, 0), names(wire.shield) if wire.shield is not None else "",
            *(names(dict.fromkeys(bare(q) for e in ends if e.end == end for q in e.protectors)) for end in (wire.from_, wire.to)),
            _feeding(facts, wire.from_, wire.to), wire.note or "",
        ))  # fmt: skip
    return Table(
        "wire-list",
        "Wire list",
        f"{counted(len(rows), 'wire')}, in the order of the design file. Lengths are those of the file.",
        columns,
        tuple(rows),
    )


def _feeding(facts: Facts, one: str, other: str) -> str:
    """The sources that feed either end in the dispatch state."""
    if facts.design.operation is None:
        return ""
    answer = facts.states.answer(facts.design.operation.dispatch)
    return names(dict.fromkeys(bare(s) for t in (one, other) for s in answer.fed_by(facts.network.node(t))))


def protectors(facts: Facts, effects: EffectsTable | None) -> Table:
    """Every breaker, fuse and limiter: what it feeds, what protects it in turn, and what is lost when it opens."""
    columns = (
        "protector", "kind", "rating, A", "label", "place", "in reach", "reset", "spares", "thinnest wire behind it", "next protector towards the source",
        "ratio of their ratings", "loads lost when it opens", "functions lost when it opens", "gravest class",
    )  # fmt: skip
    design = facts.design
    opened = {e.failure.element: e for e in effects.effects if e.failure.mode == "open"} if effects else {}
    rows = []
    for name in design.of_kind(p.Protector):
        part = design.parts[name]
        lost = opened.get(f"parts/{name}")
        upstream = _upstream(facts, name)
        above = design.parts[upstream].rating if upstream else None
        ratio = number(above / part.rating, 2) if above and part.rating else ""
        rows.append((
            name, part.kind, number(part.rating), part.label or "", part.zone or "", part.reach or "", getattr(part, "reset", None) or "",
            number(getattr(part, "spares", None)), _thinnest(facts, name), upstream, ratio, names(map(bare, lost.loads)) if lost else "",
            names(f for f, _ in lost.functions) if lost else "", lost.hazard.word if lost and lost.hazard is not None else "",
        ))  # fmt: skip
    about = f"{counted(len(rows), 'protector')}. What is lost holds for the dispatch state" + (
        f", {design.operation.dispatch}." if design.operation else "; none is declared."
    )
    return Table("protector-schedule", "Breakers, fuses and limiters", about, columns, tuple(rows))


def _thinnest(facts: Facts, name: str) -> str:
    gauges = [
        w.gauge
        for w in facts.design.wires.values()
        if w.gauge and name in (w.from_.partition(".")[0], w.to.partition(".")[0])
    ]
    return str(min(gauges, key=lambda g: g.area_mm2)) if gauges else ""


def _upstream(facts: Facts, name: str) -> str:
    """The protector that the current passes before this one on its shortest way in the dispatch state."""
    if facts.design.operation is None:
        return ""
    answer, network = facts.states.answer(facts.design.operation.dispatch), facts.network
    ways = []
    for terminal in ("line", "load"):
        node = network.node(f"{name}.{terminal}")
        ways += [
            way
            for source in answer.fed_by(node)
            if (way := feed_path(network, answer, source, node)) and f"parts/{name}" not in way
        ]
    if not ways:
        return ""
    passed = [
        bare(e)
        for e in min(ways, key=len)
        if isinstance(facts.design.parts.get(bare(e)) if e.startswith("parts/") else None, p.Protector)
    ]
    return passed[-1] if passed else ""


def ground_map(facts: Facts) -> Table:
    """Every ground, the way from it to the negative of a source, and what is bolted to each of its terminals."""
    columns = (
        "ground",
        "kind",
        "place",
        "terminal",
        "what is there",
        "other end",
        "gauge",
        "length, m",
        "way to a source's negative",
    )
    design, network, rows = facts.design, facts.network, []
    for name, part in design.parts.items():
        if not part.open_ended or isinstance(part, p.Bus):
            continue
        way = facts.paths.return_way((name,)) if name in network.index else None
        if not isinstance(part, (p.GroundBlock, p.Airframe)) and not way:
            continue
        back = (
            " - ".join(bare(e) for e in way)
            if way
            else ("none" if name in network.index else "does not conduct")
        )
        for terminal, what, other, wire in _at(facts, name):
            rows.append(
                (
                    name,
                    part.kind,
                    part.zone or "",
                    terminal,
                    what,
                    other,
                    str(wire.gauge) if wire and wire.gauge else "",
                    number(wire.length) if wire else "",
                    back,
                )
            )
    return Table(
        "ground-map",
        "Ground map",
        "Every ground, stud and piece of structure that carries a return, terminal by terminal.",
        columns,
        tuple(rows),
    )


def _at(facts: Facts, ground: str) -> Iterator[tuple[str, str, str, Any]]:
    for name, wire in facts.design.wires.items():
        for here, there in ((wire.from_, wire.to), (wire.to, wire.from_)):
            if here.partition(".")[0] == ground:
                yield here.partition(".")[2], f"wire {name}", there, wire
        for place in wire.shield or ():
            if place.partition(".")[0] == ground:
                yield place.partition(".")[2], f"shield of {name}", "", None
    for name, part in facts.design.parts.items():
        mounted: str | None = getattr(part, "mounted_on", None)
        if mounted and mounted.partition(".")[0] == ground:
            yield mounted.partition(".")[2], f"case of {name}", name, None


def parts_list(facts: Facts) -> Table:
    """Parts that are alike, counted, then wire by gauge and insulation."""
    columns = ("kind", "rating", "further details", "quantity", "unit", "which")
    groups: dict[tuple[str, str, str], list[str]] = {}
    for name, part in facts.design.parts.items():
        groups.setdefault((part.kind, _rating(part), _details(part)), []).append(name)
    rows: list[tuple[Cell, ...]] = [
        (*key, len(which), "piece", names(which)) for key, which in sorted(groups.items(), key=lambda g: g[0])
    ]
    wires: dict[tuple[float, str, str], list[Any]] = {}
    for name, wire in facts.design.wires.items():
        area = wire.gauge.area_mm2 if wire.gauge else 0.0
        kind = (f"insulation {wire.insulation:g} C" if wire.insulation is not None else "") + (
            ", shielded" if wire.shield is not None else ""
        )
        wires.setdefault(
            (-area, str(wire.gauge) if wire.gauge else "gauge not given", kind.lstrip(", ")), []
        ).append((name, wire))
    for (_, gauge, kind), which in sorted(wires.items(), key=lambda g: g[0]):
        lengths = [w.length for _, w in which]
        total = number(sum(filter(None, lengths)), 2)
        unknown = f", {sum(1 for n in lengths if n is None)} without a length" if None in lengths else ""
        rows.append(("wire", gauge, kind + unknown, total, "m", names(n for n, _ in which)))
    return Table(
        "parts",
        "Parts with quantities",
        "Parts that are alike are counted together; wire is summed by gauge and insulation, with no allowance for waste.",
        columns,
        tuple(rows),
    )


def _rating(part: p.Part) -> str:
    rating = getattr(part, "rating", None)
    if isinstance(part, p.Battery):
        return f"{part.capacity:g} Ah" if part.capacity else ""
    return f"{rating:g} A" if rating else ""


def _details(part: p.Part) -> str:
    """What tells a part from another of its kind, without what is said of its place and use."""
    told = []
    for key in (k for k in type(part).model_fields if k not in _NOT_DETAILS):
        value = getattr(part, key)
        if isinstance(value, (str, int, float)):
            name = key.replace("_", " ")
            told.append(
                ("" if value else "not ") + name
                if isinstance(value, bool)
                else f"{name} {written(part, key) if isinstance(value, float) else value}"
            )
    if isinstance(part, p.Switch):
        told.append(f"positions {' / '.join(part.positions)}, {counted(len(part.terminals()), 'terminal')}")
    if isinstance(part, p.Instrument):
        told += [
            f"{entry.signal} pulled up through {written(entry, 'pull_up_resistance')}"
            for entry in part.inputs.values()
            if entry.pull_up_resistance is not None
        ]
    if isinstance(part, p.Connector):
        told.append(counted(len(part.pins), "pin"))
    return ", ".join(told)
