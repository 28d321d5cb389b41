"""Two designs side by side, as rows of words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from reviewer.model.quantity_words import minutes
from reviewer.questions.side_by_side import Alternative, WireTotal
from reviewer.reports.solve.words import reading_words
from reviewer.reports.wording import counted

#: (group, what, old, new)
Row = tuple[str, str, str, str]
_NONE = "none"
_WIRE = "wire, with the mass of its conductors (from memory)"


def side_by_side_rows(old: Alternative, new: Alternative) -> list[Row]:
    """Every figure of two designs, one row each."""
    return [
        *_findings(old, new),
        *_single_points(old, new),
        *_counts("moves of the crew in each action", dict(old.moves), dict(new.moves), "no such action"),
        *endurance_rows(old, new),
        *_readings(old, new),
        *_wires(old, new),
        ("parts and joints", "parts", str(old.parts), str(new.parts)),
        ("parts and joints", "ends of wires", str(old.joints), str(new.joints)),
    ]


def _findings(old: Alternative, new: Alternative) -> Iterator[Row]:
    """Those of each class that either has, the worst class first."""
    for hazard in sorted({*old.findings, *new.findings}, reverse=True):
        one, two = (str(each.findings.get(hazard, _NONE)) for each in (old, new))
        yield "findings", hazard.word, one, two


def _counts(group: str, old: dict[str, int], new: dict[str, int], missing: str) -> Iterator[Row]:
    for name in dict.fromkeys((*old, *new)):
        yield group, name, str(old.get(name, missing)), str(new.get(name, missing))


def _single_points(old: Alternative, new: Alternative) -> Iterator[Row]:
    for name in dict.fromkeys((*old.single_points, *new.single_points)):
        one, two = (single_words(each, name) for each in (old, new))
        yield "parts and wires whose single failure loses it, before the crew acts", name, one, two
    for name in dict.fromkeys((*old.lasting_points, *new.lasting_points)):
        one, two = (
            str(len(each.lasting_points[name])) if name in each.lasting_points else single_words(each, name)
            for each in (old, new)
        )
        yield "of these, not recoverable in flight", name, one, two


def single_words(each: Alternative, function: str) -> str:
    """How many parts and wires lose a function alone, or why there is no number."""
    if function not in each.single_points:
        return "not declared"
    found = each.single_points[function]
    return "does not work" if found is None else str(len(found))


def endurance_rows(old: Alternative, new: Alternative, least: float = 0.0) -> Iterator[Row]:
    """How long functions work after the loss of all generation, then how long each battery lasts.

    What differs by less than ``least`` seconds is left out.
    """
    for name in dict.fromkeys((*old.functions, *new.functions)):
        ends = [found.seconds if (found := each.functions.get(name)) else None for each in (old, new)]
        if _near(ends[0], ends[1], least):
            continue
        one, two = (_lasts(each, name) for each in (old, new))
        yield "after loss of all generation", name, one, two
    for name in dict.fromkeys((*old.endurance, *new.endurance)):
        if _near(old.endurance.get(name), new.endurance.get(name), least):
            continue
        one, two = (
            "no such battery" if name not in each.endurance else _minutes(each.endurance[name])
            for each in (old, new)
        )
        yield "endurance", name, one, two


def _near(one: float | None, two: float | None, least: float) -> bool:
    return one is not None and two is not None and (one == two or abs(one - two) < least) and least > 0


def _lasts(each: Alternative, function: str) -> str:
    if function not in each.functions:
        return "not judged" if function in each.single_points else "not declared"
    found = each.functions[function]
    if found is None:
        return "not assessed"
    lost = "not lost" if math.isinf(found.seconds) else f"lost after {minutes(found.seconds)}"
    silent = found.noticed or math.isclose(found.attended, found.unattended)
    return lost if silent else f"{lost}, no alarm shows it"


def _minutes(seconds: float | None) -> str:
    return "not assessed" if seconds is None else "unlimited" if math.isinf(seconds) else minutes(seconds)


def _readings(old: Alternative, new: Alternative) -> Iterator[Row]:
    """The readings of each state that both designs or one of them has solved."""
    for state in dict.fromkeys((*old.readings, *new.readings)):
        for name in dict.fromkeys((*(old.readings.get(state) or {}), *(new.readings.get(state) or {}))):
            yield f"readings in {state}", name, _reading(old, state, name), _reading(new, state, name)


def _reading(each: Alternative, state: str, monitor: str) -> str:
    if state not in each.readings:
        return "no such state"
    found = each.readings[state]
    if found is None:
        return "not solved"
    if monitor in found and found[monitor].value is None and not found[monitor].blank:
        return "not solved or no lead drawn"
    return reading_words(found[monitor]) if monitor in found else "no such monitor"


def _wires(old: Alternative, new: Alternative) -> Iterator[Row]:
    one, two = ({w.gauge: w for w in each.wires} for each in (old, new))
    for gauge in sorted({**one, **two}, key=lambda g: -(one.get(g) or two[g]).mm2):
        yield _WIRE, gauge, _wire(one.get(gauge)), _wire(two.get(gauge))
    yield _WIRE, "all", _sum(old), _sum(new)


def _wire(total: WireTotal | None) -> str:
    if total is None:
        return _NONE
    missing = f", {total.unmeasured} without a length" if total.unmeasured else ""
    return f"{counted(total.count, 'wire')}, {total.metres:.1f} m, {total.kilograms:.2f} kg{missing}"


def _sum(each: Alternative) -> str:
    return f"{sum(w.metres for w in each.wires):.1f} m, {sum(w.kilograms for w in each.wires):.2f} kg"
