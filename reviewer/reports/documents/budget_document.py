"""The JSON Schema (draft 2020-12) of a load budget."""

from __future__ import annotations

from typing import Any

from reviewer.reports.budget.table import FORMAT
from reviewer.reports.documents.schema_words import Keys, beginning, document, listed, object_of, text


def budget_schema() -> dict[str, Any]:
    """The schema as plain data. A reader should skip keys it does not know: a new key does not change the format's number."""
    name = {"type": "string"}
    keys: Keys = {
        **beginning(FORMAT),
        "phases": listed("Phases", "The phases of a flight, as solved.", {"$ref": "#/$defs/phase"}),
        "endurance": listed("Endurance", "How long each battery lasts.", {"$ref": "#/$defs/endurance"}),
        "shed_plan": listed("Shed plan", "The actions of the shed plan, in order.", {"$ref": "#/$defs/step"}),
        "hangar": listed(
            "Hangar", "What drains each battery with everything off.", {"$ref": "#/$defs/drain"}
        ),
        "limits": listed("Limits", "What was not counted, a sentence each.", name),
        "typical_values": listed(
            "Typical values",
            "The typical values that the numbers rest on, for want of figures in the file.",
            name,
        ),
        "not_assessed": listed(
            "Not assessed", "What could not be told. Silence about it is no pass.", {"$ref": "#/$defs/gap"}
        ),
    }
    return document(
        "budget",
        "Load budget",
        "Loads by phase, endurance and storage.",
        keys,
        {
            "phase": object_of("Phase", "One phase with what it asks of the sources.", _phase()),
            "alternator": object_of("Alternator", "An alternator in a phase.", _alternator()),
            "endurance": object_of(
                "Endurance", "How long a battery lasts, aged and on the coldest day.", _endurance()
            ),
            "stretch": object_of("Stretch", "A stretch between two moves of the crew.", _stretch()),
            "moment": object_of("Moment", "The battery at a moment.", _moment()),
            "step": object_of("Step", "An action of the shed plan.", _step()),
            "drain": object_of("Drain", "What drains a battery.", _drain()),
            "draw": object_of("Draw", "One thing that drains it.", _draw()),
            "gap": object_of(
                "Gap",
                "Something that could not be told.",
                {"what": text("What", "What."), "needs": text("Needs", "The input that is missing.")},
            ),
        },
    )


def _number(title: str, description: str, unit: str, least: float | None = 0) -> dict[str, Any]:
    found: dict[str, Any] = {"title": title, "description": f"{description} {unit}.", "type": "number"}
    return found if least is None else {**found, "minimum": least}


def _maybe(title: str, description: str, unit: str) -> dict[str, Any]:
    return {"title": title, "description": f"{description} {unit}.", "type": ["number", "null"], "minimum": 0}


def _amperes(title: str, description: str) -> dict[str, Any]:
    return {
        "title": title,
        "description": f"{description} Amperes by name.",
        "type": "object",
        "additionalProperties": {"type": "number"},
    }


def _phase() -> Keys:
    joints = {"type": "object", "additionalProperties": {"type": "string"}}
    return {
        "phase": text("Phase", "The phase."),
        "state": text("State", "The state of the switches that is flown in it."),
        "use": {"title": "Use", "description": "What the state is used for.", "enum": ["flight", "abnormal", "ground"]},
        "engine": {"title": "Engine", "description": "What the engine does.", "enum": ["running", "stopped", "cranking"]},
        "seconds": _maybe("Seconds", "How long it lasts; null where the file does not say.", "Seconds"),
        "alternators": listed("Alternators", "The alternators that give current.", {"$ref": "#/$defs/alternator"}),
        "batteries": _amperes("Batteries", "What each battery gives, less than 0 where it is charged."),
        "loads": _amperes("Loads", "What each load takes."),
        "coils": _amperes("Coils", "What each coil takes."),
        "solved_as_ideal_joints": {
            "title": "Solved as ideal joints", "description": "Wires and protectors without a size, with the key that is missing.", **joints,
        },
    }  # fmt: skip


def _alternator() -> Keys:
    return {
        "alternator": text("Alternator", "The alternator."),
        "amperes": _number("Amperes", "What it gives.", "Amperes"),
        "output": _number("Output", "Its rating; on the ground its output at idle.", "Amperes"),
        "continuous_share": _number(
            "Continuous share", "Its continuous load over that output.", "1 is all of it"
        ),
        "share_most": _maybe(
            "Share, most",
            "The share that its continuous load may take in flight; null on the ground.",
            "1 is all of it",
        ),
        "rests_on": text("Rests on", "Where that share comes from; empty on the ground."),
        "ammeter": text("Ammeter", "A monitor that shows how much it carries, or empty."),
        "spare": _number("Spare", "What is left of its output.", "Amperes"),
    }


def _endurance() -> Keys:
    return {
        "battery": text("Battery", "The battery."),
        "reserve": {"title": "Reserve", "description": "Whether it is a reserve.", "type": "boolean"},
        "lost": listed("Lost", "The sources that are lost.", {"type": "string"}),
        "state": text("State", "The state in which they are lost."),
        "phase": {"title": "Phase", "description": "The phase whose loads are on, or null.", "type": ["string", "null"]},
        "seconds": _maybe("Seconds", "Time until it gives out; null where it does not.", "Seconds"),
        "wanted_seconds": _maybe("Seconds wanted", "The declared time; null where none is.", "Seconds"),
        "ended_by": {"title": "Ended by", "description": "The load that falls below its minimum, or the battery itself; null where nothing ends it.", "type": ["string", "null"]},
        "ends": text("Ends", "Why it ends, in words."),
        "charging_volts": _number("Charging volts", "Volts across it in the dispatch state before.", "Volts"),
        "begins_with": _number("Begins with", "The charge that these give it.", "1 is full"),
        "left_unused": _number("Left unused", "The charge that is left when it gives out.", "1 is full"),
        "factors": {"title": "Factors", "description": "What age, cold and rate take, in words.", "type": "object", "additionalProperties": {"type": "string"}},
        "stretches": listed("Stretches", "The stretches between moves of the crew.", {"$ref": "#/$defs/stretch"}),
        "curve": listed("Curve", "The battery in time.", {"$ref": "#/$defs/moment"}),
    }  # fmt: skip


def _stretch() -> Keys:
    return {
        "name": text("Name", "What it begins with: the loss, or the action that was done."),
        "seconds": _maybe("Seconds", "How long it lasts; null where it does not end.", "Seconds"),
        "amperes_at_first": _number(
            "Amperes at first", "What the battery gives when it begins.", "Amperes", None
        ),
        "amperes_at_the_end": _number("Amperes at the end", "What it gives when it ends.", "Amperes", None),
        "charge_left": _number("Charge left", "Its charge then.", "1 is full"),
    }


def _moment() -> Keys:
    return {
        "seconds": _number("Seconds", "From the loss.", "Seconds"),
        "charge": _number("Charge", "What is left.", "1 is full"),
        "volts": _number("Volts", "Across its posts.", "Volts"),
        "amperes": _number("Amperes", "What it gives.", "Amperes", None),
    }


def _step() -> Keys:
    return {
        "action": text("Action", "The action."),
        "done_after_seconds": _number("Done after", "When it is done, from the loss.", "Seconds"),
        "off": _amperes("Off", "What it takes power from, with what that took before."),
        "main_battery_before": _number(
            "Main battery before", "What the main battery gives before.", "Amperes", None
        ),
        "main_battery_after": _number("Main battery after", "What it gives after.", "Amperes", None),
    }


def _drain() -> Keys:
    pair = {"minItems": 2, "maxItems": 2}
    return {
        "battery": text("Battery", "The battery."),
        "state": text("State", "The state in which the aircraft stands."),
        "amperes": {**listed("Amperes", "What it gives, least and most.", {"type": "number"}), **pair},
        "days_to_half": {**listed("Days to half", "Days until half of its charge is gone, least and most; null without end.", {"type": ["number", "null"]}), **pair},
        "draws": listed("Draws", "What draws.", {"$ref": "#/$defs/draw"}),
    }  # fmt: skip


def _draw() -> Keys:
    return {
        "what": text("What", "What draws, in words."),
        "least": _number(
            "Least", "What it draws at least; 0 for loads and coils, which were solved together.", "Amperes"
        ),
        "most": _number("Most", "What it draws at most.", "Amperes"),
        "needs": text(
            "Needs", "The figure that the file lacks, so that a range of the trade was taken; else empty."
        ),
    }
