"""The JSON Schema (draft 2020-12) of a review in JSON. ``python -m reviewer.reports.review_schema`` prints it."""

from __future__ import annotations

from typing import Any

from reviewer.model.review import HazardClass, Outcome
from reviewer.reports.data import FORMAT
from reviewer.reports.wording import MEANINGS

Keys = dict[str, dict[str, Any]]


def review_schema() -> dict[str, Any]:
    """The schema as plain data. A reader should skip keys it does not know: a new key does not change the format's number."""
    hazards = [h.word for h in sorted(HazardClass, reverse=True)]
    outcome_help = "; ".join(f"{o.value}: {MEANINGS[o]}" for o in Outcome)
    rule = _text("Rule", "The rule's name.")
    subject = _text("Subject", "What was looked at: a pointer into the design file without its leading slash. Empty: every subject of the rule.")
    hazard = {"title": "Hazard class", "description": "How bad the consequence is for the flight.", "enum": hazards}
    state = _text("State", "The operating state, or empty where none is meant.")
    place = {
        "title": "Place",
        "description": "Where in the file, for people; lines move. Null: not known.",
        "anyOf": [{"$ref": "#/$defs/place"}, {"type": "null"}],
    }
    citations = _list("References", "The published sources it rests on.", {"$ref": "#/$defs/citation"})
    concession: Keys = {
        "rule": rule,
        "subject": subject,
        "state": state,
        "reason": _text("Reason", "Why it is accepted."),
        "by": _text("By", "Who accepted it."),
        "on": {"title": "On", "description": "The day, as YYYY-MM-DD.", "type": "string", "format": "date"},
    }
    finding: Keys = {
        "identity": {
            "title": "Identity",
            "description": "A digest of rule, subject and state; the same when lines move.",
            "type": "string",
            "pattern": "^[0-9a-f]{64}$",
        },
        "rule": rule,
        "hazard": hazard,
        "subject": subject,
        "field": _text("Field", "The key of the subject that is meant, or empty."),
        "sentence": _text("Sentence", "What is wrong, with names and numbers."),
        "state": state,
        "switches": _list("Switches", "The switch positions of that state.", {"$ref": "#/$defs/switch"}),
        "failure": _text("Failure", "The failure in which it happens, or empty."),
        "path": _list("Path", "The way through the network, in order.", {"$ref": "#/$defs/step"}),
        "numbers": _list("Numbers", "What was measured, and its limit.", {"$ref": "#/$defs/number"}),
        "citations": citations,
        "remedy": _text("Remedy", "What would satisfy the rule."),
        "conceded": {
            "title": "Conceded",
            "description": "The concession that accepts this finding, or null.",
            "anyOf": [{"$ref": "#/$defs/concession"}, {"type": "null"}],
        },
        "place": place,
    }
    tally = {
        "by_hazard": _object(
            "By hazard class",
            "Findings that are not conceded.",
            {h: _count(h.capitalize(), f"Findings that are {h}." if "effect" not in h else "Findings of no safety effect.") for h in hazards},
        ),
        "by_outcome": _object("By outcome", "How the rules ended.", {o.value: _outcome(o) for o in Outcome}),
    }
    four: Keys = {
        "breakdowns": _count("Breakdowns", "Subjects on which the rule itself failed."),
        "gaps": _count("Gaps", "Subjects that were not assessed for want of an input."),
        "findings": _count("Findings", "Findings that are not conceded."),
        "conceded": _count("Conceded findings", "Findings that a concession accepts."),
    }
    subjects = _count("Subjects", "How many subjects were looked at; one that several rules look at counts for each.")
    assessment: Keys = {
        "rule": rule,
        "title": _text("Title", "The property of a good design, in one sentence."),
        "hazard": hazard,
        "outcome": {"title": "Outcome", "description": f"How the rule ended, the worst of it. {outcome_help}.", "enum": [o.value for o in Outcome]},
        "subjects": subjects,
        **four,
        "citations": citations,
        "help": _text("Help", "The rule's manual page."),
    }
    review: Keys = {
        "file": _text("File", "The design file as named by the caller."),
        "aircraft": _text("Aircraft", "The aircraft's name."),
        "stage": _text("Stage", "The stage of the design."),
        "parts": _count("Parts", "How many parts the design has."),
        "wires": _count("Wires", "How many wires the design has."),
        "states": {
            "title": "States",
            "description": "The operating states looked at, each with the position of every switch.",
            "type": "object",
            "additionalProperties": {"type": "object", "additionalProperties": {"type": "string"}},
        },
        "counts": _object(
            "Counts", "How many of each.", {"rules": _count("Rules", "How many rules were asked."), "subjects": subjects, **four, **tally}
        ),
        "breakdowns": _list("Breakdowns", "Rules that failed: nothing is known about these subjects.", {"$ref": "#/$defs/breakdown"}),
        "gaps": _list("Gaps", "What was not assessed. Silence about it is no pass.", {"$ref": "#/$defs/gap"}),
        "findings": _list("Findings", "Worst first, conceded ones included.", {"$ref": "#/$defs/finding"}),
        "unmatched_concessions": _list("Unmatched concessions", "Concessions that accept no finding of this review.", {"$ref": "#/$defs/concession"}),
        "limits": _list("Limits", "What the enumeration did not cover, a sentence each.", {"type": "string"}),
        "basis": _list("Basis", "Which published figures were used, a sentence each.", {"type": "string"}),
        "rules": _list("Rules", "How every rule ended, in the order in which they were asked.", {"$ref": "#/$defs/assessment"}),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:circuit-reviewer:review:1",
        **_object(
            "Circuit review",
            "Reviews of the electrical systems of aircraft. A second opinion; the cautions are part of it.",
            {
                "format": {"title": "Format", "description": "Name and number of this format.", "const": FORMAT},
                "cautions": _list("Cautions", "What a reader must keep in mind.", {"type": "string"}),
                "reviews": _list("Reviews", "One review a file.", {"$ref": "#/$defs/review"}),
            },
        ),
        "$defs": {
            "review": _object("Review", "The review of one file.", review),
            "assessment": _object("Assessment", "How one rule ended.", assessment),
            "finding": _object("Finding", "One way in which the design does not have a property.", finding),
            "gap": _object(
                "Gap",
                "A subject that could not be judged.",
                {"rule": rule, "hazard": hazard, "subject": subject, "needs": _text("Needs", "The input that is missing."), "place": place},
            ),
            "breakdown": _object(
                "Breakdown",
                "A rule that failed: a defect of the rule, not of the design.",
                {
                    "rule": rule,
                    "subject": subject,
                    "error": _text("Error", "What went wrong."),
                    "traceback": _text("Traceback", "Where in the rule, for its author."),
                },
            ),
            "concession": _object("Concession", "A person accepts one finding about one subject.", concession),
            "citation": _object(
                "Reference",
                "A published source.",
                {
                    "key": _text("Key", "Its key in the bibliography."),
                    "title": _text("Title", "Its title."),
                    "clause": _text("Clause", "The part of it that is meant."),
                },
            ),
            "place": _object(
                "Place", "Counted from 1.", {"line": _count("Line", "The line.", 1), "column": _count("Column", "The column, in characters.", 1)}
            ),
            "step": _object("Step", "One step of a path.", {"part": _text("Part", "A part or wire."), "text": _text("Text", "What it does there.")}),
            "switch": _object(
                "Switch", "A switch and its position.", {"switch": _text("Switch", "The switch."), "position": _text("Position", "Where it stands.")}
            ),
            "number": _object(
                "Number", "A quantity.", {"what": _text("What", "What the quantity is."), "value": _text("Value", "The value with its unit.")}
            ),
        },
    }


def _outcome(outcome: Outcome) -> dict[str, Any]:
    keys = {"rules": _count("Rules", "How many rules ended so."), "subjects": _count("Subjects", "How many subjects these rules looked at.")}
    return _object(outcome.value.capitalize(), f"{MEANINGS[outcome].capitalize()}.", keys)


def _text(title: str, description: str) -> dict[str, Any]:
    return {"title": title, "description": description, "type": "string"}


def _count(title: str, description: str, minimum: int = 0) -> dict[str, Any]:
    return {"title": title, "description": description, "type": "integer", "minimum": minimum}


def _list(title: str, description: str, items: dict[str, Any]) -> dict[str, Any]:
    return {"title": title, "description": description, "type": "array", "items": items}


def _object(title: str, description: str, keys: Keys) -> dict[str, Any]:
    return {"title": title, "description": description, "type": "object", "required": list(keys), "properties": keys}


if __name__ == "__main__":
    import json
    import sys

    sys.stdout.write(json.dumps(review_schema(), indent=2) + "\n")
