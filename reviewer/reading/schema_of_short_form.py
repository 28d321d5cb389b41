"""The JSON Schema of circuits and of assemblies."""

from __future__ import annotations

from typing import Any

from reviewer.reading.assemblies.definition import PARAMETER
from reviewer.reading.sizes import LONGEST_PATH, MOST_TABLES

NAME = {"minLength": 1, "maxLength": 200, "pattern": r"^[^\x00-\x1f\x7f-\x9f]+$"}
_PATH_EXAMPLE = (
    "main-bus + breaker 5 A NAV > 20 AWG 1.2 m > radio (1.2 A, 9 to 32 V) > 20 AWG 0.9 m > avionics-ground"
)
#: a path has a join in it, and neither begins nor ends with one
_PATH = r"^\s*[^\s>+][\s\S]*[>+][\s\S]*[^\s>+]\s*$"
_CALL = {"assembly": "sense-lead", "from": "main-bus", "to": "monitor.bus-volts", "length": "1.3 m"}
_DRAWN = {
    "parameters": {"from": None, "to": None, "length": {"default": "1 m"}},
    "circuits": {"$name": "$from > 22 AWG 0.1 m > fuse 1 A > 22 AWG $length > $to"},
}
_TABLE = {
    "file": "loads.csv",
    "list": "loads",
    "columns": {
        "load": "Equipment",
        "bus": "Bus",
        "protection": "CB/Fuse",
        "rating": "Rating (A)",
        "amperes": "Amps",
        "gauge": "AWG",
        "length": "Length (ft)",
    },
    "return": "avionics-ground",
}
_SCALAR = {"type": ["string", "number", "boolean"]}


def circuits_schema() -> dict[str, Any]:
    """The schema of ``circuits``."""
    return {
        "title": "circuits",
        "description": "Circuits as paths, by name: each line is one path of the drawing, from "
        "source to ground. ` + ` is plugged or bolted on, ` > ` a wire; a kind with figures makes "
        "a part, brackets after a name make a load, any other name is a part that is made elsewhere.",
        "type": "object",
        "additionalProperties": {
            "title": "path",
            "description": "Parts and places with joins between them: `PLACE + breaker RATING LABEL "
            "> GAUGE LENGTH > LOAD (CURRENT) > GAUGE LENGTH > PLACE`; after `; wires` what all its "
            "wires have.",
            "type": "string",
            "minLength": 3,
            "maxLength": LONGEST_PATH,
            "pattern": _PATH,
            "examples": [_PATH_EXAMPLE],
        },
        "propertyNames": NAME,
        "examples": [{"nav-radio": _PATH_EXAMPLE}],
    }


def tables_schema() -> dict[str, Any]:
    """The schema of ``tables``."""
    return {
        "title": "tables",
        "description": "Load lists and wire lists in spreadsheets beside this file, CSV or XLSX. Each row "
        "makes parts and wires as a circuit does: a load with its protection, its feed and its return, or a "
        "wire. A design that is read from standard input has none.",
        "type": "array",
        "maxItems": MOST_TABLES,
        "items": {"$ref": "#/$defs/table"},
        "examples": [[_TABLE]],
    }


def assembly_keys() -> dict[str, Any]:
    """The schemas of the sections that assemblies have."""
    return {
        "assembly-files": {
            "title": "files of assemblies",
            "description": "Files beside this one with `format: 1` and `assemblies`.",
            "type": "array",
            "items": {"type": "string", "minLength": 1},
            "examples": [["club.assemblies.yaml"]],
        },
        "assemblies": {
            "title": "assemblies",
            "description": "Pieces of a drawing by name, drawn once and installed many times. `$bus` stands "
            "for the parameter `bus`, `$name` for the name under which it is installed.",
            "type": "object",
            "additionalProperties": _assembly(),
            "propertyNames": NAME,
            "examples": [{"sense-lead": _DRAWN}],
        },
        "installed": {
            "title": "installed",
            "description": "Assemblies as they are installed, by name: of this file, of a file beside it, or "
            "of the library that `reviewer assemblies` lists.",
            "type": "object",
            "additionalProperties": _call(),
            "propertyNames": NAME,
            "examples": [{"bus-volts": _CALL}],
        },
    }


def _call() -> dict[str, Any]:
    return {
        "title": "installed assembly",
        "description": "`assembly` and what it is given for its parameters.",
        "type": "object",
        "required": ["assembly"],
        "properties": {
            "assembly": {
                "title": "assembly",
                "description": "The assembly that is installed.",
                "type": "string",
                "examples": ["sense-lead"],
            }
        },
        "additionalProperties": {"anyOf": [_SCALAR, {"type": "array", "items": _SCALAR}]},
        "examples": [_CALL],
    }


def _group(title: str, about: str, entry: dict[str, Any], example: Any) -> dict[str, Any]:
    return {
        "title": title,
        "description": about,
        "type": "object",
        "additionalProperties": entry,
        "propertyNames": NAME,
        "examples": [example],
    }


def _assembly() -> dict[str, Any]:
    path = {"type": "string", "minLength": 1, "maxLength": LONGEST_PATH}
    parameter = {
        "type": ["object", "null"],
        "additionalProperties": False,
        "properties": {
            "about": {
                "title": "about",
                "description": "What it is.",
                "type": "string",
                "examples": ["Lead from a live terminal to an instrument, with its fuse."],
            },
            "default": {
                "title": "default",
                "description": "What holds where a call says nothing.",
                "examples": ["1 m"],
            },
            "example": {"title": "example", "description": "How it may be given.", "examples": ["main-bus"]},
            "optional": {
                "title": "optional",
                "description": "Left out where a call does not give it.",
                "type": "boolean",
                "examples": [True],
            },
        },
    }
    return {
        "title": "assembly",
        "description": "A piece of a drawing with parameters.",
        "type": "object",
        "additionalProperties": False,
        "properties": {
            "about": {
                "title": "about",
                "description": "What it is.",
                "type": "string",
                "examples": ["Lead from a live terminal to an instrument, with its fuse."],
            },
            "drawing": {
                "title": "drawing",
                "description": "A drawing in letters.",
                "type": "string",
                "examples": ["from --[fuse]-- to"],
            },
            "sources": {
                "title": "sources",
                "description": "Where it is from.",
                "type": "array",
                "items": {"type": "string"},
                "examples": [["Common practice (no published source)."]],
            },
            "parameters": {
                **_group("parameters", "What a call gives, by name.", parameter, _DRAWN["parameters"]),
                "propertyNames": {"pattern": PARAMETER},
            },
            "circuits": _group("circuits", "Its circuits, as paths.", path, _DRAWN["circuits"]),
            "parts": _group(
                "parts",
                "Its parts.",
                {"type": "object"},
                {"$name": {"kind": "battery", "capacity": "$capacity"}},
            ),
            "wires": _group(
                "wires", "Its wires.", {"type": "object"}, {"$name-1": {"from": "$from", "to": "$to"}}
            ),
            "installed": _group("installed", "What is installed in it.", _call(), {"$name-volts": _CALL}),
        },
        "examples": [_DRAWN],
    }
