"""Reviews of mutants, and how many defects they find: the score of each operator."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache, partial
from pathlib import Path

from reviewer.analysis.facts import Facts
from reviewer.model.review import Finding
from reviewer.reading import read_text
from reviewer.rulebook.rule import Rule
from reviewer.rulebook.runner import run_rules
from tests.mutants.decide import decided
from tests.mutants.mutant import sound
from tests.mutants.operators import mutants
from tests.mutants.verdict import NO, YES, Verdict
from tests.rule_cases import RULES, Data

CHAPTER = {rule.name: Path(rule.path).parent.name for rule in RULES.values()}
#: a rule that tells that something is loose and not what that costs: a defect caught by it alone
#: is counted apart
LOOSE = "every-terminal-is-connected-or-declared-unused"


@dataclass(frozen=True)
class Reviewed:
    """What a review found of a mutant that it did not find of the sound design."""

    key: str
    caught: bool
    loosely: bool
    new: tuple[str, ...]


@dataclass
class Score:
    """The score of one operator; ``loosely`` caught by a loose terminal alone, ``false`` innocents
    with a new finding.
    """

    defects: int = 0
    caught: int = 0
    loosely: int = 0
    innocents: int = 0
    missed: list[str] = field(default_factory=list)
    false: dict[str, tuple[str, ...]] = field(default_factory=dict)


@cache
def known(design: str) -> frozenset[tuple[str, ...]]:
    """What a review finds of a sound design, as told and by subject alone."""
    return frozenset(key for f in _found(design, sound(design)) for key in (_told(f), _place(f)))


def review(key: str, whole: bool = False) -> Reviewed:
    """Review one mutant of the list and compare with what was decided.

    A defect that is caught is reviewed no further, unless ``whole``.
    """
    mutant, verdict = mutants()[key], decided_of(key)
    before = known(mutant.design)
    if verdict.defect == YES:
        new: list[Finding] = []
        for findings in _found_in_order(key, mutant.data(), verdict):
            new += (f for f in findings if _told(f) not in before)
            by = {f.rule for f in new if _is_of(f, verdict)}
            if by and not whole:
                break
        return Reviewed(key, bool(by), by == {LOOSE}, tuple(map(_line, new)))
    new = [f for f in _found(key, mutant.data()) if _place(f) not in before]
    return Reviewed(key, False, False, tuple(map(_line, new)))


def review_all(keys: Iterable[str], processes: int = 2, whole: bool = False) -> list[Reviewed]:
    """Review many mutants."""
    if processes == 1:
        return [review(key, whole) for key in keys]
    with ProcessPoolExecutor(processes) as pool:
        return list(pool.map(partial(review, whole=whole), keys, chunksize=4))


def scores(reviews: Iterable[Reviewed]) -> dict[str, Score]:
    """The score of each operator."""
    found: dict[str, Score] = {}
    for one in reviews:
        score = found.setdefault(one.key.split("/")[1], Score())
        if decided_of(one.key).defect == YES:
            score.defects += 1
            score.caught += one.caught
            score.loosely += one.loosely
            if not one.caught:
                score.missed.append(one.key)
        else:
            score.innocents += 1
            if one.new:
                score.false[one.key] = one.new
    return found


def judged() -> list[str]:
    """The mutants that were decided, in the order of the list."""
    return [key for key, verdict in _list().items() if verdict.defect in (YES, NO)]


def decided_of(key: str) -> Verdict:
    """What was decided of a mutant."""
    return _list()[key]


def table(found: Mapping[str, Score]) -> str:
    """The scores as lines of text."""
    every = Score(
        sum(s.defects for s in found.values()),
        sum(s.caught for s in found.values()),
        sum(s.loosely for s in found.values()),
        sum(s.innocents for s in found.values()),
        [key for s in found.values() for key in s.missed],
        {key: new for s in found.values() for key, new in s.false.items()},
    )
    lines = [
        f"{'operator':24}{'defects':>9}{'caught':>8}{'loosely':>9}{'missed':>8}{'innocent':>10}{'false':>7}"
    ]
    for name, s in (*found.items(), ("all", every)):
        counts = f"{s.defects:9}{s.caught:8}{s.loosely:9}{len(s.missed):8}{s.innocents:10}{len(s.false):7}"
        lines.append(f"{name:24}{counts}")
    return "\n".join(lines)


@cache
def _list() -> Mapping[str, Verdict]:
    return decided()


def _found(name: str, data: Data) -> list[Finding]:
    return _findings(list(RULES.values()), Facts(read_text(json.dumps(data), name)))


def _found_in_order(name: str, data: Data, verdict: Verdict) -> Iterator[list[Finding]]:
    """The findings of one rule after another: first those of the chapters concerned, at last the
    loose terminals.
    """
    facts = Facts(read_text(json.dumps(data), name))
    rules = sorted(RULES.values(), key=lambda r: (r.name == LOOSE, CHAPTER[r.name] not in verdict.chapters))
    return (_findings([rule], facts) for rule in rules)


def _findings(rules: list[Rule], facts: Facts) -> list[Finding]:
    assessments, _ = run_rules(rules, facts)
    broken = [b for a in assessments for b in a.breakdowns]
    assert not broken, broken[0].traceback
    return [f for a in assessments for f in a.findings]


def _told(finding: Finding) -> tuple[str, ...]:
    """A finding as told, numbers left out: they move with every change."""
    return finding.rule, finding.subject, finding.state, re.sub(r"[0-9.]+", "#", finding.sentence)


def _place(finding: Finding) -> tuple[str, ...]:
    return finding.rule, finding.subject


def _is_of(finding: Finding, verdict: Verdict) -> bool:
    """Whether a finding is of the defect: of a chapter concerned, or naming an element concerned."""
    if finding.rule != LOOSE and CHAPTER[finding.rule] in verdict.chapters:
        return True
    told = " ".join((finding.subject, finding.sentence, finding.failure, *(s.part for s in finding.path)))
    words = set(re.findall(r"[\w-]+", told))
    return not words.isdisjoint(verdict.names)


def _line(finding: Finding) -> str:
    return f"{finding.rule}: {finding.sentence}"
