"""Latent failures: what no use, monitor or check shows, and what one more failure takes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.model.record import record
from reviewer.network.graph import bare
from reviewer.questions.naming import kind_of

if TYPE_CHECKING:
    from reviewer.analysis.conduction.failure_modes import Failure
    from reviewer.analysis.detection.latent import LatentLoss
    from reviewer.analysis.facts import Facts


@record
class LatentElement:
    """A part or wire with its latent failures in words; "not solved" beside one of which no operating
    point was found, so that a monitor may show it.

    ``losses`` pairs a critical function with the parts and wires of which one further failure then
    takes it, so that no declared action restores it; ``same_as`` is another with the same losses
    or in the same pairs, which are listed there, or "".
    """

    name: str
    kind: str
    failures: tuple[str, ...]
    losses: tuple[tuple[str, tuple[str, ...]], ...]
    same_as: str

    @property
    def critical(self) -> bool:
        """Whether one further failure takes a critical function."""
        return bool(self.losses or self.same_as)


def latent_failures(facts: Facts) -> tuple[LatentElement, ...] | None:
    """Each part and wire with a latent failure, in the file's order.

    None without an operation, and where nothing is watched: then every failure without a use would
    be latent.
    """
    design = facts.design
    if design.operation is None or not (design.watch.monitors or design.watch.checks):
        return None
    losses = facts.detection.latent_losses if design.functions else {}
    by_element: dict[str, list[Failure]] = {}
    for failure in facts.detection.latent:
        by_element.setdefault(failure.element, []).append(failure)
    found = []
    for element, failures in sorted(by_element.items(), key=lambda entry: facts.file_order[entry[0]]):
        loss = losses.get(element)
        same = (
            next((e for e, other in losses.items() if element in (*other.equivalent, *other.partners)), "")
            if loss is None
            else ""
        )
        taken = _taken(loss) if loss else ()
        undecided = (
            " (not solved: a monitor may show it)" if facts.detection.undecided(f) else "" for f in failures
        )
        words = tuple(f"{f.words(facts.network)}{more}" for f, more in zip(failures, undecided, strict=True))
        found.append(
            LatentElement(bare(element), kind_of(design, element), words, taken, bare(same) if same else "")
        )
    return tuple(found)


def _taken(loss: LatentLoss) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Each function that a latent failure completes the loss of, with the further failures."""
    taken: dict[str, set[str]] = {}
    for function, elements in (*loss.losses, *((r.function, r.elements) for r in loss.recoveries)):
        taken.setdefault(function, set()).update(map(bare, elements))
    return tuple((function, tuple(sorted(elements))) for function, elements in taken.items())
