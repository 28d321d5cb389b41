"""Latent failures as a schedule."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.questions.latent_failures import LatentElement
from reviewer.reports.handoff.schedules.schedule import Schedule, names

KEY = "latent-failures"
_ABOUT = (
    "Failures that no use, no monitor and no declared check before flight shows, and the further failure "
    "with which a critical function is then lost. The inspection that finds them, and its interval, are for "
    "the builder to add."
)


def latent(elements: Sequence[LatentElement] | None) -> Schedule | None:
    """Each part and wire with a latent failure; None where it was not asked."""
    if elements is None:
        return None
    rows = tuple((e.name, e.kind, "; ".join(e.failures), _losses(e)) for e in elements)
    columns = ("part", "kind", "latent failure", "functions lost with one further failure")
    return Schedule(KEY, "Latent failures", _ABOUT, columns, rows)


def _losses(element: LatentElement) -> str:
    if element.same_as:
        return f"same as {element.same_as}"
    return (
        "; ".join(f"{function} with {names(which)}" for function, which in element.losses)
        or "no critical function"
    )
