"""What a rule is: a module that says what it looks at and judges one subject at a time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from reviewer.model.record import record
from reviewer.model.review import Citation, Consequence, HazardClass
from reviewer.rulebook.subject import Subject


@record
class Unmet:
    """What ``judge`` yields when a subject does not have the property.

    ``sentence`` states the thing, the fault and the consequence, with numbers and limits. ``field``
    is a key that the subject may have (else the rule breaks down), ``state`` an operating state,
    ``path`` a sequence of element pointers, ``numbers`` pairs of a word and a value with its unit.
    ``switches`` are (switch, position) pairs where no declared state shows the fault. ``hazard``,
    ``consequence`` (a word), ``subject`` (a pointer) and ``remedy`` replace what the rule and the runner
    would say. ``extent`` says what a concession accepts, where one subject has several findings: the
    other part, the way between them, the states.
    ``elements``, ``lost``, ``changes`` and ``functions`` are evidence for programs (see
    :class:`reviewer.model.review.FindingEvidence`); without ``changes`` it is the ``field`` that is changed,
    and a change that names no place, as ``isolation``, is made anywhere on the path.
    """

    sentence: str
    field: str = ""
    state: str = ""
    failure: str = ""
    path: tuple[str, ...] = ()
    numbers: tuple[tuple[str, str], ...] = ()
    hazard: HazardClass | None = None
    consequence: str = ""
    subject: str = ""
    remedy: str = ""
    switches: tuple[tuple[str, str], ...] = ()
    extent: str = ""
    elements: tuple[str, ...] = ()
    lost: tuple[str, ...] = ()
    changes: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()


@record
class Rule:
    """A rule as loaded. ``help`` is its manual page.

    ``subjects(facts)`` gives pointers or subjects, ``judge(subject, facts)`` gives Unmet. With
    ``as_written`` it judges what the file says, so that no other value of an estimate is tried on it.
    """

    name: str
    title: str
    help: str
    hazard: HazardClass
    citations: tuple[Citation, ...]
    remedy: str
    subjects: Callable[[Any], Iterable[str | Subject]]
    judge: Callable[[Subject, Any], Iterable[Unmet]]
    path: str
    consequence: Consequence = Consequence.TO_BE_CORRECTED
    as_written: bool = False
