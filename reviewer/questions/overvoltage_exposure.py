"""Overvoltage of a regulator that fails full on, and the loads that are rated for less."""

from __future__ import annotations

from typing import TYPE_CHECKING

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model.record import record
from reviewer.network.graph import bare

if TYPE_CHECKING:
    from reviewer.analysis.facts import Facts
    from reviewer.analysis.sources.overvoltage import Beyond, Ceiling


@record
class OvervoltageExposure:
    """What an alternator does whose regulator fails full on.

    ``max-altitude`` is the voltage that it reaches, ``exposed`` the loads and coils that get more
    than they are rated for, ``unrated`` those that state no rating. ``needs`` says what the file
    lacks; "" where it was solved.
    """

    alternator: str
    ceiling: Ceiling | None
    exposed: tuple[Beyond, ...]
    unrated: tuple[str, ...]
    needs: str


def overvoltage_exposures(facts: Facts) -> tuple[OvervoltageExposure, ...]:
    """Each alternator that is at work in a declared state; () without an operation."""
    if facts.design.operation is None:
        return ()
    return tuple(_exposure(facts, a) for a, states in facts.sources.at_work.items() if states)


def _exposure(facts: Facts, alternator: str) -> OvervoltageExposure:
    try:
        ceiling = facts.sources.ceiling(alternator)
        exposed = facts.sources.beyond(alternator, ceiling)
    except NotAssessable as missing:
        return OvervoltageExposure(bare(alternator), None, (), (), missing.needs)
    unrated = dict.fromkeys(n for e in facts.sources.exposed(alternator).values() for n in e.unsaid)
    return OvervoltageExposure(bare(alternator), ceiling, exposed, tuple(unrated), "")
