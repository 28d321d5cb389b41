"""What the engines say that a version may or may not have. What is missing here is absent from the page and the folder, and never made up."""

from __future__ import annotations

from dataclasses import dataclass

from reviewer.analysis.facts import Facts
from reviewer.analysis.failures import Failure
from reviewer.analysis.what_fails import kind_of
from reviewer.network.graph import bare
from reviewer.reports.schedules.table import Table, names


@dataclass(frozen=True)
class Answers:
    """Tables of engines that this version has; None where it has none. Each is told in :func:`missing`."""

    hidden: Table | None = None
    loads: Table | None = None
    endurance: Table | None = None
    drops: Table | None = None

    def missing(self) -> tuple[str, ...]:
        """What this version does not compute, a few words each."""
        told = {
            "hidden": "hidden failures, for want of `operation` and `watch` in the file",
            "loads": "amperes in each state",
            "endurance": "minutes on battery",
            "drops": "volts at each load",
        }
        return tuple(words for key, words in told.items() if getattr(self, key) is None)


def answers_of(facts: Facts) -> Answers:
    """The answers of the engines about a design; those that lack an input of the file are None as well, and the review says which input."""
    return Answers(hidden=_hidden(facts))


def _hidden(facts: Facts) -> Table | None:
    """The failures that no use, monitor or check reveals, and what one more would then take."""
    design = facts.design
    if design.operation is None or not (design.watch.monitors or design.watch.checks):
        return None
    losses = facts.telling.latent_losses if design.functions else {}
    rows = []
    for element, failures in _by_element(facts.latent).items():
        loss = losses.get(element)
        like = next((e for e, other in losses.items() if element in other.alike), "") if loss is None else ""
        taken = "; ".join(f"{function} with {names(map(bare, seconds))}" for function, seconds in loss.losses) if loss else ""
        rows.append(
            (
                bare(element),
                kind_of(design, element),
                "; ".join(f.words(facts.network) for f in failures),
                taken or (f"as {bare(like)}" if like else "nothing critical"),
            )
        )
    about = "Failures that no use, no monitor and no declared check before flight reveals, and the one more that would then take a critical function."
    columns = ("part", "kind", "hidden failure", "what one more failure would take")
    return Table(
        "hidden-failures", "Hidden failures", f"{about} What would reveal them, and how often, is for the builder to add.", columns, tuple(rows)
    )


def _by_element(failures: tuple[Failure, ...]) -> dict[str, list[Failure]]:
    found: dict[str, list[Failure]] = {}
    for failure in failures:
        found.setdefault(failure.element, []).append(failure)
    return found
