"""The remedy of two protective devices of which the upper one may open first, in figures."""

from __future__ import annotations

from contextlib import suppress
from typing import Any

from reviewer.analysis.cut_sets.selectivity_failures import SelectivityFailure
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts
from reviewer.model.quantity_words import at_least, quantity
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare
from reviewer.rulebook.numbers import and_list
from reviewer.rulebook.trade_words import kind_word
from reviewer.tables.made_sizes import made_at_least, made_at_most


def make_selective(late: SelectivityFailure, tie: Any, facts: Facts) -> str:
    """The rating that is made and the kind of each upstream device that then opens after the nearest; the
    lower one of the nearest where that carries its load; a diode where two sources are tied (``tie``)."""
    if tie:
        one, other = bare(tie.source), bare(tie.into)
        return f"Put an isolation diode in the tie of {one} to {other}: a short draws current from both."
    nearest = bare(late.protector)
    upstream = [bare(e) for e in late.first]
    orders = {name: facts.failures.selectivity(name, nearest) for name in upstream}
    ways = [and_list(_larger(name, nearest, orders[name], facts) for name in upstream)]
    if all(order.slow_enough for order in orders.values()):
        lower = min(facts.design.parts[name].rating / order.wanted for name, order in orders.items())
        made = made_at_most("amperes", lower)
        if made is not None and _carries(nearest, made, facts):
            ways.append(f"{nearest} of {quantity(made, 'A')} or less")
    feed = (
        ""
        if bare(late.failure.element) in facts.design.of_kind(parts.SOURCES)
        else ", or feed both from the bus"
    )
    return f"Fit {', or '.join(ways)}{feed}."


def _larger(name: str, nearest: str, order: Any, facts: Facts) -> str:
    least = order.wanted * facts.design.parts[nearest].rating
    wanted = made_at_least("amperes", least) or least
    allowed = facts.protection.rating_allowed(name)
    wire = "" if allowed is not None and allowed >= wanted else " (with wire for it)"
    kind = "" if order.slow_enough else f"as a {kind_word(facts.design.parts[nearest])} "
    return f"{name} {kind}of {at_least(wanted, 'A')} or more{wire}"


def _carries(name: str, rating: float, facts: Facts) -> bool:
    """Whether a device, by name, carries its load with another rating; not where that is unknown."""
    with suppress(NotAssessable):
        return not exceeds(facts.protection.least_rating(name, rating), rating)
    return False


def path_of_short(late: SelectivityFailure, facts: Facts) -> tuple[str, ...]:
    """From a source to a short by an upstream device: to that place of the short that lies behind the
    nearest device, where one does."""
    short = late.failure
    places = [*((node,) for node in short.nodes), short.nodes]
    ways = [facts.states.path_to(late.state, short.element, *late.first, nodes=at) for at in places]
    through = (way for way in ways if late.protector in way and not set(late.first).isdisjoint(way))
    return next(through, ways[-1])
