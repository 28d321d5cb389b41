"""What a rule is: a module that says what it looks at and judges one subject at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from reviewer.model.record import record
from reviewer.model.review import Citation, HazardClass


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
