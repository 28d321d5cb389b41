"""What takes power or gives a signal: loads, instruments and sensors."""

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import Field

from reviewer.model.fields import (
    FrozenMap,
    Name,
    Piece,
    TerminalName,
    TerminalRef,
    no_entries,
    optional,
    required,
)
from reviewer.model.part import Part
from reviewer.model.quantities import Amperes, AmperesOrZero, Ohms, Seconds, Volts, Watts, Written


class UnitOutput(Piece):
    """One output of a unit: a driver transistor or a contact inside it."""

    terminal: TerminalName = required("terminal", "The terminal of the output.", "low-fuel-out")
    switches: Literal["ground", "supply"] = required(
        "switches", "What it joins its terminal to: the return of the unit, or its supply.", "ground"
    )
    when: Literal["working", "not-working", "commanded"] = required(
        "when",
        "When it does: all the time while the unit has power, while it has none, or while it has power and "
        "a state lists the output under `outputs-on`.",
        "commanded",
    )


class Consumer(Part):
    """What loads and instruments share."""

    supplies: Annotated[tuple[TerminalName, ...], Field(min_length=1)] = optional(
        "supplies",
        "Supply terminals; any one is enough, and they do not feed each other.",
        ["supply-a", "supply-b"],
        default=("supply",),
    )
    returns: Annotated[tuple[TerminalName, ...], Field(min_length=1)] = optional(
        "returns", "Return terminals, joined inside the unit.", ["return"], default=("return",)
    )
    mounted_on: TerminalRef | None = optional(
        "mounted on", "The terminal that its case, joined to its return, is bolted to.", "airframe.panel"
    )
    current: AmperesOrZero | FrozenMap[AmperesOrZero] | None = optional(
        "current", "Average current, or the current in each phase.", "5 A", {"cruise": "4 A"}
    )
    peak: Amperes | None = optional("peak current", "Largest current that is more than momentary.", "12 A")
    nominal: Volts | None = optional(
        "nominal",
        "Volts at which its current and power are stated. Left out: the nominal volts of the aircraft, or "
        "14 V or 28 V where a converter to these feeds it and no source of the aircraft's volts can.",
        "14 V",
    )
    minimum: Volts | None = optional("minimum voltage", "Lowest voltage at which it works.", "9 V")
    maximum: Volts | None = optional("maximum voltage", "Highest voltage for which it is rated.", "16 V")
    duty: Literal["continuous", "intermittent"] | None = optional(
        "duty", "Whether it draws its current continuously or intermittently.", "intermittent"
    )
    hold_up: Seconds | None = optional("hold-up", "How long it keeps working without supply.", "50 ms")
    internal_battery: Seconds | None = optional(
        "internal battery",
        "How long it works on its internal battery once its supply is lost; it then counts as working in "
        "a failure where that is at least the `endurance` of the operation, or none is given. Not where "
        "it has failed itself or is turned off by `own-switch`.",
        "30 min",
    )
    standby: Amperes | None = optional(
        "standby current", "Current that it draws when it is switched off but its supply is live.", "5 mA"
    )
    power: Watts | None = optional(
        "power",
        "Power that its maker states, at its nominal volts. Where no `current` is given, it is taken as "
        "this over those volts; not of a starter.",
        "55 W",
    )
    figures: Literal["measured", "maker"] | None = optional(
        "figures",
        "Where its currents come from. One that is an estimate is written `~5 A` or `4 to 6 A`.",
        "measured",
    )
    noise: Literal["quiet", "pulsed", "switching"] | None = optional(
        "noise",
        "Whether its current is steady, comes in pulses (a strobe, a motor), or is chopped inside "
        "(a converter).",
        "pulsed",
    )
    filtered: bool | None = optional("filtered", "Whether its supply has a filter against noise.", True)
    own_switch: bool | None = optional(
        "own switch",
        "Whether the crew turns it off at the unit itself, by its own switch or knob; a state lists it "
        "under `units-off`, an action moves it to `off` or `on`.",
        True,
    )
    outputs: FrozenMap[UnitOutput] = optional(
        "outputs",
        "Outputs by name, which drive something outside the unit: they follow its power.",
        {"low-fuel": {"terminal": "low-fuel-out", "switches": "ground", "when": "commanded"}},
        default=no_entries,
    )
    unit_type: Name | None = optional(
        "unit type", "Units of one type are identical: same make, model and software.", "ignition-box"
    )

    @property
    def driven(self) -> tuple[str, ...]:
        """The terminals of its outputs."""
        return tuple(output.terminal for output in self.outputs.values())

    @property
    def bridging(self) -> float:
        """Seconds for which it works on without supply, by what it stores or a battery inside."""
        return max(self.hold_up or 0.0, self.internal_battery or 0.0)

    @property
    def currents(self) -> tuple[float, ...]:
        """The currents that the file gives, A: one, or one for each phase that it names."""
        if isinstance(self.current, Mapping):
            return tuple(self.current.values())
        return () if self.current is None else (self.current,)

    @property
    def drawn(self) -> tuple[float, ...]:
        """All that the file gives of what it draws: currents, peak, standby current and power."""
        return (*self.currents, *(v for v in (self.peak, self.standby, self.power) if v is not None))

    @property
    def estimated(self) -> bool:
        """Whether any of what it draws is an estimate."""
        return any(isinstance(v, Written) and v.estimate for v in self.drawn)

    @property
    def running_current(self) -> float | None:
        """The least current at which it runs in any phase, A; None where the file gives none."""
        return min((amperes for amperes in self.currents if amperes > 0), default=None)


class Load(Consumer):
    """Anything that takes power."""

    kind: Literal["load"] = required("kind", "A load.", "load")
    type: Literal["electronic", "resistive", "inductive", "motor", "starter", "lamp", "heater"] | None = (
        optional("type", "What kind of load it is to a contact and to a supply.", "motor")
    )
    peak_voltage: Volts | None = optional(
        "peak voltage",
        "Voltage at its terminals at which a motor, starter or lamp draws its peak current.",
        "9 V",
    )

    turns: Name | None = optional(
        "turns", "For a starter: the engine that it turns, where the aircraft has several.", "left-engine"
    )
    longest_run: Seconds | None = optional(
        "longest run",
        "For a starter: how long its maker lets it run at once; half a minute where it is left out.",
        "10 s",
    )
    reversible: bool | None = optional(
        "reversible",
        "Whether a motor runs in reverse when its supply and its return are reversed.",
        True,
    )

    driver: Name | None = optional(
        "driver",
        "The unit whose outputs drive it, as a computer its injectors; its own name where it has a driver "
        "or contact of its own.",
        "engine-computer",
    )
    heats: Literal["pitot-tube", "other"] | None = optional(
        "heats",
        "For a heater: whether it heats the pitot tube, which flight under instrument rules needs.",
        "pitot-tube",
    )
    annunciator: Name | None = optional(
        "annunciator",
        "The lamp that must be lit while a heater, as that of a pitot tube, is off or has failed.",
        "pitot-off-lamp",
    )

    def terminals(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self.supplies + self.returns + self.driven))


class SignalInput(Piece):
    """One signal input of an instrument."""

    signal: TerminalName = required("signal", "The signal terminal.", "oil-temp-in")
    return_: TerminalName | None = optional(
        "return",
        "The terminal for the signal's return, where there is one; at a shunt the input of its low side.",
        "oil-temp-return",
    )
    reads: Literal["voltage", "closed-to-ground", "closed-to-supply"] | None = optional(
        "reads", "A voltage, or a contact that closes to ground or to a supply.", "closed-to-ground"
    )
    pull_up: Volts | None = optional("pull-up", "Voltage to which the input pulls an open signal.", "5 V")
    pull_up_resistance: Ohms | None = optional(
        "pull-up resistance", "Resistance through which it pulls.", "10 kohm"
    )
    maximum: Volts | None = optional(
        "maximum voltage", "Highest voltage for which the input is rated.", "32 V"
    )
    resistance: Ohms | None = optional(
        "resistance", "Resistance from the signal to its return: what a sense lead draws through.", "100 kohm"
    )


class Instrument(Consumer):
    """An instrument, radio, audio panel or display: a load with signal inputs."""

    kind: Literal["instrument"] = required("kind", "An instrument.", "instrument")
    inputs: FrozenMap[SignalInput] = optional(
        "inputs",
        "Signal inputs by name.",
        {"oil-temp": {"signal": "oil-temp-in", "return": "oil-temp-return"}},
        default=no_entries,
    )
    signal_returns: Literal["joined", "isolated"] | None = optional(
        "signal returns",
        "Whether signal returns are joined to the power return inside the unit, or isolated from it.",
        "joined",
    )
    takes_over: tuple[Name, ...] = optional(
        "takes over",
        "Instruments whose place it takes when they are lost: a display that then shows all.",
        ["left-display"],
        default=(),
    )

    def ends_of_measuring(self) -> tuple[str, ...]:
        """The signal returns that are no signal of another input: of two inputs at a shunt the low one
        is no end of a measuring current."""
        signals = {i.signal for i in self.inputs.values()}
        ends = (i.return_ for i in self.inputs.values() if i.return_ and i.return_ not in signals)
        return tuple(dict.fromkeys(ends))

    def reads(self, terminal: str) -> str | None:
        """What the input of a signal terminal reads; None where that is not said or there is none."""
        return next((i.reads for i in self.inputs.values() if i.signal == terminal), None)

    def terminals(self) -> tuple[str, ...]:
        signals = [t for i in self.inputs.values() for t in (i.signal, i.return_) if t]
        return tuple(dict.fromkeys(self.supplies + self.returns + tuple(signals) + self.driven))


class Sensor(Part):
    """A sensor, sender, headset jack or microphone jack."""

    kind: Literal["sensor"] = required("kind", "A sensor or jack.", "sensor")
    fixed = ("signal", "return")
    carries: Literal["measurement", "audio", "data"] = optional(
        "carries", "What its signal is.", "audio", default="measurement"
    )
    span: Volts | None = optional(
        "span", "Change of its signal from one end of the scale to the other.", "5 V"
    )
    mounted_on: TerminalRef | None = optional(
        "mounted on", "The terminal that its case, joined to its return, is bolted to.", "engine-block.sender"
    )
