"""Loads and coils that a trial repair leaves without power for good."""

from __future__ import annotations

from reviewer.analysis.facts import Facts


def leaves_dead(facts: Facts, repaired: Facts) -> bool:
    """Whether a load or coil that works in a declared state is energised in none with a repair, nor with one
    or two switches moved: no rule about it finds anything then, and what it was for is gone."""
    if not facts.design.operation:
        return False
    lost = _working(facts) - _working(repaired)
    return bool(lost) and not lost.isdisjoint(repaired.switches.never_energised.dead)


def _working(facts: Facts) -> set[str]:
    """The loads (elements) that have power in some declared state, and the coils that pick up."""
    each = [{**answer.healthy.powered, **answer.healthy.energised} for answer in facts.states.answers()]
    return {element for works in each for element, on in works.items() if on}
