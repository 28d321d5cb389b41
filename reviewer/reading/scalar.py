"""A scalar without quotes -> text, number, true, false or nothing, by the core schema of YAML 1.2:
`on` and `off` stay text."""

from __future__ import annotations

import re

_INT = re.compile(r"[-+]?[0-9]+\Z")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?\Z")
_WORDS = {
    "": None,
    "null": None,
    "~": None,
    "Null": None,
    "NULL": None,
    "true": True,
    "True": True,
    "TRUE": True,
    "false": False,
    "False": False,
    "FALSE": False,
}


def plain_scalar(text: str) -> str | int | float | bool | None:
    """The value of a scalar that stands without quotes."""
    if text in _WORDS:
        return _WORDS[text]
    if text[0] in "+-.0123456789" and len(text) < 400:
        if _INT.match(text):
            return int(text)
        if _FLOAT.match(text):
            return float(text)
    return text
