"""The JSON Schemas (draft 2020-12) of a comparison and of the manifest of a folder that is handed over."""

from __future__ import annotations

from typing import Any

from reviewer.reports.compare import table
from reviewer.reports.documents.review_document import review_schema
from reviewer.reports.documents.schema_words import Keys, count, listed, object_of, text
from reviewer.reports.handoff import contents

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_SHARED = ("finding", "gap", "concession", "citation", "place", "step", "switch", "number")


def comparison_schema() -> dict[str, Any]:
    """The schema of a comparison as plain data. Findings and gaps are those of a review."""
    shared = review_schema()["$defs"]
    names = {"type": "string"}
    change: Keys = {
        "what": {"title": "What", "description": "The kind of thing that differs.", "type": "string"},
        "name": text("Name", "Its name."),
        "state": text("State", "The state in which it differs, or empty."),
        "before": text("Before", "What it was, in words."),
        "after": text("After", "What it is, in words."),
    }
    cut: Keys = {
        "function": text("Function", "The function."),
        "state": text("State", "The state."),
        "new": listed(
            "New",
            "Minimal cut sets that are new, each as the words of its one or two failures.",
            {"type": "array", "items": names},
        ),
        "gone": listed("Gone", "Minimal cut sets that are gone.", {"type": "array", "items": names}),
    }
    changes = {"type": "array", "items": {"$ref": "#/$defs/change"}}
    behaviour: Keys = {
        "states_new": listed("New states", "States that only the new file declares.", names),
        "states_gone": listed("Gone states", "States that only the old file declares.", names),
        "functions": {
            **changes,
            "title": "Functions",
            "description": "Functions that are declared otherwise.",
        },
        "settings": {
            **changes,
            "title": "Settings",
            "description": "Switches, protectors and the engine that stand otherwise in a state.",
        },
        "feeds": {
            **changes,
            "title": "Feeds",
            "description": "Buses, loads and coils that are fed otherwise in a state.",
        },
        "figures": {
            **changes,
            "title": "Figures",
            "description": "Loads whose volts and sources whose amperes differ in a state.",
        },
        "endurance": {
            **changes,
            "title": "Endurance",
            "description": "Batteries that last longer or shorter; no state is meant.",
        },
        "cut_sets": listed("Cut sets", "Functions that other failures take.", {"$ref": "#/$defs/cut"}),
        "not_compared": listed("Not compared", "What was not compared, a sentence each.", names),
    }
    piece: Keys = {
        "kind": {"title": "Kind", "description": "Part or wire.", "enum": ["part", "wire"]},
        "name": text("Name", "Its name."),
        "standing": {
            "title": "Standing",
            "description": "New, gone or changed.",
            "enum": ["new", "gone", "changed"],
        },
        "fields": listed(
            "Fields",
            "What differs.",
            object_of(
                "Field",
                "One field.",
                {k: text(k.capitalize(), f"The {k}.") for k in ("field", "before", "after")},
            ),
        ),
    }
    return {
        "$schema": _DIALECT,
        "$id": "urn:circuit-reviewer:comparison:1",
        **object_of(
            "Comparison",
            "Two reviewed files side by side. A second opinion; the cautions are part of it.",
            {
                "format": {
                    "title": "Format",
                    "description": "Name and number of this format.",
                    "const": table.FORMAT,
                },
                "cautions": listed("Cautions", "What a reader must keep in mind.", names),
                "old": text("Old", "The old design file as named by the caller."),
                "new": text("New", "The new design file as named by the caller."),
                "findings": _sorted("Findings", "finding"),
                "gaps": _sorted("Gaps", "gap"),
                "behaviour": object_of("Behaviour", "What the system does otherwise.", behaviour),
                "pieces": listed(
                    "Pieces", "Parts and wires that differ.", object_of("Piece", "A part or wire.", piece)
                ),
            },
        ),
        "$defs": {
            "change": object_of("Change", "One thing that differs.", change),
            "cut": object_of("Cut sets", "What takes a function otherwise.", cut),
            **{name: shared[name] for name in _SHARED},
        },
    }


def _sorted(title: str, what: str) -> dict[str, Any]:
    one = {"$ref": f"#/$defs/{what}"}
    return object_of(
        title,
        f"The {title.lower()} of both reviews.",
        {
            "new": listed("New", "Those that only the new review has.", one),
            "gone": listed("Gone", "Those that only the old review has.", one),
            "changed": listed(
                "Changed",
                "Those that are told otherwise.",
                object_of("Change", "Before and after.", {"before": one, "after": one}),
            ),
            "same": count("Same", "How many are told as before."),
        },
    )


def handoff_schema() -> dict[str, Any]:
    """The schema of a manifest as plain data."""
    digest = {
        "title": "Digest",
        "description": "The sha256 of the bytes.",
        "type": "string",
        "pattern": "^[0-9a-f]{64}$",
    }
    counts = ("parts", "wires", "states", "findings", "conceded", "not_assessed", "broke_down")
    keys: Keys = {
        name: count(name.capitalize().replace("_", " "), f"How many: {name.replace('_', ' ')}.")
        for name in counts
    }
    rows = {
        "title": "Rows",
        "description": "The rows of each table.",
        "type": "object",
        "additionalProperties": {"type": "integer", "minimum": 0},
    }
    file: Keys = {
        "name": text("Name", "The name of the file in the folder."),
        "bytes": count("Bytes", "Its size."),
        "sha256": digest,
        "what": text("What", "What it is."),
    }
    return {
        "$schema": _DIALECT,
        "$id": "urn:circuit-reviewer:handoff:1",
        **object_of(
            "Handoff",
            "The manifest of a folder that is handed over.",
            {
                "format": {
                    "title": "Format",
                    "description": "Name and number of this format.",
                    "const": contents.FORMAT,
                },
                "cautions": listed("Cautions", "What a reader must keep in mind.", {"type": "string"}),
                "reviewer": text("Reviewer", "The version that made it."),
                "aircraft": text("Aircraft", "The aircraft's name."),
                "stage": text("Stage", "The stage of the design."),
                "design": object_of(
                    "Design",
                    "The design file.",
                    {"file": text("File", "As named by the caller."), "sha256": digest},
                ),
                "counts": object_of("Counts", "How many of each.", {**keys, "rows": rows}),
                "not_computed": listed("Not computed", "What is not in the folder.", {"type": "string"}),
                "files": listed(
                    "Files", "Every file but the manifest.", object_of("File", "One file.", file)
                ),
            },
        ),
    }
