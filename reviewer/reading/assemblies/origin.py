"""Where a mistake stands that comes of an assembly: in its drawing, and where it is installed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from reviewer.model.places import Spot
from reviewer.model.record import record
from reviewer.reading.problem import Problem
from reviewer.reading.yaml_events import Places

#: where an assembly of ours stands
LIBRARY = "the library"


@record
class CallOrigin:
    """What one place of an assembly comes to in one call.

    ``name`` is what is installed, ``assembly`` what it is; ``file`` has its drawing, "" for the design
    file itself; ``drawn`` is the place in the drawing and ``called`` that of the call, both line and
    column; ``own`` says that the text is the call's.
    """

    name: str
    assembly: str
    file: str
    drawn: Spot
    called: Spot
    own: bool

    @property
    def spot(self) -> Spot:
        """Where the drawing, or the call of one that stands elsewhere, is in the design file."""
        line, column = self.called if self.file else self.drawn
        return InstalledLine(line).of(self), column


class InstalledLine(int):
    """A line of the design file from which an assembly has made something; ``origin`` says which."""

    origin: CallOrigin

    def of(self, origin: CallOrigin) -> InstalledLine:
        """The same line, with its origin."""
        self.origin = origin
        return self


def filled_at(origin: CallOrigin, place: Spot) -> Spot:
    """A place in a call, from where a text comes into an assembly."""
    return InstalledLine(place[0]).of(origin), place[1]


def as_called(places: Places) -> Places:
    """The places of a design: what an assembly makes stands at its call, or at the figure there."""
    found = {}
    for at, place in places.items():
        line = place[0]
        if isinstance(line, InstalledLine):
            place = (int(line), place[1]) if line.origin.own else line.origin.called
        found[at] = place
    return found


def told_once(problems: Sequence[Problem]) -> list[Problem]:
    """The problems, each mistake of a drawing once, with its places in drawing and call."""
    found: list[Problem] = []
    calls: dict[tuple[object, ...], list[int]] = {}  # which problem it is, and how many more there are
    seen: Counter[tuple[object, ...]] = Counter()
    for problem in sorted(problems, key=_call_of):
        line = problem.line
        if not isinstance(line, InstalledLine):
            found.append(problem)
            continue
        key = _mistake(problem, line.origin, seen)
        if key in calls:
            calls[key][1] += not line.origin.own
        else:
            calls[key] = [len(found), 0]
            found.append(problem)
    more = {number: count for number, count in calls.values()}
    return [_told(p, more[i]) if i in more else p for i, p in enumerate(found)]


def _call_of(problem: Problem) -> Spot:
    """The place of the call of which a problem comes."""
    return problem.line.origin.called if isinstance(problem.line, InstalledLine) else (0, 0)


def _mistake(problem: Problem, origin: CallOrigin, seen: Counter[tuple[object, ...]]) -> tuple[object, ...]:
    """What makes two problems one: the word of a call that both rest on, or the place of a drawing where
    each of its calls has as many. ``seen`` counts them."""
    if origin.own:
        return int(problem.line), problem.column
    of_call = origin.file, origin.assembly, origin.drawn, origin.name
    seen[of_call] += 1
    return (*of_call[:3], seen[of_call])


def _told(problem: Problem, more: int) -> Problem:
    assert isinstance(problem.line, InstalledLine)
    origin = problem.line.origin
    drawn = f"line {origin.drawn[0]}"
    if origin.file == LIBRARY:
        said = f"in assembly `{origin.assembly}` of the library, {drawn}"
    else:
        said = f"in assembly `{origin.assembly}`, {f'{origin.file} ' if origin.file else ''}{drawn}"
    if not origin.own and not origin.file:
        said = f"in assembly `{origin.assembly}`"
    if not origin.own:
        said += f", installed as `{origin.name}` in line {origin.called[0]}"
        said += f" and {more} more" if more else ""
    return Problem(int(problem.line), problem.column, problem.pointer, f"{problem.message}; {said}")
