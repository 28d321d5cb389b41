"""Sources of power: batteries, alternators with their regulators, and the socket for external
power."""

from typing import Literal

from reviewer.model.fields import Name, TerminalRef, Text, optional, required
from reviewer.model.part import Part
from reviewer.model.quantities import (
    AmpereHours,
    Amperes,
    AmperesOrZero,
    Ohms,
    Percent,
    PercentOrZero,
    Seconds,
    Volts,
)


class Battery(Part):
    """A battery, main or reserve."""

    kind: Literal["battery"] = required("kind", "A battery.", "battery")
    fixed = ("positive", "negative")
    purpose: Literal["main", "reserve"] = optional(
        "purpose", "Whether it is a main battery or one kept in reserve.", "reserve", default="main"
    )
    dedicated_to: tuple[Name, ...] = optional(
        "dedicated to",
        "For a reserve: the functions, loads and instruments that it is dedicated to; it should feed "
        "nothing else.",
        ["right-ignition", "standby-attitude"],
        default=(),
    )
    chemistry: Literal["lead-acid", "lithium-iron-phosphate"] | None = optional(
        "chemistry", "What is in the cells.", "lead-acid"
    )
    construction: Literal["flooded", "agm", "gel"] | None = optional(
        "construction",
        "For lead-acid: free electrolyte, absorbed in glass mat, or gelled; it says how much a high "
        "current costs.",
        "agm",
    )
    nominal: Volts | None = optional(
        "nominal",
        "Its own nominal voltage, where that is not the aircraft's: two of 14 V in series, the negative "
        "of one on the positive of the other, are the battery of a 28 V system.",
        "14 V",
    )
    capacity: AmpereHours | None = optional("capacity", "Rated capacity.", "17 Ah")
    capacity_rate: Seconds | None = optional(
        "capacity rate",
        "The discharge time of the rated capacity: 1 h for many aircraft batteries, 20 h where "
        "it is left out.",
        "1 h",
    )
    internal_resistance: Ohms | None = optional(
        "internal resistance", "Resistance of a new, charged battery.", "0.008 ohm"
    )
    cold_resistance: Ohms | None = optional(
        "cold resistance",
        "Resistance at the coldest start, where its maker gives it.",
        "0.014 ohm",
    )
    cold_capacity: Percent | None = optional(
        "cold capacity",
        "Share of its rated capacity that it has at the lowest temperature, where its maker gives it.",
        "60 %",
    )
    open_circuit_voltage: Volts | None = optional(
        "open-circuit voltage",
        "Voltage of the full battery, rested, without a load.",
        "12.9 V",
    )
    state_of_charge: PercentOrZero | None = optional(
        "state of charge",
        "How full it is before the flight, and at most in it; a full battery where it is left out.",
        "80 %",
    )
    low_voltage_disconnect: Volts | None = optional(
        "low-voltage disconnect",
        "For a battery with a management circuit: the voltage below which it disconnects itself.",
        "11.0 V",
    )
    high_voltage_disconnect: Volts | None = optional(
        "high-voltage disconnect",
        "For a battery with a management circuit: the voltage above which it disconnects itself.",
        "15.8 V",
    )
    min_charge_voltage: Volts | None = optional(
        "minimum charge voltage", "Lowest charging voltage that its maker states.", "13.6 V"
    )
    max_charge_voltage: Volts | None = optional(
        "maximum charge voltage", "Highest charging voltage that its maker states.", "14.7 V"
    )
    max_charge_current: Amperes | None = optional(
        "maximum charge current", "Largest charging current that its maker allows.", "40 A"
    )
    max_discharge_current: Amperes | None = optional(
        "maximum discharge current",
        "Largest current that it delivers to a starter at the coldest start.",
        "300 A",
    )
    endurance: Seconds | None = optional(
        "endurance", "For a reserve: time for which it must supply what it is dedicated to.", "45 min"
    )
    secured: bool | None = optional("secured", "Whether its tray holds it in a hard landing.", True)
    vented: bool | None = optional(
        "vented", "Whether it is vented overboard, or is sealed and needs no vent.", True
    )
    terminals_insulated: bool | None = optional(
        "terminals insulated", "Whether its terminals are covered against a falling tool.", True
    )
    capacity_test_interval: Text | None = optional(
        "capacity test interval", "How often its capacity is measured.", "12 months"
    )
    minimum_capacity: Percent | None = optional(
        "minimum capacity", "Share of its rated capacity below which it is replaced.", "80 %"
    )


class Alternator(Part):
    """An engine-driven alternator, or a generator (dynamo), with its regulator.

    One of permanent magnets may have two more terminals, which count where they are wired: `lamp`,
    grounded while it gives nothing, and `control`, without which it gives nothing.
    """

    kind: Literal["alternator"] = required("kind", "An alternator.", "alternator")
    fixed = ("output", "ground", "field")
    spare = ("lamp", "control")
    excitation: Literal["field", "self", "permanent-magnet"] = optional(
        "excitation",
        "A field winding that must be fed; one that excites itself, as that of a generator does by the "
        "magnetism left in its iron, fed by its own output, with its cut-out drawn as a diode; or "
        "permanent magnets.",
        "field",
        default="field",
    )
    rating: Amperes | None = optional("rating", "Rated output; it limits itself near this current.", "60 A")
    current_limit: Amperes | None = optional(
        "current limit", "Current at which it limits itself in flight, where that is not its rating.", "64 A"
    )
    idle_output: AmperesOrZero | None = optional(
        "idle output", "Output at idle speed, 0 A where it gives nothing at that speed.", "24 A"
    )
    set_point: Volts | None = optional("regulator set point", "Voltage the regulator holds.", "14.4 V")
    overvoltage_trip: Volts | Literal["none"] | None = optional(
        "overvoltage trip",
        "Voltage at which a device of its own disconnects the alternator, or `none`.",
        "16.2 V",
        "none",
    )
    trip_acts_on: Literal["field", "field-short", "output", "coil-short"] | None = optional(
        "trip acts on",
        "What the overvoltage protection does: opens the field (of permanent magnets the control), shorts "
        "its feed so that its breaker opens, opens the output, or shorts the feed of the coil of the "
        "contactor in the output so that its breaker opens.",
        "field",
    )
    regulator: Literal["external", "internal"] | None = optional(
        "regulator", "Whether the regulator is external or inside the alternator.", "external"
    )
    regulator_senses: Literal["output", "field"] | None = optional(
        "regulator senses",
        "The terminal whose voltage the regulator holds: its own output, or the feed of the field.",
        "field",
    )
    mounted_on: TerminalRef | None = optional(
        "mounted on", "The terminal that its frame, joined to its ground, is bolted to.", "engine.bracket"
    )
    shares_with: tuple[Name, ...] = optional(
        "shares with",
        "The alternators with which it carries the load together in flight.",
        ["right-alternator"],
        default=(),
    )
    standby_for: tuple[Name, ...] = optional(
        "standby for",
        "The alternators for which it is standby: it carries the load once they are lost.",
        ["main-alternator"],
        default=(),
    )
    driven_by: Name | None = optional(
        "driven by", "The engine that drives it, where the aircraft has several.", "left-engine"
    )
    field_current: Amperes | None = optional("field current", "Current of the field at full output.", "3 A")
    smoothing_capacitor: Name | None = optional(
        "smoothing capacitor",
        "The capacitor across its output with which it runs where no battery is connected.",
        "smoothing",
    )

    @property
    def most(self) -> float | None:
        """Amperes at which it limits itself in flight; None where the file does not say."""
        return self.current_limit or self.rating

    @property
    def magnets(self) -> bool:
        """Whether it has permanent magnets, and no field winding."""
        return self.excitation == "permanent-magnet"

    def terminals(self) -> tuple[str, ...]:
        return self.fixed[:2] + self.spare if self.magnets else self.fixed

    def spare_terminals(self) -> tuple[str, ...]:
        return self.spare if self.magnets else ()


class Regulator(Part):
    """A voltage regulator that is a part of its own and feeds the field of an alternator."""

    kind: Literal["regulator"] = required("kind", "An external voltage regulator.", "regulator")
    fixed = ("supply", "field", "sense", "ground")
    #: the paralleling line to another regulator
    spare = ("equaliser",)
    regulates: Name = required("regulates", "The alternator whose field it feeds.", "alternator")
    set_point: Volts | None = optional("set point", "Voltage it holds, from where it senses.", "14.4 V")
    senses: Literal["sense", "supply"] = optional(
        "senses",
        "The terminal whose voltage it holds: one for a sense lead of its own, or its supply.",
        "sense",
        default="sense",
    )
    without_sense: Literal["full-field", "no-output"] | None = optional(
        "without sense",
        "What it does when its sense lead opens or is shorted: it drives the field full on, or turns it off.",
        "no-output",
    )
    without_ground: Literal["full-field", "no-output"] | None = optional(
        "without ground",
        "What it does when it loses its ground: it drives the field full on, or turns it off.",
        "full-field",
    )
    overvoltage_trip: Volts | Literal["none"] | None = optional(
        "overvoltage trip",
        "Voltage at which it turns the field off by itself, where it does; a device apart from it is "
        "the alternator's.",
        "16.0 V",
    )
    mounted_on: TerminalRef | None = optional(
        "mounted on", "The terminal that its case, joined to its ground, is bolted to.", "firewall.regulator"
    )

    def terminals(self) -> tuple[str, ...]:
        return tuple(t for t in self.fixed if t != "sense" or self.senses == "sense")


class ExternalPower(Part):
    """A socket for power from outside."""

    kind: Literal["external-power"] = required("kind", "An external power socket.", "external-power")
    fixed = ("positive", "negative", "control")
    rating: Amperes | None = optional("rating", "Current the socket may carry.", "150 A")
    voltage: Volts | None = optional("voltage", "Voltage that the external power is regulated to.", "14.0 V")
    control_pin: bool | None = optional(
        "control pin",
        "Whether it has a third, shorter pin, the terminal `control`: live while it is plugged in.",
        True,
    )

    def terminals(self) -> tuple[str, ...]:
        return self.fixed if self.control_pin else self.fixed[:2]


class Magneto(Part):
    """A magneto, or another ignition that powers itself and is stopped by a grounded lead."""

    kind: Literal["magneto"] = required(
        "kind",
        "A magneto or self-powered ignition: it fires while its engine turns, unless its p-lead reaches "
        "its ground.",
        "magneto",
    )
    fixed = ("p-lead", "ground")
    mounted_on: TerminalRef | None = optional(
        "mounted on", "The terminal that its case, joined to its ground, is bolted to.", "engine.left-magneto"
    )
    driven_by: Name | None = optional(
        "driven by", "The engine that drives it, where the aircraft has several.", "left-engine"
    )


class Charger(Part):
    """A charger with its regulator: on the mains, a solar panel with its controller, or one that is
    fed from another bus."""

    kind: Literal["charger"] = required("kind", "A battery charger.", "charger")
    fixed = ("positive", "negative", "input", "input-return")
    from_: Literal["mains", "solar", "another-bus"] = required(
        "from",
        "Where its power comes from: the mains, on the ground only; the sun; or another bus, at its "
        "`input` and `input-return`. The first two work in the states that list them as `chargers`, the "
        "last whenever its input has power.",
        "solar",
    )
    set_point: Volts | None = optional("set point", "Voltage that it holds, and never exceeds.", "14.4 V")
    current_limit: Amperes | None = optional(
        "current limit", "Largest output current; it limits itself there.", "5 A"
    )

    @property
    def most(self) -> float | None:
        """The most amperes that it gives; None where the file does not say."""
        return self.current_limit

    def terminals(self) -> tuple[str, ...]:
        return self.fixed if self.from_ == "another-bus" else self.fixed[:2]


class Converter(Part):
    """A converter from one class of volts to another. It is no source of its own."""

    kind: Literal["converter"] = required("kind", "A converter to another voltage.", "converter")
    fixed = ("output", "ground", "input")
    output_voltage: Volts | None = optional("output voltage", "Voltage that it holds at its output.", "14 V")
    rating: Amperes | None = optional("rating", "Largest output current; it limits itself there.", "10 A")
    efficiency: Percent | None = optional(
        "efficiency", "Share of its input power that it delivers at its output.", "88 %"
    )
    isolated: bool = optional(
        "isolated",
        "Whether its output has a return of its own, `output-return`, apart from `input-return`; else "
        "both return by its `ground`.",
        True,
        default=False,
    )

    @property
    def most(self) -> float | None:
        """The most amperes that it gives; None where the file does not say."""
        return self.rating

    def terminals(self) -> tuple[str, ...]:
        return ("output", "output-return", "input", "input-return") if self.isolated else self.fixed
