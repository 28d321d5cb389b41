"""The least margins of a design in one sentence: minutes on a battery, volts at a critical load, and
the current of circuit protection, each with its limit beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import isclose, isinf

from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.model import parts as p
from reviewer.model.quantity_words import minutes, quantity
from reviewer.model.rounding import SOLVED


def least_margins(facts: Facts) -> str:
    """``Least margins: endurance on main-battery 31 min (required 30 min); radio 11.2 V in climb
    (minimum 9 V); bus-limiter 41 A in climb (limit 48 A).`` "" where nothing of it is known."""
    if facts.design.operation is None:
        return ""
    said = [words for each in (_endurance, _volts, _protection) if (words := _least(each, facts))]
    return f"Least margins: {'; '.join(said)}." if said else ""


def _least(each: Callable[[Facts], Iterator[tuple[float, str]]], facts: Facts) -> str:
    """The words of the least margin as far as the file has the data."""
    found: list[tuple[float, str]] = []
    try:
        found.extend(each(facts))
    except NotAssessable:
        return ""
    return min(found, default=(0.0, ""))[1]


def _endurance(facts: Facts) -> Iterator[tuple[float, str]]:
    """Seconds on each battery over those required, a main battery after the loss of the alternator."""
    operation = facts.states.operation
    for name in facts.design.of_kind(p.Battery):
        battery = facts.design.part(name, p.Battery)
        reserve = battery.purpose == "reserve"
        wanted = battery.endurance if reserve else operation.endurance
        if wanted is None or not (reserve or facts.endurance.mains_run_down):
            continue
        seconds = facts.endurance.endurance_of(name).seconds
        if isinf(seconds):
            continue
        words = f"endurance on {name} {minutes(seconds, wanted)} (required {minutes(wanted, seconds)})"
        yield seconds - wanted, words


def _volts(facts: Facts) -> Iterator[tuple[float, str]]:
    """Volts of each load of a critical function over its minimum, also with the batteries discharged."""
    minimum = {
        name: least
        for name in sorted(facts.wires.critical_loads)
        if (least := getattr(facts.design.parts[name], "minimum", None)) is not None
    }
    steady = [(flown, (), point, "") for flown, point in facts.wires.steady_points]
    held = [
        (*solved, f"{', alternators lost' if solved[1] else ''}, battery discharged")
        for solved in facts.wires.battery_points
    ]
    for flown, case, point, how in (*steady, *held):
        powered = facts.points.answer_of(flown, case).healthy.powered
        for name, least in minimum.items():
            volts = point.across.get(f"parts/{name}")
            if volts is not None and powered.get(f"parts/{name}"):
                words = (
                    f"{name} {quantity(volts, 'V', least)} in {flown}{how} (minimum {quantity(least, 'V')})"
                )
                yield volts - least, words


def _protection(facts: Facts) -> Iterator[tuple[float, str]]:
    """The share of its limit that circuit protection carries continuously."""
    for name in facts.design.of_kind(p.Protector) if facts.protection.solved_places else ():
        rating = facts.design.parts[name].rating
        carried = None if rating is None else facts.protection.worst_continuous(name, rating)
        if carried is not None:
            at_limit = isclose(carried.amps, carried.most, rel_tol=SOLVED)
            amps = quantity(carried.most if at_limit else carried.amps, "A", carried.most)
            most = quantity(carried.most, "A", carried.amps)
            yield 1 - carried.amps / carried.most, f"{name} {amps} in {carried.where.words} (limit {most})"
