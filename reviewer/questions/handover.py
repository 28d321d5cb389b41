"""Everything that the page and the folder ask of a design, each asked once, so that all of it agrees."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.model.resolved_states import ResolvedState
from reviewer.questions.battery_charging import ChargedBattery, charged_batteries
from reviewer.questions.budget import Budget, budget_of
from reviewer.questions.capacity_tests import (
    ExpectedTest,
    PrintedEndurance,
    capacity_tests,
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
from reviewer.questions.scenes import Items, StateView, state_views
from reviewer.questions.source_briefs import DesignBrief, design_brief
from reviewer.questions.state_points import StatePoints, state_points
from reviewer.questions.terminations import Terminations, terminations_of
from reviewer.questions.test_cards import Cards, cards_of
from reviewer.questions.wires import WireTable, wire_table
from reviewer.questions.wiring_schedule import WiringSchedule, wiring_schedule

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts


class HandoverAnswers:
    """The answers about a design, each computed on first asking: the page asks for fewer than the folder.

    Without an operation ``effects``, ``wire_table``, ``latent``, ``budget``, ``brief`` and ``checklists``
    are None, and what goes by state is empty.
    """

    def __init__(self, facts: Facts, trials: bool = True):
        """Without ``trials`` estimates are taken as written only."""
        self._facts, self._trials = facts, trials
        self._declared = facts.design.operation is not None

    @cached_property
    def states(self) -> tuple[ResolvedState, ...]:
        """The declared states, the normal one first, with those in which a sneak current keeps a relay
        energised; switches that follow something stand where that puts them."""
        if not self._declared:
            return ()
        return tuple(replace(a.state, switches=a.positions) for a in shown_answers(self._facts))

    def views(self, items: Items) -> Iterator[StateView]:
        """What the schematic shows of each of these states, as rows of ``items``."""
        return state_views(self._facts, items)

    @cached_property
    def effects(self) -> EffectsTable | None:
        return effects_of(self._facts) if self._declared else None

    @cached_property
    def wiring(self) -> WiringSchedule:
        return wiring_schedule(self._facts)

    @cached_property
    def wire_table(self) -> WireTable | None:
        return wire_table(self._facts) if self._declared else None

    @cached_property
    def terminations(self) -> Terminations:
        return terminations_of(self._facts.as_written, self._facts.wires.lugs_on_a_stud)

    @cached_property
    def powered(self) -> tuple[PoweredState, ...]:
        return powered_states(self._facts)

    @cached_property
    def loads(self) -> tuple[PhaseCurrents, ...]:
        return phase_currents(self._facts)

    @cached_property
    def points(self) -> StatePoints:
        return state_points(self._facts)

    @cached_property
    def latent(self) -> tuple[LatentElement, ...] | None:
        # after the effects: what is read there under all failures is read under these as well
        return latent_failures(self._facts) if self.effects else None

    @cached_property
    def budget(self) -> Budget | None:
        return budget_of(self._facts, self._trials) if self._declared else None

    @cached_property
    def curves(self) -> tuple[DischargeCurve, ...]:
        return discharge_curves(self.budget)

    @cached_property
    def capacity_tests(self) -> tuple[ExpectedTest, ...]:
        return capacity_tests(self._facts, self.budget)

    @cached_property
    def printed_endurance(self) -> tuple[PrintedEndurance, ...]:
        return self.budget.printed if self.budget else ()

    @cached_property
    def charging(self) -> tuple[ChargedBattery, ...]:
        return charged_batteries(self._facts)

    @cached_property
    def overvoltage(self) -> tuple[OvervoltageExposure, ...]:
        return overvoltage_exposures(self._facts)

    @cached_property
    def cards(self) -> Cards:
        return cards_of(self._facts, self.effects)

    @cached_property
    def power_up(self) -> tuple[PowerCard, ...]:
        return power_up(self._facts)

    @cached_property
    def brief(self) -> DesignBrief | None:
        return design_brief(self._facts, self.effects) if self.effects else None

    @cached_property
    def _shooting(self) -> TroubleShooting | None:
        return TroubleShooting(self._facts) if self._declared else None

    @cached_property
    def patterns(self) -> tuple[SignPattern, ...]:
        """What is seen, by the single failures of the normal state that show it."""
        return sign_patterns(self._shooting) if self._shooting else ()

    @cached_property
    def checklists(self) -> Checklists | None:
        return checklists(self._shooting) if self._shooting else None
