"""What the engines say that a version may or may not have. What is missing here is absent from the page and the folder, and never made up."""

from __future__ import annotations

from dataclasses import dataclass

from reviewer.analysis.facts import Facts
from reviewer.reports.schedules.table import Table


@dataclass(frozen=True)
class Answers:
    """Tables of engines that this version has; None where it has none. Each is told in :func:`missing`."""

    hidden: Table | None = None
    loads: Table | None = None
    endurance: Table | None = None
    drops: Table | None = None

    def missing(self) -> tuple[str, ...]:
        """What this version does not compute, a few words each."""
        told = {
            "hidden": "failures that show nothing until another comes",
            "loads": "amperes in each state",
            "endurance": "minutes on battery",
            "drops": "volts at each load",
        }
        return tuple(words for key, words in told.items() if getattr(self, key) is None)


def answers_of(facts: Facts) -> Answers:
    """The answers of the engines about a design."""
    return Answers()
