"""One solved result, from which the page, the schedules and the folder that is handed over are all made, so that they agree."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.model.review import Review
from reviewer.questions.effects import EffectsTable
from reviewer.questions.scenes import Items, Scene, items_of, scene
from reviewer.reports.handoff.schedules.solved_answers import Answers, answers_of
from reviewer.reports.schematic.draw import Drawing, draw
from reviewer.reports.schematic.placement import lay_out
from reviewer.reports.schematic.sheet import Sheet


@dataclass(frozen=True)
class Solved:
    """A design with its facts and its review; everything else is worked out on first asking. ``digest`` is the sha256 of the file, ``effects`` what every
    single failure does in the dispatch state, None where no state is declared."""

    facts: Facts
    review: Review
    digest: str
    effects: EffectsTable | None

    @property
    def design(self) -> Design:
        """The design."""
        return self.facts.design

    @cached_property
    def sheet(self) -> Sheet:
        """The schematic on its grid."""
        return lay_out(self.design, self.facts.network)

    @cached_property
    def drawing(self) -> Drawing:
        """The schematic as SVG."""
        return draw(self.sheet)

    @cached_property
    def items(self) -> Items:
        """What is told of each state and failure."""
        ways = {run.link: (run.link, *run.nodes) for run in self.sheet.runs if run.link >= 0}
        order = [node for symbol in self.sheet.symbols for node in symbol.nodes]
        return items_of(self.facts.network, list(ways.values()), order)

    @cached_property
    def scenes(self) -> tuple[Scene, ...]:
        """Every declared state, the dispatch state first; () where none is declared."""
        if self.design.operation is None:
            return ()
        return tuple(scene(answer, self.items) for answer in self.facts.states.answers())

    @cached_property
    def answers(self) -> Answers:
        """What the engines that this version has say."""
        return answers_of(self.facts)
