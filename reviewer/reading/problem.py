"""A problem of a design file: where it is, what was found, what to write."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Problem:
    """One mistake. ``line`` and ``column`` count from 1; ``pointer`` names the place in the file's structure."""

    line: int
    column: int
    pointer: str
    message: str


class Unreadable(Exception):
    """A design file that cannot be reviewed; ``file`` and every ``Problem`` found in it."""

    def __init__(self, file: str, problems: list[Problem]):
        super().__init__(f"{file}: {len(problems)} mistake(s)")
        self.file = file
        self.problems = sorted(problems)
