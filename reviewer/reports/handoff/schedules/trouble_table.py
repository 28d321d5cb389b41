"""What is seen, and the causes that show it, as a schedule."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model.design import Design
from reviewer.questions.diagnosis import SignPattern
from reviewer.reports.diagnosis import words
from reviewer.reports.handoff.schedules.schedule import Schedule

KEY = "trouble-shooting"
_ABOUT = (
    "What the crew sees in the normal state that it does not see in a sound system, and the causes that "
    "show just that; all else is as usual. A cause is what one repair puts right: a part or wire, or "
    "all places of one break or short between two terminals with no branch between them. Readings are "
    "solved, with the error of the meters. Causes of one row cannot be told apart without a "
    "measurement: `reviewer diagnose` says which. A failure that shows nothing is in no row. Protection "
    "that has opened stays open until the short is found (common practice, no published source)."
)


def trouble_shooting(design: Design, patterns: Sequence[SignPattern]) -> Schedule | None:
    """A row for each pattern; None where nothing is seen of any failure."""
    rows = tuple(
        (
            words.shown_words(design, one.shows),
            len(one.causes),
            sum(len(cause.places) for cause in one.causes),
            "; ".join(map(words.cause_words, one.causes)),
        )
        for one in patterns
    )
    columns = ("symptom", "number of causes", "number of places", "possible causes")
    return Schedule(KEY, "Trouble-shooting", _ABOUT, columns, rows) if rows else None
