"""An answer that cannot be given, with the input that is missing."""

from __future__ import annotations


class NotAssessable(Exception):
    """``needs`` names the input that is missing."""

    def __init__(self, needs: str):
        super().__init__(needs)
        self.needs = needs

    def kept(self) -> NotAssessable:
        """The same without where it was raised, to be kept: an error that was raised holds all that
        the functions on its way held."""
        return NotAssessable(self.needs)
