"""What the design file states, key by key, of all but its wires, which the wire list has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.fields import Piece, key_of
from reviewer.model.quantities import Written
from reviewer.model.quantity_words import written
from reviewer.reports.handoff.schedules.schedule import Schedule


def stated_data(design: Design) -> Schedule:
    """Every key that the file states of the aircraft, its parts, functions, states and all else."""
    rows = tuple(
        (group, name, key, text)
        for group, name, piece in _pieces(design)
        for key, text in stated(piece)
        if key not in ("kind", "fitted")
    )
    about = (
        "Every key of the design file as it is stated there, defaults of the format included; of wires see "
        "the wire list, of what is fitted later the provisions."
    )
    return Schedule("stated-data", "Stated data", about, ("of a", "name", "key", "value"), rows)


def _pieces(design: Design) -> Iterator[tuple[str, str, Piece]]:
    yield "aircraft", design.aircraft.name, design.aircraft
    for name, part in design.parts.items():
        if not isinstance(part, MechanicalChannel):
            yield part.kind, name, part
    for name, function in design.functions.items():
        yield "function", name, function
    if design.operation:
        yield "operation", "", design.operation
    yield "watch", "", design.watch
    for number, concession in enumerate(design.concessions, 1):
        yield "concession", str(number), concession


def stated(piece: Piece, before: str = "") -> Iterator[tuple[str, str]]:
    """(key, value) of everything that a piece states, of pieces in it with the keys that lead there."""
    for field in type(piece).model_fields:
        value = getattr(piece, field)
        number = isinstance(value, float) and not isinstance(value, Written)
        yield from _stated(written(piece, field) if number else value, f"{before}{key_of(field)}")


def _stated(value: Any, key: str) -> Iterator[tuple[str, str]]:
    entries = isinstance(value, tuple) and any(isinstance(entry, Piece) for entry in value)
    if isinstance(value, Piece):
        yield from stated(value, f"{key}.")
    elif isinstance(value, Mapping):
        for name, entry in value.items():
            yield from _stated("none" if entry == () else entry, f"{key}.{name}")
    elif entries:
        for number, entry in enumerate(value, 1):
            yield from _stated(entry, f"{key}.{number}")
    elif value not in (None, ()):
        yield key, _words(value)


def _words(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Written):
        return value.text
    if isinstance(value, tuple):
        return ", ".join(" to ".join(map(str, one)) if isinstance(one, tuple) else str(one) for one in value)
    return str(value)
