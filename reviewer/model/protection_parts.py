"""Circuit protection: breakers, fuses, current limiters and breakers used as switches."""

from typing import Annotated, Literal

from pydantic import Field

from reviewer.model.fields import MOST_COUNTED, Name, TerminalRef, optional, required
from reviewer.model.part import Part
from reviewer.model.quantities import Amperes, Ohms


class Protector(Part):
    """What breakers, fuses and limiters share."""

    fixed = ("line", "load")
    rating: Amperes | None = optional("rating", "Rated current.", "7.5 A")
    accessible: Literal["in-flight", "on-ground"] | None = optional(
        "accessible", "Whether the crew can reach it in flight.", "in-flight"
    )
    resistance: Ohms | None = optional("resistance", "Resistance from line to load when closed.", "0.007 ohm")
    plugged_on: Name | None = optional(
        "plugged on",
        "The bus that its line is plugged or bolted on; no wire leads to its `line` then.",
        "main-bus",
    )

    def terminals(self) -> tuple[str, ...]:
        return self.fixed if self.plugged_on is None else ("load",)

    def posts(self, name: str) -> tuple[str, str]:
        """Its line and its load as terminals of a design in which it has a name; plugged on a bus,
        its line is the terminal of its name on that bus."""
        line = f"{name}.line" if self.plugged_on is None else f"{self.plugged_on}.{name}"
        return line, f"{name}.load"


class InsideDevice(Protector):
    """What breakers and fuses share: they may be inside a unit."""

    inside: Name | None = optional(
        "inside", "The unit that it is inside of; it is open once that has failed.", "power-module"
    )
    without_supply: Literal["open", "closed"] | None = optional(
        "without supply",
        "Position of an electronic breaker while the unit that it is inside of has no power.",
        "open",
    )
    commanded_by: TerminalRef | None = optional(
        "commanded by",
        "The input of the unit that it is inside of which turns it on: the signal terminal of one of its "
        "`inputs`. It conducts only while the unit has power and that input is closed to ground, or has "
        "supply, as the input `reads`.",
        "power-module.landing-in",
    )


class Breaker(InsideDevice):
    """A circuit breaker."""

    kind: Literal["breaker"] = required("kind", "A circuit breaker.", "breaker")
    reset: Literal["trip-free", "not-trip-free", "automatic", "electronic"] | None = optional(
        "reset",
        "How it resets; an `electronic` one opens by a transistor of the unit that it is `inside` of, and "
        "stays open until the crew resets it at that unit.",
        "trip-free",
    )


class Fuse(InsideDevice):
    """A fuse."""

    kind: Literal["fuse"] = required("kind", "A fuse.", "fuse")
    spares: Annotated[int, Field(ge=0, le=MOST_COUNTED)] | None = optional(
        "spares", "Spare fuses of this rating carried.", 2
    )
    construction: Literal["blade", "large-blade", "cartridge", "resettable"] | None = optional(
        "construction",
        "How it is made, which says how fast it opens; a `resettable` one opens slowly and closes again by "
        "itself.",
        "blade",
    )

    @property
    def reset(self) -> str | None:
        """How it resets: a resettable one by itself."""
        return "automatic" if self.construction == "resettable" else None


class Limiter(Protector):
    """A current limiter: a slow, heavy fuse for a feeder."""

    kind: Literal["limiter"] = required("kind", "A current limiter.", "limiter")


class BreakerSwitch(Protector):
    """A circuit breaker made to be used as a switch; its positions are `closed` and `open`."""

    kind: Literal["breaker-switch"] = required(
        "kind", "A switch-rated breaker; its positions are `closed` and `open`.", "breaker-switch"
    )
    normal: Literal["closed", "open"] | None = optional(
        "normal position",
        "Its position in normal flight, from which standard states are made where the file has none of its "
        "own.",
        "closed",
    )

    @property
    def in_flight(self) -> str | None:
        """Its position in normal flight; None where the file does not say."""
        return self.normal
