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
from reviewer.questions.behaviour import Behaviour, behaviour
from reviewer.questions.paired_states import paired_states
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
    of each of the new review's, in its order: new, unchanged or updated.
    """

    new: tuple[T, ...]
    gone: tuple[T, ...]
    changed: tuple[tuple[T, T], ...]
    unchanged: int
    baseline: tuple[str, ...]


@dataclass(frozen=True)
class PartChange:
    """A part or wire that differs: ``kind`` is "part" or "wire", ``change`` new, gone or changed.

    ``keys`` are (key, before, after), "" for a value that is not given.
    """

    kind: str
    name: str
    change: str
    keys: tuple[tuple[str, str, str], ...] = ()


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
    renamed = {was: state for state, was in paired_states(old_facts, new_facts).items() if was != state}
    before = [_in_state(f, renamed) for f in old.findings]
    findings = matched(before, new.findings, lambda f: f.identity, _same)
    headlines = [_in_state(cause.headline, renamed) for cause in old.causes if cause.standing]
    causes_new = _among([cause.headline for cause in new.causes if cause.standing], findings.new)
    grown = [c.headline for c in new.causes if _among(c.standing, findings.new)]
    return Comparison(
        old,
        new,
        findings,
        matched(old.gaps, new.gaps, lambda g: (g.rule, g.subject), lambda g, h: g.needs == h.needs),
        tuple(_parts_and_wires(old_facts, new_facts)),
        behaviour(old_facts, new_facts),
        (alternative(old_facts, _by_class(old), renamed), alternative(new_facts, _by_class(new))),
        _among(headlines, findings.gone),
        causes_new,
        tuple(headline for headline in grown if headline not in causes_new),
    )


def _among(headlines: Iterable[Finding], findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The headlines of causes that are among some findings."""
    known = {finding.identity for finding in findings}
    return tuple(headline for headline in headlines if headline.identity in known)


def _by_class(review: Review) -> dict[HazardClass, int]:
    """How many standing findings there are of each class."""
    standing = [f.hazard for f in review.findings if not f.conceded]
    return {h: standing.count(h) for h in sorted(HazardClass, reverse=True) if h in standing}


def _in_state(finding: Finding, renamed: Mapping[str, str]) -> Finding:
    """An old finding with the states under the names that the new file gives them."""
    if not renamed:
        return finding
    names = "|".join(map(re.escape, sorted(renamed, key=len, reverse=True)))
    named = re.compile(rf"(?<![\w./-])(?:{names})(?![\w/-])")

    def told(text: str) -> str:
        return named.sub(lambda found: renamed[found[0]], text)

    return replace(
        finding,
        state=renamed.get(finding.state, finding.state),
        sentence=told(finding.sentence),
        extent=told(finding.extent),
        numbers=tuple((what, told(value)) for what, value in finding.numbers),
    )


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
    return (finding.sentence, finding.failure, *(text for number in finding.numbers for text in number))


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
    left: dict[Hashable, list[T]] = {}
    for thing in old:
        left.setdefault(identity(thing), []).append(thing)
    after = list(new)
    baseline = [""] * len(after)
    for i, thing in enumerate(after):
        before = left.get(identity(thing), [])
        match = next((b for b in before if same(b, thing)), None)
        if match is not None:
            before.remove(match)
            baseline[i] = "unchanged"
    changed = []
    for i, thing in enumerate(after):
        if not baseline[i]:
            before = left.get(identity(thing), [])
            baseline[i] = "updated" if before else "new"
            if before:
                changed.append((before.pop(0), thing))
    gone = tuple(thing for things in left.values() for thing in things)
    return Sides(
        tuple(t for t, s in zip(after, baseline, strict=True) if s == "new"),
        gone,
        tuple(changed),
        baseline.count("unchanged"),
        tuple(baseline),
    )


def _parts_and_wires(old: Facts, new: Facts) -> Iterable[PartChange]:
    for kind, before, after in (
        ("part", old.design.parts, new.design.parts),
        ("wire", old.design.wires, new.design.wires),
    ):
        for name in dict.fromkeys((*before, *after)):
            if name not in before or name not in after:
                yield PartChange(kind, name, "new" if name in after else "gone")
            elif fields := tuple(_fields(before[name], after[name])):
                yield PartChange(kind, name, "changed", fields)


def _fields(before: Any, after: Any) -> Iterable[tuple[str, str, str]]:
    for key in dict.fromkeys((*type(before).model_fields, *type(after).model_fields)):
        one, two = getattr(before, key, None), getattr(after, key, None)
        if one != two:
            yield key.rstrip("_").replace("_", " "), _field(before, key), _field(after, key)


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
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Piece):
        return ", ".join(f"{k} {_value(v)}" for k, v in value if v is not None)
    return str(value)
