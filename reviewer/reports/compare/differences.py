"""Two reviews set side by side: findings and gaps that are new, gone or changed, parts and wires that differ, and what the system does otherwise."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from reviewer.analysis.facts import Facts
from reviewer.model.fields import Piece
from reviewer.model.quantities import written
from reviewer.model.review import Finding, Gap, Review
from reviewer.questions.compare import Behaviour, behaviour

T = TypeVar("T")


@dataclass(frozen=True)
class Sorted(Generic[T]):
    """Things of two reviews: ``new``, ``gone``, ``changed`` as (before, after), and how many are ``same``; ``standing`` gives the word for each of the
    new review's, in its order."""

    new: tuple[T, ...]
    gone: tuple[T, ...]
    changed: tuple[tuple[T, T], ...]
    same: int
    standing: tuple[str, ...]


@dataclass(frozen=True)
class PieceChange:
    """A part or wire that differs: ``kind`` is "part" or "wire"; ``fields`` are (key, before, after), "" for a value that is not given."""

    kind: str
    name: str
    standing: str
    fields: tuple[tuple[str, str, str], ...] = ()


@dataclass(frozen=True)
class Comparison:
    """All of it. ``old`` and ``new`` are the two reviews."""

    old: Review
    new: Review
    findings: Sorted[Finding]
    gaps: Sorted[Gap]
    pieces: tuple[PieceChange, ...]
    behaviour: Behaviour

    @property
    def worse(self) -> bool:
        """Whether there is a finding that nobody conceded and that was not there, or a gap that was not there."""
        was_conceded = any(before.conceded and not after.conceded for before, after in self.findings.changed)
        graver = any(
            after.hazard > before.hazard and not after.conceded for before, after in self.findings.changed
        )
        return was_conceded or graver or bool(self.gaps.new) or any(not f.conceded for f in self.findings.new)


def compare(old: Review, old_facts: Facts, new: Review, new_facts: Facts) -> Comparison:
    """Two reviewed designs side by side."""
    return Comparison(
        old,
        new,
        sort(old.findings, new.findings, lambda f: f.identity, _told),
        sort(old.gaps, new.gaps, lambda g: (g.rule, g.subject), lambda g: g.needs),
        tuple(_pieces(old_facts, new_facts)),
        behaviour(old_facts, new_facts),
    )


def _told(finding: Finding) -> Hashable:
    """What a reader is told of a finding; lines may move without changing it."""
    concession = finding.conceded
    return (
        finding.sentence, finding.hazard, finding.field, finding.failure, finding.switches, finding.path, finding.numbers,
        (concession.reason, concession.by, concession.on) if concession else None,
    )  # fmt: skip


def sort(
    old: Iterable[T], new: Iterable[T], identity: Callable[[T], Hashable], told: Callable[[T], Hashable]
) -> Sorted[T]:
    """Sorts the things of two reviews by their identity. Things that share one are matched by what is told of them first, then in their order."""
    left: dict[Hashable, list[T]] = {}
    for thing in old:
        left.setdefault(identity(thing), []).append(thing)
    after = list(new)
    standing = [""] * len(after)
    for i, thing in enumerate(after):
        before = left.get(identity(thing), [])
        match = next((b for b in before if told(b) == told(thing)), None)
        if match is not None:
            before.remove(match)
            standing[i] = "unchanged"
    changed = []
    for i, thing in enumerate(after):
        if not standing[i]:
            before = left.get(identity(thing), [])
            standing[i] = "updated" if before else "new"
            if before:
                changed.append((before.pop(0), thing))
    gone = tuple(thing for things in left.values() for thing in things)
    return Sorted(
        tuple(t for t, s in zip(after, standing, strict=True) if s == "new"),
        gone,
        tuple(changed),
        standing.count("unchanged"),
        tuple(standing),
    )


def _pieces(old: Facts, new: Facts) -> Iterable[PieceChange]:
    for kind, before, after in (
        ("part", old.design.parts, new.design.parts),
        ("wire", old.design.wires, new.design.wires),
    ):
        for name in dict.fromkeys((*before, *after)):
            if name not in before or name not in after:
                yield PieceChange(kind, name, "new" if name in after else "gone")
            elif fields := tuple(_fields(before[name], after[name])):
                yield PieceChange(kind, name, "changed", fields)


def _fields(before: Any, after: Any) -> Iterable[tuple[str, str, str]]:
    for key in dict.fromkeys((*type(before).model_fields, *type(after).model_fields)):
        one, two = getattr(before, key, None), getattr(after, key, None)
        if one != two:
            yield key.rstrip("_").replace("_", " "), _field(before, key), _field(after, key)


def _field(piece: Any, key: str) -> str:
    """A field of a part or wire in words, numbers with their unit; nothing where the piece has no such field."""
    value = getattr(piece, key, None)
    if isinstance(value, Mapping) and any(isinstance(v, float) for v in value.values()):
        return "; ".join(f"{k}: {written(piece, key, v)}" for k, v in value.items())
    return written(piece, key) if isinstance(value, float) else _value(value)


def _value(value: Any) -> str:
    """A value of a part or wire in words."""
    if value is None:
        return ""
    if isinstance(value, Mapping):
        return "; ".join(f"{k}: {_value(v)}" for k, v in value.items()) or "none"
    if isinstance(value, (tuple, list)):
        return (
            ", ".join(_value(v) if not isinstance(v, tuple) else "-".join(map(str, v)) for v in value)
            or "none"
        )
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Piece):
        return ", ".join(f"{k} {_value(v)}" for k, v in value if v is not None)
    return str(value)
