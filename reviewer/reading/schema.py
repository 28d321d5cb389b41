"""The JSON Schema of design files (draft 2020-12), made from the pieces of the model.

Where a piece has a ``kind``, the schema branches on it with ``if`` and ``then``, so that an editor
reports what is wrong with that kind and never that none of many alternatives fits.
"""

from __future__ import annotations

from typing import Any

from reviewer.model.design import (
    Action,
    Aircraft,
    Check,
    Concession,
    Exclusion,
    Function,
    Monitor,
    Operation,
    Phase,
    State,
    Watch,
)
from reviewer.model.fields import Piece
from reviewer.model.parts import PART_KINDS, Wire
from reviewer.model.spreadsheet_tables import Table
from reviewer.reading.circuits import wire_numbers
from reviewer.reading.schema_of_short_form import NAME, assembly_keys, circuits_schema, tables_schema

_PART_NAME = {"minLength": 1, "maxLength": 200, "pattern": r"^[^.\x00-\x1f\x7f-\x9f]+$"}


def design_schema() -> dict[str, Any]:
    """The schema as plain data, in a stable order."""
    definitions: dict[str, Any] = {}
    for kind, model in PART_KINDS.items():
        _define(definitions, model, f"part-{kind}")
    for piece in (
        Aircraft,
        Wire,
        Function,
        Operation,
        State,
        Phase,
        Action,
        Exclusion,
        Watch,
        Monitor,
        Check,
        Concession,
        Table,
    ):
        _define(definitions, piece, piece.__name__.lower())
    definitions["part"] = _branch(
        {kind: f"part-{kind}" for kind in PART_KINDS}, "A part.", "One part, tagged by its kind."
    )
    definitions["contact"] = _branch(
        {"make": "MakeContact", "break": "BreakContact", "changeover": "ChangeoverContact"},
        "A contact.",
        "One contact, tagged by its kind.",
    )
    for name in ("part-relay", "part-contactor"):
        definitions[name]["properties"]["contacts"]["additionalProperties"] = {"$ref": "#/$defs/contact"}
    operation, watch = definitions["operation"]["properties"], definitions["watch"]["properties"]
    for owner, key, name in (
        (operation, "states", "state"),
        (operation, "phases", "phase"),
        (operation, "actions", "action"),
        (watch, "monitors", "monitor"),
        (watch, "checks", "check"),
    ):
        owner[key]["additionalProperties"] = {"$ref": f"#/$defs/{name}"}
        owner[key]["propertyNames"] = NAME
    operation["excluded"]["items"] = {"$ref": "#/$defs/exclusion"}
    for name in ("State", "Phase", "Action", "Exclusion", "Monitor", "Check"):
        definitions.pop(name, None)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:circuit-reviewer:design:1",
        "title": "Design of a light aircraft's electrical system",
        "description": "What the reviewer reads. Quantities are text with a unit, such as `5 A`; "
        "terminals are written `part.terminal`.",
        "type": "object",
        "additionalProperties": False,
        "required": ["format", "aircraft"],
        "anyOf": [
            {"required": ["circuits"]},
            {"required": ["installed"]},
            {"required": ["tables"]},
            {"required": ["parts", "wires"]},
        ],
        "properties": {
            "format": {
                "title": "format",
                "description": "Version of this format.",
                "const": 1,
                "examples": [1],
            },
            "aircraft": {
                "title": "aircraft",
                "description": "What the aircraft is.",
                "$ref": "#/$defs/aircraft",
                "examples": [{"name": "Tourer", "nominal": "14 V", "airframe": "metal", "stage": "concept"}],
            },
            **assembly_keys(),
            "circuits": circuits_schema(),
            "tables": tables_schema(),
            "wire-numbers": {
                "title": "wire numbers",
                "description": "How the wires of circuits are numbered, in the words "
                f"{', '.join(f'`{w}`' for w in wire_numbers.WORDS)}; `{wire_numbers.PLAIN}` where it is "
                "left out.",
                "type": "string",
                "pattern": wire_numbers.PATTERN,
                "examples": ["letter number segment gauge ground", wire_numbers.PLAIN],
            },
            "parts": _map("parts", "The parts by name.", "part", {"main-bus": {"kind": "bus"}}, _PART_NAME),
            "wires": _map(
                "wires",
                "The wires by name.",
                "wire",
                {"W1": {"from": "main-bus.radio", "to": "radio-breaker.line"}},
                NAME,
            ),
            "functions": _map(
                "functions",
                "What must keep working.",
                "function",
                {"ignition": {"any": 1, "of": ["left-ignition", "right-ignition"], "loss": "catastrophic"}},
                NAME,
            ),
            "operation": {
                "title": "operation",
                "description": "How the system is operated.",
                "$ref": "#/$defs/operation",
                "examples": [{"normal": "cruise", "states": {"cruise": {"engine": "running"}}}],
            },
            "watch": {
                "title": "watch",
                "description": "What shows the crew a failure.",
                "$ref": "#/$defs/watch",
                "examples": [{"monitors": {"bus-volts": {"shows": "voltage", "senses": "main-bus.sense"}}}],
            },
            "concessions": {
                "title": "concessions",
                "description": "Findings that are accepted, one by one.",
                "type": "array",
                "items": {"$ref": "#/$defs/concession"},
                "examples": [[]],
            },
        },
        "$defs": dict(sorted(definitions.items())),
    }


def _map(title: str, about: str, name: str, example: Any, names: dict[str, Any]) -> dict[str, Any]:
    entry = {"$ref": f"#/$defs/{name}"}
    return {
        "title": title,
        "description": about,
        "type": "object",
        "additionalProperties": entry,
        "propertyNames": names,
        "examples": [example],
    }


def _define(definitions: dict[str, Any], model: type[Piece], name: str) -> None:
    schema = model.model_json_schema(by_alias=True, mode="validation", ref_template="#/$defs/{model}")
    for key, inner in schema.pop("$defs", {}).items():
        definitions.setdefault(key, _plain(inner))
    definitions[name] = _plain(schema)


def _branch(kinds: dict[str, str], title: str, about: str) -> dict[str, Any]:
    tag = {
        "title": "kind",
        "description": "What it is.",
        "enum": list(kinds),
        "examples": [next(iter(kinds))],
    }
    return {
        "title": title,
        "description": about,
        "type": "object",
        "required": ["kind"],
        "properties": {"kind": tag},
        "allOf": [
            {
                "if": {"properties": {"kind": {"const": kind}}, "required": ["kind"]},
                "then": {"$ref": f"#/$defs/{name}"},
            }
            for kind, name in kinds.items()
        ],
    }


def _plain(schema: Any) -> Any:
    """Without the alternative ``null`` that stands for a key left out: a key is given or it is not."""
    if isinstance(schema, list):
        return [_plain(entry) for entry in schema]
    if not isinstance(schema, dict):
        return schema
    done = {k: _plain(v) for k, v in schema.items() if not (k == "default" and v is None)}
    choices = [c for c in done.get("anyOf", []) if c != {"type": "null"}]
    if "anyOf" in done:
        done.pop("anyOf")
        own = (
            {k: v for k, v in choices[0].items() if k not in done}
            if len(choices) == 1
            else {"anyOf": choices}
        )
        done.update(own)
    return done
