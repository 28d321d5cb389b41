"""The JSON Schema (draft 2020-12) of a review in JSON. ``python -m reviewer.reports.documents.review_document`` prints it."""

from __future__ import annotations

from typing import Any

from reviewer.model.review import HazardClass, Outcome
from reviewer.reports.documents.schema_words import Keys, count, listed, object_of, text
from reviewer.reports.review.json import FORMAT
from reviewer.reports.wording import MEANINGS


def review_schema() -> dict[str, Any]:
    """The schema as plain data. A reader should skip keys it does not know: a new key does not change the format's number."""
    hazards = [h.word for h in sorted(HazardClass, reverse=True)]
    outcome_help = "; ".join(f"{o.value}: {MEANINGS[o]}" for o in Outcome)
    rule = text("Rule", "The rule's name.")
    subject = text(
        "Subject",
        "What was looked at: a pointer into the design file without its leading slash. Empty: every subject of the rule.",
    )
    hazard = {
        "title": "Hazard class",
        "description": "How bad the consequence is for the flight.",
        "enum": hazards,
    }
    state = text("State", "The operating state, or empty where none is meant.")
    place = {
        "title": "Place",
        "description": "Where in the file, for people; lines move. Null: not known.",
        "anyOf": [{"$ref": "#/$defs/place"}, {"type": "null"}],
    }
    citations = listed("References", "The published sources it rests on.", {"$ref": "#/$defs/citation"})
    concession: Keys = {
        "rule": rule,
        "subject": subject,
        "state": state,
        "reason": text("Reason", "Why it is accepted."),
        "by": text("By", "Who accepted it."),
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
        "field": text("Field", "The key of the subject that is meant, or empty."),
        "sentence": text("Sentence", "What is wrong, with names and numbers."),
        "state": state,
        "switches": listed("Switches", "The switch positions of that state.", {"$ref": "#/$defs/switch"}),
        "failure": text("Failure", "The failure in which it happens, or empty."),
        "path": listed("Path", "The way through the network, in order.", {"$ref": "#/$defs/step"}),
        "numbers": listed("Numbers", "What was measured, and its limit.", {"$ref": "#/$defs/number"}),
        "citations": citations,
        "remedy": text("Remedy", "What would satisfy the rule."),
        "conceded": {
            "title": "Conceded",
            "description": "The concession that accepts this finding, or null.",
            "anyOf": [{"$ref": "#/$defs/concession"}, {"type": "null"}],
        },
        "place": place,
    }
    tally = {
        "by_hazard": object_of(
            "By hazard class",
            "Findings that are not conceded.",
            {
                h: count(
                    h.capitalize(),
                    f"Findings that are {h}." if "effect" not in h else "Findings of no safety effect.",
                )
                for h in hazards
            },
        ),
        "by_outcome": object_of(
            "By outcome", "How the rules ended.", {o.value: _outcome(o) for o in Outcome}
        ),
    }
    four: Keys = {
        "breakdowns": count("Breakdowns", "Subjects on which the rule itself failed."),
        "gaps": count("Gaps", "Subjects that were not assessed for want of an input."),
        "findings": count("Findings", "Findings that are not conceded."),
        "conceded": count("Conceded findings", "Findings that a concession accepts."),
    }
    subjects = count(
        "Subjects", "How many subjects were looked at; one that several rules look at counts for each."
    )
    assessment: Keys = {
        "rule": rule,
        "title": text("Title", "The property of a good design, in one sentence."),
        "hazard": hazard,
        "outcome": {
            "title": "Outcome",
            "description": f"How the rule ended, the worst of it. {outcome_help}.",
            "enum": [o.value for o in Outcome],
        },
        "subjects": subjects,
        **four,
        "citations": citations,
        "help": text("Help", "The rule's manual page."),
    }
    review: Keys = {
        "file": text("File", "The design file as named by the caller."),
        "aircraft": text("Aircraft", "The aircraft's name."),
        "stage": text("Stage", "The stage of the design."),
        "parts": count("Parts", "How many parts the design has."),
        "wires": count("Wires", "How many wires the design has."),
        "states": {
            "title": "States",
            "description": "The operating states looked at, each with the position of every switch.",
            "type": "object",
            "additionalProperties": {"type": "object", "additionalProperties": {"type": "string"}},
        },
        "counts": object_of(
            "Counts",
            "How many of each.",
            {"rules": count("Rules", "How many rules were asked."), "subjects": subjects, **four, **tally},
        ),
        "breakdowns": listed(
            "Breakdowns",
            "Rules that failed: nothing is known about these subjects.",
            {"$ref": "#/$defs/breakdown"},
        ),
        "gaps": listed(
            "Gaps", "What was not assessed. Silence about it is no pass.", {"$ref": "#/$defs/gap"}
        ),
        "findings": listed("Findings", "Worst first, conceded ones included.", {"$ref": "#/$defs/finding"}),
        "unmatched_concessions": listed(
            "Unmatched concessions",
            "Concessions that accept no finding of this review.",
            {"$ref": "#/$defs/concession"},
        ),
        "limits": listed(
            "Limits", "What the enumeration did not cover, a sentence each.", {"type": "string"}
        ),
        "basis": listed("Basis", "Which published figures were used, a sentence each.", {"type": "string"}),
        "rules": listed(
            "Rules",
            "How every rule ended, in the order in which they were asked.",
            {"$ref": "#/$defs/assessment"},
        ),
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:circuit-reviewer:review:1",
        **object_of(
            "Circuit review",
            "Reviews of the electrical systems of aircraft. A second opinion; the cautions are part of it.",
            {
                "format": {
                    "title": "Format",
                    "description": "Name and number of this format.",
                    "const": FORMAT,
                },
                "cautions": listed("Cautions", "What a reader must keep in mind.", {"type": "string"}),
                "reviews": listed("Reviews", "One review a file.", {"$ref": "#/$defs/review"}),
            },
        ),
        "$defs": {
            "review": object_of("Review", "The review of one file.", review),
            "assessment": object_of("Assessment", "How one rule ended.", assessment),
            "finding": object_of("Finding", "One way in which the design does not have a property.", finding),
            "gap": object_of(
                "Gap",
                "A subject that could not be judged.",
                {
                    "rule": rule,
                    "hazard": hazard,
                    "subject": subject,
                    "needs": text("Needs", "The input that is missing."),
                    "place": place,
                },
            ),
            "breakdown": object_of(
                "Breakdown",
                "A rule that failed: a defect of the rule, not of the design.",
                {
                    "rule": rule,
                    "subject": subject,
                    "error": text("Error", "What went wrong."),
                    "traceback": text("Traceback", "Where in the rule, for its author."),
                },
            ),
            "concession": object_of(
                "Concession", "A person accepts one finding about one subject.", concession
            ),
            "citation": object_of(
                "Reference",
                "A published source.",
                {
                    "key": text("Key", "Its key in the bibliography."),
                    "title": text("Title", "Its title."),
                    "clause": text("Clause", "The part of it that is meant."),
                },
            ),
            "place": object_of(
                "Place",
                "Counted from 1.",
                {
                    "line": count("Line", "The line.", 1),
                    "column": count("Column", "The column, in characters.", 1),
                },
            ),
            "step": object_of(
                "Step",
                "One step of a path.",
                {"part": text("Part", "A part or wire."), "text": text("Text", "What it does there.")},
            ),
            "switch": object_of(
                "Switch",
                "A switch and its position.",
                {"switch": text("Switch", "The switch."), "position": text("Position", "Where it stands.")},
            ),
            "number": object_of(
                "Number",
                "A quantity.",
                {
                    "what": text("What", "What the quantity is."),
                    "value": text("Value", "The value with its unit."),
                },
            ),
        },
    }


def _outcome(outcome: Outcome) -> dict[str, Any]:
    keys = {
        "rules": count("Rules", "How many rules ended so."),
        "subjects": count("Subjects", "How many subjects these rules looked at."),
    }
    return object_of(outcome.value.capitalize(), f"{MEANINGS[outcome].capitalize()}.", keys)


if __name__ == "__main__":
    import json
    import sys

    sys.stdout.write(json.dumps(review_schema(), indent=2) + "\n")
