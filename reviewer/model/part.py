"""What every part of an aircraft's electrical system has."""

from typing import ClassVar, Literal

from reviewer.model.fields import Name, Piece, TerminalName, Text, optional
from reviewer.model.quantities import Celsius


class Part(Piece):
    """What every part may say about itself."""

    #: terminals every part of this kind has; () where the wires name them
    fixed: ClassVar[tuple[str, ...]] = ()
    #: terminals that a part of this kind may have: it has them where something is connected to
    #: them, and nobody asks for a wire there
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
    maker: Text | None = optional("maker", "Who makes it.", "Example Avionics")
    part_number: Text | None = optional("part number", "The number under which it is ordered.", "EX-100")
    stud_size: Text | None = optional(
        "stud size", "Thread of its studs or terminal screws, for the size of ring terminals.", "M6", "8-32"
    )
    by: Literal["owner", "installer"] | None = optional(
        "by", "Who fits it, where its zone does not say so.", "installer"
    )
    fitted: Literal["now", "later"] | None = optional(
        "fitted",
        "`later`: a provision. It and the wires to it are left out of the review and listed as provisions. A "
        "wire that is there already ends at a part that is there, such as a splice or a connector.",
        "later",
    )
    note: Text | None = optional(
        "note", "Anything a reader should know.", "Second-hand, checked on the bench."
    )

    def terminals(self) -> tuple[str, ...]:
        """Terminal names this part has by itself; an open-ended part has those its wires name."""
        return self.fixed

    def spare_terminals(self) -> tuple[str, ...]:
        """Those that it has where something is connected to them."""
        return self.spare
