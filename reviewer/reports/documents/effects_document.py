"""The JSON Schema (draft 2020-12) of a table of failure effects."""

from __future__ import annotations

from typing import Any

from reviewer.model.review import HazardClass
from reviewer.questions.fail import MODES
from reviewer.reports.documents.schema_words import Keys, beginning, count, document, listed, object_of, text
from reviewer.reports.effects.table import FORMAT


def effects_schema() -> dict[str, Any]:
    """The schema as plain data. A reader should skip keys it does not know: a new key does not change the format's number."""
    hazards = [h.word for h in sorted(HazardClass, reverse=True)]
    hazard = {"title": "Hazard class", "description": "How bad the loss is for the flight.", "enum": hazards}
    gravest = {
        "title": "Hazard class",
        "description": "The gravest class among the functions that are lost. Null: no declared function is lost, or none is declared.",
        "enum": [*hazards, None],
    }
    name = {"type": "string"}
    local: Keys = {
        "sentence": text("Sentence", "The local effect in words."),
        "sources_lost": listed("Sources lost", "Sources that no longer give current.", name),
        "sources_idle": listed("Sources idle", "Sources that live and feed no load or coil any more.", name),
        "protectors_opened": listed("Protectors opened", "Protectors that open to clear a short.", name),
        "relays_let_go": listed(
            "Relays let go", "Relays and contactors that were energised and are not any more.", name
        ),
        "relays_pulled_in": listed(
            "Relays pulled in", "Relays and contactors that were not energised and are.", name
        ),
        "buses_dead": listed("Buses dead", "Buses that nothing feeds any more.", name),
        "loads_dead": listed("Loads dead", "Loads and instruments that lose their power.", name),
        "loads_woken": listed("Loads woken", "Loads and instruments that had no power and get it.", name),
    }
    indication: Keys = {
        "monitors": listed("Monitors", "Monitors that read otherwise and can be read.", name),
        "dark": listed("Dark", "Monitors that go dark, because what shows them has no power.", name),
        "checks": listed("Checks", "Checks before flight that would notice it.", name),
    }
    failure: Keys = {
        "element": text(
            "Element",
            "What fails: a pointer into the design file without its leading slash, or `bundles/NAME`.",
        ),
        "kind": text("Kind", "The kind of part, or `wire` or `bundle`."),
        "label": text("Label", "What is written on it, or empty."),
        "mode": {"title": "Mode", "description": "How it fails.", "enum": list(MODES)},
        "terminal": text(
            "Terminal", "The terminal that is meant, where a part has several circuits; else empty."
        ),
        "failure": text("Failure", "The failure in words, with the terminal or the position that is meant."),
        "local_effect": object_of("Local effect", "What happens near it. Elements are pointers.", local),
        "functions_lost": listed(
            "Functions lost", "The functions that are lost, the gravest first.", {"$ref": "#/$defs/loss"}
        ),
        "hazard": gravest,
        "indication": object_of("Indication", "What shows it.", indication),
        "remaining": listed(
            "Remaining redundancy",
            "Functions that live on with less behind them. Those that are neither here nor lost are as before.",
            {"$ref": "#/$defs/left"},
        ),
        "unsettled": {
            "title": "Unsettled",
            "description": "Whether relays do not come to rest, so that nothing else is sure.",
            "type": "boolean",
        },
    }
    loss: Keys = {"function": text("Function", "The function."), "hazard": hazard}
    left: Keys = {
        "function": text("Function", "The function."),
        "needed": count("Needed", "How many channels are enough.", 1),
        "of": listed("Of", "Its channels.", name),
        "channels": listed("Channels", "Those of them that live.", name),
        "single_failures_that_now_take_it": count(
            "Single failures that now take it",
            "How many further single failures would take it, none of which would with nothing else failed.",
        ),
    }
    keys: Keys = {
        **beginning(FORMAT),
        "state": text("State", "The operating state in which the failures happen."),
        "switches": {
            "title": "Switches",
            "description": "The position of every switch in that state.",
            "type": "object",
            "additionalProperties": {"type": "string"},
        },
        "functions": {
            "title": "Functions",
            "description": "The declared functions, with the hazard class of losing each.",
            "type": "object",
            "additionalProperties": hazard,
        },
        "functions_off": listed(
            "Functions off",
            "Functions that do not live in that state with nothing failed, and so cannot be lost in it.",
            name,
        ),
        "limits": listed("Limits", "What was not tried, a sentence each.", name),
        "not_assessed": listed(
            "Not assessed", "What could not be told for want of an input. Silence about it is no pass.", name
        ),
        "failures": listed(
            "Failures", "One entry a failure, in the order of the file.", {"$ref": "#/$defs/failure"}
        ),
    }
    return document(
        "effects",
        "Failure effects",
        "What every single failure does in one state.",
        keys,
        {
            "failure": object_of("Failure", "One failure and what it does.", failure),
            "loss": object_of("Loss", "A function that is lost.", loss),
            "left": object_of("Left", "What is left of a function that lives on.", left),
        },
    )
