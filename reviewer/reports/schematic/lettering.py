"""Names on the schematic: broken or cut to their room, and safe in SVG."""

from __future__ import annotations

import html
import re

from reviewer.reports.wording import shown


def broken(name: str, room: int, most: int = 3) -> list[str]:
    """A name on at most ``most`` lines of ``room`` letters.

    It is broken after hyphens and spaces, then anywhere; what does not fit ends in three dots.
    """
    lines, line = [], ""
    for piece in re.findall(r"[^-\s]*(?:-|\s+|$)", shown(name)):
        while len(line) + len(piece.rstrip()) > room:
            if line:
                lines.append(line.rstrip())
                line = ""
            else:
                lines.append(piece[:room])
                piece = piece[room:]
        line += piece
    lines += [line.rstrip()] if line.strip() else []
    if len(lines) > most:
        lines = [*lines[: most - 1], lines[most - 1][: room - 1] + "…"]
    return lines or [""]


def clipped(text: str, room: int) -> str:
    """The text, cut with three dots where it is longer than ``room`` letters."""
    text = shown(text)
    return text if len(text) <= room else text[: room - 1] + "…"


def safe(text: str) -> str:
    """A text as it stands in SVG."""
    return html.escape(shown(text))
