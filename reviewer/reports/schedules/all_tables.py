"""Every table of a solved result, in the order in which a folder lists them."""

from __future__ import annotations

from reviewer.reports.schedules import cards, loads, wiring, working
from reviewer.reports.schedules.table import Table
from reviewer.reports.solved import Solved


def tables(solved: Solved) -> tuple[Table, ...]:
    """The schedules; those of engines that this version does not have are left out."""
    facts, effects = solved.facts, solved.effects
    found = (
        wiring.wire_list(facts),
        wiring.protectors(facts, effects),
        working.switch_states(facts),
        wiring.ground_map(facts),
        working.failure_effects(facts, effects),
        loads.declared_loads(facts),
        *solved.answers.tables,
        wiring.parts_list(facts),
        cards.test_cards(facts, effects),
        working.placards(facts),
        working.concessions(solved.review, facts.design.concessions),
    )
    return tuple(table for table in found if table is not None)
