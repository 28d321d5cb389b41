"""An answer that cannot be given, with the input that is missing."""

from __future__ import annotations


class NotAssessable(Exception):
    """``needs`` names the input that is missing."""

    def __init__(self, needs: str):
        super().__init__(needs)
        self.needs = needs
