"""Sentences cut to a number of lines at the end of a clause, never inside one where that can be helped."""

from __future__ import annotations

import re

from reviewer.reports.layout import lines_of

#: ends of clauses, the best first: of a sentence, of what stands before a list, of an item of a list or what
#: stands before a bracket
_ENDS = (
    re.compile(r"(?<=[.;])(?=\s)"),
    re.compile(r"(?=:\s)|(?=;\s)"),
    re.compile(r"(?=, )|(?= \()"),
)
#: share of the room that a clause must fill before a better end is preferred to a later one
_WORTH = 0.4


def fitted(text: str, width: int, most: int, first: int, then: int | None = None) -> list[str]:
    """The text in at most ``most`` lines, or its longest beginning that ends where a clause does.

    ``first`` and ``then`` are the indents of its first and its later lines. A beginning that leaves
    items of a list out ends in "...".
    """
    lines = lines_of(text, width, first, then)
    if len(lines) <= most:
        return lines
    room = sum(len(line.strip()) for line in lines[:most])
    for end, mark in zip(_ENDS, (".", ".", " ..."), strict=True):
        for found in reversed(list(end.finditer(text, 0, most * width))):
            if text.count("`", 0, found.start()) % 2:
                continue  # within the text of a file
            short = text[: found.start()].rstrip(" .;:,") + mark
            lines = lines_of(short, width, first, then)
            if len(lines) <= most and len(short) >= _WORTH * room:
                return lines
    lines = lines_of(text, width - 4, first, then)[:most]
    return [*lines[:-1], f"{lines[-1].rstrip(' ,;:')} ..."]
