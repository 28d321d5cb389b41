"""Emergency and abnormal checklists as schedules: the cards, and every indication with its cards."""

from __future__ import annotations

from reviewer.model.design import Design
from reviewer.questions.checklist_cards import Checklists
from reviewer.reports.checklists import table, words
from reviewer.reports.handoff.schedules.schedule import Schedule

_CARDS = (
    "For each indication of the normal state: what it means, what works and for how long, what restores, "
    f"what not to do, what is left; emergencies first. {words.DEFERS} {' '.join(words.NOTES)} "
    "`reviewer checklists --as html` prints a card a sheet."
)
_INDICATIONS = (
    "Every monitor, unit and circuit protection, with how single failures move it, and the numbers of the "
    "checklists that begin with it or mention it."
)


def tables(design: Design, answer: Checklists | None) -> tuple[Schedule, ...]:
    """Both; none without states."""
    if answer is None:
        return ()
    cards, every = tuple(table.card_rows(design, answer)), tuple(table.index_rows(design, answer))
    found = (
        Schedule("checklists", "Checklists", _CARDS, table.COLUMNS, cards),
        Schedule("indications", "Indications", _INDICATIONS, table.INDEX_COLUMNS, every),
    )
    return tuple(one for one in found if one.rows)
