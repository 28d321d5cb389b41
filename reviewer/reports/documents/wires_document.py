"""The shape of the wire list in JSON."""

from __future__ import annotations

from typing import Annotated, Literal

from typing_extensions import TypedDict

from reviewer.reports.documents.described import About, Beginning, Element

_UNKNOWN = "Null: not known."
MissingData = Annotated[
    list[str],
    About("What was not assessed, with the missing data. Not assessed does not mean acceptable."),
]


class DropLimit(TypedDict):
    """The largest voltage drop that is allowed."""

    volts: Annotated[float, About("The limit.")]
    source: Annotated[str, About("Where it is published.")]


class DropLimits(TypedDict):
    """The limits of the voltage drop from the bus to a load and back."""

    continuous: DropLimit
    intermittent: DropLimit


class CurrentLimit(TypedDict):
    """The largest continuous current of a wire where it runs."""

    amperes: Annotated[float, About("The limit.")]
    basis: Annotated[str, About("The basis of the limit.")]
    printed_amperes: Annotated[float | None, About(f"The published value before the factors. {_UNKNOWN}")]
    factors: Annotated[dict[str, float], About("The factors that it is multiplied by.")]
    wires_in_bundle: Annotated[int, About("Wires in the bundle, this one included.", minimum=1)]
    bundle_used: Annotated[
        float | None,
        About("The share of the bundle's capacity that is used. Null: the wire runs alone."),
    ]
    air_celsius: Annotated[float, About("The highest ambient temperature, degrees Celsius.")]
    zone: Annotated[str, About("The zone of that temperature.")]
    zone_known: Annotated[bool, About("False: the hottest zone was taken because the wire has none.")]


class ProtectionEntry(TypedDict):
    """Circuit protection of a wire."""

    end: Annotated[str, About("The end of the wire from which it protects it.")]
    device: Annotated[Element, About("A pointer to the breaker, fuse or current limiter.")]
    rating_amperes: Annotated[float | None, About(f"Its rating. {_UNKNOWN}")]
    largest_amperes: Annotated[
        float | None, About(f"The largest rating for the wire (AC 43.13-1B Table 11-3). {_UNKNOWN}")
    ]
    stub: Annotated[bool, About("Whether the wire is so short that this protection need not fit it.")]


class HeldEntry(TypedDict):
    """The current of a wire while a switch that springs back is held."""

    switch: Annotated[Element, About("A pointer to the switch.")]
    position: Annotated[str, About("The position in which it is held.")]
    amperes: Annotated[float, About("The current, with what runs only then at its `peak`.")]


class UnprotectedEnd(TypedDict):
    """An end of a wire that is energised without circuit protection between."""

    end: Annotated[str, About("The end of the wire.")]
    sources: Annotated[list[Element], About("The sources that energise it.")]


class WireEntry(TypedDict):
    """One wire."""

    wire: Annotated[Element, About("A pointer to the wire.")]
    from_terminal: Annotated[str, About("The terminal at one end.")]
    to_terminal: Annotated[str, About("The terminal at the other end.")]
    gauge: Annotated[str | None, About(f"Its size. {_UNKNOWN}")]
    length_metres: Annotated[float | None, About(f"Its length. {_UNKNOWN}")]
    bundle: Annotated[str | None, About("The bundle that it runs in. Null: none.")]
    state: Annotated[str | None, About(f"The state with its largest current, cranking excluded. {_UNKNOWN}")]
    phase: Annotated[str | None, About("The phase whose loads are on. Null: no phase has the state.")]
    amperes: Annotated[
        float | None, About(f"Its current there, from its first to its second end. {_UNKNOWN}")
    ]
    limit: Annotated[CurrentLimit | None, About(f"Its largest continuous current. {_UNKNOWN}")]
    share_of_limit: Annotated[
        float | None, About(f"The current over the limit; more than 1 is too much. {_UNKNOWN}")
    ]
    drop_volts: Annotated[float | None, About(f"The voltage drop on it there. {_UNKNOWN}")]
    cranking_amperes: Annotated[
        float | None, About(f"Its largest current while the engine cranks, for seconds. {_UNKNOWN}")
    ]
    held: Annotated[
        HeldEntry | None,
        About(
            "Its largest current while a spring-return switch is held. Null: less than a tenth more than "
            "`amperes`."
        ),
    ]
    protection: Annotated[
        list[ProtectionEntry], About("Its circuit protection, from each end that can be energised.")
    ]
    unprotected: Annotated[
        list[UnprotectedEnd], About("Ends that are energised without circuit protection between.")
    ]
    exempt: Annotated[
        bool, About("Whether it is exempt from circuit protection (battery and starter cables).")
    ]
    missing_data: MissingData


class DropShare(TypedDict):
    """The voltage drop of one part or wire in a path."""

    element: Element
    volts: Annotated[float, About("Its voltage drop.")]


class DropEntry(TypedDict):
    """The path of a load's current from the bus and back."""

    state: Annotated[str, About("The state, with its phase or the switch that was moved.")]
    amperes: Annotated[float, About("The current of the load.")]
    drop_volts: Annotated[float, About("The voltage drop, supply and return, diodes and resistors excluded.")]
    diode_volts: Annotated[float, About("The voltage drop of diodes and fixed resistors in the path.")]
    begins: Annotated[str, About("The bus or source at which the path begins.")]
    ends: Annotated[str, About("The source at which the path ends.")]
    supply_path: Annotated[
        list[DropShare], About("Shares of the drop in the supply, in the order of the current.")
    ]
    return_path: Annotated[list[DropShare], About("Shares of the drop in the return.")]
    diodes: Annotated[list[DropShare], About("The voltage drop of each diode and fixed resistor.")]


class LowestVoltage(TypedDict):
    """The lowest voltage at a load."""

    state: Annotated[str, About("The state.")]
    volts: Annotated[float, About("The voltage.")]


class WiredLoad(TypedDict):
    """One load or instrument."""

    load: Annotated[Element, About("A pointer to the load or instrument.")]
    continuous: Annotated[
        DropEntry | None, About("The largest drop at its continuous current. Null: no current, or not known.")
    ]
    peak: Annotated[
        DropEntry | None, About("The drop at its peak current. Null: it has none, or it is not known.")
    ]
    lowest_voltage: Annotated[LowestVoltage | None, About("Its lowest voltage. Null: not solved.")]
    missing_data: MissingData


class WiresDocument(Beginning):
    """Current, limit, drop and protection of wires.

    A second opinion; the cautions are part of it.
    """

    format: Annotated[Literal["circuit-wires/1"], About("Name and number of this format.")]
    basis: Annotated[list[str], About("The basis of the limits, one sentence each.")]
    drop_limits: Annotated[DropLimits, About("The limits of the voltage drop.")]
    typical_values: Annotated[list[str], About("Typical values that the numbers rest on.")]
    estimates: Annotated[list[str], About("Figures of the file that are estimates, taken as written.")]
    missing_data: MissingData
    wires: Annotated[list[WireEntry], About("One entry for each wire, in the order of the file.")]
    loads: Annotated[
        list[WiredLoad], About("One entry for each load or instrument, in the order of the file.")
    ]
