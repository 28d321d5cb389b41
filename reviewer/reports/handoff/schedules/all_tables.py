"""Every table of a solved result, in the order in which a folder lists them."""

from __future__ import annotations

from reviewer.reports.handoff.schedules import cards, load_tables, notes_table, wiring_tables, working_tables
from reviewer.reports.handoff.schedules.table import Table
from reviewer.reports.handoff.solved import Solved


def tables(solved: Solved) -> tuple[Table, ...]:
    """The schedules; those of engines that this version does not have are left out."""
    facts, effects = solved.facts, solved.effects
    found = (
        wiring_tables.wire_list(facts),
        wiring_tables.protectors(facts, effects),
        working_tables.switch_states(facts),
        wiring_tables.ground_map(facts),
        working_tables.failure_effects(facts, effects),
        load_tables.declared_loads(facts),
        *solved.answers.tables,
        wiring_tables.parts_list(facts),
        cards.test_cards(facts, effects),
        working_tables.placards(facts),
        notes_table.notes(facts.design),
        working_tables.concessions(solved.review, facts.design.concessions),
    )
    return tuple(table for table in found if table is not None)
