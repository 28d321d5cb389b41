"""How many functions a piece of work calls: what grows with a file, whatever the machine."""

from __future__ import annotations

from collections.abc import Callable
from cProfile import Profile
from pstats import Stats


def calls_of(work: Callable[[], object]) -> int:
    """The calls of all that a piece of work does."""
    profile = Profile()
    profile.runcall(work)
    calls: int = Stats(profile).total_calls  # type: ignore[attr-defined]
    return calls
