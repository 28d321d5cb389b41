"""The title block of a drawing: what tells one issue of it from another."""

import datetime

from reviewer.model.fields import Piece, Text, optional


class TitleBlock(Piece):
    """What stands in the title block beside the name of the aircraft."""

    registration: Text | None = optional(
        "registration", "Registration or serial number of the aircraft.", "serial 0042"
    )
    revision: Text | None = optional("revision", "Revision of the design.", "B")
    date: datetime.date | None = optional("date", "The day of the revision, as YYYY-MM-DD.", "2026-04-18")
    drawn: Text | None = optional("drawn", "Who drew it.", "builder")
    checked: Text | None = optional("checked", "Who checked it.", "inspector")
