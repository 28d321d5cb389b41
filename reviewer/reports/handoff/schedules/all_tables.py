"""Every schedule of a solved design in the order of the folder, and what was not computed."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.reports.handoff.schedules import (
    bundle_tables,
    capacity_tables,
    charging_tables,
    checklist_tables,
    endurance_tables,
    label_table,
    latent_table,
    load_tables,
    loading_tables,
    notes_table,
    open_work,
    operating_tables,
    parts_list,
    stated_data,
    termination_tables,
    trouble_table,
    wire_summary,
    wiring_tables,
    work_shares,
    working_tables,
)
from reviewer.reports.handoff.schedules.cover import cover
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.handoff.solved import SolvedDesign


def schedules(solved: SolvedDesign) -> tuple[Schedule, ...]:
    """All schedules, the cover first. One whose question does not apply to the design is left out."""
    found = tuple(_schedules(solved))
    return (cover(solved, found, not_computed(solved)), *found)


def _schedules(solved: SolvedDesign) -> Iterator[Schedule]:
    design, answers = solved.design, solved.answers
    found = (
        parts_list.parts_list(design),
        wire_summary.wire_summary(design),
        termination_tables.terminal_counts(design, answers.terminations),
        work_shares.work(design),
        work_shares.interfaces(design, answers.wire_table),
        open_work.provisions(design),
        open_work.open_work(design, solved.review, not_computed(solved)),
        wiring_tables.wire_list(design, answers.wiring),
        *loading_tables.tables(design, answers.wire_table),
        termination_tables.connectors(design, answers.wire_table),
        termination_tables.ring_stacks(answers.terminations),
        bundle_tables.bundles(design),
        bundle_tables.bulkheads(design),
        label_table.labels(design, answers.wiring),
        solved.protection,
        working_tables.switch_states(design, answers.powered),
        wiring_tables.ground_map(design, solved.network, answers.wiring),
        working_tables.failure_effects(design, answers.effects),
        load_tables.declared_loads(design, solved.network, answers.loads),
        *solved_schedules(solved),
        solved.power_up_cards,
        solved.test_cards,
        *checklist_tables.tables(design, answers.checklists),
        trouble_table.trouble_shooting(design, answers.patterns),
        working_tables.placards(design),
        notes_table.notes(design),
        stated_data.stated_data(design),
        working_tables.concessions(solved.review, design.concessions),
    )
    yield from (table for table in found if table is not None)


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
