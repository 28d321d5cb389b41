"""Everything that the page and the folder ask of a design, asked once, so that all of it agrees."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from reviewer.model.record import record
from reviewer.model.resolved_states import ResolvedState
from reviewer.questions.battery_charging import ChargedBattery, charged_batteries
from reviewer.questions.budget import Budget, budget_of
from reviewer.questions.capacity_tests import (
    ExpectedTest,
    PrintedEndurance,
    capacity_tests,
    printed_endurance,
)
from reviewer.questions.checklist_cards import Checklists
from reviewer.questions.checklists import checklists
from reviewer.questions.diagnosis import SignPattern, TroubleShooting, sign_patterns
from reviewer.questions.discharge_curves import DischargeCurve, discharge_curves
from reviewer.questions.effects import EffectsTable, effects_of
from reviewer.questions.latent_failures import LatentElement, latent_failures
from reviewer.questions.load_analysis import PhaseCurrents, phase_currents
from reviewer.questions.naming import shown_answers
from reviewer.questions.overvoltage_exposure import OvervoltageExposure, overvoltage_exposures
from reviewer.questions.power_steps import PowerCard
from reviewer.questions.power_up import power_up
from reviewer.questions.powered_equipment import PoweredState, powered_states
from reviewer.questions.source_briefs import DesignBrief, design_brief
from reviewer.questions.state_points import StatePoints, state_points
from reviewer.questions.terminations import Terminations, terminations_of
from reviewer.questions.test_cards import Cards, cards_of
from reviewer.questions.wires import WireTable, wire_table
from reviewer.questions.wiring_schedule import WiringSchedule, wiring_schedule

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts


@record
class HandoverAnswers:
    """The answers. ``states`` are the declared ones, the normal state first, with those in which a
    sneak current keeps a relay energised; switches that follow something stand where that puts them.

    Without an operation ``effects``, ``wire_table``, ``latent`` and ``budget`` are None, and what
    goes by state is empty.
    """

    states: tuple[ResolvedState, ...]
    effects: EffectsTable | None
    wiring: WiringSchedule
    wire_table: WireTable | None
    terminations: Terminations
    powered: tuple[PoweredState, ...]
    loads: tuple[PhaseCurrents, ...]
    points: StatePoints
    latent: tuple[LatentElement, ...] | None
    budget: Budget | None
    curves: tuple[DischargeCurve, ...]
    capacity_tests: tuple[ExpectedTest, ...]
    printed_endurance: tuple[PrintedEndurance, ...]
    charging: tuple[ChargedBattery, ...]
    overvoltage: tuple[OvervoltageExposure, ...]
    cards: Cards
    power_up: tuple[PowerCard, ...]
    #: what is seen, by the single failures of the normal state that show it
    patterns: tuple[SignPattern, ...]
    brief: DesignBrief | None
    checklists: Checklists | None


def handover_answers(facts: Facts, trials: bool = True) -> HandoverAnswers:
    """All answers about a design; without ``trials`` estimates are taken as written only."""
    declared = facts.design.operation is not None
    effects = effects_of(facts) if declared else None
    budget = budget_of(facts, trials) if declared else None
    shooting = TroubleShooting(facts) if declared else None
    return HandoverAnswers(
        states=tuple(replace(a.state, switches=a.positions) for a in shown_answers(facts))
        if declared
        else (),
        effects=effects,
        wiring=wiring_schedule(facts),
        wire_table=wire_table(facts) if declared else None,
        terminations=terminations_of(facts.as_written, facts.wires.lugs_on_a_stud),
        powered=powered_states(facts),
        loads=phase_currents(facts),
        points=state_points(facts),
        latent=latent_failures(facts),
        budget=budget,
        curves=discharge_curves(budget),
        capacity_tests=capacity_tests(facts, budget),
        printed_endurance=printed_endurance(facts, budget.lasting if budget else ()),
        charging=charged_batteries(facts),
        overvoltage=overvoltage_exposures(facts),
        cards=cards_of(facts, effects),
        power_up=power_up(facts),
        brief=design_brief(facts, effects) if effects else None,
        patterns=sign_patterns(shooting) if shooting else (),
        checklists=checklists(shooting) if shooting else None,
    )
