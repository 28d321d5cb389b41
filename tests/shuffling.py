"""A design as plain data in another order, where the order says nothing; and all that a review says of it."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

from reviewer.analysis.facts import Facts
from reviewer.model.review import Finding, Review
from reviewer.reading import read_text
from reviewer.session import review_facts
from tests.rule_cases import RULES

#: maps that follow something: the flight, the travel of a switch
FOLLOWED = {"phases", "positions"}
#: lists that are sets; other lists follow a wire, a procedure or a card
SETS = {
    "accessible-from",
    "after-failure-of",
    "concessions",
    "dead",
    "dedicated-to",
    "disconnects",
    "excluded",
    "hazards",
    "momentary",
    "of",
    "pilot-seats",
    "pins",
    "proves",
    "pulled",
    "restores",
    "returns",
    "supplies",
    "without",
}


def shuffled(value: Any, chance: Random, key: str = "", inside: str = "") -> Any:
    """The data with its maps and sets in another order; ``key`` is where it stands in ``inside``."""
    if isinstance(value, dict):
        entries = list(value.items())
        if key not in FOLLOWED:
            chance.shuffle(entries)
        return {k: shuffled(v, chance, k, key) for k, v in entries}
    if isinstance(value, list):
        # what one position of a switch joins is a set of pairs
        if key in SETS or inside == "positions":
            value = chance.sample(value, len(value))
        return [shuffled(entry, chance) for entry in value]
    return value


class Said(NamedTuple):
    """What a review says, but for lines: ``findings``, ``gaps``, rule ``errors``, ``examined`` by rule, ``states``, ``limits``."""

    findings: Counter[tuple[Any, ...]]
    gaps: Counter[tuple[str, str, str]]
    errors: Counter[tuple[str, str]]
    examined: dict[str, int]
    states: dict[str, Any]
    limits: Counter[str]


def review_of(data: object) -> tuple[Facts, Review]:
    """The facts and the review of a design as plain data, by every rule."""
    facts = Facts(read_text(json.dumps(data, ensure_ascii=False), "design"))
    return facts, review_facts(facts, Path("design"), list(RULES.values()))


def said_in(review: Review) -> Said:
    """All that a review says of a design."""
    return Said(
        Counter(_said(f) for f in review.findings)
        + Counter(("concession that matches nothing", repr(c)) for c in review.unmatched),
        Counter((g.rule, g.subject, g.needs) for g in review.gaps),
        Counter((b.rule, b.error) for b in review.breakdowns),
        {a.rule: a.examined for a in review.assessments},
        {name: dict(at) for name, at in zip(review.states, review.positions, strict=True)},
        Counter(review.limits),
    )


def said(data: object) -> Said:
    """The same of a design as plain data."""
    return said_in(review_of(data)[1])


def _said(f: Finding) -> tuple[Any, ...]:
    """All of a finding but its place."""
    path = tuple((step.part, step.text) for step in f.path)
    what = (f.rule, f.subject, f.sentence, f.hazard.word, f.field, f.state, f.extent, f.failure)
    return (*what, f.switches, path, f.numbers, f.remedy, repr(f.conceded))
