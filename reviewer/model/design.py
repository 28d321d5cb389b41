"""A design: the aircraft, its parts and wires, what must survive, how it is operated and what watches it."""

from collections.abc import Mapping
from dataclasses import field
from datetime import date
from types import MappingProxyType
from typing import Annotated, Any, Literal

from pydantic import Field

from reviewer.model.fields import FrozenMap, Name, Piece, TerminalRef, Text, no_entries, optional, required
from reviewer.model.parts import Part, Wire
from reviewer.model.quantities import Celsius, Metres, Seconds, Volts
from reviewer.model.record import record

HazardWord = Literal["catastrophic", "hazardous", "major", "minor", "no safety effect"]


class Zone(Piece):
    """A zone of the aircraft."""

    hottest: Celsius | None = optional("hottest", "Highest temperature of the air in it.", "60 C")
    wet: bool | None = optional("wet", "Whether water or fuel can reach what is in it.", False)
    note: Text | None = optional(
        "note", "Anything a reader should know.", "Behind the firewall, above the feet."
    )


class CommonWire(Piece):
    """What all wires have in common; a wire that says otherwise has its own."""

    insulation: Celsius | None = optional("insulation", "Temperature class of the insulation.", "150 C")
    insulation_material: Literal["etfe", "ptfe", "polyimide", "pvc", "rubber"] | None = optional(
        "insulation material", "What the insulation is made of.", "etfe"
    )
    conductor: Literal["copper", "aluminium"] | None = optional(
        "conductor", "What the conductors are made of.", "copper"
    )


class Aircraft(Piece):
    """What the aircraft is."""

    name: Text = required("name", "What the builder calls the aircraft.", "Two-seat tourer")
    nominal: Literal["14 V", "28 V"] = required(
        "nominal voltage", "The system's class by charging voltage.", "14 V"
    )
    airframe: Literal["metal", "composite", "wood"] = required(
        "airframe", "What the structure is made of.", "composite"
    )
    stage: Literal["concept", "detailed", "as-built"] = required(
        "stage",
        "`concept` asks for topology only; `detailed` for gauges and lengths too; `as-built` for what was measured.",
        "concept",
    )
    ambient: Celsius | None = optional(
        "ambient", "Temperature of the conductors that volts and amperes are solved for.", "40 C"
    )
    coldest: Celsius | None = optional(
        "coldest", "Lowest temperature of the batteries that the endurance is reckoned for.", "-10 C"
    )
    ceiling: Metres | None = optional("ceiling", "Highest altitude that is flown.", "10000 ft")
    flown_from: tuple[Name, ...] = optional(
        "flown from", "The seats from which it may be flown.", ["left-seat", "right-seat"], default=()
    )
    zones: FrozenMap[Zone] = optional(
        "zones", "The zones of the aircraft by name.", {"engine": {"hottest": "90 C"}}, default=no_entries
    )
    wire: CommonWire | None = optional(
        "wire",
        "What its wires are made of where they do not say otherwise.",
        {"conductor": "copper", "insulation": "150 C"},
    )
    note: Text | None = optional("note", "Anything a reader should know.", "Day flying only.")

    @property
    def volts(self) -> float:
        """Volts at which currents of loads are given: those of the system's class."""
        return 28.0 if self.nominal == "28 V" else 14.0

    @property
    def scale(self) -> float:
        """What volts of a 14 V system are multiplied with."""
        return self.volts / 14.0


class Function(Piece):
    """Something that must go on working: any so many of some channels."""

    any: Annotated[int, Field(ge=1)] = required("any", "How many of the channels are enough.", 1)
    of: Annotated[tuple[Name, ...], Field(min_length=1)] = required(
        "of", "The channels: loads, instruments or other functions.", ["left-ignition", "right-ignition"]
    )
    loss: HazardWord = required(
        "loss", "Hazard class of losing it, in the words of AC 23.1309-1E.", "catastrophic"
    )
    note: Text | None = optional("note", "Anything a reader should know.", "Either ignition runs the engine.")


class State(Piece):
    """One way the switches are set."""

    like: Name | None = optional(
        "like", "A state whose switch positions hold where this one does not say.", "cruise"
    )
    use: Literal["flight", "abnormal", "ground"] | None = optional(
        "use",
        "`flight`: normal in flight; `abnormal`: set after something failed; `ground`: on the ground only.",
        "flight",
    )
    engine: Literal["running", "stopped", "cranking"] | None = optional(
        "engine", "What the engine does.", "running"
    )
    switches: FrozenMap[Name] = optional(
        "switches", "The position of each switch and breaker-switch.", {"master": "on"}, default=no_entries
    )
    pulled: tuple[Name, ...] = optional(
        "pulled", "Breakers pulled and fuses removed in this state.", ["field-breaker"], default=()
    )
    ground_power: Literal["connected", "absent"] | None = optional(
        "ground power", "Whether outside power is connected.", "absent"
    )
    dead: tuple[Name, ...] = optional(
        "dead", "Buses that must be dead in this state.", ["avionics-bus"], default=()
    )
    without: tuple[Name, ...] = optional(
        "without", "Functions that are off in this state on purpose.", ["navigation"], default=()
    )
    note: Text | None = optional("note", "Anything a reader should know.", "The smoke drill.")


class Phase(Piece):
    """One phase of a flight."""

    state: Name = required("state", "The state the switches are in.", "cruise")
    duration: Seconds | None = optional("duration", "How long it lasts.", "2 h")
    note: Text | None = optional("note", "Anything a reader should know.", "Includes the climb.")


class Action(Piece):
    """Something the crew may do."""

    move: FrozenMap[Name] = required(
        "move",
        "Switches and breakers to move, and to which position (`pulled` or `in` for a breaker).",
        {"ignition-source": "reserve"},
    )
    label: Text | None = optional("label", "The words of the checklist.", "IGNITION SOURCE ... RESERVE")
    time: Seconds | None = optional("time", "Time it takes, noticing included.", "10 s")
    after: tuple[Name, ...] = optional(
        "after",
        "Parts and wires that have failed when it is taken; a protector among them has opened.",
        ["main-battery"],
        default=(),
    )
    restores: tuple[Name, ...] = optional(
        "restores",
        "Functions, loads, instruments and sources that work once it is done in the dispatch state.",
        ["ignition"],
        default=(),
    )
    disconnects: tuple[Name, ...] = optional(
        "disconnects",
        "Once it is done in the dispatch state: buses, loads and instruments that are dead, sources that power nothing.",
        ["main-bus"],
        default=(),
    )
    note: Text | None = optional("note", "Anything a reader should know.", "Guarded switch.")


class Exclusion(Piece):
    """A combination of switch positions that cannot be set."""

    switches: FrozenMap[Name] = required(
        "switches", "The positions that cannot occur together.", {"master": "off", "alternator": "on"}
    )
    because: Text = required("because", "What prevents it.", "One toggle bar moves both.")


class Operation(Piece):
    """How the system is operated."""

    dispatch: Name = required("dispatch", "The state the checklist asks for in flight.", "cruise")
    states: FrozenMap[State] = required(
        "states", "The states by name.", {"cruise": {"engine": "running", "switches": {"master": "on"}}}
    )
    phases: FrozenMap[Phase] = optional(
        "phases",
        "The phases of a flight.",
        {"cruise": {"state": "cruise", "duration": "2 h"}},
        default=no_entries,
    )
    actions: FrozenMap[Action] = optional(
        "actions",
        "What the crew may do after a failure.",
        {"to-reserve": {"move": {"ignition-source": "reserve"}}},
        default=no_entries,
    )
    excluded: tuple[Exclusion, ...] = optional(
        "excluded",
        "Combinations that cannot be set; all others are legal.",
        [{"switches": {"master": "off", "alternator": "on"}, "because": "One bar moves both."}],
        default=(),
    )
    endurance: Seconds | None = optional(
        "endurance", "Time wanted on battery after the alternator is lost.", "45 min"
    )
    recognition: Seconds | None = optional(
        "recognition",
        "Time until the crew has noticed that the alternator is lost and begins to shed.",
        "5 min",
    )
    shedding: tuple[Name, ...] = optional(
        "shedding",
        "The actions that the crew takes, in this order, once the alternator is lost.",
        ["shed-lights-and-heat"],
        default=(),
    )
    after_a_flat_battery: Text | None = optional(
        "after a flat battery",
        "What the checklist asks for before take-off once the engine was started with help from outside.",
        "No take-off before the main battery takes less than 5 A.",
    )


class Monitor(Piece):
    """A reading or alarm that the crew can see."""

    shows: Literal["voltage", "current", "live"] = required(
        "shows", "What it shows: volts, amperes, or only that something is live.", "voltage"
    )
    senses: TerminalRef | Name = required(
        "senses",
        "The terminal whose voltage, or the shunt whose current, it shows.",
        "reserve-battery.positive",
    )
    on: Name | None = optional("on", "The instrument or lamp that shows it.", "engine-monitor")
    alarm_below: Volts | None = optional("alarm below", "An alarm is given below this voltage.", "12.8 V")
    alarm_above: Volts | None = optional("alarm above", "An alarm is given above this voltage.", "15.2 V")
    tells: Literal["alternator-output", "battery-charge", "load"] | None = optional(
        "tells",
        "For a current, what the crew is told that it shows: what an alternator gives, what a battery takes or gives, or what loads take.",
        "alternator-output",
    )
    alarm: Text | None = optional(
        "alarm",
        "For a current, when an alarm is given and how; a reading alone is none.",
        "ALT lamp below 2 A",
    )
    note: Text | None = optional("note", "Anything a reader should know.", "Amber lamp.")


class Check(Piece):
    """A check before flight."""

    state: Name = required("state", "The state the switches are set to for the check.", "run-up-reserve")
    watch: Annotated[tuple[Name, ...], Field(min_length=1)] = required(
        "watch", "The monitors, loads or functions looked at.", ["left-ignition"]
    )
    expect: Text = required("expect", "What must be seen.", "Engine runs on the left ignition alone.")
    proves: tuple[Name, ...] = optional(
        "proves",
        "Parts or wires whose failure the check is to notice.",
        ["left-fuse", "left-ignition"],
        default=(),
    )


class Watch(Piece):
    """What tells the crew of a failure."""

    monitors: FrozenMap[Monitor] = optional(
        "monitors",
        "Readings and alarms by name.",
        {"reserve-volts": {"shows": "voltage", "senses": "reserve-battery.positive"}},
        default=no_entries,
    )
    checks: FrozenMap[Check] = optional(
        "checks",
        "Pre-flight checks by name.",
        {"reserve-check": {"state": "run-up-reserve", "watch": ["left-ignition"], "expect": "Engine runs."}},
        default=no_entries,
    )


class Concession(Piece):
    """Accepts one finding about one subject; it stays in every report, marked."""

    rule: Name = required("rule", "The rule.", "labels-are-present")
    subject: Text = required("subject", "The subject as the report prints it.", "parts/dome-light-fuse")
    state: Name | None = optional("state", "The state, where the finding has one.", "cruise")
    reason: Text = required("reason", "Why it is accepted.", "Fuse is inside the lamp and marked there.")
    by: Text = required("by", "Who accepted it.", "builder")
    on: date = required("on", "The day, as YYYY-MM-DD.", "2026-04-18")


@record
class Design:
    """A whole design as read. Maps are read-only; every reference in it resolves."""

    aircraft: Aircraft
    parts: Mapping[str, Any]  # each of the type of its kind, see PART_KINDS
    wires: Mapping[str, Wire]
    functions: Mapping[str, Function]
    operation: Operation | None
    watch: Watch
    concessions: tuple[Concession, ...]
    #: JSON pointer without the leading slash ("parts/main-bus/rating") -> (line, column), both from 1
    places: Mapping[str, tuple[int, int]] = field(
        default_factory=lambda: MappingProxyType({}), compare=False, repr=False
    )

    def part(self, name: str, kind: type | tuple[type, ...] = Part) -> Any:
        """The part of that name, checked to be of ``kind``. Raises KeyError or TypeError: both are mistakes of the caller."""
        found = self.parts[name]
        if not isinstance(found, kind):
            raise TypeError(f"{name} is a {type(found).__name__}")
        return found

    def of_kind(self, kind: type | tuple[type, ...]) -> tuple[str, ...]:
        """Names of the parts of a kind, in the file's order."""
        return tuple(name for name, part in self.parts.items() if isinstance(part, kind))
