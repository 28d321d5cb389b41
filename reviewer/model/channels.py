"""Channels of functions that are no loads, and the class of a loss by the use of the aircraft."""

from collections.abc import Collection
from typing import TYPE_CHECKING, Annotated, Literal, get_args

from pydantic import AfterValidator, model_validator
from pydantic_core import PydanticCustomError

from reviewer.model.fields import Name, Piece, optional, required
from reviewer.model.part import Part

#: the worst first
HazardWord = Literal["catastrophic", "hazardous", "major", "minor", "no safety effect"]
#: what an aircraft is flown in: a flight at night, and one by instruments, needs more than one by day
UseWord = Literal["day", "night", "ifr"]
#: what drives a mechanical channel that needs no engine: a person, or the air that flows past
BY_HAND = "hand"
NO_ENGINE = (BY_HAND, "air")
_HOW = {"day": "by day", "night": "at night", "ifr": "under IFR"}


class MechanicalName(str):
    """The name of a channel that needs no electricity, such as an engine-driven pump.

    ``driven_by`` is, of several engines, the one that drives it, ``hand`` where none does; "" where
    nothing is named.
    """

    driven_by: str = ""

    @classmethod
    def of(cls, entry: "MechanicalEntry") -> "MechanicalName":
        """The name that stands for an entry."""
        found = cls(entry.mechanical)
        found.driven_by = BY_HAND if entry.driven_by in NO_ENGINE else entry.driven_by or ""
        return found


class MechanicalEntry(Piece):
    """A channel that needs no electricity; it works while the engine runs, or always where a hand or
    the air drives it, and can fail."""

    mechanical: Name = required("mechanical", "What works without electricity.", "engine-driven pump")
    driven_by: Name | None = optional(
        "driven by",
        "`hand` or `air` for what works whether an engine runs or not, such as a hand pump or a torch, or a "
        "pneumatic airspeed indicator; else of several engines the one that drives it, while which it "
        "works. Without it, it works while any engine runs.",
        "left-engine",
        "hand",
    )


class MechanicalChannel(Part):
    """A mechanical channel among the parts of a design.

    No file has one among its parts: a function names it, and the reader makes it.
    """

    kind: Literal["mechanical"] = "mechanical"
    driven_by: Name | None = None


class LossByUse(Piece):
    """The class of a loss for each use of the aircraft."""

    day: HazardWord | None = optional("day", "Class of the loss by day.", "major")
    night: HazardWord | None = optional("night", "Class of the loss at night.", "hazardous")
    ifr: HazardWord | None = optional("IFR", "Class of the loss under IFR.", "catastrophic")

    @model_validator(mode="after")
    def _of_some_use(self) -> "LossByUse":
        if not self.model_fields_set:
            raise PydanticCustomError("no_use", "expected a class for `day`, `night` or `ifr`")
        return self

    def words(self) -> str:
        """The classes with their uses: ``major by day, hazardous at night``."""
        return ", ".join(f"{word} {_HOW[use]}" for use, word in self if word is not None)

    def worst(self, uses: Collection[UseWord] = ()) -> HazardWord:
        """The worst class among those of some uses; of all where one of these has none."""
        each = bool(uses) and all(getattr(self, use) is not None for use in uses)
        given = [word for use, word in self if word is not None and (use in uses or not each)]
        return next((word for word in get_args(HazardWord) if word in given), "no safety effect")


class LossWord(str):
    """The class of a loss that counts, with the classes ``by_use`` that it was taken from."""

    by_use: LossByUse

    @classmethod
    def of(cls, by_use: LossByUse, uses: Collection[UseWord] = ()) -> "LossWord":
        """The worst class that the uses of the aircraft allow."""
        found = cls(by_use.worst(uses))
        found.by_use = by_use
        return found


if TYPE_CHECKING:
    Channel = str
    Loss = HazardWord
else:
    #: an entry of a function's channels: a name, or what needs no electricity; read as a name
    Channel = Annotated[
        Name | MechanicalEntry,
        AfterValidator(lambda entry: entry if isinstance(entry, str) else MechanicalName.of(entry)),
    ]
    #: the class of a loss, or one for each use of the aircraft; read as the worst of them
    Loss = Annotated[
        HazardWord | LossByUse,
        AfterValidator(lambda loss: loss if isinstance(loss, str) else LossWord.of(loss)),
    ]
