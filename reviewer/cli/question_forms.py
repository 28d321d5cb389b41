"""The questions that are answered with a table: how each is asked, and how its answer is written.

Imported by the commands that answer one, not by a review.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from reviewer.analysis.facts import Facts
from reviewer.model.design import Design
from reviewer.questions.budget import budget_of
from reviewer.questions.checklists import checklists_of
from reviewer.questions.diagnosis import diagnosis_of
from reviewer.questions.effects import effects_of
from reviewer.questions.solve import solved_of
from reviewer.questions.wires import wires_of
from reviewer.reports.budget.table import budget_csv, budget_json
from reviewer.reports.budget.text import budget_text
from reviewer.reports.checklists.printed_cards import checklists_html
from reviewer.reports.checklists.table import checklists_csv, checklists_json
from reviewer.reports.checklists.text import checklists_text
from reviewer.reports.diagnosis.table import diagnosis_csv, diagnosis_json
from reviewer.reports.diagnosis.text import diagnosis_text
from reviewer.reports.effects.table import effects_csv, effects_json
from reviewer.reports.effects.text import effects_text
from reviewer.reports.solve.table import solve_csv, solve_json
from reviewer.reports.solve.text import solve_text
from reviewer.reports.wires.table import wires_csv, wires_json
from reviewer.reports.wires.text import wires_text

Answer = TypeVar("Answer")


@dataclass(frozen=True)
class TableQuestion(Generic[Answer]):
    """``ask`` takes the facts and what is asked; ``text``, ``json`` and ``html``, which few have, take the
    file's name too."""

    ask: Callable[..., Answer]
    text: Callable[[str, Design, Answer], str]
    csv: Callable[[Design, Answer], str]
    json: Callable[[str, Design, Answer], str]
    html: Callable[[str, Design, Answer], str] | None = None

    def report(self, form: str, file: str, facts: Facts, *asked: Any) -> str:
        """The answer in the form ``text``, ``csv``, ``json`` or ``html``. Raises NoAnswer."""
        answer = self.ask(facts, *asked)
        if form == "csv":
            return self.csv(facts.design, answer)
        write = {"text": self.text, "html": self.html}.get(form) or self.json
        return write(file, facts.design, answer)


QUESTIONS: dict[str, TableQuestion[Any]] = {
    "effects": TableQuestion(effects_of, effects_text, effects_csv, effects_json),
    "solve": TableQuestion(solved_of, solve_text, solve_csv, solve_json),
    "budget": TableQuestion(budget_of, budget_text, budget_csv, budget_json),
    "diagnose": TableQuestion(diagnosis_of, diagnosis_text, diagnosis_csv, diagnosis_json),
    "checklists": TableQuestion(
        checklists_of, checklists_text, checklists_csv, checklists_json, checklists_html
    ),
    "wires": TableQuestion(wires_of, wires_text, wires_csv, wires_json),
}
