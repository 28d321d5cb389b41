"""An answer that cannot be given, with the input that is missing."""

from __future__ import annotations

from collections.abc import Iterable


class NotAssessable(Exception):
    """``needs`` names the input that is missing; ``lacks`` has what lacks which key, as (pointer, key),
    where more or other than the sentence names, such as an input of an instrument."""

    def __init__(self, needs: str, lacks: Iterable[tuple[str, str]] = ()):
        super().__init__(needs)
        self.needs = needs
        self.lacks = tuple(dict.fromkeys(lacks))

    def kept(self) -> NotAssessable:
        """The same without where it was raised, to be kept: an error that was raised holds all that
        the functions on its way held."""
        return type(self)(self.needs, self.lacks)


class NoOperatingPoint(NotAssessable):
    """The file gives all figures, and no operating point was found with them: no logic stands in."""
