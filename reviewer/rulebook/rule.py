"""What a rule is: a module that says what it looks at and judges one subject at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from reviewer.analysis.cut_sets.single_points import SinglePoint
from reviewer.model.record import record
from reviewer.model.review import Citation, HazardClass
from reviewer.network.graph import bare


@record
class Unmet:
    """What ``judge`` yields when a subject does not have the property.

    ``sentence`` states what is wrong with names and numbers. ``field`` is a key of the subject, ``state`` an operating state, ``path`` a
    sequence of element pointers, ``numbers`` pairs of a word and a value with its unit. ``switches`` are (switch, position) pairs where no
    declared state shows it. ``hazard``, ``subject`` and ``remedy`` replace what the rule and the runner would say.
    """

    sentence: str
    field: str = ""
    state: str = ""
    failure: str = ""
    path: tuple[str, ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()
    hazard: HazardClass | None = None
    subject: str = ""
    remedy: str = ""
    switches: tuple[tuple[str, str], ...] = ()


def of_single_points(subject: str, points: Sequence[SinglePoint], loss: str) -> Iterator[Unmet]:
    """What the single points of one element come to: nothing, or one Unmet. ``loss`` says what its loads lose."""
    if points:
        first = points[0]
        alike = ", ".join(dict.fromkeys(bare(e) for p in points for e in p.alike))
        functions = ", ".join(dict.fromkeys(p.function for p in points))
        numbers = [("states in which it does", ", ".join(dict.fromkeys(p.state for p in points)))]
        yield Unmet(
            f"{bare(subject)} alone takes {functions} when it fails: {', '.join(first.lost)} would {loss}, and no declared action restores it.",
            state=first.state,
            failure="; ".join(first.modes),
            path=first.path,
            numbers=tuple(numbers + ([("a short to ground at these does the same", alike)] if alike else [])),
            hazard=max(p.hazard for p in points),
        )


@record
class Rule:
    """A rule as loaded. ``help`` is its manual page; ``subjects(facts)`` gives pointers, ``judge(subject, facts)`` gives Unmet."""

    name: str
    title: str
    help: str
    hazard: HazardClass
    citations: tuple[Citation, ...]
    remedy: str
    subjects: Callable[[Any], Iterable[str]]
    judge: Callable[[str, Any], Iterable[Unmet]]
    path: str
