"""The JSON Schema (draft 2020-12) of a list of wires."""

from __future__ import annotations

from typing import Any

from reviewer.reports.documents.schema_words import Keys, beginning, count, document, listed, object_of, text
from reviewer.reports.wires.table import FORMAT


def wires_schema() -> dict[str, Any]:
    """The schema as plain data. A reader should skip keys it does not know: a new key does not change the format's number."""
    name = {"type": "string"}
    missing = listed(
        "Not assessed", "What could not be told, and for want of what. Silence about it is no pass.", name
    )
    limit = object_of(
        "Limit",
        "An allowed drop.",
        {"volts": _number("Volts", "The allowed drop."), "source": text("Source", "Where it is printed.")},
    )
    share: Keys = {
        "element": text("Element", "A pointer into the design file."),
        "volts": _number("Volts", "Volts lost on it."),
    }
    run: Keys = {
        "state": text("State", "The state, with its phase or the switch that was moved."),
        "amperes": _number("Amperes", "What the load takes."),
        "drop_volts": _number("Drop", "Volts lost out and back, diodes left out."),
        "diode_volts": _number("Diodes", "Volts dropped by diodes on the way."),
        "begins": text("Begins", "The bus or source that the run begins at."),
        "ends": text("Ends", "The source that the run ends at."),
        "out": listed("Out", "Shares of the drop in the order of the current.", {"$ref": "#/$defs/share"}),
        "back": listed("Back", "Shares of the drop on the way back.", {"$ref": "#/$defs/share"}),
        "diodes": listed("Diodes", "What diodes drop, which is no wire drop.", {"$ref": "#/$defs/share"}),
    }
    may_carry: Keys = {
        "amperes": _number("Amperes", "The limit."),
        "basis": text("Basis", "What the limit rests on."),
        "printed_amperes": _maybe("Printed", "The value as printed, before the factors.", "number"),
        "factors": {
            "title": "Factors",
            "description": "What it was multiplied with.",
            "type": "object",
            "additionalProperties": {"type": "number"},
        },
        "wires_in_bundle": count("Wires in the bundle", "How many wires run together, with itself.", 1),
        "bundle_used": _maybe(
            "Bundle used",
            "The share of the bundle's capacity that is used; null for a wire that runs alone.",
            "number",
        ),
        "air_celsius": _number("Air", "Hottest air about it, degrees Celsius."),
        "zone": text("Zone", "The zone that the temperature is of."),
        "zone_known": {
            "title": "Zone known",
            "description": "False where the hottest zone was taken for want of its own.",
            "type": "boolean",
        },
    }
    protector: Keys = {
        "end": text("End", "The end of the wire that it protects it from."),
        "protector": text("Protector", "A pointer to the protector."),
        "rating_amperes": _maybe("Rating", "Its rating.", "number"),
        "allowed_amperes": _maybe(
            "Allowed", "The largest that AC 43.13-1B Table 11-3 allows for the wire.", "number"
        ),
        "stub": {
            "title": "Stub",
            "description": "Whether the wire is so short a way to its next protector that this one need not fit it.",
            "type": "boolean",
        },
    }
    unprotected: Keys = {
        "end": text("End", "An end of the wire."),
        "sources": listed("Sources", "Sources that feed it unprotected.", name),
    }
    wire: Keys = {
        "wire": text("Wire", "A pointer to the wire."),
        "from": text("From", "The terminal at one end."),
        "to": text("To", "The terminal at the other end."),
        "gauge": _maybe("Gauge", "Its size.", "string"),
        "length_metres": _maybe("Length", "Its length.", "number"),
        "bundle": _maybe("Bundle", "The bundle it runs in.", "string"),
        "state": _maybe("State", "The flown state in which it is loaded worst, cranking left out.", "string"),
        "phase": _maybe(
            "Phase", "The phase whose loads are taken; null where none is flown in the state.", "string"
        ),
        "amperes": _maybe("Amperes", "Its current there, from its from to its to end.", "number"),
        "may_carry": _or_null("May carry", "What it may carry, and why.", {"$ref": "#/$defs/may_carry"}),
        "share": _maybe("Share", "The current over what it may carry: more than 1 is too much.", "number"),
        "drop_volts": _maybe("Drop", "Volts lost on it there.", "number"),
        "cranking_amperes": _maybe(
            "Cranking", "Its largest current while the engine cranks, for seconds.", "number"
        ),
        "protectors": listed(
            "Protectors", "What protects it, from each end that can be fed.", {"$ref": "#/$defs/protector"}
        ),
        "unprotected": listed(
            "Unprotected",
            "Ends that a source feeds with no protector between.",
            {"$ref": "#/$defs/unprotected"},
        ),
        "exempt": {
            "title": "Exempt",
            "description": "Whether it has no protector by custom.",
            "type": "boolean",
        },
        "not_assessed": missing,
    }
    least = object_of(
        "Least volts",
        "Where a load has least.",
        {"state": text("State", "The state."), "volts": _number("Volts", "Volts across the load.")},
    )
    load: Keys = {
        "load": text("Load", "A pointer to the load or instrument."),
        "usual": _or_null("Usual", "The way to it and back, at its usual current.", {"$ref": "#/$defs/run"}),
        "peak": _or_null("Peak", "The way to it and back, at its peak current.", {"$ref": "#/$defs/run"}),
        "least_volts": _or_null(
            "Least volts", "Where and when it has least; null where that could not be solved.", least
        ),
        "not_assessed": missing,
    }
    keys: Keys = {
        **beginning(FORMAT),
        "basis": listed("Basis", "What currents and protectors are judged by, a sentence each.", name),
        "drop_limits": object_of(
            "Drop limits",
            "Allowed drops from the bus to a load and back.",
            {"continuous": limit, "short": limit},
        ),
        "typical_values": listed(
            "Typical values", "Values that the numbers rest on and that are not in the file.", name
        ),
        "not_assessed": missing,
        "wires": listed("Wires", "One entry a wire, in the order of the file.", {"$ref": "#/$defs/wire"}),
        "loads": listed(
            "Loads", "One entry a load or instrument, in the order of the file.", {"$ref": "#/$defs/load"}
        ),
    }
    return document(
        "wires",
        "Wires",
        "What every wire carries, may carry and loses.",
        keys,
        {
            "wire": object_of("Wire", "One wire.", wire),
            "may_carry": object_of("May carry", "What a wire may carry where it runs, on and on.", may_carry),
            "protector": object_of("Protector", "One protector of a wire.", protector),
            "unprotected": object_of(
                "Unprotected end", "An end that is fed with no protector between.", unprotected
            ),
            "load": object_of(
                "Load", "One load: its run at its usual current where most is lost, and at its peak.", load
            ),
            "run": object_of("Run", "The way of a load's current from the bus and back.", run),
            "share": object_of("Share", "What one part or wire of the way loses.", share),
        },
    )


def _number(title: str, description: str) -> dict[str, Any]:
    return {"title": title, "description": description, "type": "number"}


def _maybe(title: str, description: str, kind: str) -> dict[str, Any]:
    return {
        "title": title,
        "description": f"{description} Null: not known." if "null" not in description else description,
        "type": [kind, "null"],
    }


def _or_null(title: str, description: str, one: dict[str, Any]) -> dict[str, Any]:
    return {"title": title, "description": description, "anyOf": [one, {"type": "null"}]}
