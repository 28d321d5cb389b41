"""What carries current from part to part: buses, shunts, grounds, connectors and the wires."""

from typing import Annotated, Literal

from pydantic import Field

from reviewer.model.fields import Name, Piece, TerminalRef, Text, optional, required
from reviewer.model.part import Part
from reviewer.model.quantities import Amperes, Celsius, Gauge, Metres, Ohms, WireSize, thinner


class Bus(Part):
    """A bus bar: all of its terminals are joined."""

    kind: Literal["bus"] = required("kind", "A bus bar.", "bus")
    open_ended = True
    rating: Amperes | None = optional("rating", "Current the bar may carry.", "60 A")


class Shunt(Part):
    """A shunt for an ammeter."""

    kind: Literal["shunt"] = required("kind", "A shunt.", "shunt")
    fixed = ("line", "load")
    rating: Amperes | None = optional("rating", "Current at full reading.", "60 A")
    resistance: Ohms | None = optional(
        "resistance", "Its resistance; 50 mV at its rating where it is left out.", "0.0005 ohm"
    )

    def terminals(self) -> tuple[str, ...]:
        return ("line", "load")


class GroundBlock(Part):
    """A block of ground tabs, all joined."""

    kind: Literal["ground-block"] = required("kind", "A ground block.", "ground-block")
    open_ended = True


class Stud(Part):
    """One stud with ring terminals, all joined."""

    kind: Literal["stud"] = required("kind", "A stud.", "stud")
    open_ended = True
    locked: bool | None = optional("locked", "Whether the nut is locked.", True)


class Connector(Part):
    """A connector: each pin joins its two sides, `NAME-plug` and `NAME-socket`."""

    kind: Literal["connector"] = required("kind", "A connector.", "connector")
    pins: Annotated[tuple[Name, ...], Field(min_length=1)] = required(
        "pins", "The pins by name.", ["1", "2", "3"]
    )
    pin_rating: Amperes | None = optional("pin rating", "Current one pin may carry.", "7.5 A")
    inspected: Literal["in-place", "panel-off", "structure-off"] | None = optional(
        "inspected", "What must be removed to see that it is mated.", "in-place"
    )
    resistance: Ohms | None = optional("resistance", "Resistance of one mated pin.", "0.005 ohm")

    def terminals(self) -> tuple[str, ...]:
        return tuple(f"{pin}-{side}" for pin in self.pins for side in ("plug", "socket"))


class Splice(Part):
    """A splice: all its wires are joined."""

    kind: Literal["splice"] = required("kind", "A splice.", "splice")
    open_ended = True


class Airframe(Part):
    """The structure; it conducts where the aircraft's airframe is metal. The engine's metal is one
    of these too.
    """

    kind: Literal["airframe"] = required("kind", "Structure used as a conductor.", "airframe")
    open_ended = True
    material: Literal["metal", "composite", "wood"] | None = optional(
        "material", "Where it differs from the aircraft's.", "metal"
    )


class Wire(Piece):
    """One wire between two terminals."""

    from_: TerminalRef = required("from", "The terminal at one end, as `part.terminal`.", "main-bus.stud-1")
    to: TerminalRef = required(
        "to", "The terminal at the other end, as `part.terminal`.", "fuel-pump-breaker.line"
    )
    gauge: WireSize | None = optional("gauge", "Wire size.", "18 AWG", "1.5 mm2")
    length: Metres | None = optional("length", "Length from terminal to terminal.", "0.6 m", "24 in")
    resistance: Ohms | None = optional(
        "resistance",
        "Its resistance, for a braid or where it was measured; else it follows from gauge and length.",
        "0.0008 ohm",
    )
    bundle: Name | None = optional("bundle", "The bundle it runs in.", "panel-left")
    zone: Name | None = optional("zone", "Where in the aircraft it runs.", "cabin")
    insulation: Celsius | None = optional("insulation", "Temperature class of the insulation.", "150 C")
    insulation_material: Literal["etfe", "ptfe", "polyimide", "pvc", "rubber"] | None = optional(
        "insulation material",
        "What the insulation is made of; `rubber` for the cable of welding sets.",
        "etfe",
    )
    conductor: Literal["copper", "aluminium"] | None = optional(
        "conductor", "What the conductor is made of.", "copper"
    )
    through: tuple[Name, ...] = optional(
        "through", "The grommets and fittings of bulkheads that it passes.", ["left-grommet"], default=()
    )
    max_resistance: Ohms | None = optional(
        "maximum resistance", "Resistance that a test of this bond or ground lead accepts.", "0.001 ohm"
    )
    shield: Annotated[tuple[TerminalRef, ...], Field(max_length=2)] | None = optional(
        "shield",
        "For a shielded wire, the terminals at which the shield is grounded: none, one or two.",
        ["audio-panel.mic-return"],
    )
    pair: Name | None = optional(
        "pair", "The twisted or differential pair of which it is one of two wires.", "data-1"
    )
    specification: Text | None = optional(
        "specification",
        "What the wire is bought by: its specification or type.",
        "tinned copper, ETFE, 600 V",
    )
    colour: Text | None = optional("colour", "Colour of its insulation.", "white with blue stripe")
    by: Literal["owner", "installer"] | None = optional(
        "by", "Who runs it, where neither its zone nor both of its ends say so.", "installer"
    )
    fitted: Literal["now", "later"] | None = optional(
        "fitted", "`later`: a provision, which is left out of the review and listed as one.", "later"
    )
    label: Text | None = optional("label", "What is marked on it, where that differs from its name.", "W21A")
    note: Text | None = optional(
        "note", "Anything a reader should know.", "Spare length coiled behind the panel."
    )

    @property
    def copper_gauge(self) -> Gauge | None:
        """The copper wire whose current and resistance are taken for it: its own size, for
        aluminium two sizes thinner (AC 43.13-1B, note to Table 11-10)."""
        aluminium = self.conductor == "aluminium" and self.gauge is not None
        return thinner(self.gauge, 2) if aluminium and self.gauge else self.gauge

    @property
    def joined_parts(self) -> tuple[str, str]:
        """The names of the parts at its two ends."""
        return self.from_.partition(".")[0], self.to.partition(".")[0]

    @property
    def size(self) -> str:
        """Its size in words: ``8 AWG``, ``8 AWG aluminium``; "" where it is not given."""
        return f"{self.gauge or ''}{' aluminium' if self.conductor == 'aluminium' and self.gauge else ''}"
