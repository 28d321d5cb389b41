"""The shape of checklists in JSON."""

from __future__ import annotations

from typing import Annotated, Literal

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Beginning, Count, HazardWord, NotNegative
from reviewer.reports.documents.diagnosis_document import FailureCauseEntry, SignEntry

_LOOKS = ["monitor", "unit", "circuit protection", "terminal"]


class LostEntry(TypedDict):
    """A function that is lost."""

    function: Annotated[str, About("The function.")]
    hazard: HazardWord


class OneMove(TypedDict):
    """One move of a switch, breaker or unit."""

    name: Annotated[str, About("The switch, breaker or unit.")]
    position: Annotated[str, About("Where it is moved to.")]


class CardStepEntry(TypedDict):
    """An action that restores or stops something."""

    action: Annotated[str, About("The action of the file; empty for a move that no action has.")]
    moves: Annotated[list[OneMove], About("Its moves in the order in which they are made.")]
    restores: Annotated[list[str], About("Functions that work afterwards, whichever cause it is.")]
    may_restore: Annotated[list[str], About("Functions that work afterwards with some of the causes.")]
    stops: Annotated[list[str], About("Motors that run until then and do not in a sound system.")]
    may_stop: Annotated[list[str], About("Motors that it stops with some of the causes.")]
    loses: Annotated[list[str], About("Functions that it loses.")]


class ResetEntry(TypedDict):
    """Circuit protection that may be open."""

    protection: Annotated[str, About("The breaker, fuse or limiter.")]
    opens_again: Annotated[bool, About("Whether a short among the causes opens it again.")]
    once: Annotated[bool, About("Whether it is reset, once; else it is left open.")]
    action: Annotated[str, About("The action of the file that resets it; empty if none.")]
    restores: Annotated[list[str], About("What works then if nothing is shorted.")]


class ProhibitedEntry(TypedDict):
    """Moves that are not to be made."""

    move: Annotated[dict[str, str], About("Switches and breakers, each with the position.")]
    loses: Annotated[list[str], About("Functions that they lose.")]
    ties: Annotated[list[list[str]], About("Pairs of sources that they tie together.")]
    leaves_on_batteries: Annotated[list[str], About("Functions that only batteries keep on then.")]
    turns_off: Annotated[list[str], About("Alternators that work and that they turn off or take off line.")]
    after_every_cause: Annotated[bool, About("Whether they do so after every cause; else after some.")]


class LaterEntry(TypedDict):
    """Actions that are made when a function is lost."""

    actions: Annotated[str, About("The actions of the file.")]
    seconds: NotNegative
    stops: Annotated[str, About("The load, source or bus that stops then.")]
    monitor: Annotated[str, About("A voltmeter that shows it; empty if none.")]
    reads: Annotated[float | None, About("Volts that it reads then, with batteries that are new.")]


class LimitedEntry(TypedDict):
    """A function that batteries alone keep on."""

    function: Annotated[str, About("The function.")]
    seconds_if_nothing_is_done: Annotated[
        float | None, About("Seconds from the failure to its loss; null if it is not lost.")
    ]
    seconds_with_the_card: Annotated[
        float | None, About("The same with all that the card asks for; null if not lost or not computed.")
    ]
    computed: Annotated[bool, About("Whether the seconds with the card were computed.")]
    later: Annotated[list[LaterEntry], About("What is done when it is lost.")]


class ChannelsLeft(TypedDict):
    """A function with no channel to spare."""

    function: Annotated[str, About("The function.")]
    channels: Annotated[list[str], About("The channels that it rests on.")]


class CardLineEntry(TypedDict):
    """One line of a card."""

    head: Annotated[
        str,
        About("Its heading.", enum=["ALSO", "MEANS", "LOST", "RUNS", "WORKS", "DO", "DO NOT", "LEFT"]),
    ]
    number: Annotated[int, About("Its number among the actions, or 0.", minimum=0)]
    text: Annotated[str, About("The words.")]


class ChecklistEntry(TypedDict):
    """One card."""

    number: Annotated[int, About("Its number.", minimum=1)]
    emergency: Annotated[
        bool, About("Whether a function of class hazardous or catastrophic is lost or will be.")
    ]
    title: Annotated[str, About("Its title.")]
    look: Annotated[str, About("What is looked at.", enum=_LOOKS)]
    name: Annotated[str, About("The monitor, unit or circuit protection.")]
    seen: Annotated[str, About("What is seen of it.")]
    also: Annotated[list[SignEntry], About("What all causes show as well.")]
    causes: Annotated[list[FailureCauseEntry], About("The causes, in the order of the file.")]
    lost: Annotated[list[LostEntry], About("Functions that any of the causes loses.")]
    runs: Annotated[list[str], About("Motors that run and do not in a sound system.")]
    steps: Annotated[list[CardStepEntry], About("What restores, in order.")]
    resets: Annotated[list[ResetEntry], About("Circuit protection that may be open.")]
    shed: Annotated[list[str], About("Actions of the file that shed load, in order.")]
    do_not: Annotated[list[ProhibitedEntry], About("What is not to be done.")]
    limited: Annotated[list[LimitedEntry], About("Functions that batteries alone keep on.")]
    not_limited: Annotated[list[str], About("Functions of class major or worse that go on.")]
    rests_on: Annotated[list[ChannelsLeft], About("Critical functions with no channel to spare.")]
    overloaded: Annotated[
        bool,
        About("Whether batteries discharge beside an alternator that gives all it can, after each cause."),
    ]
    alarm_sure: Annotated[
        bool, About("False where no alarm is sure to ring in time, so that it must be seen at once.")
    ]
    left_lost: Annotated[list[str], About("Functions that are lost after the steps.")]
    missing_data: Annotated[str, About("What the minutes lack; empty if nothing.")]
    lines: Annotated[list[CardLineEntry], About("The lines as they are printed.")]


class IndicationEntry(TypedDict):
    """An indication of the design."""

    look: Annotated[str, About("What is looked at.", enum=_LOOKS)]
    name: Annotated[str, About("Its name.")]
    seen: Annotated[str, About("What is seen of it.")]
    cards: Annotated[list[int], About("The numbers of its cards.")]
    why_none: Annotated[str, About("Why it has no card; empty if it has one.")]


class ChecklistsDocument(Beginning):
    """Checklists for the indications of a state. A second opinion; the cautions are part of it."""

    format: Annotated[Literal["circuit-checklists/1"], About("Name and number of this format.")]
    state: Annotated[str, About("The state.")]
    switches: Annotated[dict[str, str], About("The position of every switch in that state.")]
    cards: Annotated[list[ChecklistEntry], About("The cards, emergencies first.")]
    indications: Annotated[list[IndicationEntry], About("Every indication of the design.")]
    failures_without_indication: Count
    defers: Annotated[str, About("What comes before every card.")]
    notes: Annotated[list[str], About("How they are to be read, one sentence each.")]
