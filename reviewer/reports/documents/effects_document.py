"""The shape of the failure effects in JSON."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from typing_extensions import TypedDict

from reviewer.questions.naming import FORMS
from reviewer.reports.documents.described import HAZARDS, About, Beginning, Count, Element, HazardWord


class LocalEffect(TypedDict):
    """What happens near the failure."""

    sentence: Annotated[str, About("The local effect in words.")]
    alternators_full_field: Annotated[
        list[Element],
        About("Alternators that their regulator drives to full field, or may: the sentence says which."),
    ]
    sources_lost: Annotated[list[Element], About("Sources that supply no current any more.")]
    fields_on: Annotated[
        list[Element], About("Alternators among them that fail and whose field draws on while it is fed.")
    ]
    sources_unloaded: Annotated[list[Element], About("Sources that work and feed no load or coil any more.")]
    batteries_uncharged: Annotated[
        list[Element],
        About("Batteries that an alternator charges with nothing failed, and that nothing charges any more."),
    ]
    sources_overloaded: Annotated[
        list[Element],
        About("Alternators at their limit because of it, and batteries above their discharge limit."),
    ]
    protection_opened: Annotated[list[Element], About("Circuit protection that opens to clear a short.")]
    relays_dropped_out: Annotated[list[Element], About("Relays and contactors that drop out.")]
    relays_energised: Annotated[list[Element], About("Relays and contactors that are energised by it.")]
    switches_moved: Annotated[
        dict[str, str], About("Switches that what they follow moves, each with its new position.")
    ]
    buses_dead: Annotated[list[Element], About("Buses that lose power.")]
    loads_dead: Annotated[list[Element], About("Loads and instruments that lose power.")]
    loads_low: Annotated[
        list[Element],
        About("Loads that have power and less than their minimum voltage."),
    ]
    loads_newly_powered: Annotated[
        list[Element], About("Loads and instruments that had no power and are powered by it.")
    ]
    magnetos_silenced: Annotated[
        list[Element], About("Magnetos that were not grounded and are, or that have failed themselves.")
    ]
    magnetos_hot: Annotated[list[Element], About("Magnetos that were grounded and are no longer.")]


class LostFunction(TypedDict):
    """A function that is lost."""

    function: Annotated[str, About("The function.")]
    hazard: HazardWord
    after: NotRequired[
        Annotated[
            float, About("Seconds for which batteries inside its units keep it on; absent: lost at once.")
        ]
    ]


class Indication(TypedDict):
    """What indicates the failure."""

    monitors: Annotated[list[str], About("Monitors whose reading changes.")]
    dark: Annotated[list[str], About("Monitors that go dark, because their display has no power.")]
    checks_before_flight: Annotated[list[str], About("Checks before flight that would detect it.")]
    not_solved: Annotated[
        list[str],
        About("Monitors, and checks before flight, of which no operating point was found under the failure."),
    ]


class RemainingEntry(TypedDict):
    """The remaining redundancy of a function that still works."""

    function: Annotated[str, About("The function.")]
    needed: Annotated[int, About("How many channels are enough.", minimum=1)]
    of: Annotated[list[str], About("Its channels.")]
    channels: Annotated[list[str], About("Those of them that work.")]
    next_failures: Annotated[
        Count,
        About("Further single failures that would cause its loss, and would not with nothing else failed."),
    ]


class FailureEntry(TypedDict):
    """One failure and its effects."""

    element: Annotated[
        Element, About("What fails: a pointer into the design file, `bundles/NAME` or `bolts/TERMINAL`.")
    ]
    kind: Annotated[str, About("The kind of part, or `wire` or `bundle`.")]
    label: Annotated[str, About("What is written on it, or empty.")]
    mode: Annotated[str, About("The failure mode.", enum=[key for key, form in FORMS.items() if form == key])]
    terminal: Annotated[str, About("The terminal, where a part has several circuits; else empty.")]
    failure: Annotated[str, About("The failure in words, with its terminal or position.")]
    local_effect: Annotated[LocalEffect, About("The local effect. Elements are pointers.")]
    functions_lost: Annotated[list[LostFunction], About("The functions that are lost, the worst first.")]
    hazard: Annotated[
        str | None,
        About(
            "The worst class of the functions lost. Null: no declared function is lost, or none is declared.",
            enum=[*HAZARDS, None],
        ),
    ]
    indication: Annotated[Indication, About("What indicates it.")]
    remaining_redundancy: Annotated[
        list[RemainingEntry],
        About("Functions that still work with less redundancy. Others that are not lost are as before."),
    ]
    unsettled: Annotated[bool, About("Whether relays do not settle, so that nothing else is certain.")]


class EffectsDocument(Beginning):
    """Effects of every single failure in one state.

    A second opinion; the cautions are part of it.
    """

    format: Annotated[Literal["circuit-effects/1"], About("Name and number of this format.")]
    state: Annotated[str, About("The state in which the failures happen.")]
    switches: Annotated[dict[str, str], About("The position of every switch in that state.")]
    functions: Annotated[
        dict[str, HazardWord], About("The declared functions, with the hazard class of their loss.")
    ]
    functions_off: Annotated[
        list[str], About("Functions that do not work in that state with nothing failed.")
    ]
    sneak_currents: Annotated[
        list[str], About("The relays that sneak currents energise or keep energised, one sentence each.")
    ]
    limitations: Annotated[list[str], About("What was not analysed, one sentence each.")]
    missing_data: Annotated[
        list[str],
        About("What was not assessed because data are missing. Not assessed does not mean acceptable."),
    ]
    failures: Annotated[list[FailureEntry], About("One entry for each failure, in the order of the file.")]
