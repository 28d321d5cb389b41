"""A design: the aircraft, its parts and wires, what must survive, how it is operated and what
watches it."""

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property
from types import MappingProxyType
from typing import Annotated, Any, Literal, Self

from pydantic import Field

from reviewer.model.article import with_article
from reviewer.model.channels import Channel, HazardWord, Loss, UseWord
from reviewer.model.fields import (
    MOST_COUNTED,
    FrozenMap,
    Name,
    Piece,
    TerminalRef,
    Text,
    no_entries,
    optional,
    required,
)
from reviewer.model.filled_value import FilledIn
from reviewer.model.function_tree import FunctionTree
from reviewer.model.operation import Action, Exclusion, Operation, Phase, State
from reviewer.model.parts import BreakerSwitch, Consumer, Instrument, Load, Magneto, Part, Switch, Wire
from reviewer.model.places import Spot
from reviewer.model.quantities import AlarmLevel, Altitude, Celsius, Gauge, Percent, Written
from reviewer.model.record import record
from reviewer.model.spreadsheet_tables import TableRead
from reviewer.model.title_block import TitleBlock

__all__ = [
    "Action",
    "Aircraft",
    "Check",
    "CommonWire",
    "Concession",
    "Design",
    "Exclusion",
    "Function",
    "HazardWord",
    "Monitor",
    "Operation",
    "Phase",
    "Provisions",
    "State",
    "TitleBlock",
    "Watch",
    "Zone",
]


class Zone(Piece):
    """A zone of the aircraft."""

    max_ambient: Celsius | None = optional("maximum ambient", "Highest temperature of the air in it.", "60 C")
    hazards: tuple[Literal["exhaust", "fluid-line"], ...] = optional(
        "hazards",
        "What can destroy all that is in it at once: an `exhaust` pipe within 1 m, or a `fluid-line` of "
        "fuel, oil or hydraulic fluid above it.",
        ["exhaust"],
        default=(),
    )
    wet: bool | None = optional("wet", "Whether water or fuel can reach what is in it.", False)
    by: Literal["owner", "installer"] | None = optional(
        "by", "Who does the work in it, where a part or wire does not say otherwise.", "installer"
    )
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
    specification: Text | None = optional(
        "specification",
        "What the wire is bought by: its specification or type.",
        "tinned copper, ETFE, 600 V",
    )
    colour: Text | None = optional("colour", "Colour of the insulation.", "white")


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
        "`concept` asks for topology only; `detailed` for gauges and lengths too; `as-built` for "
        "what was measured.",
        "concept",
    )
    ambient: Celsius | None = optional(
        "ambient", "Temperature of the conductors that volts and amperes are solved for.", "40 C"
    )
    min_temperature: Celsius | None = optional(
        "minimum temperature", "Lowest battery temperature for which the endurance is computed.", "-10 C"
    )
    max_altitude: Altitude | None = optional(
        "maximum altitude", "Highest altitude that is flown.", "10000 ft"
    )
    uses: tuple[UseWord, ...] = optional(
        "uses",
        "What it is flown in; it says which class of a loss counts where that differs by use.",
        ["day", "night"],
        default=(),
    )
    engines: tuple[Name, ...] = optional(
        "engines",
        "Its engines by name, where it has more than one.",
        ["left-engine", "right-engine"],
        default=(),
    )
    pilot_seats: tuple[Name, ...] = optional(
        "pilot seats", "The seats from which it may be flown.", ["left-seat", "right-seat"], default=()
    )
    zones: FrozenMap[Zone] = optional(
        "zones", "The zones of the aircraft by name.", {"engine": {"max-ambient": "90 C"}}, default=no_entries
    )
    wire: CommonWire | None = optional(
        "wire",
        "What its wires are made of where they do not say otherwise.",
        {"conductor": "copper", "insulation": "150 C"},
    )
    estimates: Percent | None = optional(
        "estimates",
        "How far a figure that is written as an estimate, `~5 A`, may be off either way. If not given: 30 %.",
        "20 %",
    )
    title_block: TitleBlock | None = optional(
        "title block",
        "What the title block of page, sheets and cards says beside the name.",
        {"revision": "B", "date": "2026-04-18", "drawn": "builder"},
    )
    note: Text | None = optional("note", "Anything a reader should know.", "Day flying only.")

    @property
    def volts(self) -> float:
        """Volts at which currents of loads are given: those of the system's class."""
        return 28.0 if self.nominal == "28 V" else 14.0

    def class_of(self, nominal: float | None) -> Literal["14 V", "28 V"]:
        """The class of volts of a part of its own ``nominal``, or of one that has none."""
        return "28 V" if (nominal or self.volts) > 20.0 else "14 V"

    def scale_of(self, nominal: float | None) -> float:
        """What volts of a 14 V part are multiplied with for a part of its own ``nominal``."""
        return 2.0 if self.class_of(nominal) == "28 V" else 1.0

    @property
    def scale(self) -> float:
        """What volts of a 14 V system are multiplied with."""
        return self.volts / 14.0


class Function(Piece):
    """Something that must go on working: any so many of some channels."""

    any: Annotated[int, Field(ge=1, le=MOST_COUNTED)] = required(
        "any", "How many of the channels are enough.", 1
    )
    of: Annotated[tuple[Channel, ...], Field(min_length=1)] = required(
        "of",
        "The channels: loads, instruments, sources, buses, other functions, or `mechanical: NAME` for what "
        "needs no electricity, of several engines with the one that it is `driven-by`.",
        ["left-ignition", "right-ignition"],
        ["boost-pump", {"mechanical": "engine-driven pump"}],
    )
    loss: Loss = required(
        "loss",
        "Hazard class of losing it, in the words of AC 23.1309-1E; where it differs, for each use of the "
        "aircraft: `day`, `night`, `ifr`.",
        "catastrophic",
        {"day": "minor", "night": "major"},
    )
    note: Text | None = optional("note", "Anything a reader should know.", "Either ignition runs the engine.")


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
    displayed_on: Name | None = optional(
        "displayed on",
        "The instrument or lamp that shows it. Where it senses at an input of an instrument, that one if not "
        "given.",
        "engine-monitor",
    )
    alarm_below: AlarmLevel | None = optional(
        "alarm below",
        "An alarm is given below this voltage; of a current, below so many amperes in the direction in which "
        "the alternator charges.",
        "12.8 V",
        "2 A",
    )
    alarm_above: AlarmLevel | None = optional(
        "alarm above",
        "An alarm is given above this voltage; of a current, above so many amperes in that direction.",
        "15.2 V",
        "55 A",
    )
    indicates: Literal["alternator-output", "battery-charge", "load"] | None = optional(
        "indicates",
        "For a current, what it is declared to show: the output of an alternator, the "
        "charge or discharge of a battery, or what loads draw.",
        "alternator-output",
    )
    alarm: Text | None = optional(
        "alarm",
        "For a current, when an alarm is given and how, where `alarm-below` and `alarm-above` do not say it; "
        "a reading alone is not an alarm.",
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
    """What shows the crew a failure."""

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
    """Accepts one finding about one subject, as it was; it stays in every report, marked."""

    rule: Name = required("rule", "The rule.", "labels-are-present")
    subject: Text = required("subject", "The subject as the report prints it.", "parts/dome-light-fuse")
    state: Name | None = optional("state", "The state, where the finding has one.", "cruise")
    extent: Text | None = optional(
        "extent", "The extent, where the report prints one.", "into main-battery by tie-switch"
    )
    reason: Text = required("reason", "Why it is accepted.", "Fuse is inside the lamp and marked there.")
    by: Text = required("by", "Who accepted it.", "builder")
    date: datetime.date = required("date", "The day, as YYYY-MM-DD.", "2026-04-18")


@record
class Provisions:
    """What is fitted later: parts, and wires with those that lead to such a part. No analysis has them."""

    parts: Mapping[str, Any] = field(default_factory=lambda: MappingProxyType({}))
    wires: Mapping[str, Wire] = field(default_factory=lambda: MappingProxyType({}))


def without_position(parts: Mapping[str, Part]) -> tuple[str, ...]:
    """The switches that the crew moves, breaker-switches first, of which the file does not say where they
    stand in normal flight."""
    breakers = [n for n, part in parts.items() if isinstance(part, BreakerSwitch) and part.in_flight is None]
    switches = ((n, part) for n, part in parts.items() if isinstance(part, Switch) and part.by_hand)
    return (*breakers, *(n for n, part in switches if part.in_flight is None))


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
    #: JSON pointer without the leading slash ("parts/main-bus/rating") -> where it stands
    places: Mapping[str, Spot] = field(
        default_factory=lambda: MappingProxyType({}), compare=False, repr=False
    )
    #: the tables that it was read from beside its file
    tables: tuple[TableRead, ...] = field(default=(), compare=False, repr=False)
    #: the defaults of assemblies that their calls rest on
    defaults_of_assemblies: tuple[FilledIn, ...] = field(default=(), compare=False, repr=False)

    #: states that were made, each with how, and why others were not
    made: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}))
    unmade: tuple[str, ...] = ()
    #: what is fitted later, which is neither among ``parts`` nor among ``wires``
    provisions: Provisions = field(default_factory=Provisions)

    @cached_property
    def unstated(self) -> tuple[str, ...]:
        """The switches of which the file does not say where they stand in normal flight."""
        return without_position(self.parts)

    @cached_property
    def function_tree(self) -> FunctionTree:
        """What the functions are made of."""
        loads = {name for name, part in self.parts.items() if isinstance(part, (Consumer, Magneto))}
        return FunctionTree(self.functions, loads, self.takers)

    @cached_property
    def takers(self) -> Mapping[str, tuple[str, ...]]:
        """Instrument -> those that take its place when it is lost, names."""
        found: dict[str, tuple[str, ...]] = {}
        for name, part in self.parts.items():
            for lost in part.takes_over if isinstance(part, Instrument) else ():
                found[lost] = (*found.get(lost, ()), name)
        return MappingProxyType(found)

    @cached_property
    def bonded(self) -> frozenset[str]:
        """The wires (names) of which the resistance is measured, each, before a source is connected."""
        return frozenset(name for name, wire in self.wires.items() if wire.max_resistance is not None)

    @cached_property
    def wires_at(self) -> Mapping[str, tuple[tuple[str, str], ...]]:
        """Terminal -> the (name, other terminal) of each wire on it."""
        found: dict[str, list[tuple[str, str]]] = {}
        for name, wire in self.wires.items():
            found.setdefault(wire.from_, []).append((name, wire.to))
            if wire.to != wire.from_:
                found.setdefault(wire.to, []).append((name, wire.from_))
        return {terminal: tuple(wires) for terminal, wires in found.items()}

    @cached_property
    def neighbours(self) -> Mapping[str, frozenset[str]]:
        """Each part -> the wires on it, each wire -> the parts at its ends."""
        beside: dict[str, set[str]] = {}
        for name, wire in self.wires.items():
            for end in (wire.from_, wire.to):
                part = f"parts/{end.partition('.')[0]}"
                beside.setdefault(part, set()).add(f"wires/{name}")
                beside.setdefault(f"wires/{name}", set()).add(part)
        return {element: frozenset(others) for element, others in beside.items()}

    @cached_property
    def loads_of_functions(self) -> Mapping[str, tuple[str, ...]]:
        """Function -> all loads and instruments that it rests on, in the order of its channels."""
        units = self.function_tree.loads
        return {f: tuple(n for n in of if isinstance(self.parts[n], Consumer)) for f, of in units.items()}

    @cached_property
    def length_unit(self) -> str:
        """The unit in which most wires of the file state their length; metres where none does."""
        units = [w.length.unit for w in self.wires.values() if isinstance(w.length, Written)]
        return max(units, key=units.count) if units else "m"

    @cached_property
    def has_engine(self) -> bool:
        """Whether anything in it is driven by an engine or turns one. A glider has nothing of it."""
        return any(
            part.kind in ("alternator", "magneto") or getattr(part, "type", None) == "starter"
            for part in self.parts.values()
        )

    def nominal_volts(self, name: str) -> float:
        """Volts at which the figures of a part are stated: its own nominal, or the aircraft's."""
        return getattr(self.parts[name], "nominal", None) or self.aircraft.volts

    def class_of(self, name: str) -> Literal["14 V", "28 V"]:
        """The class of volts that the limits of a part go by: 14 V for one of a lower nominal too."""
        return self.aircraft.class_of(getattr(self.parts[name], "nominal", None))

    def scale_of(self, name: str) -> float:
        """What volts of a 14 V part are multiplied with for a part of its class."""
        return self.aircraft.scale_of(getattr(self.parts[name], "nominal", None))

    def with_gauge(self, wire: str, gauge: Gauge) -> Self:
        """The design with one wire, by name, of another size."""
        spec = self.wires[wire].model_copy(update={"gauge": gauge})
        return replace(self, wires=MappingProxyType({**self.wires, wire: spec}))

    def works_on_for(self, name: str) -> float:
        """Seconds for which a part goes on by a battery inside it once its feed is lost; 0.0 without
        one."""
        part = self.parts[name]
        return (part.internal_battery or 0.0) if isinstance(part, Consumer) else 0.0

    def part(self, name: str, kind: type | tuple[type, ...] = Part) -> Any:
        """The part of that name, checked to be of ``kind``.

        Raises KeyError or TypeError: both are mistakes of the caller.
        """
        found = self.parts[name]
        if not isinstance(found, kind):
            raise TypeError(f"{name} is {with_article(type(found).__name__)}")
        return found

    def of_kind(self, kind: type | tuple[type, ...]) -> tuple[str, ...]:
        """Names of the parts of a kind, in the order of ``parts``."""
        if kind not in self._of_kind:
            classes = {own for own in set(map(type, self.parts.values())) if issubclass(own, kind)}
            self._of_kind[kind] = tuple(name for name, part in self.parts.items() if type(part) in classes)
        return self._of_kind[kind]

    @cached_property
    def _of_kind(self) -> dict[type | tuple[type, ...], tuple[str, ...]]:
        """Answers of :meth:`of_kind`."""
        return {}

    @cached_property
    def wire_ends(self) -> Mapping[str, Sequence[tuple[str, int]]]:
        """Part -> the wires that end at it, each with -1 where it begins there and 1 where it ends."""
        found: dict[str, list[tuple[str, int]]] = {}
        for wire, spec in self.wires.items():
            for end, sign in ((spec.from_, -1), (spec.to, 1)):
                found.setdefault(end.partition(".")[0], []).append((wire, sign))
        return found

    @cached_property
    def bundles(self) -> Mapping[str, tuple[str, ...]]:
        """Bundle -> names of its wires."""
        found: dict[str, list[str]] = {}
        for name, wire in self.wires.items():
            if wire.bundle:
                found.setdefault(wire.bundle, []).append(name)
        return MappingProxyType({bundle: tuple(wires) for bundle, wires in found.items()})

    def by_hand(self, name: str) -> bool:
        """Whether the crew moves a switch or breaker-switch; no hand moves a pressure switch."""
        return bool(getattr(self.parts[name], "by_hand", True))

    @cached_property
    def starters(self) -> tuple[str, ...]:
        """Names of the loads that are starters."""
        return tuple(n for n in self.of_kind(Load) if self.parts[n].type == "starter")

    @cached_property
    def hand_switches(self) -> tuple[str, ...]:
        """Names of the switches that the crew moves, breaker-switches left aside."""
        return tuple(n for n in self.of_kind(Switch) if self.by_hand(n))

    @cached_property
    def followers(self) -> tuple[str, ...]:
        """Names of the switches that what they follow moves."""
        return tuple(n for n in self.of_kind(Switch) if self.parts[n].follows)

    @cached_property
    def set_switches(self) -> tuple[str, ...]:
        """Names of the switches that stand where a state says: all but those that follow something."""
        return tuple(n for n in self.of_kind(Switch) if not self.parts[n].follows)

    @cached_property
    def settable(self) -> tuple[str, ...]:
        """Names of the breaker-switches, and then of :attr:`set_switches`."""
        return (*self.of_kind(BreakerSwitch), *self.set_switches)
