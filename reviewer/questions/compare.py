"""Two reviewed designs compared: findings, missing data, parts and wires, behaviour."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Generic, TypeVar

from reviewer.analysis.facts import Facts
from reviewer.model.fields import Piece
from reviewer.model.quantities import UNITS
from reviewer.model.quantity_words import written
from reviewer.model.review import Finding, Gap, HazardClass, Review
from reviewer.model.wiring_parts import Wire
from reviewer.questions.behaviour import Behaviour, behaviour
from reviewer.questions.paired_states import paired_states
from reviewer.questions.renamed_parts import Renames, renamed_parts
from reviewer.questions.side_by_side import Alternative, alternative

T = TypeVar("T")

#: how far two figures of a finding may lie apart and count as one: no builder acts on less
SAME_FIGURE = 0.01
_UNIT = "|".join(sorted({unit for units in UNITS.values() for unit in units} | {"milliohm", "days"}))
_FIGURE = re.compile(rf"(?<![\w.-])-?\d+(?:\.\d+)?(?= (?:{_UNIT})(?!\w))")


@dataclass(frozen=True)
class Sides(Generic[T]):
    """Things of two reviews:

    ``new``, ``gone``, ``changed`` as (before, after), how many are ``unchanged``. ``baseline`` says
    of each of the new review's, in its order: new, unchanged or updated; ``absent`` are the places
    of those that are gone in the old one's order.
    """

    new: tuple[T, ...]
    gone: tuple[T, ...]
    changed: tuple[tuple[T, T], ...]
    unchanged: int
    baseline: tuple[str, ...]
    absent: tuple[int, ...]


@dataclass(frozen=True)
class PartChange:
    """A part or wire that differs: ``kind`` is "part" or "wire", ``change`` new, gone, changed or renamed.

    ``keys`` are (key, before, after), "" for a value that is not given; of one renamed ``name`` first.
    ``what`` says of one that is new or gone what kind of part it is, or where a wire goes.
    """

    kind: str
    name: str
    change: str
    keys: tuple[tuple[str, str, str], ...] = ()
    what: str = ""


@dataclass(frozen=True)
class Comparison:
    """All of it. ``old`` and ``new`` are the two reviews."""

    old: Review
    new: Review
    findings: Sides[Finding]
    gaps: Sides[Gap]
    parts: tuple[PartChange, ...]
    behaviour: Behaviour
    #: both designs in figures, the old one first
    alternatives: tuple[Alternative, Alternative]
    #: the headlines of causes of the one review that the other does not find at all
    causes_gone: tuple[Finding, ...] = ()
    causes_new: tuple[Finding, ...] = ()
    #: the headlines of causes that both find, of which the new one has findings that the old one has not
    causes_grown: tuple[Finding, ...] = ()

    @property
    def worse(self) -> bool:
        """Whether there is a new finding that nobody conceded, or a new gap."""
        was_conceded = any(before.conceded and not after.conceded for before, after in self.findings.changed)
        worse_class = any(
            after.hazard > before.hazard and not after.conceded for before, after in self.findings.changed
        )
        return (
            was_conceded
            or worse_class
            or bool(self.gaps.new)
            or any(not f.conceded for f in self.findings.new)
        )


def compare(old: Review, old_facts: Facts, new: Review, new_facts: Facts) -> Comparison:
    """An old and a new reviewed design compared."""
    renames = renamed_parts(old_facts.design, new_facts.design)
    pairs = paired_states(old_facts, new_facts, renames)
    renames = replace(renames, states={was: state for state, was in pairs.items() if was != state})
    before = list(map(renames.finding, old.findings))
    findings = matched(before, new.findings, lambda f: f.identity, _same)
    headlines = [renames.finding(cause.headline) for cause in old.causes if cause.standing]
    causes_new = _among([cause.headline for cause in new.causes if cause.standing], findings.new)
    grown = [c.headline for c in new.causes if _among(c.standing, findings.new)]
    return Comparison(
        old,
        new,
        findings,
        matched(
            map(renames.gap, old.gaps),
            new.gaps,
            lambda g: (g.rule, g.subject),
            lambda g, h: g.needs == h.needs,
        ),
        tuple(_parts_and_wires(old_facts, new_facts, renames)),
        behaviour(old_facts, new_facts, renames),
        (alternative(old_facts, _by_class(old), renames), alternative(new_facts, _by_class(new))),
        _among(headlines, findings.gone),
        causes_new,
        tuple(headline for headline in grown if headline not in causes_new),
    )


def _among(headlines: Iterable[Finding], findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The headlines of causes that are among some findings, the gravest first."""
    known = {finding.identity for finding in findings}
    found = (headline for headline in headlines if headline.identity in known)
    return tuple(sorted(found, key=lambda headline: headline.hazard, reverse=True))


def _by_class(review: Review) -> dict[HazardClass, int]:
    """How many standing findings there are of each class."""
    standing = [f.hazard for f in review.findings if not f.conceded]
    return {h: standing.count(h) for h in sorted(HazardClass, reverse=True) if h in standing}


def _same(before: Finding, after: Finding) -> bool:
    """Whether two findings have one verdict and the same figures, which may lie :data:`SAME_FIGURE` apart.

    Lines may move, a path may take another way and other switches may stand otherwise without
    changing it.
    """
    one, two = (
        (
            *(f.hazard, f.field, len(f.numbers)),
            (f.conceded.reason, f.conceded.by, f.conceded.date) if f.conceded else None,
        )
        for f in (before, after)
    )
    return one == two and all(map(_same_words, _texts(before), _texts(after)))


def _texts(finding: Finding) -> tuple[str, ...]:
    """What is compared; of a list the order says nothing."""
    values = (", ".join(sorted(value.split(", "))) for _, value in finding.numbers)
    return (finding.sentence, finding.failure, *(what for what, _ in finding.numbers), *values)


def _same_words(before: str, after: str) -> bool:
    """Whether two texts differ in nothing but figures with a unit that are nearly the same."""
    if before == after:
        return True
    if _FIGURE.sub("0", before) != _FIGURE.sub("0", after):
        return False
    pairs = zip(_FIGURE.findall(before), _FIGURE.findall(after), strict=True)
    return all(math.isclose(float(one), float(two), rel_tol=SAME_FIGURE) for one, two in pairs)


def matched(
    old: Iterable[T], new: Iterable[T], identity: Callable[[T], Hashable], same: Callable[[T, T], bool]
) -> Sides[T]:
    """The things of two reviews, matched by their identity.

    Things of one identity are matched first where they are the same, then in their order.
    """
    before, after = list(old), list(new)
    left: dict[Hashable, list[int]] = {}
    for i, thing in enumerate(before):
        left.setdefault(identity(thing), []).append(i)
    baseline = [""] * len(after)
    for i, thing in enumerate(after):
        were = left.get(identity(thing), [])
        match = next((j for j in were if same(before[j], thing)), None)
        if match is not None:
            were.remove(match)
            baseline[i] = "unchanged"
    changed = []
    for i, thing in enumerate(after):
        if not baseline[i]:
            were = left.get(identity(thing), [])
            baseline[i] = "updated" if were else "new"
            if were:
                changed.append((before[were.pop(0)], thing))
    gone = sorted(i for those in left.values() for i in those)
    return Sides(
        tuple(t for t, s in zip(after, baseline, strict=True) if s == "new"),
        tuple(before[i] for i in gone),
        tuple(changed),
        baseline.count("unchanged"),
        tuple(baseline),
        tuple(gone),
    )


def _parts_and_wires(old: Facts, new: Facts, renames: Renames) -> Iterable[PartChange]:
    for kind, before, after in (
        ("part", old.design.parts, new.design.parts),
        ("wire", old.design.wires, new.design.wires),
    ):
        were = {renames.name(name): name for name in before}
        for name in dict.fromkeys((*were, *after)):
            was = were.get(name)
            if was is None or name not in after:
                change, piece = ("new", after[name]) if was is None else ("gone", before[was])
                yield PartChange(kind, name, change, what=_what(piece))
                continue
            fields = tuple(_fields(before[was], after[name], renames))
            if was != name:
                yield PartChange(kind, name, "renamed", (("name", was, name), *fields))
            elif fields:
                yield PartChange(kind, name, "changed", fields)


def _what(piece: Any) -> str:
    """``breaker, rating 5 A``; ``main-bus.radio to radio-breaker.line, 20 AWG``."""
    if isinstance(piece, Wire):
        return ", ".join(filter(None, (f"{piece.from_} to {piece.to}", _field(piece, "gauge"))))
    rating = _field(piece, "rating")
    return piece.kind.replace("-", " ") + (f", rating {rating}" if rating else "")


def _fields(before: Any, after: Any, renames: Renames) -> Iterable[tuple[str, str, str]]:
    for key in dict.fromkeys((*type(before).model_fields, *type(after).model_fields)):
        if getattr(before, key, None) != getattr(after, key, None):
            was, now = _field(before, key), _field(after, key)
            if was == now or renames.text(renames.terminals(was)) != now:
                yield key.rstrip("_").replace("_", " "), was, now


def _field(piece: Any, key: str) -> str:
    """A field of a part or wire in words, numbers with their unit; "" where it has none."""
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
    if isinstance(value, bool):
        return str(value).lower()  # as the file has it
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Piece):
        return ", ".join(f"{k} {_value(v)}" for k, v in value if v is not None)
    return str(value)
