"""The layout of text on a terminal: lines of a given width, headings, labels, and the cautions."""

from __future__ import annotations

from textwrap import wrap

from reviewer.reports import wording

NARROWEST = 40
LABEL = 16


def lines_of(text: str, width: int, first: int = 0, then: int | None = None) -> list[str]:
    """The text wrapped, never inside a word or a name.

    ``first`` and ``then`` are the indents of its first and its later lines.
    """
    later = first if then is None else then
    return wrap(
        text,
        width,
        initial_indent=" " * first,
        subsequent_indent=" " * later,
        break_long_words=False,
        break_on_hyphens=False,
    )


def labelled(label: str, text: str, width: int, indent: int = 6) -> list[str]:
    """A label and its text, wrapped beside it."""
    return lines_of(f"{label:<{LABEL}}{text}", width, indent, indent + LABEL)


def headed(title: str, width: int) -> list[str]:
    """A title with a line under it."""
    return [*lines_of(title, width), "=" * min(len(title), width)]


def caution_lines(width: int) -> list[str]:
    """The cautions, which every report shows."""
    return [line for caution in wording.CAUTIONS for line in lines_of(caution, width)]
