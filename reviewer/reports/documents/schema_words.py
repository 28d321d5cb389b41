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
    return {
        "title": title,
        "description": description,
        "type": "object",
        "required": list(keys),
        "properties": keys,
    }


def beginning(format_: str) -> Keys:
    """What every document about one file begins with."""
    return {
        "format": {"title": "Format", "description": "Name and number of this format.", "const": format_},
        "cautions": listed("Cautions", "What a reader must keep in mind.", {"type": "string"}),
        "file": text("File", "The design file as named by the caller."),
        "aircraft": text("Aircraft", "The aircraft's name."),
        "stage": text("Stage", "The stage of the design."),
    }


def document(name: str, title: str, description: str, keys: Keys, defs: Keys | None = None) -> dict[str, Any]:
    """The schema of a document, version 1; ``defs`` are the objects that its keys refer to."""
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:circuit-reviewer:{name}:1",
        **object_of(title, f"{description} A second opinion; the cautions are part of it.", keys),
        **({"$defs": defs} if defs else {}),
    }
