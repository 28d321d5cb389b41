"""The shape of a comparison of two reviewed designs in JSON."""

from __future__ import annotations

from typing import Annotated, Literal

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Count
from reviewer.reports.documents.review_document import FindingEntry, MissingDataEntry


class ChangeEntry(TypedDict):
    """One difference in behaviour."""

    what: Annotated[str, About("The kind of thing that differs.")]
    name: Annotated[str, About("Its name.")]
    state: Annotated[str, About("The state in which it differs, or empty.")]
    before: Annotated[str, About("What it was, in words.")]
    after: Annotated[str, About("What it is, in words.")]


class CutSetChange(TypedDict):
    """A function with other minimal cut sets."""

    function: Annotated[str, About("The function.")]
    state: Annotated[str, About("The state.")]
    new: Annotated[list[list[str]], About("New cut sets, each the words of its one or two failures.")]
    gone: Annotated[list[list[str]], About("Cut sets that are gone.")]


class RenamedState(TypedDict):
    """A state of another name with the same settings."""

    before: Annotated[str, About("Its name in the old file.")]
    after: Annotated[str, About("Its name in the new file.")]


class SideBySideEntry(TypedDict):
    """One figure of both designs."""

    group: Annotated[str, About("What the figure is of: single points, endurance, wires ...")]
    what: Annotated[str, About("What it is.")]
    old: Annotated[str, About("The figure of the old design, in words.")]
    new: Annotated[str, About("The figure of the new design, in words.")]


class BehaviourEntry(TypedDict):
    """How the new design behaves differently."""

    states_new: Annotated[list[str], About("States that only the new file declares.")]
    states_gone: Annotated[list[str], About("States that only the old file declares.")]
    states_renamed: Annotated[list[RenamedState], About("States that are the same under another name.")]
    functions: Annotated[list[ChangeEntry], About("Functions that are declared differently.")]
    settings: Annotated[list[ChangeEntry], About("Switches, breakers and engine of a state.")]
    feeds: Annotated[list[ChangeEntry], About("Buses, loads and coils with other sources in a state.")]
    voltages_and_currents: Annotated[
        list[ChangeEntry], About("Loads with another voltage and sources with another current in a state.")
    ]
    endurance: Annotated[list[ChangeEntry], About("Batteries with another endurance; no state is meant.")]
    cut_sets: Annotated[list[CutSetChange], About("Functions lost by other failures than before.")]
    not_compared: Annotated[list[str], About("What was not compared, one sentence each.")]


class ChangedFinding(TypedDict):
    """A finding of both reviews with other evidence."""

    before: FindingEntry
    after: FindingEntry


class FindingsCompared(TypedDict):
    """The findings of both reviews."""

    new: Annotated[list[FindingEntry], About("Findings of the new review only.")]
    gone: Annotated[list[FindingEntry], About("Findings of the old review only.")]
    changed: Annotated[list[ChangedFinding], About("Findings with other evidence.")]
    unchanged: Annotated[Count, About("Findings that are as before.")]


class CausesCompared(TypedDict):
    """The causes that one review alone finds, each by the identity of its gravest finding."""

    new: Annotated[list[str], About("Causes of the new review only.")]
    gone: Annotated[list[str], About("Causes of the old review only.")]


class ChangedMissingData(TypedDict):
    """An item that is not assessed in both reviews, for other missing data."""

    before: MissingDataEntry
    after: MissingDataEntry


class MissingDataCompared(TypedDict):
    """The missing data of both reviews."""

    new: Annotated[list[MissingDataEntry], About("Items not assessed in the new review only.")]
    gone: Annotated[list[MissingDataEntry], About("Items not assessed in the old review only.")]
    changed: Annotated[list[ChangedMissingData], About("Items for which other data are missing.")]
    unchanged: Annotated[Count, About("Items that are as before.")]


class KeyChange(TypedDict):
    """One key of a part or wire."""

    key: Annotated[str, About("The key.")]
    before: Annotated[str, About("The old value, or empty.")]
    after: Annotated[str, About("The new value, or empty.")]


class PartEntry(TypedDict):
    """A part or wire that differs."""

    kind: Annotated[str, About("Part or wire.", enum=["part", "wire"])]
    name: Annotated[str, About("Its name, in the new file where it is there.")]
    change: Annotated[
        str, About("New, gone, changed or renamed.", enum=["new", "gone", "changed", "renamed"])
    ]
    keys: Annotated[list[KeyChange], About("What differs.")]


class ComparisonDocument(TypedDict):
    """Two reviewed designs compared. A second opinion; the cautions are part of it."""

    format: Annotated[Literal["circuit-comparison/1"], About("Name and number of this format.")]
    cautions: Annotated[list[str], About("What a reader must keep in mind.")]
    old: Annotated[str, About("The old design file as named by the caller.")]
    new: Annotated[str, About("The new design file as named by the caller.")]
    findings: Annotated[FindingsCompared, About("The findings of both reviews.")]
    causes: Annotated[CausesCompared, About("The causes of one review alone.")]
    missing_data: Annotated[MissingDataCompared, About("The missing data of both reviews.")]
    behaviour: Annotated[BehaviourEntry, About("How the new design behaves differently.")]
    side_by_side: Annotated[list[SideBySideEntry], About("Both designs in figures.")]
    parts_and_wires: Annotated[list[PartEntry], About("Parts and wires that differ.")]
