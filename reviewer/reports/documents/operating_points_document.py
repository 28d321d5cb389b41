"""The shape of the operating points of a state in JSON."""

from __future__ import annotations

from typing import Annotated, Literal

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Beginning, Element

_DEAD = "Null: no live source reaches it."
Phase = Annotated[
    str | None,
    About("The phase whose loads are on. Null: no phase has the state; each load draws its largest current."),
]


class FailedElement(TypedDict):
    """One failure."""

    element: Element
    failure: Annotated[str, About("The failure in words.")]


class UnsolvedPhase(TypedDict):
    """One phase without an operating point."""

    phase: Phase
    needs: Annotated[str, About("The missing data.")]


class SourceEntry(TypedDict):
    """One source."""

    element: Element
    volts: Annotated[float | None, About(f"Voltage across it. {_DEAD}")]
    amperes: Annotated[float, About("Current that it supplies; less than 0 for a battery that is charged.")]


class LoadEntry(TypedDict):
    """One load or instrument."""

    element: Element
    volts: Annotated[
        float,
        About("Voltage from supply to return; 0 where no live source reaches it or it draws nothing."),
    ]
    amperes: Annotated[float, About("Current that it draws; less than 0 for a motor that runs in reverse.")]


class CoilEntry(TypedDict):
    """One coil of a relay or contactor."""

    element: Element
    amperes: Annotated[float, About("Current from the first to the second terminal of the coil.")]


class SourceInputEntry(TypedDict):
    """The field of an alternator, or the input of a converter or charger."""

    element: Element
    amperes: Annotated[float, About("Current that it takes.")]


class PathEntry(TypedDict):
    """One path of current through a part or wire."""

    element: Element
    from_terminal: Annotated[str, About("The terminal at one end.")]
    to_terminal: Annotated[str, About("The terminal at the other end.")]
    volts: Annotated[
        float | None,
        About("Voltage drop from one end to the other. Null: no live source reaches one of them."),
    ]
    amperes: Annotated[
        float | None,
        About("Current from one end to the other. Null: not determined in a ring of ideal joints."),
    ]


class MonitorEntry(TypedDict):
    """One monitor."""

    monitor: Annotated[str, About("The monitor.")]
    shows: Annotated[str, About("What it shows.", enum=["voltage", "current", "live"])]
    value: Annotated[
        float | None,
        About(
            "Volts, amperes, or 1 and 0 for lit and dark. "
            "Null: what it senses has more than one path of current."
        ),
    ]
    blank: Annotated[bool, About("Whether its display has no power, so that it cannot be read.")]
    reading: Annotated[str, About("The reading in words.")]


class TypicalValue(TypedDict):
    """One typical value that stands for data that the file leaves out."""

    what: Annotated[str, About("What it is a value of.")]
    value: Annotated[str, About("The typical value, or a range.")]
    unit: Annotated[str, About("Its unit.")]
    source: Annotated[str, About("The source of the typical value.")]
    elements: Annotated[list[str], About("The elements for which it was used.")]


class PointEntry(TypedDict):
    """Voltages and currents in one phase."""

    phase: Phase
    terminals: Annotated[dict[str, float | None], About(f"Voltage of each terminal and bus. {_DEAD}")]
    sources: Annotated[list[SourceEntry], About("The sources.")]
    loads: Annotated[list[LoadEntry], About("Loads and instruments.")]
    coils: Annotated[list[CoilEntry], About("Coils of relays and contactors.")]
    source_inputs: Annotated[
        list[SourceInputEntry], About("Fields of alternators, inputs of converters and chargers.")
    ]
    paths: Annotated[
        list[PathEntry],
        About("The current in each wire, contact, pin, circuit protection, shunt and diode."),
    ]
    monitors: Annotated[list[MonitorEntry], About("The reading of each monitor.")]
    typical_values: Annotated[list[TypicalValue], About("The typical values that the numbers rest on.")]
    solved_as_ideal_joints: Annotated[
        dict[str, str], About("Wires and protection without a resistance, with the missing key.")
    ]
    solved_without_current: Annotated[
        dict[str, str], About("Loads solved as drawing no current, with the missing key.")
    ]
    imbalance: Annotated[
        float, About("The largest imbalance of currents at any node, amperes: a check of the solution.")
    ]


class SolvedPhases(TypedDict):
    """The phases of one state."""

    not_solved: Annotated[list[UnsolvedPhase], About("Phases that could not be solved.")]
    points: Annotated[list[PointEntry], About("One entry for each phase, in the order of the file.")]


class StillEnergised(SolvedPhases):
    """The state with a relay still energised that a sneak current keeps from dropping out."""

    state: Annotated[str, About("The state, with the relay.")]


class BatteryCharges(TypedDict):
    """How full the batteries are in the points."""

    after_normal_flight: Annotated[
        bool, About("Whether it is what normal flight leaves in them; else as the file says, else full.")
    ]
    state_of_charge: Annotated[dict[str, float], About("By battery, from 0 to 1.")]
    unknown: Annotated[
        str, About("The data that are missing to know what normal flight leaves in them; empty without any.")
    ]


class OperatingPointsDocument(Beginning, SolvedPhases):
    """Voltages and currents of one state. A second opinion; the cautions are part of it."""

    format: Annotated[Literal["circuit-operating-points/1"], About("Name and number of this format.")]
    state: Annotated[str, About("The state.")]
    switches: Annotated[dict[str, str], About("The position of every switch in that state.")]
    failed: Annotated[list[FailedElement], About("What has failed.")]
    starting: Annotated[list[str], About("Motors that are starting and lamps that are cold.")]
    batteries: Annotated[BatteryCharges, About("How full the batteries are.")]
    notes: Annotated[list[str], About("How the numbers are to be read, one sentence each.")]
    sneak_currents: Annotated[
        list[str], About("The relays that sneak currents energise or keep energised, one sentence each.")
    ]
    with_relays_still_energised: Annotated[
        list[StillEnergised], About("The state with each relay still energised that does not drop out.")
    ]
