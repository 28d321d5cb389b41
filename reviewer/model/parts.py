"""The parts of an aircraft's electrical system, one frozen type per ``kind``, and the wires that join them.

A part says which terminals it has; a wire, a mounting or a shield names them as ``part.terminal``. Nothing here
conducts or computes: what a part does in a circuit is told by :mod:`reviewer.network`.
"""

from typing import Annotated, ClassVar, Literal

from reviewer.model.piece import (
    FrozenMap,
    Limits,
    Name,
    Pair,
    Piece,
    Tagged,
    TerminalName,
    TerminalRef,
    Text,
    need,
    no_entries,
    text,
)
from reviewer.model.quantities import (
    AmpereHours,
    Amperes,
    AmperesOrZero,
    Celsius,
    Metres,
    Ohms,
    Percent,
    Seconds,
    Volts,
    Watts,
    WireSize,
)


class Part(Piece):
    """What every part may say about itself."""

    #: terminals every part of this kind has; () where the wires name them
    fixed: ClassVar[tuple[str, ...]] = ()
    #: True where any terminal name may be used (a bar, a block, a stud)
    open_ended: ClassVar[bool] = False

    label: Text | None = text("label", "Words on the panel or beside the part.", "FUEL PUMP")
    zone: Name | None = text("zone", "Where in the aircraft the part is.", "firewall-aft")
    hottest: Celsius | None = text("hottest surroundings", "Highest temperature around it that its maker allows.", "70 C")
    unused: tuple[TerminalName, ...] = text("unused terminals", "Terminals left unconnected on purpose.", ["pin-4-plug"], default=())
    note: Text | None = text("note", "Anything a reader should know.", "Second-hand, checked on the bench.")

    def terminals(self) -> tuple[str, ...]:
        """Terminal names this part has by itself; an open-ended part has those its wires name."""
        return self.fixed


class Battery(Part):
    """A battery, main or reserve."""

    kind: Literal["battery"] = need("kind", "A battery.", "battery")
    fixed = ("positive", "negative")
    purpose: Literal["main", "reserve"] = text("purpose", "Whether it is a main battery or one kept in reserve.", "reserve", default="main")
    kept_for: tuple[Name, ...] = text(
        "kept for",
        "For a reserve: the functions, loads and instruments that it is kept for; it should feed nothing else.",
        ["right-ignition", "standby-attitude"],
        default=(),
    )
    chemistry: Literal["lead-acid", "lithium-iron-phosphate"] | None = text("chemistry", "What is in the cells.", "lead-acid")
    capacity: AmpereHours | None = text("capacity", "Rated capacity at the 20-hour rate.", "17 Ah")
    internal_resistance: Ohms | None = text("internal resistance", "Resistance of a new, charged battery.", "0.008 ohm")
    state_of_charge: Percent | None = text(
        "state of charge", "How full it is when the operating point is solved; a full battery where it is left out.", "80 %"
    )
    disconnects_below: Volts | None = text(
        "disconnects below", "For a battery with a management circuit: the voltage below which it disconnects itself.", "11.0 V"
    )
    disconnects_above: Volts | None = text(
        "disconnects above", "For a battery with a management circuit: the voltage above which it disconnects itself.", "15.8 V"
    )
    charge_from: Volts | None = text("charge from", "Lowest voltage at which its maker has it charged.", "13.6 V")
    charge_to: Volts | None = text("charge to", "Highest voltage at which its maker has it charged.", "14.7 V")
    charge_limit: Amperes | None = text("charge limit", "Largest current that it may be charged with.", "40 A")
    surge_limit: Amperes | None = text("surge limit", "Largest current that it gives to a starter at the coldest start.", "300 A")
    endurance: Seconds | None = text("endurance", "For a reserve: time for which it must carry what it is kept for.", "45 min")
    held_down: bool | None = text("held down", "Whether its tray holds it in a hard landing.", True)
    vented: bool | None = text("vented", "Whether its gas is led overboard, or cannot come out.", True)
    posts_covered: bool | None = text("posts covered", "Whether its posts are covered against a falling tool.", True)
    tested_every: Text | None = text("tested every", "How often its capacity is measured.", "12 months")
    replaced_below: Percent | None = text("replaced below", "Share of its rated capacity below which it is replaced.", "80 %")


class Alternator(Part):
    """An engine-driven alternator with its regulator."""

    kind: Literal["alternator"] = need("kind", "An alternator.", "alternator")
    fixed = ("output", "ground", "field")
    excitation: Literal["field", "permanent-magnet"] = text(
        "excitation", "A field winding that must be fed, or permanent magnets.", "field", default="field"
    )
    rating: Amperes | None = text("rating", "Rated output; it limits itself near this current.", "60 A")
    current_limit: Amperes | None = text("current limit", "Current at which it limits itself in flight, where that is not its rating.", "64 A")
    idle_output: Amperes | None = text("idle output", "Output at idle speed.", "24 A")
    set_point: Volts | None = text("regulator set point", "Voltage the regulator holds.", "14.4 V")
    over_voltage_trip: Volts | Literal["none"] | None = text(
        "over-voltage trip", "Voltage at which a device of its own disconnects the alternator, or `none`.", "16.2 V", "none"
    )
    trip_acts_on: Literal["field", "field-short", "output"] | None = text(
        "trip acts on",
        "What the over-voltage trip does: opens the field, shorts the field feed so that its protector opens, or opens the output.",
        "field",
    )
    regulator: Literal["external", "internal"] | None = text(
        "regulator", "Whether the regulator stands apart or is inside the alternator.", "external"
    )
    regulator_senses: Literal["output", "field"] | None = text(
        "regulator senses", "The terminal whose voltage the regulator holds: its own output, or the feed of the field.", "field"
    )
    field_current: Amperes | None = text("field current", "Current of the field at full output.", "3 A")

    @property
    def most(self) -> float | None:
        """Amperes at which it limits itself in flight; None where the file does not say."""
        return self.current_limit or self.rating

    def terminals(self) -> tuple[str, ...]:
        return self.fixed if self.excitation == "field" else self.fixed[:2]


class GroundPower(Part):
    """A socket for power from outside."""

    kind: Literal["ground-power"] = need("kind", "An external power socket.", "ground-power")
    fixed = ("positive", "negative")
    rating: Amperes | None = text("rating", "Current the socket may carry.", "150 A")
    voltage: Volts | None = text("voltage", "Voltage that the power from outside is regulated to.", "14.0 V")


class Bus(Part):
    """A bus bar: all of its terminals are joined."""

    kind: Literal["bus"] = need("kind", "A bus bar.", "bus")
    open_ended = True
    rating: Amperes | None = text("rating", "Current the bar may carry.", "60 A")


class Protector(Part):
    """What breakers, fuses and limiters share."""

    fixed = ("line", "load")
    rating: Amperes | None = text("rating", "Rated current.", "7.5 A")
    reach: Literal["in-flight", "on-ground"] | None = text("reach", "Whether the crew can reach it in flight.", "in-flight")
    resistance: Ohms | None = text("resistance", "Resistance from line to load when closed.", "0.007 ohm")


class Breaker(Protector):
    """A circuit breaker."""

    kind: Literal["breaker"] = need("kind", "A circuit breaker.", "breaker")
    reset: Literal["trip-free", "not-trip-free", "automatic"] | None = text("reset", "How it resets.", "trip-free")


class Fuse(Protector):
    """A fuse."""

    kind: Literal["fuse"] = need("kind", "A fuse.", "fuse")
    spares: Annotated[int, Limits(ge=0)] | None = text("spares", "Spare fuses of this rating carried.", 2)
    construction: Literal["blade", "large-blade", "cartridge"] | None = text("construction", "How it is made, which says how fast it opens.", "blade")


class Limiter(Protector):
    """A current limiter: a slow, heavy fuse for a feeder."""

    kind: Literal["limiter"] = need("kind", "A current limiter.", "limiter")


class BreakerSwitch(Protector):
    """A circuit breaker made to be used as a switch; its positions are `on` and `off`."""

    kind: Literal["breaker-switch"] = need("kind", "A switch-rated breaker.", "breaker-switch")


class Switch(Part):
    """A switch of any number of poles and positions, given by what each position joins."""

    kind: Literal["switch"] = need("kind", "A switch.", "switch")
    positions: Annotated[FrozenMap[tuple[Pair, ...]], Limits(min_length=1)] = need(
        "positions", "For each position, the pairs of terminals it joins; `[]` where it joins none.", {"off": [], "on": [["line", "load"]]}
    )
    transit: Literal["break-before-make", "make-before-break", "unknown"] | None = text(
        "transit", "What the contacts do between positions; not known is evaluated both ways.", "break-before-make"
    )
    transfer_time: Seconds | None = text("transfer time", "How long no contact is closed while it goes from one position to the next.", "15 ms")
    momentary: tuple[Name, ...] = text("momentary positions", "Positions that spring back.", ["start"], default=())
    rating: Amperes | None = text("rating", "Direct-current rating of one contact.", "10 A")
    resistance: Ohms | None = text("resistance", "Resistance of one closed contact.", "0.010 ohm")
    guard: Literal["none", "guarded", "locking-lever"] | None = text("guard", "Protection from being knocked.", "locking-lever")
    placard: Text | None = text("placard", "Words beside it that warn of a position.", "RESERVE: both ignitions on one battery")
    alternating_rating: Amperes | None = text("alternating-current rating", "Rating for alternating current, where its maker gives one.", "10 A")
    contact_metal: Literal["silver", "gold"] | None = text("contact metal", "What the faces of its contacts are made of.", "silver")
    grade: Literal["aircraft", "commercial"] | None = text("grade", "What it was made for.", "aircraft")
    reached_from: tuple[Name, ...] = text("reached from", "The seats from which it can be reached in flight.", ["left-seat"], default=())

    def terminals(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(t for pairs in self.positions.values() for pair in pairs for t in pair))


class MakeContact(Piece):
    """Open at rest, closed when the coil is energised."""

    kind: Literal["make"] = need("kind", "A make contact (normally open).", "make")
    joins: Pair = need("joins", "The two terminals it joins when energised.", ["line", "load"])


class BreakContact(Piece):
    """Closed at rest, open when the coil is energised."""

    kind: Literal["break"] = need("kind", "A break contact (normally closed).", "break")
    joins: Pair = need("joins", "The two terminals it joins at rest.", ["line", "load"])


class ChangeoverContact(Piece):
    """Joins its common to one terminal at rest and to another when the coil is energised."""

    kind: Literal["changeover"] = need("kind", "A change-over contact.", "changeover")
    common: TerminalName = need("common", "The moving terminal.", "common")
    at_rest: TerminalName = need("at rest", "Joined to the common when the coil is not energised.", "main-side")
    energised: TerminalName = need("energised", "Joined to the common when the coil is energised.", "reserve-side")


Contact = Annotated[MakeContact | BreakContact | ChangeoverContact, Tagged()]


class Electromagnet(Part):
    """What relays and contactors share: a coil and its contacts."""

    coil: Pair = need("coil", "The two terminals of the coil; one may be shared with a contact.", ["coil-plus", "coil-minus"])
    contacts: Annotated[FrozenMap[Contact], Limits(min_length=1)] = need(
        "contacts", "The contacts by name.", {"main": {"kind": "make", "joins": ["line", "load"]}}
    )
    coil_current: Amperes | None = text("coil current", "Current of the coil at nominal volts.", "0.8 A")
    suppression: Literal["none", "diode", "transient-suppressor", "internal"] | None = text(
        "suppression", "What takes the coil's voltage spike, where it is part of the unit; a separate diode is a part of its own.", "internal"
    )
    duty: Literal["continuous", "intermittent"] | None = text("duty", "How long the coil may stay energised.", "continuous")
    pull_in: Volts | None = text("pull-in", "Voltage across the hot coil at which it surely pulls in.", "9 V")
    drop_out: Volts | None = text("drop-out", "Voltage across the coil below which it may let go.", "4 V")
    coil_most: Volts | None = text("coil most", "Highest voltage that the coil endures.", "16 V")
    pull_in_current: Amperes | None = text("pull-in current", "Current of its coils for the first moment, where that is more.", "30 A")
    transfer_time: Seconds | None = text("transfer time", "How long no contact is closed while it changes over.", "10 ms")
    rating: Amperes | None = text("rating", "Direct-current rating of one contact.", "30 A")
    resistance: Ohms | None = text("resistance", "Resistance of one closed contact.", "0.0003 ohm")

    def terminals(self) -> tuple[str, ...]:
        names = list(self.coil)
        for contact in self.contacts.values():
            names += [contact.common, contact.at_rest, contact.energised] if isinstance(contact, ChangeoverContact) else contact.joins
        return tuple(dict.fromkeys(names))


class Relay(Electromagnet):
    """A relay."""

    kind: Literal["relay"] = need("kind", "A relay.", "relay")


class Contactor(Electromagnet):
    """A contactor: a relay for heavy current."""

    kind: Literal["contactor"] = need("kind", "A contactor.", "contactor")


class Diode(Part):
    """A diode; it conducts from anode to cathode."""

    kind: Literal["diode"] = need("kind", "A diode.", "diode")
    fixed = ("anode", "cathode")
    duty: Literal["isolation", "suppression"] | None = text(
        "duty", "`isolation`: lets current into what it protects and not back; `suppression`: takes a coil's spike.", "isolation"
    )
    protects: Name | None = text("protects", "For an isolation diode, the part kept behind it, on its cathode side.", "reserve-battery")
    rating: Amperes | None = text("rating", "Continuous current.", "25 A")
    drop: Volts | None = text("drop", "Forward drop at its drop current, or at its rating where no drop current is given.", "0.6 V")
    drop_current: Amperes | None = text("drop current", "Current at which the drop is given.", "10 A")
    technology: Literal["silicon", "schottky", "ideal"] | None = text(
        "technology", "`silicon`, `schottky`, or `ideal` for a circuit with a transistor that behaves like a diode.", "schottky"
    )
    reverse_rating: Volts | None = text("reverse rating", "Highest voltage that it blocks.", "45 V")
    leakage: Amperes | None = text("leakage", "Current that passes backwards when it is hot.", "1 mA")
    heat_sink: bool | None = text("heat sink", "Whether it is bolted to something that takes its heat.", True)


class Shunt(Part):
    """A shunt for an ammeter."""

    kind: Literal["shunt"] = need("kind", "A shunt.", "shunt")
    fixed = ("line", "load")
    rating: Amperes | None = text("rating", "Current at full reading.", "60 A")
    resistance: Ohms | None = text("resistance", "Its resistance; 50 mV at its rating where it is left out.", "0.0005 ohm")

    def terminals(self) -> tuple[str, ...]:
        return ("line", "load")


class Consumer(Part):
    """What loads and instruments share."""

    supplies: Annotated[tuple[TerminalName, ...], Limits(min_length=1)] = text(
        "supplies", "Supply terminals; any one is enough, and they do not feed each other.", ["supply-a", "supply-b"], default=("supply",)
    )
    returns: Annotated[tuple[TerminalName, ...], Limits(min_length=1)] = text(
        "returns", "Return terminals, joined inside the unit.", ["return"], default=("return",)
    )
    mounted_on: TerminalRef | None = text("mounted on", "The terminal that its case, joined to its return, is bolted to.", "airframe.panel")
    current: AmperesOrZero | FrozenMap[AmperesOrZero] | None = text(
        "current", "Average current, or the current in each phase.", "5 A", {"cruise": "4 A"}
    )
    peak: Amperes | None = text("peak current", "Largest current that lasts more than a moment.", "12 A")
    minimum: Volts | None = text("minimum voltage", "Lowest voltage at which it works.", "9 V")
    maximum: Volts | None = text("maximum voltage", "Highest voltage it endures.", "16 V")
    used: Literal["continuous", "intermittent"] | None = text("used", "Whether it draws its current on and on or for short times.", "intermittent")
    hold_up: Seconds | None = text("hold-up", "How long it works on without supply.", "50 ms")
    standby: Amperes | None = text("standby current", "Current that it draws when it is switched off but its supply is live.", "5 mA")
    power: Watts | None = text("power", "Power that its maker states, at nominal volts.", "55 W")
    figures: Literal["measured", "maker", "estimate"] | None = text("figures", "Where its currents come from.", "measured")
    noise: Literal["quiet", "pulsed", "switching"] | None = text(
        "noise", "Whether its current is steady, comes in pulses (a strobe, a motor), or is chopped inside (a converter).", "pulsed"
    )
    filtered: bool | None = text("filtered", "Whether its supply has a filter against noise.", True)
    unit: Name | None = text("unit", "Units of the same name are alike: same make, type and software.", "ignition-box")


class Load(Consumer):
    """Anything that takes power."""

    kind: Literal["load"] = need("kind", "A load.", "load")
    type: Literal["electronic", "resistive", "inductive", "motor", "starter", "lamp", "heater"] | None = text(
        "type", "What kind of load it is to a contact and to a supply.", "motor"
    )

    def terminals(self) -> tuple[str, ...]:
        return self.supplies + self.returns


class SignalInput(Piece):
    """One signal input of an instrument."""

    signal: TerminalName = need("signal", "The signal terminal.", "oil-temp-in")
    return_: TerminalName | None = text("return", "The terminal for the signal's return, where there is one.", "oil-temp-return")
    reads: Literal["voltage", "closed-to-ground", "closed-to-supply"] | None = text(
        "reads", "A voltage, or a contact that closes to ground or to a supply.", "closed-to-ground"
    )
    pull_up: Volts | None = text("pull-up", "Voltage to which the input pulls an open signal.", "5 V")
    pull_up_resistance: Ohms | None = text("pull-up resistance", "Resistance through which it pulls.", "10 kohm")
    highest: Volts | None = text("highest voltage", "Highest voltage that the input endures.", "32 V")
    resistance: Ohms | None = text("resistance", "Resistance from the signal to its return: what a sense lead draws through.", "100 kohm")


class Instrument(Consumer):
    """An instrument, radio, audio panel or display: a load with signal inputs."""

    kind: Literal["instrument"] = need("kind", "An instrument.", "instrument")
    inputs: FrozenMap[SignalInput] = text(
        "inputs", "Signal inputs by name.", {"oil-temp": {"signal": "oil-temp-in", "return": "oil-temp-return"}}, default=no_entries
    )
    signal_returns: Literal["joined", "isolated"] | None = text(
        "signal returns", "Whether signal returns are joined to the power return inside the unit, or isolated from it.", "joined"
    )

    def terminals(self) -> tuple[str, ...]:
        signals = [t for i in self.inputs.values() for t in (i.signal, i.return_) if t]
        return tuple(dict.fromkeys(self.supplies + self.returns + tuple(signals)))


class Sensor(Part):
    """A sensor, sender, headset jack or microphone jack."""

    kind: Literal["sensor"] = need("kind", "A sensor or jack.", "sensor")
    fixed = ("signal", "return")
    carries: Literal["measurement", "audio", "data"] = text("carries", "What its signal is.", "audio", default="measurement")
    span: Volts | None = text("span", "Change of its signal from one end of the scale to the other.", "5 V")
    mounted_on: TerminalRef | None = text("mounted on", "The terminal that its case, joined to its return, is bolted to.", "engine-block.sender")


class GroundBlock(Part):
    """A block of ground tabs, all joined."""

    kind: Literal["ground-block"] = need("kind", "A ground block.", "ground-block")
    open_ended = True


class Stud(Part):
    """One stud with ring terminals, all joined."""

    kind: Literal["stud"] = need("kind", "A stud.", "stud")
    open_ended = True
    locked: bool | None = text("locked", "Whether the nut is locked.", True)


class Connector(Part):
    """A connector: each pin joins its two sides, `NAME-plug` and `NAME-socket`."""

    kind: Literal["connector"] = need("kind", "A connector.", "connector")
    pins: Annotated[tuple[Name, ...], Limits(min_length=1)] = need("pins", "The pins by name.", ["1", "2", "3"])
    pin_rating: Amperes | None = text("pin rating", "Current one pin may carry.", "7.5 A")
    inspected: Literal["in-place", "panel-off", "structure-off"] | None = text(
        "inspected", "What must be taken off to see that it is mated.", "in-place"
    )
    resistance: Ohms | None = text("resistance", "Resistance of one mated pin.", "0.005 ohm")

    def terminals(self) -> tuple[str, ...]:
        return tuple(f"{pin}-{side}" for pin in self.pins for side in ("plug", "socket"))


class Splice(Part):
    """A splice: all its wires are joined."""

    kind: Literal["splice"] = need("kind", "A splice.", "splice")
    open_ended = True


class Airframe(Part):
    """The structure; it conducts where the aircraft's airframe is metal. The engine's metal is one of these too."""

    kind: Literal["airframe"] = need("kind", "Structure used as a conductor.", "airframe")
    open_ended = True
    material: Literal["metal", "composite", "wood"] | None = text("material", "Where it differs from the aircraft's.", "metal")


class Wire(Piece):
    """One wire between two terminals."""

    from_: TerminalRef = need("from", "The terminal at one end, as `part.terminal`.", "main-bus.stud-1")
    to: TerminalRef = need("to", "The terminal at the other end, as `part.terminal`.", "fuel-pump-breaker.line")
    gauge: WireSize | None = text("gauge", "Wire size.", "18 AWG", "1.5 mm2")
    length: Metres | None = text("length", "Length from terminal to terminal.", "0.6 m", "24 in")
    resistance: Ohms | None = text(
        "resistance", "Its resistance, for a braid or where it was measured; else it follows from gauge and length.", "0.0008 ohm"
    )
    bundle: Name | None = text("bundle", "The bundle it runs in.", "panel-left")
    zone: Name | None = text("zone", "Where in the aircraft it runs.", "cabin")
    insulation: Celsius | None = text("insulation", "Temperature class of the insulation.", "150 C")
    insulation_material: Literal["etfe", "ptfe", "polyimide", "pvc", "rubber"] | None = text(
        "insulation material", "What the insulation is made of; `rubber` for the cable of welding sets.", "etfe"
    )
    conductor: Literal["copper", "aluminium"] | None = text("conductor", "What the conductor is made of.", "copper")
    through: tuple[Name, ...] = text("through", "The grommets and fittings of bulkheads that it passes.", ["left-grommet"], default=())
    highest_resistance: Ohms | None = text("highest resistance", "Resistance that a test of this bond or ground lead accepts.", "0.001 ohm")
    shield: Annotated[tuple[TerminalRef, ...], Limits(max_length=2)] | None = text(
        "shield", "For a shielded wire, the terminals at which the shield is grounded: none, one or two.", ["audio-panel.mic-return"]
    )
    label: Text | None = text("label", "What is marked on it, where that differs from its name.", "W21A")
    note: Text | None = text("note", "Anything a reader should know.", "Spare length coiled behind the panel.")


PART_KINDS: dict[str, type[Part]] = {
    "battery": Battery, "alternator": Alternator, "ground-power": GroundPower, "bus": Bus,
    "breaker": Breaker, "fuse": Fuse, "limiter": Limiter, "breaker-switch": BreakerSwitch, "switch": Switch,
    "relay": Relay, "contactor": Contactor, "diode": Diode, "shunt": Shunt, "load": Load, "instrument": Instrument, "sensor": Sensor,
    "ground-block": GroundBlock, "stud": Stud, "connector": Connector, "splice": Splice, "airframe": Airframe,
}  # fmt: skip
