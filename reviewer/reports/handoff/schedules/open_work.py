"""Provisions, and the work that is open before the package is complete."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.estimates import estimates_of
from reviewer.model.parts import Airframe
from reviewer.model.review import Review
from reviewer.reports.handoff.schedules.parts_list import bought_by
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, names
from reviewer.reports.handoff.schedules.work_shares import part_doer, wire_doer
from reviewer.reports.wording import counted


def provisions(design: Design) -> Schedule | None:
    """What is fitted later, with the wires that lead to it; None where there is nothing."""
    later = design.provisions
    rows: list[tuple[Cell, ...]] = [
        (
            part.kind,
            name,
            part.label or "",
            ", ".join(filter(None, bought_by(part))),
            "",
            part.zone or "",
            part_doer(design, part),
            part.note or "",
        )
        for name, part in later.parts.items()
    ]
    rows += [
        (
            "wire",
            name,
            wire.label or "",
            ", ".join(filter(None, (wire.size, wire.colour, wire.specification))),
            f"{wire.from_} to {wire.to}",
            wire.zone or "",
            wire_doer(design, wire),
            wire.note or "",
        )
        for name, wire in later.wires.items()
    ]
    if not rows:
        return None
    columns = ("kind", "name", "label", "what", "from and to", "zone", "by", "note")
    about = (
        "Parts and wires that are fitted later. The review, the schedules and the cards are of the aircraft "
        "without them; nothing here was assessed. Review the design again before any of it is fitted."
    )
    return Schedule("provisions", "Provisions, fitted later", about, columns, tuple(rows))


def open_work(design: Design, review: Review, not_computed: tuple[str, ...]) -> Schedule | None:
    """What is open: findings, data that are missing, parts that cannot be ordered, wires to complete."""
    rows = tuple(_rows(design, review, not_computed))
    if not rows:
        return None
    columns = ("what", "subject", "to do", "count")
    about = (
        "What is open: findings that stand, missing data, estimates to be measured, parts without a maker or "
        "part number, wires without gauge, length, specification or colour, provisions. Accepted "
        "findings stand in the concessions."
    )
    return Schedule("open-work", "Open work", about, columns, rows)


def _rows(
    design: Design, review: Review, not_computed: tuple[str, ...]
) -> Iterator[tuple[str, str, str, int]]:
    for place, cause in review.numbered:
        if cause.standing:
            told = cause.headline
            yield f"cause {place}, {cause.hazard.word}", told.sentence, cause.repair, len(cause.standing)
    for question in review.questions:
        items = names(item.rpartition("/")[2] for item in question.items)
        to_do = "add" if question.kind == "states" else "state"
        words = f"{to_do} {names(question.keys)}; asked for by {counted(question.rules, 'rule')}"
        yield "missing data", f"{question.kind} {items}".strip(), words, max(1, len(question.items))
    for words in not_computed:
        yield "not computed", words, "state the missing data", 1
    for estimate in estimates_of(design):
        yield "estimate", str(estimate), "measure it", 1
    structure = (MechanicalChannel, Airframe)
    parts = {n: q for n, q in design.parts.items() if not isinstance(q, structure)}
    yield from _lacking("part", "maker", [n for n, q in parts.items() if not q.maker])
    yield from _lacking("part", "part-number", [n for n, q in parts.items() if not q.part_number])
    for key, field in (
        ("gauge", "gauge"),
        ("length", "length"),
        ("specification", "specification"),
        ("colour", "colour"),
    ):
        yield from _lacking("wire", key, [n for n, w in design.wires.items() if getattr(w, field) is None])
    later = design.provisions
    if later.parts or later.wires:
        count = len(later.parts) + len(later.wires)
        yield "provision", names([*later.parts, *later.wires]), "fit later; review again before", count


def _lacking(kind: str, key: str, which: list[str]) -> Iterator[tuple[str, str, str, int]]:
    """One row for all parts or wires that lack a key."""
    if which:
        yield f"{kind} without `{key}`", names(which), f"state `{key}`", len(which)
