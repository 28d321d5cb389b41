"""Pieces of a design as text of a file, one a line."""

from __future__ import annotations

import json
import re
from typing import Any

from reviewer.reading.scalar import plain_scalar

_PLAIN = re.compile(r"[A-Za-z0-9~.][\w .%/°+()~-]*")
#: words that other YAML tools read as something else
_WORDS = frozenset({"y", "n", "yes", "no", "on", "off", "true", "false", "null"})
#: line ends of YAML that JSON has as they are
_BREAKS = {0x85: "\\u0085", 0x2028: "\\u2028", 0x2029: "\\u2029", 0xFEFF: "\\ufeff"}


def entry_text(name: str, piece: Any, as_json: bool) -> str:
    """An entry of a group on one line: ``radio: {kind: load, current: 1.2 A}``."""
    if as_json:
        return f"{_json(name)}: {_json(piece)}"
    return f"{_flow(name)}: {_flow(piece)}"


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False).translate(_BREAKS)


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{_flow(k)}: {_flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(_flow, value)) + "]"
    if not isinstance(value, str):
        return _json(value)
    plain = _PLAIN.fullmatch(value) and value == value.rstrip() and value.lower() not in _WORDS
    return value if plain and plain_scalar(value) == value else _json(value)
