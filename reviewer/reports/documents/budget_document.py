"""The shape of the electrical load analysis in JSON."""

from __future__ import annotations

from typing import Annotated, Literal

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Beginning, NotNegative

Amperes = dict[str, float]
StateOfCharge = Annotated[float, About("State of charge; 1 is full.", minimum=0)]


class AlternatorEntry(TypedDict):
    """An alternator in a phase."""

    alternator: Annotated[str, About("The alternator.")]
    amperes: Annotated[NotNegative, About("Its output current, amperes.", minimum=0)]
    asked: Annotated[
        NotNegative, About("What loads and batteries would take at its set point, amperes.", minimum=0)
    ]
    output: Annotated[
        NotNegative, About("Its rating, or its output at idle where the engine idles, amperes.", minimum=0)
    ]
    continuous_share: Annotated[NotNegative, About("Its continuous load over that output.", minimum=0)]
    continuous_share_limit: Annotated[
        float | None, About("The largest share in flight. Null: on the ground.", minimum=0)
    ]
    source: Annotated[str, About("The source of that limit; empty on the ground.")]
    ammeter: Annotated[str, About("A monitor that shows its output current, or empty.")]
    margin: Annotated[NotNegative, About("What remains of its output, amperes.", minimum=0)]


class PhaseEntry(TypedDict):
    """The loads and sources of one phase."""

    phase: Annotated[str | None, About("The phase.")]
    state: Annotated[str, About("The state of the switches in it.")]
    use: Annotated[str, About("The use of the state.", enum=["flight", "abnormal", "ground"])]
    engine: Annotated[str, About("The engine.", enum=["running", "stopped", "cranking"])]
    seconds: Annotated[float | None, About("Its duration. Null: not in the file.", minimum=0)]
    alternators: Annotated[list[AlternatorEntry], About("The alternators that supply current.")]
    batteries: Annotated[Amperes, About("Current of each battery, amperes; less than 0 while charged.")]
    other_sources: Annotated[
        Amperes, About("Current that each converter, charger and external power gives, amperes.")
    ]
    loads: Annotated[Amperes, About("Current of each load, amperes.")]
    coils: Annotated[Amperes, About("Current of each coil, amperes.")]
    fields: Annotated[Amperes, About("Field current of each alternator, amperes.")]
    inputs: Annotated[
        Amperes, About("Input current of each converter and charger that a bus feeds, amperes.")
    ]
    across_sources: Annotated[
        float,
        About("What resistors take that lie across a source, as the track of a potentiometer, amperes."),
    ]
    repeated: Annotated[
        float,
        About("What stands in more rows than one, as a current that passes two loads in turn, amperes."),
    ]
    solved_as_ideal_joints: Annotated[
        dict[str, str], About("Wires and protection without a resistance, with the missing key.")
    ]


class SegmentEntry(TypedDict):
    """A segment of the discharge, between two actions of the crew."""

    name: Annotated[str, About("What it begins with: the loss, or the action.")]
    seconds: Annotated[float | None, About("Its duration. Null: unlimited.", minimum=0)]
    amperes_at_start: Annotated[
        float, About("Current of the battery when it begins; less than 0: it is charged.")
    ]
    amperes_at_end: Annotated[
        float, About("Current of the battery when it ends; less than 0: it is charged.")
    ]
    state_of_charge: Annotated[StateOfCharge, About("State of charge when it ends; 1 is full.", minimum=0)]


class DischargePoint(TypedDict):
    """A point of the discharge curve."""

    seconds: Annotated[float | None, About("Time from the loss.", minimum=0)]
    state_of_charge: StateOfCharge
    volts: Annotated[NotNegative, About("Terminal voltage.", minimum=0)]
    amperes: Annotated[float, About("Current of the battery.")]


class EnduranceEntry(TypedDict):
    """The endurance of one battery, aged and at the lowest temperature."""

    battery: Annotated[str, About("The battery.")]
    reserve: Annotated[bool, About("Whether it is a reserve battery.")]
    lost: Annotated[list[str], About("The sources that are lost.")]
    state: Annotated[str, About("The state in which they are lost.")]
    phase: Annotated[str | None, About("The phase whose loads are on, or null.")]
    seconds: Annotated[float | None, About("The endurance. Null: unlimited.", minimum=0)]
    required_seconds: Annotated[
        float | None, About("The required endurance. Null: not in the file.", minimum=0)
    ]
    ended_by: Annotated[
        str | None,
        About("The load that falls below its minimum voltage, or the battery. Null: nothing ends it."),
    ]
    ends: Annotated[str, About("Why it ends, in words.")]
    charging_volts: Annotated[NotNegative, About("Voltage at its terminals before the loss.", minimum=0)]
    initial_state_of_charge: Annotated[StateOfCharge, About("State of charge at the loss.", minimum=0)]
    final_state_of_charge: Annotated[StateOfCharge, About("State of charge at the end.", minimum=0)]
    assumptions: Annotated[dict[str, str], About("Capacity factors for age, cold and rate, in words.")]
    segments: Annotated[list[SegmentEntry], About("The segments of the discharge.")]
    curve: Annotated[list[DischargePoint], About("The discharge curve.")]


class TimelineLine(TypedDict):
    """A line of the timeline of a function."""

    seconds: Annotated[NotNegative, About("Time from the loss.", minimum=0)]
    event: Annotated[
        str,
        About(
            "What kind of line it is.",
            enum=[
                "generation lost",
                "noticed",
                "not noticed",
                "shed",
                "load stops",
                "battery exhausted",
                "change-over",
                "function lost",
            ],
        ),
    ]
    what: Annotated[str, About("The alarm, action, load, battery or function; empty where there is none.")]
    words: Annotated[str, About("The line in words.")]
    action_seconds: Annotated[
        float | None, About("The time that a crew action takes. Null: none, or not in the file.", minimum=0)
    ]
    lost_without_it_seconds: Annotated[
        float | None,
        About(
            "When the function is lost where the crew neither takes this action nor a later one. Null: no "
            "crew action, or not lost.",
            minimum=0,
        ),
    ]


class FunctionEntry(TypedDict):
    """A function of class major or worse after the loss of all generation."""

    function: Annotated[str, About("The function.")]
    hazard: Annotated[str, About("The hazard class of its loss.")]
    lost: Annotated[list[str], About("The alternators that are lost.")]
    state: Annotated[str, About("The state in which they are lost.")]
    phase: Annotated[str | None, About("The phase whose loads are on, or null.")]
    seconds: Annotated[
        float | None,
        About("When it is lost; crew actions count where an alarm shows the loss. Null: never.", minimum=0),
    ]
    required_seconds: Annotated[
        float | None, About("The required endurance. Null: not in the file.", minimum=0)
    ]
    noticed_by: Annotated[str | None, About("The monitor whose alarm shows the loss. Null: none.")]
    noticed_after_seconds: Annotated[float | None, About("When it does. Null: never.", minimum=0)]
    seconds_without_crew: Annotated[
        float | None, About("When it is lost without any crew action. Null: never.", minimum=0)
    ]
    seconds_with_all_crew_actions: Annotated[
        float | None, About("When it is lost with all crew actions. Null: never.", minimum=0)
    ]
    timeline: Annotated[list[TimelineLine], About("From the loss to the end.")]


class ShedEntry(TypedDict):
    """One action of the shed plan."""

    action: Annotated[str, About("The action.")]
    done_after_seconds: Annotated[NotNegative, About("When it is done, from the loss.", minimum=0)]
    off: Annotated[Amperes, About("The loads that it turns off, with their current before, amperes.")]
    main_battery_before: Annotated[float, About("Current of the main battery before, amperes.")]
    main_battery_after: Annotated[float, About("Current of the main battery after, amperes.")]


class DrawEntry(TypedDict):
    """One item that draws current while parked."""

    what: Annotated[str, About("What draws current, in words.")]
    minimum: Annotated[
        NotNegative,
        About(
            "The least that it draws, amperes; 0 for loads and coils, which are solved together.", minimum=0
        ),
    ]
    maximum: Annotated[NotNegative, About("The most that it draws, amperes.", minimum=0)]
    needs: Annotated[str, About("The missing data, for which a typical range was taken; else empty.")]


class DrainEntry(TypedDict):
    """The parasitic drain of one battery while parked."""

    battery: Annotated[str, About("The battery.")]
    state: Annotated[str, About("The state in which the aircraft is parked.")]
    amperes: Annotated[list[float], About("The drain, minimum and maximum.", minItems=2, maxItems=2)]
    days_to_half: Annotated[
        list[float | None],
        About("Days to half charge, minimum and maximum. Null: unlimited.", minItems=2, maxItems=2),
    ]
    draws: Annotated[list[DrawEntry], About("What draws current.")]


class EstimatedEntry(TypedDict):
    """A time or a margin that rests on figures which are estimates."""

    what: Annotated[str, About("What it is.")]
    value: Annotated[float | None, About("With each estimate as it is written. Null: unlimited.")]
    least: Annotated[float | None, About("The least that it was in the trials. Null: unlimited.")]
    most: Annotated[float | None, About("The most that it was in the trials. Null: unlimited.")]
    unit: Annotated[str, About("Its unit.", enum=["s", "A"])]
    required: Annotated[float | None, About("What the file requires of it. Null: nothing.")]
    decided_by_estimates: Annotated[
        bool, About("Whether the requirement is met at one end of the estimates and not at the other.")
    ]


class UnassessedEntry(TypedDict):
    """Something that was not assessed because data are missing."""

    what: Annotated[str, About("What was not assessed.")]
    needs: Annotated[str, About("The missing data.")]


class BudgetDocument(Beginning):
    """Loads by phase, endurance and parasitic drain.

    A second opinion; the cautions are part of it.
    """

    format: Annotated[Literal["circuit-budget/1"], About("Name and number of this format.")]
    phases: Annotated[list[PhaseEntry], About("The phases of a flight, as solved.")]
    endurance: Annotated[list[EnduranceEntry], About("The endurance of each battery.")]
    functions: Annotated[
        list[FunctionEntry], About("The functions of class major or worse after loss of all generation.")
    ]
    shed_plan: Annotated[list[ShedEntry], About("The actions of the shed plan, in order.")]
    parasitic_drain: Annotated[list[DrainEntry], About("The drain of each battery while parked.")]
    estimates: Annotated[list[str], About("Figures of the file that are estimates, in words.")]
    within_the_estimates: Annotated[
        list[EstimatedEntry],
        About("Times and margins that move with the estimates, with all of them at an end."),
    ]
    limitations: Annotated[list[str], About("What was not analysed, one sentence each.")]
    typical_values: Annotated[list[str], About("Typical values that the numbers rest on.")]
    missing_data: Annotated[
        list[UnassessedEntry],
        About("What was not assessed because data are missing. Not assessed does not mean acceptable."),
    ]
