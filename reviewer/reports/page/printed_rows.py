"""What print leaves out of long lists, so that a design with hundreds of faults can still be filed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from reviewer.model.review import Cause, HazardClass
from reviewer.network.graph import bare

#: minor causes of one rule that are printed one by one, at most; names in a cell
_ALIKE, MOST_ITEMS = 3, 12
#: a number at the end of a name, without a leading zero
_NUMBER = re.compile(r"(?<!\d)[1-9]\d*$")


@dataclass(frozen=True)
class AlikeCauses:
    """Minor causes of one rule and of one finding each.

    ``names`` are what the ``number`` others are about, as :func:`in_runs` has it; the first is printed in
    full.
    """

    rule: str
    number: int
    names: tuple[str, ...]


def alike_causes(causes: Sequence[tuple[int, Cause]]) -> tuple[dict[int, AlikeCauses], set[int]]:
    """By the number of the first of them the causes that print gathers in one entry, and the
    numbers of the others."""
    by_rule: dict[str, list[tuple[int, Cause]]] = {}
    for number, cause in causes:
        if len(cause.standing) == 1 and cause.headline.hazard <= HazardClass.MINOR:
            by_rule.setdefault(cause.headline.rule, []).append((number, cause))
    gathered = {rule: found for rule, found in by_rule.items() if len(found) > _ALIKE}
    first = {
        found[0][0]: AlikeCauses(
            rule, len(found) - 1, tuple(in_runs(bare(cause.headline.subject) for _, cause in found[1:]))
        )
        for rule, found in gathered.items()
    }
    return first, {number for found in gathered.values() for number, _ in found[1:]}


def in_runs(names: Iterable[str]) -> Iterator[str]:
    """The names in their order; three or more that count up, as W7, W8, W9, are ``W7 to W9``."""
    runs: list[list[str]] = []
    for name in names:
        if runs and _next(runs[-1][-1]) == name:
            runs[-1].append(name)
        else:
            runs.append([name])
    for run in runs:
        yield from [f"{run[0]} to {run[-1]}"] if len(run) > 2 else run


def _next(name: str) -> str:
    """The name that counts one further, or ""."""
    number = _NUMBER.search(name)
    return f"{name[: number.start()]}{int(number[0]) + 1}" if number else ""
