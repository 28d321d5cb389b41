"""What every part of an aircraft's electrical system has."""

from typing import ClassVar

from reviewer.model.fields import Name, Piece, TerminalName, Text, optional
from reviewer.model.quantities import Celsius


class Part(Piece):
    """What every part may say about itself."""

    #: terminals every part of this kind has; () where the wires name them
    fixed: ClassVar[tuple[str, ...]] = ()
    #: terminals that a part of this kind may have: it has them where something is connected to them
    spare: ClassVar[tuple[str, ...]] = ()
    #: True where any terminal name may be used (a bar, a block, a stud)
    open_ended: ClassVar[bool] = False

    label: Text | None = optional("label", "Words on the panel or beside the part.", "FUEL PUMP")
    zone: Name | None = optional("zone", "Where in the aircraft the part is.", "firewall-aft")
    max_ambient: Celsius | None = optional(
        "maximum ambient", "Highest ambient temperature that its maker allows.", "70 C"
    )
    unused: tuple[TerminalName, ...] = optional(
        "unused terminals", "Terminals left unconnected on purpose.", ["pin-4-plug"], default=()
    )
    note: Text | None = optional(
        "note", "Anything a reader should know.", "Second-hand, checked on the bench."
    )

    def terminals(self) -> tuple[str, ...]:
        """Terminal names this part has by itself; an open-ended part has those its wires name."""
        return self.fixed
