"""The shape of the manifest of a handoff folder."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Count, Digest


class HandedDesign(TypedDict):
    """The design file with the files that belong to it."""

    file: Annotated[str, About("The design file as named by the caller.")]
    sha256: Annotated[
        Digest,
        About(
            "The sha256 of the bytes of the design file; with files that belong to it, of the digests of "
            "the design file and of each of them in turn, each with a line end. Sheets and page print it."
        ),
    ]
    files: NotRequired[
        Annotated[list[str], About("The files that belong to it, in the order in which they are read.")]
    ]


class HandoffCounts(TypedDict):
    """What the folder holds, in numbers."""

    parts: Annotated[Count, About("Parts of the design.")]
    wires: Annotated[Count, About("Wires of the design.")]
    states: Annotated[Count, About("States reviewed.")]
    findings: Annotated[Count, About("Findings that are not conceded.")]
    conceded: Annotated[Count, About("Findings that a concession accepts.")]
    not_assessed: Annotated[Count, About("Items that were not assessed because data are missing.")]
    broke_down: Annotated[Count, About("Items on which a rule failed.")]
    rows: Annotated[dict[str, Count], About("Rows of each table.")]


class HandedFile(TypedDict):
    """One file of the folder."""

    name: Annotated[str, About("Its name in the folder.")]
    bytes: Annotated[Count, About("Its size.")]
    sha256: Digest
    what: Annotated[str, About("What it is.")]


class HandoffDocument(TypedDict):
    """The manifest of a handoff folder."""

    format: Annotated[Literal["circuit-handoff/1"], About("Name and number of this format.")]
    cautions: Annotated[list[str], About("What a reader must keep in mind.")]
    reviewer: Annotated[str, About("The version of the program that made it.")]
    aircraft: Annotated[str, About("The name of the aircraft.")]
    stage: Annotated[str, About("The stage of the design.")]
    design: Annotated[HandedDesign, About("The design file.")]
    counts: Annotated[HandoffCounts, About("What the folder holds, in numbers.")]
    not_computed: Annotated[list[str], About("What is not in the folder.")]
    files: Annotated[list[HandedFile], About("Every file except the manifest.")]
