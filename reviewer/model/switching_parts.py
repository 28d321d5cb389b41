"""What switches or steers a current: switches, relays, contactors and diodes."""

from typing import Annotated, Literal

from pydantic import Field

from reviewer.model.fields import FrozenMap, Name, Pair, Piece, TerminalName, Text, optional, required
from reviewer.model.part import Part
from reviewer.model.quantities import Amperes, Ohms, Seconds, Volts


class RatedContacts(Part):
    """What switches, relays and contactors share: what a maker says of a contact besides its rating."""

    make_rating: Amperes | None = optional(
        "make rating", "Largest current onto which one contact may close: the inrush of its loads.", "60 A"
    )
    inductive_rating: Amperes | None = optional(
        "inductive rating",
        "Largest inductive current, of coils and motors, that one contact may open.",
        "8 A",
    )
    short_time_rating: Amperes | None = optional(
        "short-time rating", "Current of one contact for as long as the engine cranks.", "400 A"
    )


class Switch(RatedContacts):
    """A switch of any number of poles and positions, given by what each position joins."""

    kind: Literal["switch"] = required("kind", "A switch.", "switch")
    positions: Annotated[FrozenMap[tuple[Pair, ...]], Field(min_length=1)] = required(
        "positions",
        "For each position, in the order in which it moves through them, the pairs of terminals it joins; "
        "`[]` where it joins none.",
        {"down": [], "up": [["line", "load"]]},
    )
    transfer: Literal["break-before-make", "make-before-break", "unknown"] | None = optional(
        "transfer",
        "What the contacts do between positions; not known is evaluated both ways.",
        "break-before-make",
    )
    transfer_time: Seconds | None = optional(
        "transfer time", "How long no contact is closed between one position and the next.", "15 ms"
    )
    momentary: tuple[Name, ...] = optional(
        "momentary positions", "Spring-return positions.", ["start"], default=()
    )
    normal: Name | None = optional(
        "normal position",
        "Its position in normal flight, also of one that senses something: standard states are made from "
        "it, and the state of normal flight need not repeat it. Not needed where all its other positions "
        "are spring-return.",
        "up",
    )
    off: Name | None = optional(
        "off position",
        "Its position in a parked aircraft. If not given: where it grounds the p-leads on it, else the only "
        "position that joins nothing; a switch without such a position stays where it is.",
        "down",
    )
    rating: Amperes | None = optional("rating", "Direct-current rating of one contact.", "10 A")
    resistance: Ohms | None = optional("resistance", "Resistance of one closed contact.", "0.010 ohm")
    guard: Literal["none", "guarded", "locking-lever", "key"] | None = optional(
        "guard", "Protection against inadvertent operation; a `key` must be turned.", "locking-lever"
    )
    placard: Text | None = optional(
        "placard", "Words beside it that warn of a position.", "RESERVE: both ignitions on one battery"
    )
    ac_rating: Amperes | None = optional(
        "AC rating", "Rating for alternating current, where its maker gives one.", "10 A"
    )
    contact_material: Literal["silver", "gold"] | None = optional(
        "contact material", "What the faces of its contacts are made of.", "silver"
    )
    grade: Literal["aircraft", "commercial"] | None = optional("grade", "What it was made for.", "aircraft")
    accessible_from: tuple[Name, ...] = optional(
        "accessible from", "The seats from which it can be reached in flight.", ["left-seat"], default=()
    )
    operated_by: Literal[
        "hand", "pressure", "temperature", "flow", "level", "inertia", "limit", "voltage", "stall", "gear",
        "current",
    ] = optional(
        "operated by",
        "What moves it: the crew, or what it senses. One worked by a `current` senses that of the load, "
        "instrument or alternator that it `follows`.",
        "pressure",
        default="hand",
    )  # fmt: skip
    pickup_voltage: Volts | None = optional(
        "pickup voltage",
        "For a switch operated by voltage that follows a load, instrument or bus: the volts there at which "
        "it is sure to leave its rest; above those of a full battery at rest it leaves it by what charges "
        "alone. If not given: any.",
        "13.4 V",
    )
    dropout_voltage: Volts | None = optional(
        "dropout voltage",
        "For a switch with a pickup voltage: the volts below which it returns to its rest. If not given: it "
        "stays while there are any.",
        "12.9 V",
    )
    follows: Name | None = optional(
        "follows",
        "For a switch that is not operated by hand: the load, instrument, bus or alternator whose work moves "
        "it, or `engine`. One that follows nothing is at rest unless a state's `switches` says otherwise.",
        "boost-pump",
    )
    at_rest: Name | None = optional(
        "at rest",
        "For a switch that is not operated by hand: its position while what it senses is absent, as what it "
        "follows is off or has failed; it is at the other one while that works.",
        "low",
    )

    ground: TerminalName | None = optional(
        "ground",
        "For a switch operated by voltage or current: the terminal of its own ground lead, against which "
        "it measures. One that follows something is at rest while no source has its return there.",
        "ground",
    )

    @property
    def by_hand(self) -> bool:
        """Whether the crew moves it."""
        return self.operated_by == "hand"

    @property
    def springs_to(self) -> str | None:
        """The only position in which it stays when nobody holds it; None where it stays in several."""
        stays = [at for at in self.positions if at not in self.momentary]
        return stays[0] if len(stays) == 1 else None

    @property
    def in_flight(self) -> str | None:
        """Its position in normal flight; None where the file does not say."""
        return self.normal or self.springs_to

    @property
    def moved_to(self) -> str:
        """Of a switch that follows something, the position in which it stands while that works."""
        return next(at for at in self.positions if at != self.at_rest)

    def terminals(self) -> tuple[str, ...]:
        own = (self.ground,) if self.ground else ()
        joined = (t for pairs in self.positions.values() for pair in pairs for t in pair)
        return tuple(dict.fromkeys((*joined, *own)))


class MakeContact(Piece):
    """Open when de-energised, closed when energised."""

    kind: Literal["make"] = required("kind", "A make contact (normally open).", "make")
    joins: Pair = required("joins", "The two terminals it joins when energised.", ["line", "load"])

    @property
    def terminals(self) -> tuple[str, ...]:
        """All of its terminals."""
        return self.joins


class BreakContact(Piece):
    """Closed when de-energised, open when energised."""

    kind: Literal["break"] = required("kind", "A break contact (normally closed).", "break")
    joins: Pair = required("joins", "The two terminals it joins when de-energised.", ["line", "load"])

    @property
    def terminals(self) -> tuple[str, ...]:
        """All of its terminals."""
        return self.joins


class ChangeoverContact(Piece):
    """Joins its common to one terminal when de-energised and to another when energised."""

    kind: Literal["changeover"] = required("kind", "A change-over contact.", "changeover")
    common: TerminalName = required("common", "The moving terminal.", "common")
    de_energised: TerminalName = required(
        "de-energised", "Joined to the common when the coil is not energised.", "main-side"
    )
    energised: TerminalName = required(
        "energised", "Joined to the common when the coil is energised.", "reserve-side"
    )

    @property
    def terminals(self) -> tuple[str, ...]:
        """All of its terminals."""
        return self.common, self.de_energised, self.energised


Contact = Annotated[MakeContact | BreakContact | ChangeoverContact, Field(discriminator="kind")]


class Electromagnet(RatedContacts):
    """What relays and contactors share: a coil and its contacts."""

    coil: Pair = required(
        "coil",
        "The two terminals of the coil, the positive one first; one may be shared with a contact.",
        ["coil-plus", "coil-minus"],
    )
    contacts: Annotated[FrozenMap[Contact], Field(min_length=1)] = required(
        "contacts",
        "The contacts by name: one that is `make` or `break` joins two terminals, a `changeover` has "
        "`common`, `de-energised` and `energised`.",
        {"main": {"kind": "make", "joins": ["line", "load"]}},
    )
    coil_current: Amperes | None = optional("coil current", "Current of the coil at nominal volts.", "0.8 A")
    suppression: Literal["none", "diode", "transient-suppressor", "internal"] | None = optional(
        "suppression",
        "What suppresses the coil's voltage spike, where it is part of the unit; a separate diode is a "
        "part of its own. A `diode` inside has its cathode at the positive terminal of the coil: a reverse "
        "current passes it and does not hold the relay.",
        "internal",
    )
    duty: Literal["continuous", "intermittent"] | None = optional(
        "duty", "How long the coil may stay energised.", "continuous"
    )
    pickup_voltage: Volts | None = optional(
        "pickup voltage",
        "Voltage across the hot coil at which it is sure to pick up; above that of a full battery at rest it "
        "picks up by what charges alone.",
        "9 V",
    )
    dropout_voltage: Volts | None = optional(
        "dropout voltage", "Voltage across the coil below which it may drop out.", "4 V"
    )
    max_coil_voltage: Volts | None = optional(
        "maximum coil voltage", "Highest voltage for which the coil is rated.", "16 V"
    )
    pickup_current: Amperes | None = optional(
        "pickup current", "Current of its coils while it picks up, where that is more.", "30 A"
    )
    transfer_time: Seconds | None = optional(
        "transfer time", "How long no contact is closed while it changes over.", "10 ms"
    )
    rating: Amperes | None = optional("rating", "Direct-current rating of one contact.", "30 A")
    resistance: Ohms | None = optional("resistance", "Resistance of one closed contact.", "0.0003 ohm")

    def terminals(self) -> tuple[str, ...]:
        names = list(self.coil)
        for contact in self.contacts.values():
            names += contact.terminals
        return tuple(dict.fromkeys(names))


class Relay(Electromagnet):
    """A relay."""

    kind: Literal["relay"] = required("kind", "A relay.", "relay")


class Contactor(Electromagnet):
    """A contactor: a relay for heavy current."""

    kind: Literal["contactor"] = required("kind", "A contactor.", "contactor")


class Diode(Part):
    """A diode; it conducts from anode to cathode."""

    kind: Literal["diode"] = required("kind", "A diode.", "diode")
    fixed = ("anode", "cathode")
    duty: Literal["isolation", "suppression", "polarity", "steering"] | None = optional(
        "duty",
        "`isolation`: passes current into what it protects and not back; `suppression`: suppresses a coil's "
        "spike; `polarity`: guards against a reversed supply; `steering`: keeps circuits that meet apart.",
        "isolation",
    )
    protects: Name | None = optional(
        "protects", "The part kept behind it, on its cathode side; needed for isolation.", "reserve-battery"
    )
    rating: Amperes | None = optional("rating", "Continuous current.", "25 A")
    drop: Volts | None = optional(
        "drop", "Forward drop at its drop current, or at its rating where no drop current is given.", "0.6 V"
    )
    drop_current: Amperes | None = optional("drop current", "Current at which the drop is given.", "10 A")
    technology: Literal["silicon", "schottky", "ideal"] | None = optional(
        "technology",
        "`silicon`, `schottky`, or `ideal` for a circuit with a transistor that behaves like a diode.",
        "schottky",
    )
    reverse_rating: Volts | None = optional("reverse rating", "Highest voltage that it blocks.", "45 V")
    leakage: Amperes | None = optional("leakage", "Reverse current when it is hot.", "1 mA")
    heat_sink: bool | None = optional("heat sink", "Whether it is bolted to a heat sink.", True)
