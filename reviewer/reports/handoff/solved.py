"""One solved design from which page, schedules and folder are made, so that they agree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from reviewer.model.design import Design
from reviewer.model.review import Review
from reviewer.network.graph import Network
from reviewer.questions.handover import HandoverAnswers
from reviewer.questions.scenes import Items, StateView
from reviewer.reading import DesignFile
from reviewer.reports.handoff.schedules import cards, power_up_table, wiring_tables
from reviewer.reports.handoff.schedules.schedule import Schedule
from reviewer.reports.schematic.draw import Drawing, draw
from reviewer.reports.schematic.sheet import Sheet


@dataclass(frozen=True)
class SolvedDesign:
    """A design with its review and answers. ``file`` is what it was read from, as it was then.

    ``sheet`` is the schematic on its grid; ``views`` say what it shows of each declared state, the
    normal state first, as rows of ``items``; they are made as they are asked for.
    """

    design: Design
    network: Network
    review: Review
    file: DesignFile
    answers: HandoverAnswers
    sheet: Sheet
    items: Items

    @property
    def views(self) -> Iterator[StateView]:
        """What the schematic shows of each declared state."""
        return self.answers.views(self.items)

    @cached_property
    def drawing(self) -> Drawing:
        """The schematic as SVG."""
        return draw(self.sheet)

    @cached_property
    def protection(self) -> Schedule:
        """Every breaker, fuse and limiter."""
        return wiring_tables.protection(self.design, self.answers.wiring, self.answers.effects)

    @cached_property
    def test_cards(self) -> Schedule:
        """The steps of the test cards."""
        return cards.test_cards(self.design, self.answers.cards)

    @cached_property
    def power_up_cards(self) -> Schedule | None:
        """The steps of the power-up cards."""
        return power_up_table.power_up_cards(self.design, self.answers.power_up)
