"""Every schedule of a solved design in the order of the folder, and what was not computed."""

from __future__ import annotations

from reviewer.reports.handoff.schedules import (
    capacity_tables,
    cards,
    charging_tables,
    checklist_tables,
    endurance_tables,
    latent_table,
    load_tables,
    notes_table,
    operating_tables,
    parts_list,
    power_up_table,
    trouble_table,
    wiring_tables,
    working_tables,
)
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign


def schedules(solved: SolvedDesign) -> tuple[Schedule, ...]:
    """All schedules. One whose question does not apply to the design is left out."""
    design, answers = solved.design, solved.answers
    found = (
        wiring_tables.wire_list(design, answers.wiring),
        wiring_tables.protection(design, answers.wiring, answers.effects),
        working_tables.switch_states(design, answers.powered),
        wiring_tables.ground_map(design, solved.network, answers.wiring),
        working_tables.failure_effects(design, answers.effects),
        load_tables.declared_loads(design, solved.network, answers.loads),
        *solved_schedules(solved),
        parts_list.parts_list(design),
        power_up_table.power_up_cards(design, answers.power_up),
        cards.test_cards(design, answers.cards),
        *checklist_tables.tables(design, answers.checklists),
        trouble_table.trouble_shooting(design, answers.patterns),
        working_tables.placards(design),
        notes_table.notes(design),
        working_tables.concessions(solved.review, design.concessions),
    )
    return tuple(table for table in found if table is not None)


def solved_schedules(solved: SolvedDesign) -> tuple[Schedule, ...]:
    """Schedules of what was solved: latent failures, endurance, capacity tests, currents,
    voltages, charging."""
    design, answers = solved.design, solved.answers
    found = (
        latent_table.latent(answers.latent),
        *(endurance_tables.tables(answers.budget) if answers.budget else ()),
        capacity_tables.tests(answers.capacity_tests),
        capacity_tables.printed(answers.printed_endurance),
        *operating_tables.tables(design, solved.network, answers.points),
        charging_tables.charging(answers.charging),
        charging_tables.overvoltage(answers.overvoltage),
    )
    return tuple(table for table in found if table is not None)


def not_computed(solved: SolvedDesign) -> tuple[str, ...]:
    """What could not be computed, and the missing data, a few words each."""
    answers = solved.answers
    if answers.budget is None:
        found = ["battery endurance, missing data: `operation`"]
    else:
        found = [f"{what}, missing data: {needs}" for what, needs in answers.budget.gaps]
    if answers.latent is None:
        found.append("latent failures, missing data: `operation` and `watch`")
    if not answers.points.points:
        needs = next(iter(answers.points.unsolved.values()), "`operation`")
        found.append(f"voltages and currents, missing data: {needs}")
    return tuple(found)
