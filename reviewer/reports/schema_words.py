"""The pieces that JSON Schemas of reports are made of, each with a title and a description."""

from __future__ import annotations

from typing import Any

Keys = dict[str, dict[str, Any]]


def text(title: str, description: str) -> dict[str, Any]:
    """A text."""
    return {"title": title, "description": description, "type": "string"}


def count(title: str, description: str, minimum: int = 0) -> dict[str, Any]:
    """A whole number."""
    return {"title": title, "description": description, "type": "integer", "minimum": minimum}


def listed(title: str, description: str, items: dict[str, Any]) -> dict[str, Any]:
    """A list."""
    return {"title": title, "description": description, "type": "array", "items": items}


def object_of(title: str, description: str, keys: Keys) -> dict[str, Any]:
    """An object that has all of its keys."""
    return {"title": title, "description": description, "type": "object", "required": list(keys), "properties": keys}
