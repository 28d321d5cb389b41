"""Battery endurance, discharge timeline, generating capacity, parasitic drain as schedules."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

from reviewer.model.quantity_words import MORE, YEAR, quantity
from reviewer.network.graph import bare
from reviewer.questions.budget import BatteryEndurance, Budget, TimelineEvent
from reviewer.reports.budget.words import LEAK_A, battery_amperes, timeline_event, without_move
from reviewer.reports.handoff.schedules.schedule import Cell, Schedule, minutes, number

KEY = "endurance"
_ABOUT = (
    "How long each battery supplies its loads: the main battery after the loss of the alternator, a reserve "
    "by itself. Sources that are not named as lost run on until an action of the shed plan turns them off; "
    "the loss of all generation is another table. Solved as the batteries discharge, aged and on the coldest "
    "day. `reviewer budget` prints the assumptions."
)
_TIMELINE = (
    "From the loss of the source until the battery is exhausted: the time until the loss is noticed, then "
    "each action of the shed plan as it is done. Currents are those of the battery."
)
_FUNCTIONS = (
    "From the loss of all generation until each function of class major or worse is lost: when an alarm "
    "shows it, each crew action, each load that stops and each battery that is exhausted. Without an alarm "
    "no crew action counts. A change-over is made at the last moment."
)
_CAPACITY = (
    "The output of each alternator in each phase, as solved, and of each converter, charger and socket for "
    "external power. The capacity of an alternator is that at the engine speed of the phase."
)
_ESTIMATED = (
    "Times and margins that move with the figures of the file which are estimates: with each as it is "
    "written, and the least and the most with all of them at an end of their ranges."
)
_ON_ESTIMATES = "Figures of the file are estimates: see the figures that rest on them."
_DRAIN = (
    "What discharges each battery with everything off. Where the file lacks a figure, the range of common "
    "practice (no published source) is used. Self-discharge is not included."
)


def tables(budget: Budget) -> tuple[Schedule, ...]:
    """The schedules that have rows."""
    found = (
        _batteries(budget.lasting),
        _timeline(budget),
        _functions(budget),
        _assumptions(budget.lasting),
        _capacity(budget),
        _drains(budget),
        _estimated(budget),
    )
    made = tuple(table for table in found if table.rows)
    if not budget.estimates:
        return made
    return tuple(replace(table, about=f"{table.about} {_ON_ESTIMATES}") for table in made)


def _estimated(budget: Budget) -> Schedule:
    columns = ("figure", "as written", "least", "most", "unit", "required", "decided by estimates")
    rows = []
    for one in budget.estimated:
        in_time = one.unit == "s"
        cells = [_minutes(n) if in_time else number(n, 1) for n in (one.value, one.low, one.high)]
        required = "" if one.required is None else _minutes(one.required)
        rows.append(
            (one.what, *cells, "min" if in_time else one.unit, required, "yes" if one.decides else "no")
        )
    about = f"{_ESTIMATED} The estimates: {', '.join(budget.estimates)}."
    return Schedule("estimates", "Figures that rest on estimates", about, columns, tuple(rows))


def _minutes(seconds: float | None) -> Cell:
    return "not declared" if seconds is None else minutes(seconds)


def _batteries(every: Sequence[BatteryEndurance]) -> Schedule:
    columns = (
        "battery",
        "after loss of",
        "state",
        "endurance, min",
        "required, min",
        "margin, min",
        "ends because",
        "state of charge at the loss, %",
        "terminal voltage before the loss, V",
    )
    rows = []
    for one in every:
        margin = None if one.wanted is None else one.seconds - one.wanted
        where = one.state if one.phase in (None, one.state) else f"{one.state} ({one.phase})"
        rows.append(
            (
                one.battery,
                ", ".join(one.lost) or "nothing: no alternator",
                where,
                _minutes(one.seconds),
                _minutes(one.wanted),
                "" if margin is None else _minutes(margin),
                _ends(one),
                number(100 * one.begins, 1),
                number(one.charging_v, 2),
            )
        )
    return Schedule(KEY, "Battery endurance", _ABOUT, columns, tuple(rows))


def _ends(one: BatteryEndurance) -> str:
    """Why the endurance ends: what the battery, or the load that fails first, then does."""
    if not one.found.ended_by:
        return "not exhausted"
    name = bare(one.found.ended_by)
    return f"{'battery' if name == one.battery else name} {one.found.why}"


def _timeline(budget: Budget) -> Schedule:
    columns = (
        "battery",
        "segment",
        "start, min",
        "duration, min",
        "initial current, A",
        "final current, A",
        "state of charge left, %",
        "loads shed at the start",
    )
    rows: list[tuple[Cell, ...]] = []
    shed = {
        step.action: ", ".join(f"{name} {quantity(amps, 'A')}" for name, amps in step.loads)
        for step in budget.shed
    }
    for one in budget.lasting:
        start = 0.0
        for run in one.found.runs:
            rows.append(
                (
                    one.battery,
                    run.name,
                    _minutes(start),
                    _minutes(run.seconds),
                    _amperes(run.first_a),
                    _amperes(run.last_a),
                    number(100 * run.charge, 1),
                    shed.get(run.name, ""),
                )
            )
            start += run.seconds
    return Schedule("discharge-timeline", "Battery discharge timeline", _TIMELINE, columns, tuple(rows))


def _amperes(amps: float) -> Cell:
    """What a battery gives; in words where it is charged."""
    return number(amps, 2) if amps > -LEAK_A else battery_amperes(amps)


def _functions(budget: Budget) -> Schedule:
    columns = (
        "function",
        "hazard class",
        "time after the loss, min",
        "event",
        "without this action and later ones",
        "required, min",
    )
    rows: list[tuple[Cell, ...]] = [
        (
            one.function,
            one.hazard,
            _minutes(entry.seconds),
            timeline_event(entry, one.function),
            without_move(entry, one.function, one.seconds),
            _minutes(one.required) if entry.event is TimelineEvent.LOST else "",
        )
        for one in budget.functions
        for entry in one.timeline
    ]
    title = "Functions after loss of all generation"
    return Schedule("function-endurance", title, _FUNCTIONS, columns, tuple(rows))


def _assumptions(every: Sequence[BatteryEndurance]) -> Schedule:
    """What age, cold and rate take, and how many typical values stand behind the numbers."""
    rows: list[tuple[Cell, ...]] = []
    for one in every:
        rows += [(one.battery, word, value) for word, value in one.factors]
        rows.append((one.battery, "number of typical values in the solved states", len(one.typical)))
    about = (
        "The capacity that age, cold and the rate of discharge leave each battery, with the source of each "
        "figure."
    )
    columns = ("battery", "assumption", "value")
    return Schedule("endurance-assumptions", "Endurance assumptions", about, columns, tuple(rows))


def _capacity(budget: Budget) -> Schedule:
    columns = (
        "phase",
        "state",
        "source",
        "demand at its set point, A",
        "output, A",
        "capacity, A",
        "continuous load, %",
        "limit, %",
        "margin, A",
        "batteries charge, A",
        "batteries discharge, A",
    )
    rows: list[tuple[Cell, ...]] = []
    for load in budget.phases:
        phase = load.flown.phase or "", load.flown.state
        batteries = number(load.into_batteries, 2), number(load.from_batteries, 2)
        for one in load.alternators:
            limit: Cell = number(100 * one.most, 0) if load.use == "flight" else "none at idle"
            rows.append(
                (
                    *phase,
                    one.name,
                    number(one.asked, 2),
                    number(one.amperes, 2),
                    number(one.load.output_a, 1),
                    number(100 * one.load.share, 1),
                    limit,
                    number(one.spare, 2),
                    *batteries,
                )
            )
        for name, amps in load.others.items():
            rows.append((*phase, name, "", number(amps, 2), "", "", "", "", *batteries))
        if not load.alternators and not load.others:
            rows.append((*phase, "batteries alone", "", "", "", "", "", "", *batteries))
    title = "Generating capacity by phase"
    return Schedule("generating-capacity", title, _CAPACITY, columns, tuple(rows))


def _drains(budget: Budget) -> Schedule:
    columns = (
        "battery",
        "state",
        "minimum drain, mA",
        "maximum drain, mA",
        "minimum days to half charge",
        "maximum days to half charge",
        "drawn by",
    )
    rows = tuple(
        (
            d.battery,
            d.state,
            *_drain(d.amperes, d.days),
            "; ".join(draw.what for draw in d.draws) or "nothing",
        )
        for d in budget.drains
    )
    return Schedule("parasitic-drain", "Parasitic drain, parked", _DRAIN, columns, rows)


def _drain(amperes: tuple[float, float], days: tuple[float, float]) -> Iterator[Cell]:
    for amps in amperes:
        yield number(1000 * amps, 3)
    for time in days:
        yield "unlimited" if math.isinf(time) else MORE if time > YEAR else number(time, 1)
