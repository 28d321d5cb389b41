"""Edits of a design, made on the data of its file: those with which cases of rules are written too."""

from __future__ import annotations

from typing import Any

from reviewer.rulebook.edits import REMOVE, EditError, Edits, _group, _removed, edited, escaped, keys_of

__all__ = ["REMOVE", "EditError", "Edits", "edited", "escaped", "inverse", "keys_of"]


def inverse(data: dict[str, Any], edits: Edits) -> dict[str, Any]:
    """The edits that take ``edited(data, edits)`` back to ``data``."""
    back: dict[str, Any] = {}
    gone = []
    for path in (*_removed(data, edits), *(p for p in edits if p != REMOVE)):
        try:
            group, key = _group(data, path)
        except EditError:  # it was added inside a group that the edits add, and goes with the group
            continue
        if key in group:
            back[path] = group[key]
        elif path in edits:
            gone.append(path)
    return {REMOVE: gone, **back} if gone else back
