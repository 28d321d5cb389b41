"""How the system is operated: states, phases, actions of the crew and what cannot be set."""

from typing import Literal

from reviewer.model.fields import FrozenMap, Name, Piece, TerminalRef, Text, no_entries, optional, required
from reviewer.model.quantities import Seconds

StandardWord = Literal["parked", "before-start", "cranking", "run-up", "all-on", "alternator-failed", "smoke"]
#: the name of the state of normal flight that is made where a file has no states
NORMAL = "normal"
EngineWord = Literal["running", "stopped", "cranking"]


class State(Piece):
    """One way the switches are set."""

    like: Name | None = optional(
        "like",
        "A state that holds where this one does not say: switches, pulled breakers, units off, use, "
        "engine and its speed, external power, chargers and `currents-of`; not `dead`, `without`, "
        "`silent` and `outputs-on`.",
        "cruise",
    )
    use: Literal["flight", "abnormal", "ground"] | None = optional(
        "use",
        "`flight`: normal in flight; `abnormal`: set after something failed; `ground`: on the ground only.",
        "flight",
    )
    engine: EngineWord | FrozenMap[EngineWord] | None = optional(
        "engine",
        "What the engine does; where the aircraft has several `engines`, what all or each of them does.",
        "running",
        {"left-engine": "running", "right-engine": "stopped"},
    )
    engine_speed: Literal["idle", "run-up", "flight"] | None = optional(
        "engine speed",
        "Speed of the running engine: alternators give their idle output at `idle`, their rated output "
        "else. If not given: `idle` on the ground, `flight` elsewhere.",
        "run-up",
    )
    currents_of: Name | None = optional(
        "currents of",
        "The phase whose load currents hold in this state. If not given: the phases in this state, "
        "else the largest current of each load.",
        "cruise",
    )
    switches: FrozenMap[Name] = optional(
        "switches",
        "The position of each switch, as its `positions` name it, and of each breaker-switch, `closed` "
        "or `open`. One that springs back is at rest where this does not say otherwise.",
        {"master": "up", "strobe": "closed"},
        default=no_entries,
    )
    pulled: tuple[Name, ...] = optional(
        "pulled", "Breakers pulled and fuses removed in this state.", ["field-breaker"], default=()
    )
    units_off: tuple[Name, ...] = optional(
        "units off",
        "Loads and instruments with a switch of their own that are turned off at the unit in this state.",
        ["radio"],
        default=(),
    )
    outputs_on: tuple[TerminalRef, ...] = optional(
        "outputs on",
        "Commanded outputs of units, as `unit.output`, that are on in this state.",
        ["engine-monitor.warning"],
        default=(),
    )
    external_power: Literal["connected", "absent"] | None = optional(
        "external power", "Whether external power is connected.", "absent"
    )
    chargers: tuple[Name, ...] = optional(
        "chargers",
        "The chargers from the mains or the sun that work in this state; one from another bus works "
        "whenever its input has power.",
        ["solar"],
        default=(),
    )
    dead: tuple[Name, ...] = optional(
        "dead", "Buses that must be dead in this state.", ["avionics-bus"], default=()
    )
    without: tuple[Name, ...] = optional(
        "without", "Functions that are off in this state on purpose.", ["navigation"], default=()
    )
    silent: tuple[Name, ...] = optional(
        "silent",
        "Magnetos that must not fire in this state, however the propeller is turned.",
        ["left-magneto", "right-magneto"],
        default=(),
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
        "Switches and breakers to move, and to which position (`pulled` or `in` for a breaker, `off` or "
        "`on` for a unit with a switch of its own).",
        {"ignition-source": "reserve"},
    )
    label: Text | None = optional("label", "The words of the checklist.", "IGNITION SOURCE ... RESERVE")
    time: Seconds | None = optional("time", "Time it takes, noticing included.", "10 s")
    after_failure_of: tuple[Name, ...] = optional(
        "after failure of",
        "Parts and wires that have failed when it is taken; circuit protection among them has opened.",
        ["main-battery"],
        default=(),
    )
    restores: tuple[Name, ...] = optional(
        "restores",
        "Functions, loads, instruments, magnetos and sources that work once it is done in the normal state.",
        ["ignition"],
        default=(),
    )
    disconnects: tuple[Name, ...] = optional(
        "disconnects",
        "Once it is done in the normal state: buses, loads and instruments that are dead, sources "
        "that power nothing.",
        ["main-bus"],
        default=(),
    )
    note: Text | None = optional("note", "Anything a reader should know.", "Guarded switch.")


class Exclusion(Piece):
    """A combination of switch positions that cannot be set."""

    switches: FrozenMap[Name] = required(
        "switches", "The positions that cannot occur together.", {"master": "down", "alternator": "up"}
    )
    because: Text = required("because", "What prevents it.", "One toggle bar moves both.")


class Operation(Piece):
    """How the system is operated."""

    normal: Name = optional(
        "normal",
        "The state the checklist asks for in flight. Where the file names none, `normal` is made from the "
        "`normal` position of each switch.",
        "cruise",
        default=NORMAL,
    )
    states: FrozenMap[State] = optional(
        "states",
        "The states by name. Where there are none, the standard states are made from the `normal` position "
        "of each switch.",
        {"cruise": {"engine": "running", "switches": {"master": "up"}}},
        default=no_entries,
    )
    standard_states: tuple[StandardWord, ...] = optional(
        "standard states",
        "The standard states that are made beside those of the file, like its normal state; a state of the "
        "same name in the file replaces one. Where the file has no states: all of them, if not "
        "given.",
        ["parked", "cranking", "smoke"],
        default=(),
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
        [{"switches": {"master": "down", "alternator": "up"}, "because": "One bar moves both."}],
        default=(),
    )
    endurance: Seconds | None = optional(
        "endurance", "Time required on battery after the alternator is lost.", "45 min"
    )
    recognition_time: Seconds | None = optional(
        "recognition time",
        "Time until the crew has noticed that the alternator is lost and begins to shed.",
        "5 min",
    )
    load_shedding: tuple[Name, ...] = optional(
        "load shedding",
        "The actions that the crew takes, in this order, once the alternator is lost.",
        ["shed-lights-and-heat"],
        default=(),
    )
    discharged_battery_procedure: Text | None = optional(
        "discharged battery procedure",
        "What the checklist asks for before take-off after an assisted start of the engine.",
        "No take-off before the main battery draws less than 5 A.",
    )
