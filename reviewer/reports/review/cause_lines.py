"""The causes of a first screen: which have three lines (four where there is room for what was cut), one,
stand in running text, or are only named.

The text of each cause is made once.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import groupby

from reviewer.model.review import Cause, Consequence, Finding, HazardClass
from reviewer.reports.layout import lines_of
from reviewer.reports.review.fitted import fitted
from reviewer.reports.wording import counted, shown

#: causes in full on a screen; what is wrong at each major one comes before the third line of these
IN_FULL = 8
#: causes for which a line of running text may have room, and letters of the shortest number and name
_MOST_ON_A_LINE, _LEAST_NAME = 3, 5
#: causes of which no screen has room for all but one
_MANY = 100
#: letters of a cause in running text
_BRIEF = 80
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
        #: of each cause its text in one line to four
        self._text = cache(lambda number, most: _cause(number, self._cause[number], most, width))
        self._brief = cache(lambda number: fitted(shown(said(self._cause[number].headline)), _BRIEF, 1, 0)[0])
        self._lines: dict[int, int] = {}
        self._wide: set[Consequence] = set()
        self._flowing: set[int] = set()
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
        self._wide, self._flowing, self.exceeded = set(), set(), False
        self._room = room - sum(self._height(consequence) for consequence in _GRAVEST_FIRST)
        grave = [n for n in self._gravest if self._cause[n].hazard >= HazardClass.HAZARDOUS]
        self._line_each(grave)
        self.exceeded = not all(self._lines[number] for number in grave)
        for number in grave[:IN_FULL]:
            self._grown(number, 2)
        self._flow([n for n in self._gravest if self._cause[n].hazard is HazardClass.MAJOR])
        for number in self._gravest[:IN_FULL]:
            self._grown(number, 3)
        self._flow(self._gravest)
        self._line_each(list(self._cause))
        for consequence in _GRAVEST_FIRST:
            before = self._height(consequence)
            self._wide.add(consequence)
            more = self._height(consequence) - before
            if more > self._room:
                self._wide.remove(consequence)
            else:
                self._room -= more
        for number in self._gravest[:IN_FULL]:  # what is cut has one line more where that is left over
            if self._lines[number] == 3 and any(line.endswith(" ...") for line in self._text(number, 3)):
                self._grown(number, 4)

    def lines(self) -> list[str]:
        """The causes as they were laid out, each consequence under its heading."""
        return [line for consequence in _GRAVEST_FIRST for line in self._group(consequence)]

    def _line_each(self, numbers: Sequence[int]) -> None:
        """Give a line to each of some causes that has none, as far as there is room."""
        full: set[Consequence] = set()
        for number in numbers:
            if self._lines[number]:
                continue
            consequence = self._cause[number].consequence
            # where one line is too many the next is too, but for the last one, which was named in a line
            if consequence in full and (
                len(self._groups[consequence]) > _MANY or len(self._rest(consequence)) > 1
            ):
                continue
            if not self._grown(number, 1):
                full.add(consequence)

    def _flow(self, numbers: Sequence[int]) -> None:
        """Say what is wrong at those causes that have no line, all of a consequence: in running text, or in a
        line each where that takes no more."""
        for consequence in _GRAVEST_FIRST:
            own = [n for n in numbers if self._cause[n].consequence is consequence and not self._lines[n]]
            if own and len(own) <= _MOST_ON_A_LINE * self._room:
                before = self._height(consequence)
                self._lines |= dict.fromkeys(own, 1)
                lined = self._height(consequence) - before
                self._lines |= dict.fromkeys(own, 0)
                self._flowing.update(own)
                flowing = self._height(consequence) - before
                if lined <= flowing or flowing > self._room:
                    self._flowing.difference_update(own)
                if min(lined, flowing) <= self._room:
                    self._lines |= dict.fromkeys(own, int(lined <= flowing))
                    self._room -= min(lined, flowing)

    def _grown(self, number: int, most: int) -> bool:
        """Give a cause more lines if there is room; whether it was given them."""
        consequence, lines = self._cause[number].consequence, self._lines[number]
        before = self._height(consequence)
        self._lines[number] = most
        more = self._height(consequence) - before
        if more > self._room:
            self._lines[number] = lines
            return False
        self._room -= more
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
        flowing = [number for number in rest if number in self._flowing]
        named = [number for number in rest if number not in self._flowing]
        if len(rest) < len(group):
            yield from self._heading(consequence)
        for number, _ in group:
            if self._lines[number]:
                yield from self._text(number, self._lines[number])
        most = 2 if consequence in self._wide else 1
        if flowing:
            first = 0 if len(rest) == len(group) else INDENT
            texts = [] if first else [_heading(consequence, group)]  # they begin beside the heading
            texts += [f"{number}\u00a0{self._brief(number)}" for number in flowing]
            for line in self._flow_of("   ".join(texts), named, first, most - 1):
                yield line.replace("\u00a0", " ")
        elif named and len(named) < len(group):
            names = f"and {len(named)} more: {', '.join(self._names(named))}"
            yield from fitted(names, self._width, most, INDENT)
        elif named:
            names = ", ".join(self._names(named))
            yield from fitted(self._only_named(consequence, names), self._width, most, 0, INDENT)

    def _flow_of(self, text: str, named: Sequence[int], first: int, more: int) -> list[str]:
        """Running text, and after it the names of other causes: those that its last line has room for, in a
        line of their own where it has none, and in some more lines."""
        lines = lines_of(text, self._width, first, INDENT)
        if not named:
            return lines
        names = self._names(named)
        for most in (len(lines) + more, len(lines) + more + 1):
            for count in range(len(names), 0, -1):
                words = ", ".join(names[:count]) + (" ..." if count < len(named) else "")
                whole = lines_of(f"{text}   and {len(named)} more: {words}", self._width, first, INDENT)
                if len(whole) <= most:
                    return whole
        return [*lines, *fitted(f"and {len(named)} more", self._width, 1, INDENT)]

    def _names(self, numbers: Sequence[int]) -> list[str]:
        """Numbers and names, more than lines have room for but not of a thousand causes."""
        words: list[str] = []
        for number in numbers:
            words.append(f"{number} {_subject(self._cause[number].headline)}")
            if len(words) * _LEAST_NAME > 3 * self._width:
                break
        return words

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
    first = fitted(sentence, width, 1, INDENT)
    if most == 1:
        return _numbered(number, first)
    ways = [lines_of(f"-> {shown(way)}", width, INDENT, INDENT + 3) for way in cause.repairs if way]
    graver = [f for f in cause.standing if f.consequence > told.consequence]  # it says why it stands here
    rooms = (most - 2, most - 1) if graver else (most - 1,)
    fitting = (way for room in rooms for way in ways if len(way) <= room)
    repair = next(fitting, ways[0] if ways else [])
    lines = fitted(sentence, width, 2, INDENT)
    # the whole repair says more
    if graver or (len(lines) + len(repair) > most and (most == 2 or first[0].endswith("."))):
        lines = first
    others = [f for f in cause.standing if f is not told]
    others = [f for f in others if f.sentence != told.sentence]  # as of two parts with one label
    if len(lines) == 1 and others and len(repair) < most - 1:
        worst = max(graver, key=lambda f: f.consequence, default=None)
        other = worst or next((f for f in others if f.rule != told.rule), others[0])
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
