"""The shape of a diagnosis in JSON."""

from __future__ import annotations

from typing import Annotated, Literal

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Beginning, Count, Element


class SymptomEntry(TypedDict):
    """One symptom."""

    look: Annotated[
        str,
        About("What is looked at.", enum=["monitor", "unit", "circuit protection", "terminal", "isolation"]),
    ]
    name: Annotated[str, About("Its name; a terminal as PART.TERMINAL.")]
    state: Annotated[str, About("The state in which it was seen.")]
    words: Annotated[str, About("What was reported.")]


class FailureInCause(TypedDict):
    """One failure at a place of a cause."""

    element: Element
    failure: Annotated[str, About("The failure in words.")]


class FailureCauseEntry(TypedDict):
    """What one repair puts right."""

    cause: Annotated[str, About("The cause in words.")]
    between: Annotated[
        list[str],
        About(
            "The terminals at the ends of the run of conductors in which it is; none for one part or wire."
        ),
    ]
    places: Annotated[
        list[list[FailureInCause]],
        About("Where it may be, in the order of the run: each a single failure, or one with a latent one."),
    ]


class SignEntry(TypedDict):
    """Something that a group would show."""

    name: Annotated[str, About("What is looked at.")]
    seen: Annotated[str, About("What is seen of it.")]


class CauseGroupEntry(TypedDict):
    """Causes that nothing the crew sees tells apart."""

    causes: Annotated[list[FailureCauseEntry], About("The causes, in the order of the file.")]
    explains: Annotated[list[SymptomEntry], About("Symptoms that it explains.")]
    against: Annotated[list[SymptomEntry], About("Symptoms that it would not show.")]
    would_also_show: Annotated[list[SignEntry], About("What it would show that was not reported.")]


class SplitEntry(TypedDict):
    """One outcome of a step."""

    seen: Annotated[str, About("What is seen.")]
    places: Count


class NextLookEntry(TypedDict):
    """One step that tells places apart."""

    what: Annotated[
        str,
        About(
            "What is done.",
            enum=[
                *("look", "move switches", "measure on the ground", "move switches on the ground"),
                "disconnect and measure",
            ],
        ),
    ]
    action: Annotated[str, About("The step as an instruction.")]
    name: Annotated[str, About("The monitor, unit, circuit protection or terminal that is looked at.")]
    state: Annotated[str, About("The state in which it is looked at.")]
    move: Annotated[dict[str, str], About("Switches that are moved for it, each with its position.")]
    splits: Annotated[list[SplitEntry], About("How many places each outcome leaves.")]
    left_on_average: Annotated[float, About("Places that are left on average.", minimum=0)]


class RaisedResistanceEntry(TypedDict):
    """A raised resistance that explains every symptom."""

    between: Annotated[list[str], About("The terminals between which it is. Empty: in the part named.")]
    names: Annotated[list[str], About("The parts and wires in which it may be.")]
    least_ohms: Annotated[float, About("The least that explains the symptoms.", minimum=0)]
    most_ohms: Annotated[float, About("The most that explains them.", minimum=0)]


class DiagnosisDocument(Beginning):
    """What explains the symptoms in a state. A second opinion; the cautions are part of it."""

    format: Annotated[Literal["circuit-diagnosis/1"], About("Name and number of this format.")]
    state: Annotated[str, About("The state.")]
    switches: Annotated[dict[str, str], About("The position of every switch in that state.")]
    symptoms: Annotated[list[SymptomEntry], About("What was reported.")]
    as_usual: Annotated[list[SymptomEntry], About("Those of them that a sound system shows too.")]
    missing_data: Annotated[list[str], About("Symptoms that were not judged, one sentence each.")]
    groups: Annotated[list[CauseGroupEntry], About("The causes in groups, the best first.")]
    raised_resistances: Annotated[
        list[RaisedResistanceEntry], About("Raised resistances that explain all, where no failure does.")
    ]
    pairs: Annotated[bool, About("Whether the causes are pairs, because no single failure explains all.")]
    pairs_not_tried: Count
    next: Annotated[list[NextLookEntry], About("What to do next, the safe steps first.")]
    notes: Annotated[list[str], About("How it is to be read, one sentence each.")]
