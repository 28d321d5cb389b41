"""The shape of a review in JSON."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from typing_extensions import TypedDict

from reviewer.model.review import Consequence, Outcome
from reviewer.reports.documents.described import About, Count, Digest, HazardWord
from reviewer.reports.wording import MEANINGS

_OUTCOMES = "; ".join(f"{outcome.value}: {MEANINGS[outcome]}" for outcome in Outcome)
_ENDINGS = {"propertyNames": {"enum": [outcome.value for outcome in Outcome]}}
Rule = Annotated[str, About("The name of the rule.")]
Subject = Annotated[
    str,
    About(
        "The item checked: a pointer into the design file without its leading slash. "
        "Empty: every item of the rule."
    ),
]
State = Annotated[str, About("The state, or empty where no state is meant.")]
ConsequenceWord = Annotated[
    str,
    About(
        "What comes of it; it is `lost at one failure` for a critical function only.",
        enum=[c.word for c in sorted(Consequence, reverse=True)],
    ),
]
Extent = Annotated[str, About("What a concession of the finding must name, or empty.")]


class CitationEntry(TypedDict):
    """A published source."""

    key: Annotated[str, About("Its key in the bibliography.")]
    title: Annotated[str, About("Its title.")]
    clause: Annotated[str, About("The part of it that is meant.")]


class PlaceEntry(TypedDict):
    """A place in the design file, counted from 1, or in one of its tables."""

    line: Annotated[int, About("The line; in a workbook the row.", minimum=1)]
    column: Annotated[int, About("The column, in characters; in a workbook that of the sheet.", minimum=1)]
    table: NotRequired[Annotated[str, About("The file of the table, in the folder of the design file.")]]
    sheet: NotRequired[Annotated[str, About("The sheet of a workbook.")]]
    cell: NotRequired[Annotated[str, About("The cell, as a spreadsheet names it: `D7`.")]]


class StepEntry(TypedDict):
    """One step of a path."""

    part: Annotated[str, About("A part or wire.")]
    text: Annotated[str, About("What it does in the path.")]


class SwitchEntry(TypedDict):
    """A switch and its position."""

    switch: Annotated[str, About("The switch.")]
    position: Annotated[str, About("Its position.")]


class NumberEntry(TypedDict):
    """A quantity or other detail of a finding."""

    what: Annotated[str, About("What it is.")]
    value: Annotated[str, About("Its value, with the unit.")]


class ConcessionEntry(TypedDict):
    """A person accepts one finding about one item."""

    rule: Rule
    subject: Subject
    state: State
    extent: Extent
    reason: Annotated[str, About("Why it is accepted.")]
    accepted_by: Annotated[str, About("Who accepted it.")]
    date: Annotated[str, About("The day, as YYYY-MM-DD.", format="date")]


class FindingEntry(TypedDict):
    """One way in which the design does not have a required property."""

    identity: Annotated[
        Digest, About("A digest of rule, subject, state, extent; it does not change when lines move.")
    ]
    rule: Rule
    hazard: HazardWord
    consequence: ConsequenceWord
    subject: Subject
    field: Annotated[str, About("The key of the subject that is meant, or empty.")]
    sentence: Annotated[str, About("What is wrong, with names and numbers.")]
    state: State
    switches: Annotated[list[SwitchEntry], About("The switch positions of that state.")]
    extent: Extent
    failure: Annotated[str, About("The failure with which it happens, or empty.")]
    path: Annotated[list[StepEntry], About("The path through the network, in order.")]
    numbers: Annotated[list[NumberEntry], About("Values and their limits.")]
    citations: Annotated[list[CitationEntry], About("The published sources of the rule.")]
    remedy: Annotated[str, About("What would satisfy the rule.")]
    estimates: Annotated[
        str,
        About(
            "Where its words or numbers rest on figures that are estimates: whether the verdict stays within "
            "their ranges. Else empty."
        ),
    ]
    conceded: Annotated[ConcessionEntry | None, About("The concession that accepts it, or null.")]
    place: Annotated[PlaceEntry | None, About("Where in the file; lines move. Null: not known.")]


class HiddenEntry(TypedDict):
    """A finding of the network with a cause repaired."""

    rule: Rule
    subject: Subject
    sentence: Annotated[str, About("What is wrong, with names and numbers.")]


class CauseEntry(TypedDict):
    """What one repair puts right: the findings that go with it."""

    number: Annotated[
        int, About("What screen, page and `--cause` call it by; it may change, `identity` not.", minimum=1)
    ]
    identity: Annotated[Digest, About("That of its gravest finding.")]
    consequence: ConsequenceWord
    hazard: HazardWord
    conceded: Annotated[bool, About("Whether each of its findings is conceded.")]
    headline: Annotated[Digest, About("The identity of the finding that names what is repaired.")]
    findings: Annotated[list[Digest], About("The identities of its findings, the gravest first.")]
    shared: Annotated[
        list[Digest], About("Those of them that go only when another cause is repaired as well.")
    ]
    shared_with: Annotated[list[Digest], About("The identities of those other causes.")]
    hidden: Annotated[
        list[HiddenEntry],
        About("What is found only with it repaired: some rules are tried so."),
    ]
    solved_again: Annotated[
        list[HiddenEntry],
        About("What still runs short with it repaired, with the figures that it has then."),
    ]
    tried: Annotated[
        str,
        About("The repair that was tried in the network and cleared more than one finding of it; or empty."),
    ]


class TurnedEntry(TypedDict):
    """A verdict that is another one within the ranges of estimates."""

    rule: Rule
    hazard: HazardWord
    subject: Subject
    sentence: Annotated[str, About("The finding, as the file or else the trial has it.")]
    found_as_written: Annotated[
        bool, About("Whether the file as written has the finding and the trial has not, or the reverse.")
    ]
    turned_by: Annotated[str, About("Which estimates stood at which end in the trial.")]
    estimates: Annotated[list[str], About("Pointers of these estimates into the design file.")]


class DecidingEntry(TypedDict):
    """An estimate that turns verdicts alone."""

    estimate: Annotated[str, About("The figure, in words.")]
    verdicts: Annotated[Count, About("How many verdicts it turns.")]


class EstimatesEntry(TypedDict):
    """The figures that are estimates, and what trials with the ends of their ranges have shown."""

    figures: Annotated[list[str], About("All figures that are estimates, in words.")]
    tried: Annotated[list[str], About("Where all estimates stood at once. Empty: nothing was tried.")]
    trials: Annotated[Count, About("How many trials were made.")]
    turned: Annotated[list[TurnedEntry], About("The verdicts that turn, the gravest first.")]
    deciding: Annotated[list[DecidingEntry], About("The estimates that turn most verdicts, the most first.")]


class FilledInEntry(TypedDict):
    """A value that the file leaves out and that was filled in."""

    what: Annotated[str, About("Of what it is.")]
    value: Annotated[str, About("The value, with its unit.")]
    why: Annotated[
        str, About("Why it is that one: the words of the format, or where a typical value is from.")
    ]
    items: Annotated[list[str], About("The parts, wires or states that it was filled in for.")]


class MissingDataEntry(TypedDict):
    """An item that was not assessed because data are missing."""

    rule: Rule
    hazard: HazardWord
    subject: Subject
    needs: Annotated[str, About("The missing data.")]
    place: Annotated[PlaceEntry | None, About("Where in the file; lines move. Null: not known.")]


class DataToAddEntry(TypedDict):
    """Data that items of one kind lack: what to write in the file."""

    kind: Annotated[str, About("A kind of part or group, `section`, or `states`.")]
    keys: Annotated[list[str], About("The keys to add; of `states` what the state is to be, in words.")]
    items: Annotated[list[str], About("Pointers of what lacks them; none for a section.")]
    rules: Annotated[Count, About("How many rules wait for them.")]
    hazard: HazardWord
    text: Annotated[str, About("Lines for the file with the values left open.")]


class RuleErrorEntry(TypedDict):
    """A rule that failed: a defect of the rule, not of the design."""

    rule: Rule
    subject: Subject
    error: Annotated[str, About("What went wrong.")]
    traceback: Annotated[str, About("Where in the rule, for its author.")]
    trial: Annotated[
        str,
        About(
            "The repair that was tried when it failed, in words: the trial is dropped and the review stands. "
            "Empty: it failed in the review itself."
        ),
    ]


class ItemCounts(TypedDict):
    """Counts of rules and of the items that they checked."""

    items_checked: Annotated[Count, About("Items checked; an item of several rules counts for each.")]
    rule_errors: Annotated[Count, About("Items on which a rule failed.")]
    missing_data: Annotated[Count, About("Items that were not assessed because data are missing.")]
    findings: Annotated[Count, About("Findings that are not conceded.")]
    conceded: Annotated[Count, About("Findings that a concession accepts.")]


class OutcomeCounts(TypedDict):
    """The rules that ended in one way."""

    rules: Annotated[Count, About("How many rules.")]
    items_checked: Annotated[Count, About("How many items these rules checked.")]


class ReviewCounts(ItemCounts):
    """The counts of a whole review."""

    rules: Annotated[Count, About("Rules applied.")]
    by_hazard: Annotated[dict[HazardWord, Count], About("Findings that are not conceded, by hazard class.")]
    by_outcome: Annotated[dict[str, OutcomeCounts], About(f"Rules by outcome. {_OUTCOMES}.", **_ENDINGS)]


class RuleEntry(ItemCounts):
    """The outcome of one rule."""

    rule: Rule
    title: Annotated[str, About("The property of a good design, in one sentence.")]
    hazard: HazardWord
    outcome: Annotated[
        str, About(f"The worst of what happened. {_OUTCOMES}.", enum=[outcome.value for outcome in Outcome])
    ]
    citations: Annotated[list[CitationEntry], About("The published sources of the rule.")]
    help: Annotated[str, About("The manual page of the rule.")]


class ReviewEntry(TypedDict):
    """The review of one file."""

    file: Annotated[str, About("The design file as named by the caller.")]
    aircraft: Annotated[str, About("The name of the aircraft.")]
    stage: Annotated[str, About("The stage of the design.")]
    parts: Annotated[Count, About("Parts of the design.")]
    wires: Annotated[Count, About("Wires of the design.")]
    states: Annotated[
        dict[str, dict[str, str]], About("The states reviewed, each with the position of every switch.")
    ]
    made_states: Annotated[
        dict[str, str], About("Those of the states that were made and not declared, each with how.")
    ]
    states_not_made: Annotated[list[str], About("Standard states that were not made, each with why.")]
    counts: Annotated[ReviewCounts, About("The counts of the review.")]
    rule_errors: Annotated[
        list[RuleErrorEntry], About("Rules that failed: nothing is known about these items, or of the trial.")
    ]
    missing_data: Annotated[
        list[MissingDataEntry],
        About("What was not assessed because data are missing. Not assessed does not mean acceptable."),
    ]
    data_to_add: Annotated[
        list[DataToAddEntry], About("What to write for it, gravest first; at the concept stage at most ten.")
    ]
    findings: Annotated[list[FindingEntry], About("Worst first, conceded ones included.")]
    causes: Annotated[
        list[CauseEntry],
        About("Every finding under what one repair puts right: the worst consequence first, then the class."),
    ]
    filled_in: Annotated[list[FilledInEntry], About("What was filled in by default.")]
    estimates: Annotated[EstimatesEntry, About("The figures that are estimates, and the verdicts that turn.")]
    unmatched_concessions: Annotated[
        list[ConcessionEntry], About("Concessions that match no finding of this review.")
    ]
    limitations: Annotated[list[str], About("What was not analysed, one sentence each.")]
    basis: Annotated[list[str], About("The published figures that were used, one sentence each.")]
    rules: Annotated[list[RuleEntry], About("The outcome of every rule, in the order of the rules.")]


class MistakeEntry(TypedDict):
    """A mistake of a file, for which it was not reviewed."""

    sentence: Annotated[str, About("What is wrong, and what to write.")]
    item: Annotated[str, About("A pointer into the file without its leading slash. Empty: the whole file.")]
    place: NotRequired[PlaceEntry]


class UnreadEntry(TypedDict):
    """A file that could not be reviewed."""

    file: Annotated[str, About("The file, as the review calls it.")]
    mistakes: Annotated[list[MistakeEntry], About("Every mistake of it, in the order of the file.")]


class ReviewDocument(TypedDict):
    """Reviews of electrical systems of aircraft. A second opinion; the cautions are part of it."""

    format: Annotated[Literal["circuit-review/1"], About("Name and number of this format.")]
    cautions: Annotated[list[str], About("What a reader must keep in mind.")]
    reviews: Annotated[list[ReviewEntry], About("One review for each file that could be reviewed.")]
    unread: NotRequired[
        Annotated[list[UnreadEntry], About("The files that could not be reviewed, where there are some.")]
    ]
