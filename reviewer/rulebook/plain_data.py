"""A design as plain data: what its file states, circuits, tables and assemblies written out."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

from reviewer.model.channels import MechanicalChannel
from reviewer.model.design import Design
from reviewer.model.fields import Piece, key_of
from reviewer.model.quantities import Gauge, Written


def plain_data(design: Design) -> dict[str, Any]:
    """The sections of a design with the keys of the format.

    Figures are texts with the unit of the file (``5 A``). A key that the file leaves out is left out.
    """
    parts = {n: part for n, part in design.parts.items() if not isinstance(part, MechanicalChannel)}
    found = {
        "aircraft": _plain(design.aircraft),
        "parts": _plain(parts),
        "wires": _plain(design.wires),
        "functions": _plain(design.functions),
        "operation": _plain(design.operation),
        "watch": _plain(design.watch),
        "concessions": _plain(design.concessions),
    }
    return {section: value for section, value in found.items() if value}


def _plain(value: Any) -> Any:
    if isinstance(value, Piece):
        given = (name for name in type(value).model_fields if name in value.model_fields_set)
        return {key_of(name): _plain(getattr(value, name)) for name in given}
    if isinstance(value, Mapping):
        return {str(name): _plain(inner) for name, inner in value.items()}
    if isinstance(value, Written):
        return value.text
    if isinstance(value, Gauge | datetime.date):
        return str(value)
    if isinstance(value, tuple | list):
        return [_plain(inner) for inner in value]
    return str(value) if isinstance(value, str) else value
