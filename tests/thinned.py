"""Of cases that are alike and take long a part in the whole run, all where the environment asks for them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import TypeVar

T = TypeVar("T")


def thinned(cases: Sequence[T], step: int) -> list[T]:
    """The first of every ``step`` cases; with ``REVIEWER_TESTS=all`` each of them."""
    return list(cases[:: 1 if os.environ.get("REVIEWER_TESTS") == "all" else step])
