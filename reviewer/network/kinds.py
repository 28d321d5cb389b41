"""Tables over the kinds of parts.

A kind that a table leaves out is an error that names it, never silence.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from reviewer.model import parts as p

T = TypeVar("T")


class UnknownKind(TypeError):
    """A kind of part that some place does not know.

    The design file is right; the program is not complete.
    """

    def __init__(self, part: p.Part, place: str):
        super().__init__(f"{place} does not know parts of kind {getattr(part, 'kind', type(part).__name__)}")


def entry_of(table: Mapping[type[p.Part], T], part: p.Part, place: str) -> T:
    """The entry for the kind of a part.

    Raises UnknownKind, naming the kind and the ``place`` that asks.

    A subclass is a kind of its own: a new kind says itself what it does.
    """
    try:
        return table[type(part)]
    except KeyError:
        raise UnknownKind(part, place) from None
