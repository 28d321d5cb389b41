"""An answer that cannot be given, with the input that is missing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

#: names of each key that are written out where many lack it
FEW = 4
#: what an answer lacks that needs a state that the file does not declare; its words say which
A_STATE = (("operation", "states"),)


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


def gaps(missing: Mapping[str, str], most: int | None = FEW) -> str:
    """Elements or names -> the keys that they lack, in words, each key once: `` `gauge` and `length`
    of W1, W2, W3, W4 and 41 more, `current` of radio``; ``most`` names of each key, all where None."""
    by_key: dict[str, list[str]] = {}
    for element, key in missing.items():
        by_key.setdefault(key, []).append(element.rpartition("/")[2])

    def listed(names: list[str]) -> str:
        if most is None or len(names) <= most:
            return ", ".join(names)
        return f"{', '.join(names[:most])} and {len(names) - most} more"

    return ", ".join(f"{key} of {listed(names)}" for key, names in by_key.items())
