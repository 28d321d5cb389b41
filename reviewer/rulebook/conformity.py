"""Whether a rule keeps to its side: subjects that the design has, answers of the right types."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.fields import Piece
from reviewer.model.parts import Wire
from reviewer.model.review import HazardClass
from reviewer.rulebook.file_entries import entry_at, has_place
from reviewer.rulebook.rule import Unmet
from reviewer.rulebook.subject import Subject

_TEXTS = ("sentence", "field", "state", "failure", "subject", "remedy", "extent")
_PAIRS = ("numbers", "switches")
_POINTERS = {"path": "pointers", "elements": "pointers", "changes": "pointers of keys"}
_POINTERS |= {"lost": "names", "functions": "names"}


def pointers_of(subjects: Any, facts: Facts) -> Iterator[str]:
    """The pointers that ``subjects()`` of a rule gives.

    Raises TypeError for what is no pointer, ValueError for a thing that the design does not have.
    """
    if isinstance(subjects, str):
        raise TypeError(f"subjects() gives a text, `{subjects}`, not a list of pointers")
    for given in subjects:
        if not isinstance(given, str | Subject):
            raise TypeError(f"subjects() gives {_kind(given)}, not a pointer such as `parts/main-bus`")
        yield _known(str(given), facts)


def check_unmet(given: Any, subject: Subject, facts: Facts) -> None:
    """Raises TypeError where ``judge()`` yields no Unmet, or one with a value of another type, and
    ValueError where it names what the design does not have, or a field that its subject cannot have."""
    if not isinstance(given, Unmet):
        raise TypeError(f"judge() yields {_kind(given)}, not Unmet")
    for name in _TEXTS:
        if not isinstance(getattr(given, name), str):
            raise TypeError(f"`{name}` of Unmet is {_kind(getattr(given, name))}, not text")
    if not given.sentence.strip():
        raise ValueError("`sentence` of Unmet is empty")
    for name in _PAIRS:
        if not _is_list(getattr(given, name)) or not all(map(_is_pair, getattr(given, name))):
            raise TypeError(f"`{name}` of Unmet must be pairs of texts")
    for name in _POINTERS:
        if not _is_list(getattr(given, name)) or not all(isinstance(e, str) for e in getattr(given, name)):
            raise TypeError(f"`{name}` of Unmet must be {_POINTERS[name]}")
    if given.hazard is not None and not isinstance(given.hazard, HazardClass):
        raise TypeError(f"`hazard` of Unmet is {_kind(given.hazard)}, not a HazardClass")
    about = Subject(_known(given.subject, facts)) if given.subject else subject
    if given.field and not _may_have(about, given.field, facts):
        raise ValueError(f"a finding is about `{given.field}`, a key that {about} cannot have")
    if given.state and given.state not in facts.states.declared:
        raise ValueError(f"`state` of Unmet is `{given.state}`, which the design does not declare")
    for element in (*given.path, *given.elements):
        _known(element, facts)


def _known(pointer: str, facts: Facts) -> str:
    kind, _, name = pointer.partition("/")
    if kind in ("parts", "wires") and name in getattr(facts.design, kind):  # as most are
        return pointer
    subject = Subject(pointer)
    if not _exists(subject, facts):
        raise ValueError(f"the design has no `{pointer}`")
    return pointer


def _exists(subject: Subject, facts: Facts) -> bool:
    group = _group(subject, facts)
    if isinstance(group, Mapping):
        return subject.name in group
    made = subject.in_file == "operation" and facts.design.operation is not None  # of states that were made
    return made or (bool(subject.kind) and subject.in_file in facts.design.places)


def _group(subject: Subject, facts: Facts) -> Any:
    """What holds the things of a subject's kind by their names; else None."""
    if subject.kind in ("parts", "wires", "functions") and not subject.section:
        return getattr(facts.design, subject.kind)
    if subject.kind in ("bundles", "bolts"):
        return getattr(facts.network, subject.kind)
    return getattr(getattr(facts.design, subject.section), subject.kind, None) if subject.section else None


def _may_have(subject: Subject, field: str, facts: Facts) -> bool:
    """Whether a field is a key that a subject may have, whether it has it or not.

    A bundle has the keys of its wires, a bolt those of its part; what stands by names has any name.
    """
    design = facts.design
    if subject.kind == "bundles":
        return has_place(Wire, field)
    if subject.kind == "bolts":
        return has_place(type(design.parts[subject.name.partition(".")[0]]), field)
    group = _group(subject, facts)
    entry = group[subject.name] if isinstance(group, Mapping) else entry_at(subject.pointer, design)
    return not isinstance(entry, Piece) or has_place(type(entry), field)


def _is_list(value: Any) -> bool:
    return isinstance(value, tuple | list)


def _is_pair(value: Any) -> bool:
    return _is_list(value) and len(value) == 2 and all(isinstance(text, str) for text in value)


def _kind(value: Any) -> str:
    return f"a value of type {type(value).__name__}"
