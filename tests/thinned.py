"""Of cases that are alike and take long a part in the whole run, all where the environment asks for them."""

from __future__ import annotations

import os
from collections.abc import Collection, Sequence
from random import Random
from typing import TypeVar

T = TypeVar("T")
#: whether the environment asks for every case
EVERY = os.environ.get("REVIEWER_TESTS") == "all"


def thinned(cases: Sequence[T], step: int) -> list[T]:
    """One of every ``step`` cases, which one is drawn from a fixed seed, so that cases that take turns, as
    breaks and shorts, are all among them; with ``REVIEWER_TESTS=all`` each case."""
    if EVERY:
        return list(cases)
    draw = Random(step)
    return [draw.choice(cases[at : at + step]) for at in range(0, len(cases), step)]


def some_of(cases: Sequence[T], some: Collection[T]) -> list[T]:
    """Of cases the ones that stand for the others; with ``REVIEWER_TESTS=all`` each case."""
    assert set(some) <= set(cases)
    return [case for case in cases if EVERY or case in some]
