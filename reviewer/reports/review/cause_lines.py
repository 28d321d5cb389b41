"""The causes of a first screen: which of them have three lines, one, or are named only.

The height of each cause is measured once; what a layout takes is a sum of heights.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import groupby

from reviewer.model.review import Cause, Consequence, Finding, HazardClass
from reviewer.reports.layout import lines_of
from reviewer.reports.review.fitted import fitted
from reviewer.reports.wording import counted, shown

#: causes in full on a screen
IN_FULL = 8
#: letters before the text of a cause: its number and a space
INDENT = 4
_GRAVEST_FIRST = sorted(Consequence, reverse=True)


class CauseLines:
    """The standing causes of a review, laid out in some number of lines."""

    def __init__(self, causes: Sequence[tuple[int, Cause]], width: int):
        standing = [(number, cause) for number, cause in causes if cause.standing]
        self._width = width
        self._groups = {
            consequence: [(number, cause) for number, cause in standing if cause.consequence is consequence]
            for consequence in _GRAVEST_FIRST
        }
        self._cause = dict(standing)
        self._gravest = sorted(
            self._cause, key=lambda n: (-self._cause[n].hazard, -self._cause[n].consequence, n)
        )
        #: of each cause its text in one line and in three
        self._text = cache(lambda number, most: _cause(number, self._cause[number], most, width))
        self._lines: dict[int, int] = {}
        self._wide: set[Consequence] = set()
        self._room = 0
        #: hazardous causes are left out because they alone exceed the screen
        self.exceeded = False

    @property
    def crowded(self) -> bool:
        """Whether a cause has no line of its own, which comes before questions."""
        return not all(self._lines.values())

    def lay_out(self, room: int) -> None:
        """Give the causes the most lines that they may have, the gravest served first."""
        self._lines = dict.fromkeys(self._cause, 0)
        self._wide, self.exceeded = set(), False
        self._room = room - sum(self._height(consequence) for consequence in _GRAVEST_FIRST)
        for number in self._gravest:
            if self._cause[number].hazard >= HazardClass.HAZARDOUS and not self._grown(number, 1):
                self.exceeded = True
        for number in self._gravest[:IN_FULL]:
            self._grown(number, 3)
        for number in self._cause:
            if not self._lines[number]:
                self._grown(number, 1)
        for consequence in _GRAVEST_FIRST:
            before = self._height(consequence)
            self._wide.add(consequence)
            more = self._height(consequence) - before
            if more > self._room:
                self._wide.remove(consequence)
            else:
                self._room -= more

    def lines(self) -> list[str]:
        """The causes as they were laid out, each consequence under its heading."""
        return [line for consequence in _GRAVEST_FIRST for line in self._group(consequence)]

    def _grown(self, number: int, most: int) -> bool:
        """Give a cause more lines if there is room; whether it was given them."""
        consequence, lines = self._cause[number].consequence, self._lines[number]
        more = len(self._text(number, most))
        if lines:
            more -= len(self._text(number, lines))
        else:  # the first one of a group adds its heading, the last one takes the line of names away
            rest = len(self._rest(consequence))
            more += len(self._heading(consequence)) if rest == len(self._groups[consequence]) else 0
            more -= rest == 1
        if more > self._room:
            return False
        self._lines[number], self._room = most, self._room - more
        return True

    def _height(self, consequence: Consequence) -> int:
        return sum(1 for _ in self._group(consequence))

    def _rest(self, consequence: Consequence) -> list[int]:
        """The causes that have no line of their own."""
        return [number for number, _ in self._groups[consequence] if not self._lines[number]]

    def _heading(self, consequence: Consequence) -> list[str]:
        return lines_of(_heading(consequence, self._groups[consequence]), self._width)

    def _group(self, consequence: Consequence) -> Iterator[str]:
        group, rest = self._groups[consequence], self._rest(consequence)
        if len(rest) < len(group):
            yield from self._heading(consequence)
        for number, _ in group:
            if self._lines[number]:
                yield from self._text(number, self._lines[number])
        if rest:
            names = ", ".join(f"{number} {_subject(self._cause[number].headline)}" for number in rest)
            most = 2 if consequence in self._wide else 1
            if len(rest) < len(group):
                yield from fitted(f"and {len(rest)} more: {names}", self._width, most, INDENT)
            else:
                yield from fitted(self._only_named(consequence, names), self._width, most, 0, INDENT)

    def _only_named(self, consequence: Consequence, names: str) -> str:
        """The heading and the names of its causes, where one line has room for one of them."""
        heading = _heading(consequence, self._groups[consequence])
        if len(heading) > self._width:
            return f"{consequence.word.upper()}: {counted(len(self._groups[consequence]), 'cause')}"
        first = f"{heading} {names.partition(',')[0]} ..."
        return heading if len(first) > self._width else f"{heading} {names}"


def _heading(consequence: Consequence, causes: Sequence[tuple[int, Cause]]) -> str:
    """The consequence with the class of each cause, which are sorted by it: ``CAN BURN (1 to 3
    hazardous, 4 major)``."""
    words = []
    for hazard, alike in groupby(causes, key=lambda entry: entry[1].hazard):
        numbers = [number for number, _ in alike]
        between = " and " if len(numbers) == 2 else " to "
        span = between.join(str(n) for n in dict.fromkeys((numbers[0], numbers[-1])))
        words.append(f"{span} {hazard.word}")
    return f"{consequence.word.upper()} ({', '.join(words)})"


def _subject(finding: Finding) -> str:
    return shown(finding.subject.rpartition("/")[2])


def _cause(number: int, cause: Cause, most: int, width: int) -> list[str]:
    """What is wrong, what else it does or the rest of the sentence, and what puts it right."""
    told = cause.headline
    sentence = shown(said(told))
    if most == 1:
        return _numbered(number, fitted(sentence, width, 1, INDENT))
    ways = [lines_of(f"-> {shown(way)}", width, INDENT, INDENT + 3) for way in cause.repairs if way]
    repair = next((way for way in ways if len(way) <= most - 1), ways[0] if ways else [])
    lines = fitted(sentence, width, 2, INDENT)
    first = fitted(sentence, width, 1, INDENT)
    if len(lines) + len(repair) > most and first[0].endswith("."):  # the whole repair says more
        lines = first
    others = [f for f in cause.standing if f is not told]
    others = [f for f in others if f.sentence != told.sentence]  # as of two parts with one label
    if len(lines) == 1 and others and len(repair) < most - 1:
        other = next((f for f in others if f.rule != told.rule), others[0])
        more = f" And {counted(len(others) - 1, 'more finding')}." if others[1:] else ""
        also = fitted(f"Also: {shown(other.sentence)}", width - len(more), 1, INDENT)
        lines += [f"{also[0]}{more}"]
    if len(lines) + len(repair) > most:
        repair = fitted(f"-> {shown(cause.repairs[-1])}", width, most - len(lines), INDENT, INDENT + 3)
    return _numbered(number, [*lines, *repair])


def said(finding: Finding) -> str:
    """Its sentence, and before it, where no line can cut it off, that its figures rest on estimates."""
    return f"On estimates: {finding.sentence}" if finding.estimates else finding.sentence


def _numbered(number: int, lines: list[str]) -> list[str]:
    return [f"{number:>{INDENT - 1}} {lines[0].lstrip()}", *lines[1:]]
