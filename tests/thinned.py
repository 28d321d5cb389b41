"""Of cases that are alike and take long a part in the whole run, all where the environment asks for them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from random import Random
from typing import TypeVar

T = TypeVar("T")


def thinned(cases: Sequence[T], step: int) -> list[T]:
    """One of every ``step`` cases, which one is drawn from a fixed seed, so that cases that take turns, as
    breaks and shorts, are all among them; with ``REVIEWER_TESTS=all`` each case."""
    if os.environ.get("REVIEWER_TESTS") == "all":
        return list(cases)
    draw = Random(step)
    return [draw.choice(cases[at : at + step]) for at in range(0, len(cases), step)]
