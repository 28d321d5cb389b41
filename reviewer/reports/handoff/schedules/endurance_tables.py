"""How long the batteries last, what the shed plan brings, what alternators carry and what drains the batteries in the hangar, as tables."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from reviewer.analysis.endurance.battery_endurance import Lasting
from reviewer.questions.budget import Budget
from reviewer.reports.budget import words as words
from reviewer.reports.handoff.schedules.table import Cell, Table, number

_ABOUT = "Solved as the batteries run down, aged and on the coldest day. `reviewer budget` prints what it rests on."


def tables(budget: Budget) -> tuple[Table, ...]:
    """The tables that there are."""
    found = (
        _batteries(budget.lasting),
        _stretches(budget),
        _basis(budget),
        _alternators(budget),
        _drains(budget),
    )
    return tuple(table for table in found if table.rows)


def missing(budget: Budget) -> tuple[str, ...]:
    """What of the endurance could not be told, and for want of what, a few words each."""
    return tuple(
        f"{what}, for want of {needs}" for what, needs in budget.gaps if what.startswith("endurance")
    )


def _minutes(seconds: float | None) -> Cell:
    if seconds is None:
        return "not declared"
    return "without end" if math.isinf(seconds) else number(seconds / 60, 1)


def _batteries(every: Sequence[Lasting]) -> Table:
    columns = (
        "battery", "lost", "state", "lasts, min", "wanted, min", "margin, min", "why it ends", "charge at first, %", "volts across it before, V",
    )  # fmt: skip
    rows = []
    for one in every:
        margin = None if one.wanted is None else one.seconds - one.wanted
        ends = words.ends(one).removeprefix("then ")
        where = one.state if one.phase in (None, one.state) else f"{one.state} ({one.phase})"
        rows.append(
            (one.battery, ", ".join(one.lost), where, _minutes(one.seconds), _minutes(one.wanted), "" if margin is None else _minutes(margin), ends,
             number(100 * one.begins, 1), number(one.charging_v, 2))
        )  # fmt: skip
    about = f"How long each battery lasts: the main one once the alternator is lost, a reserve by itself. {_ABOUT}"
    return Table("endurance", "Endurance of the batteries", about, columns, tuple(rows))


def _basis(budget: Budget) -> Table:
    """What age, cold and rate take, and how many typical values stand behind the numbers."""
    rows: list[tuple[Cell, ...]] = []
    for one in budget.lasting:
        rows += [(one.battery, word, value) for word, value in one.factors]
        rows.append((one.battery, "typical values that the solved states rest on", len(one.typical)))
    about = "What age, cold and the rate of discharge take from each battery, and where that comes from."
    return Table(
        "endurance-basis", "What the endurance rests on", about, ("battery", "figure", "value"), tuple(rows)
    )


def _stretches(budget: Budget) -> Table:
    columns = (
        "battery",
        "stretch",
        "begins at, min",
        "lasts, min",
        "at first, A",
        "at the end, A",
        "charge left, %",
        "taken off at its beginning",
    )
    rows: list[tuple[Cell, ...]] = []
    off = {
        step.action: ", ".join(f"{name} {amps:.1f} A" for name, amps in step.loads) for step in budget.shed
    }
    for one in budget.lasting:
        begins = 0.0
        for run in one.found.runs:
            rows.append(
                (one.battery, run.name, _minutes(begins), _minutes(run.seconds), number(run.first_a, 2), number(run.last_a, 2),
                 number(100 * run.charge, 1), off.get(run.name, ""))
            )  # fmt: skip
            begins += run.seconds
    about = "From the loss to the end: the time until it is noticed, then each action of the shed plan as it is done. Amperes are those of the battery."
    return Table("shed-plan", "From the loss to the end", about, columns, tuple(rows))


def _alternators(budget: Budget) -> Table:
    columns = (
        "phase",
        "state",
        "alternator",
        "gives, A",
        "output, A",
        "continuous load, %",
        "most, %",
        "to spare, A",
        "batteries take, A",
        "batteries give, A",
    )
    rows: list[tuple[Cell, ...]] = []
    for load in budget.phases:
        for one in load.alternators:
            most: Cell = number(100 * one.most, 0) if load.use == "flight" else "no line at idle"
            rows.append(
                (load.flown.phase or "", load.flown.state, one.name, number(one.amperes, 2), number(one.load.output_a, 1),
                 number(100 * one.load.share, 1), most, number(one.spare, 2), number(load.into_batteries, 2), number(load.from_batteries, 2))
            )  # fmt: skip
    about = "What each alternator gives in each phase, as solved; on the ground its output is that at idle."
    return Table("alternators", "Alternators by phase", about, columns, tuple(rows))


def _drains(budget: Budget) -> Table:
    columns = (
        "battery",
        "state",
        "drain at least, mA",
        "drain at most, mA",
        "days to half at least",
        "days to half at most",
        "what draws",
    )
    rows = [
        (
            d.battery,
            d.state,
            *_drain(d.amperes, d.days),
            "; ".join(draw.what for draw in d.draws) or "nothing",
        )
        for d in budget.drains
    ]
    about = "What drains each battery with everything off. A range stands where the file lacks a figure and the trade's is taken. Self-discharge is left out."
    return Table("hangar", "In the hangar", about, columns, tuple(rows))


def _drain(amperes: tuple[float, float], days: tuple[float, float]) -> Iterator[Cell]:
    for amps in amperes:
        yield number(1000 * amps, 3)
    for time in days:
        yield "without end" if math.isinf(time) else number(time, 1)
