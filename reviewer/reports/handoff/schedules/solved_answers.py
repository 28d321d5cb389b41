"""What the engines say that a version may or may not have. What is missing here is absent from the page and the folder, and never made up."""

from __future__ import annotations

from dataclasses import dataclass

from reviewer.analysis.conduction.failure_modes import Failure
from reviewer.analysis.facts import Facts
from reviewer.network.graph import bare
from reviewer.questions.budget import Budget
from reviewer.questions.budget import budget as load_budget
from reviewer.questions.fail import kind_of
from reviewer.reports.handoff.schedules import endurance_tables
from reviewer.reports.handoff.schedules.charging_tables import charging, runaways
from reviewer.reports.handoff.schedules.operating_tables import Operating
from reviewer.reports.handoff.schedules.table import Table, names


@dataclass(frozen=True)
class Answers:
    """Tables of engines, in the order in which they are shown, and what is ``missing``, a few words each."""

    hidden: Table | None
    operating: Operating
    charging: Table | None
    runaways: Table | None
    budget: Budget | None

    @property
    def tables(self) -> tuple[Table, ...]:
        """Every table that there is."""
        lasting = endurance_tables.tables(self.budget) if self.budget else ()
        return tuple(
            t for t in (self.hidden, *lasting, *self.operating.tables(), self.charging, self.runaways) if t
        )

    @property
    def missing(self) -> tuple[str, ...]:
        """What is not there, and for want of what."""
        told = (
            list(endurance_tables.missing(self.budget))
            if self.budget
            else ["minutes on battery, for want of `operation` in the file"]
        )
        if self.hidden is None:
            told.append("hidden failures, for want of `operation` and `watch` in the file")
        if self.operating.none:
            told.append(f"volts and amperes, {self.operating.none}")
        return tuple(told)


def answers_of(facts: Facts) -> Answers:
    """The answers of the engines about a design."""
    budget = load_budget(facts) if facts.design.operation else None
    return Answers(_hidden(facts), Operating(facts), charging(facts), runaways(facts), budget)


#: of a hidden failure after which no single one more takes a critical function
NOTHING_CRITICAL = "nothing critical"


def _hidden(facts: Facts) -> Table | None:
    """The failures that no use, monitor or check reveals, and what one more would then take."""
    design = facts.design
    if design.operation is None or not (design.watch.monitors or design.watch.checks):
        return None
    losses = facts.detection.latent_losses if design.functions else {}
    rows = []
    for element, failures in _by_element(facts.detection.latent).items():
        loss = losses.get(element)
        like = next((e for e, other in losses.items() if element in other.alike), "") if loss is None else ""
        taken = (
            "; ".join(f"{function} with {names(map(bare, seconds))}" for function, seconds in loss.losses)
            if loss
            else ""
        )
        rows.append(
            (
                bare(element),
                kind_of(design, element),
                "; ".join(f.words(facts.network) for f in failures),
                taken or (f"as {bare(like)}" if like else NOTHING_CRITICAL),
            )
        )
    about = "Failures that no use, no monitor and no declared check before flight reveals, and the one more that would then take a critical function."
    columns = ("part", "kind", "hidden failure", "what one more failure would take")
    return Table(
        "hidden-failures",
        "Hidden failures",
        f"{about} What would reveal them, and how often, is for the builder to add.",
        columns,
        tuple(rows),
    )


def _by_element(failures: tuple[Failure, ...]) -> dict[str, list[Failure]]:
    found: dict[str, list[Failure]] = {}
    for failure in failures:
        found.setdefault(failure.element, []).append(failure)
    return found
