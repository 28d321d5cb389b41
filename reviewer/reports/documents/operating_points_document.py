"""The JSON Schema (draft 2020-12) of the operating points of a state."""

from __future__ import annotations

from typing import Any

from reviewer.reports.documents.schema_words import Keys, beginning, document, listed, object_of, text
from reviewer.reports.solve.table import FORMAT


def _number(title: str, description: str, null: str = "") -> dict[str, Any]:
    """A number; with ``null`` said, also null."""
    return {
        "title": title,
        "description": f"{description}{f' Null: {null}' if null else ''}",
        "type": ["number", "null"] if null else "number",
    }


def _named(title: str, description: str, of: dict[str, Any]) -> dict[str, Any]:
    return {"title": title, "description": description, "type": "object", "additionalProperties": of}


def solve_schema() -> dict[str, Any]:
    """The schema as plain data. A reader should skip keys it does not know: a new key does not change the format's number."""
    element = text("Element", "A pointer into the design file without its leading slash.")
    name, dead = {"type": "string"}, "no live source reaches it."
    phase = {
        "title": "Phase",
        "description": "The phase whose currents the loads take. Null: no phase is flown in the state, and each load takes its largest current.",
        "type": ["string", "null"],
    }
    source: Keys = {
        "element": element,
        "volts": _number("Volts", "Volts across it.", dead),
        "amperes": _number("Amperes", "Amperes that it gives, less than 0 for a battery that takes current."),
    }
    load: Keys = {
        "element": element,
        "volts": _number(
            "Volts", "Volts from supply to return; 0 where no live source reaches it or it draws nothing."
        ),
        "amperes": _number("Amperes", "Amperes that it takes."),
    }
    coil: Keys = {
        "element": element,
        "amperes": _number("Amperes", "Amperes from the first to the second terminal of its coil."),
    }
    way: Keys = {
        "element": element,
        "from": text("From", "The terminal at one end."),
        "to": text("To", "The terminal at the other end."),
        "volts": _number("Volts", "Volts from one end to the other.", "no live source reaches one of them."),
        "amperes": _number(
            "Amperes",
            "Amperes from one end to the other.",
            "it shares a ring of ideal joints, and how is open.",
        ),
    }
    monitor: Keys = {
        "monitor": text("Monitor", "The monitor."),
        "shows": {"title": "Shows", "description": "What it shows.", "enum": ["voltage", "current", "live"]},
        "value": _number(
            "Value",
            "Volts, amperes, or 1 and 0 for lit and dark.",
            "what it senses has more than one way for current.",
        ),
        "blank": {
            "title": "Blank",
            "description": "Whether what it is on does not work, so that nothing can be read.",
            "type": "boolean",
        },
        "reading": text("Reading", "The reading in words."),
    }
    assumed: Keys = {
        "what": text("What", "The figure that the file leaves out."),
        "value": text("Value", "The typical value, or a range of them."),
        "unit": text("Unit", "Its unit."),
        "rests_on": text("Rests on", "Where the typical value comes from."),
        "elements": listed("Elements", "The elements for which it was used.", name),
    }
    point: Keys = {
        "phase": phase,
        "terminals": _named(
            "Terminals", f"Volts of each terminal and bar. Null: {dead}", {"type": ["number", "null"]}
        ),
        "sources": listed("Sources", "The sources.", object_of("Source", "One source.", source)),
        "loads": listed(
            "Loads", "Loads and instruments.", object_of("Load", "One load or instrument.", load)
        ),
        "coils": listed("Coils", "Coils of relays and contactors.", object_of("Coil", "One coil.", coil)),
        "carried": listed(
            "Carried",
            "What each wire, contact, pin, protector, shunt and diode carries.",
            object_of("Way", "One way for current.", way),
        ),
        "monitors": listed(
            "Monitors", "What each monitor reads.", object_of("Reading", "One reading.", monitor)
        ),
        "assumed": listed(
            "Assumed",
            "The typical values that the figures rest on.",
            object_of("Typical value", "One typical value.", assumed),
        ),
        "without_a_size": _named(
            "Without a size", "Elements solved as ideal joints, with the key that the file lacks.", name
        ),
        "without_a_current": _named(
            "Without a current", "Loads solved as drawing nothing, with the key that the file lacks.", name
        ),
        "imbalance": _number(
            "Imbalance", "The worst imbalance of currents at any node, amperes: what proves the figures."
        ),
    }
    failure: Keys = {"element": element, "failure": text("Failure", "The failure in words.")}
    unsolved: Keys = {"phase": phase, "needs": text("Needs", "The input that is missing.")}
    keys: Keys = {
        **beginning(FORMAT),
        "state": text("State", "The operating state."),
        "switches": _named("Switches", "The position of every switch in that state.", name),
        "failed": listed("Failed", "What has failed.", object_of("Failure", "One failure.", failure)),
        "starting": listed("Starting", "Loads that are just starting or lamps that are cold.", name),
        "limits": listed("Limits", "How the figures are to be read, a sentence each.", name),
        "not_solved": listed(
            "Not solved",
            "Phases that could not be solved.",
            object_of("Gap", "One phase without figures.", unsolved),
        ),
        "points": listed(
            "Points",
            "One entry a phase, in the order of the file.",
            object_of("Point", "Volts and amperes in one phase.", point),
        ),
    }
    return document(
        "operating-points",
        "Operating points",
        "Volts in V and amperes in A of one state.",
        keys,
    )
