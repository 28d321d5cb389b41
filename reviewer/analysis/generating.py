"""What the facts know about alternators, batteries and their charge, each answer computed once, on first asking. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis import alternators
from reviewer.analysis.combinations import Combination
from reviewer.analysis.states import StateAnswer

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts


class Generating:
    """Part of the facts about a design. Every answer raises NotAssessable where no operation is declared. Elements are pointers (``parts/alternator``)."""

    def __init__(self, facts: Facts):
        self.facts, self.design, self.network = facts, facts.design, facts.network

    def _powering(self, element: str) -> tuple[StateAnswer, ...]:
        return tuple(a for a in self.facts.flight_answers() if alternators.powers(self.design, self.network, a.healthy, element))

    @cached_property
    def at_work(self) -> Mapping[str, tuple[StateAnswer, ...]]:
        """For each alternator the states of normal flight in which it feeds a bus or another source, the dispatch state first."""
        return {s.element: self._powering(s.element) for s in self.network.sources if s.kind == "alternator"}

    @cached_property
    def charged(self) -> Mapping[str, tuple[alternators.Charge, ...]]:
        """For each battery that an alternator charges in a state of normal flight: in which, and by which alternator."""
        found: dict[str, list[alternators.Charge]] = {}
        for element, answers in self.at_work.items():
            for charge in (c for answer in answers for c in alternators.charges(self.network, answer, element)):
                found.setdefault(charge.battery, []).append(charge)
        return {battery: tuple(own) for battery, own in found.items()}

    def unprotected_field(self, element: str) -> tuple[str, ...]:
        """The way from the last bus to the field of an alternator, in the first state in which it is at work, where it passes no protector."""
        first = self.at_work[element][:1]
        return alternators.unprotected_field(self.design, self.network, first[0], element) if first else ()

    def disconnection(self, element: str) -> alternators.Disconnection:
        """How the crew takes an alternator off in the first state in which it is at work."""
        return alternators.disconnection(self.design, self.network, self.at_work[element][0], element)

    def runs_alone(self, element: str) -> Combination | None:
        """The legal combination in which an alternator that was running goes on without a battery; None where there is none."""
        return alternators.runs_alone(self.design, self.network, self.facts.cones, self.at_work[element][0], element)

    def taken_by_batteries(self, element: str) -> tuple[tuple[str, str], ...]:
        """(state, battery) pairs in which the opening of the battery stops an alternator."""
        found = ((a.state.name, b) for a in self.at_work[element] for b in alternators.taken_by_batteries(self.design, self.network, a, element))
        return tuple(found)

    def ground_cuts(self, element: str) -> tuple[str, ...] | None:
        """The elements that every way passes from the ground terminal of an alternator to a ground block or a battery; None where there is no way."""
        return alternators.ground_cuts(self.design, self.network, element)
