"""Resistors, capacitors, potentiometers and dimmers."""

from typing import Literal

from reviewer.model.fields import optional, required
from reviewer.model.part import Part
from reviewer.model.quantities import Amperes, Farads, Ohms, Volts, Watts


class FixedResistor(Part):
    """A resistor: in series with what it feeds, or from a positive to a negative."""

    kind: Literal["resistor"] = required("kind", "A resistor.", "resistor")
    fixed = ("a", "b")
    resistance: Ohms = required("resistance", "Its resistance.", "10 ohm")
    power: Watts | None = optional("power", "Power that it may dissipate where it is mounted.", "5 W")

    def terminals(self) -> tuple[str, ...]:
        return self.fixed


class Capacitor(Part):
    """A capacitor, which passes no direct current."""

    kind: Literal["capacitor"] = required("kind", "A capacitor.", "capacitor")
    fixed = ("positive", "negative")
    capacitance: Farads | None = optional("capacitance", "Its capacitance.", "22 mF")
    voltage: Volts | None = optional("voltage", "Voltage that it may have across it all the time.", "25 V")


class Potentiometer(Part):
    """A potentiometer: a resistor from `a` to `b` with a wiper, which is taken in the middle."""

    kind: Literal["potentiometer"] = required("kind", "A potentiometer.", "potentiometer")
    fixed = ("a", "wiper", "b")
    resistance: Ohms = required("resistance", "Its resistance from `a` to `b`.", "100 ohm")


class Dimmer(Part):
    """A dimmer of lights, taken at full brightness. Without its ground it passes nothing."""

    kind: Literal["dimmer"] = required("kind", "A dimmer.", "dimmer")
    fixed = ("input", "output", "ground")
    rating: Amperes | None = optional("rating", "Current that it may carry.", "3 A")
    resistance: Ohms | None = optional(
        "resistance", "Its resistance from input to output at full brightness.", "0.1 ohm"
    )

    def terminals(self) -> tuple[str, ...]:
        return self.fixed
