"""The electrical load analysis in words and in rows, shared by text, tables and page."""

from __future__ import annotations

import math
from collections.abc import Iterator

from reviewer.model.quantity_words import (
    clock,
    days,
    drain_current,
    margin,
    percent,
    quantity,
    shortfall,
    tabled,
)
from reviewer.network.graph import bare
from reviewer.questions.budget import (
    AlternatorInPhase,
    BatteryEndurance,
    Budget,
    Drain,
    EstimatedFigure,
    FunctionEndurance,
    LoadOfPhase,
    TimelineEntry,
    TimelineEvent,
)
from reviewer.tables.practice import in_brackets

#: less than so many amperes of a battery are the leaks of open contacts and diodes
LEAK_A = 1e-3
#: what the numbers leave out
LIMITS = (
    "Endurance: the loss happens in the normal state. The drive of the alternator or generator is lost; a "
    "field that is fed draws current until it is switched off. Loads are shed only where an alarm shows the "
    "loss, after the alarm and the recognition time. The time at a current is that of Peukert's law for the "
    "rated capacity, times the shares that age and cold leave.",
    "Functions after loss of all generation: crew actions count only where an alarm shows the loss, and "
    "the change-over is made at the last moment; after it nothing more is shed. Peaks are not included. "
    "What the normal state has off, on purpose or until a sensor moves, is not followed.",
    "Parasitic drain: the self-discharge of a battery is not included.",
)


def alternator(one: AlternatorInPhase, load: LoadOfPhase) -> str:
    """The output of an alternator in a phase against its limit, or against its output at idle."""
    idle = " at idle" if load.at_idle else ""
    words = f"{one.name} output {quantity(one.amperes, 'A')} of {quantity(one.load.output_a, 'A')}{idle}"
    if one.asked > one.amperes + 0.05:
        words += f", {quantity(one.asked, 'A', one.amperes)} demanded at its set point"
    words += f", continuous load {percent(one.load.share)}"
    if one.intermittent > 0.05:
        words += f" without {quantity(one.intermittent, 'A')} of intermittent loads"
    if load.use == "flight":
        exceeded = "" if one.within else ": EXCEEDED"
        words += f", limit {percent(one.most)} {in_brackets(one.rests_on)}{exceeded}"
    return f"{words}; margin {quantity(one.spare, 'A')}"


def batteries(load: LoadOfPhase) -> str:
    """``main-battery supplies 3.0 A, reserve charges at 0.2 A``; what leaks by open contacts is no
    current."""
    return ", ".join(
        f"{name} {'charges at' if amps < -LEAK_A else 'supplies'} {battery_amperes(abs(amps))}"
        for name, amps in load.batteries.items()
    )


def others(load: LoadOfPhase) -> str:
    """``solar supplies 1.5 A``: what converters, chargers and external power give."""
    return ", ".join(f"{name} supplies {quantity(amps, 'A')}" for name, amps in load.others.items())


def taken(load: LoadOfPhase) -> dict[str, float]:
    """Amperes of all that takes current in a phase, by what a row of the table is headed with."""
    fields = {f"field of {name}": amps for name, amps in load.fields.items()}
    inputs = {f"input of {name}": amps for name, amps in load.inputs.items()}
    across = {"resistors across a source": load.across} if load.across else {}
    repeated = {"in several rows: one load after another": -load.repeated} if load.repeated else {}
    return {**load.loads, **load.coils, **fields, **inputs, **across, **repeated}


def battery_amperes(amps: float) -> str:
    """``3.0 A``, ``charged at 0.3 A``, ``no current``."""
    if amps <= -LEAK_A:
        return f"charged at {quantity(-amps, 'A')}"
    return quantity(amps, "A") if amps >= LEAK_A else "no current"


def ends(lasting: BatteryEndurance) -> str:
    """Why the endurance ends: what the battery, or the load that fails first, then does."""
    found = lasting.found
    if not found.ended_by:
        return "not exhausted"
    name = bare(found.ended_by)
    return f"{'battery' if name == lasting.battery else name} {found.why}"


def verdict(lasting: BatteryEndurance) -> str:
    """The endurance of a battery against what is required."""
    words = f"endurance {clock(lasting.seconds)}"
    if lasting.wanted is None:
        return f"{words}, {ends(lasting)}; {against(lasting.seconds, None)}"
    return f"{words}, {against(lasting.seconds, lasting.wanted)}; {ends(lasting)}"


def against(seconds: float, required: float | None) -> str:
    """A time against what is required."""
    if required is None:
        return "no required endurance in the file"
    words, left = f"required {clock(required)}", seconds - required
    if math.isinf(left):
        return words
    return f"{words}, margin {margin(left)}" if left >= 0 else f"{words}, SHORT BY {shortfall(-left)}"


def function_verdict(one: FunctionEndurance) -> str:
    """How long a function works after the loss of all generation, against what is required."""
    lasts = "not lost" if math.isinf(one.seconds) else f"lost after {clock(one.seconds)}"
    words = f"{lasts}; {against(one.seconds, one.required)}"
    if one.noticed or math.isclose(one.attended, one.unattended):
        return words
    return f"{words}. No alarm shows the loss; with all crew actions {clock(one.attended)}"


def function_where(one: FunctionEndurance) -> str:
    """``after loss of alternator in cruise (climb)``."""
    where = one.state if one.phase in (None, one.state) else f"{one.state} ({one.phase})"
    return f"after loss of {' and '.join(one.lost)} in {where}"


def timeline_event(entry: TimelineEntry, function: str) -> str:
    """What happens, or what the crew does."""
    takes = "time not in the file" if entry.takes is None else f"takes {clock(entry.takes)}"
    because = f": {entry.why}" if entry.why else ""
    words = {
        TimelineEvent.LOSS: f"loss of {entry.what}",
        TimelineEvent.NOTICED: f"noticed by the alarm of {entry.what}",
        TimelineEvent.UNNOTICED: "not noticed: no alarm shows it",
        TimelineEvent.SHED: f"{entry.what} done ({takes})",
        TimelineEvent.CHANGE_OVER: f"change-over by {entry.what} done, at the latest ({takes}){because}",
        TimelineEvent.LOST: f"{function} is lost: {entry.why}",
    }
    return words.get(entry.event, f"{entry.what} {entry.why}")


def without_move(entry: TimelineEntry, function: str, seconds: float) -> str:
    """What happens where the crew makes neither a move nor any later one; "" for other lines. With all
    moves the function is lost after ``seconds``."""
    if entry.without is None:
        return ""
    at = entry.without
    if math.isinf(at):
        return f"{function} is not lost"
    same = not math.isinf(seconds) and clock(at) == clock(seconds)
    return f"{function} is lost {'at the same time' if same else f'after {clock(at)}'}"


def when(lasting: BatteryEndurance) -> str:
    """``after loss of alternator in cruise (climb)``."""
    where = lasting.state if lasting.phase in (None, lasting.state) else f"{lasting.state} ({lasting.phase})"
    return (
        f"after loss of {' and '.join(lasting.lost)} in {where}" if lasting.lost else f"charged, in {where}"
    )


def drain(one: Drain) -> tuple[str, str]:
    """The drain of a battery and its time to half charge; ranges where data are missing."""
    amps, time = [drain_current(a) for a in one.amperes], [days(d) for d in one.days]
    return _range(*amps), _range(*time)


def estimated(one: EstimatedFigure) -> str:
    """``endurance of main-battery: 79 min; 54 min to 115 min with the estimates at their ends``."""
    low, value, high = (_of(one, number) for number in (one.low, one.value, one.high))
    words = f"{one.what}: {value}; {_range(low, high)} with the estimates at their ends"
    if one.required is None:
        return words
    required = f"{words}; required {_of(one, one.required)}"
    return f"{required}: DECIDED BY ESTIMATES" if one.decides else required


def _of(one: EstimatedFigure, number: float) -> str:
    if one.unit != "s":
        return quantity(number, one.unit)
    return days(number / 86400) if one.value > 2 * 86400 else clock(number)


def _range(minimum: str, maximum: str) -> str:
    return minimum if minimum == maximum else f"{minimum} to {maximum}"


#: one number in each row: a long table for pivoting
COLUMNS = ("section", "of", "item", "quantity", "value", "unit")
Row = tuple[str, str, str, str, float | str, str]
DRAIN = "parasitic drain"


def rows(budget: Budget) -> Iterator[Row]:
    """Every number of the analysis."""
    for load in budget.phases:
        yield from _phase_rows(load)
    for lasting in budget.lasting:
        yield from _lasting_rows(lasting)
    for function in budget.functions:
        yield from _function_rows(function)
    for step in budget.shed:
        yield "shed plan", step.action, "", "done after the loss", tabled(step.at, 1), "s"
        yield "shed plan", step.action, "", "main battery current before", tabled(step.before_a, 3), "A"
        yield "shed plan", step.action, "", "main battery current after", tabled(step.after_a, 3), "A"
        for name, amps in step.loads:
            yield "shed plan", step.action, name, "current before", tabled(amps, 3), "A"
    for one in budget.drains:
        # the larger drain leaves the shorter time
        for word, other, amps, time in zip(
            ("minimum", "maximum"), ("maximum", "minimum"), one.amperes, one.days[::-1], strict=True
        ):
            yield DRAIN, one.battery, one.state, f"drain, {word}", tabled(amps, 6), "A"
            yield DRAIN, one.battery, one.state, f"time to half charge, {other}", _number(time, 1), "d"
    for figure in budget.estimated:
        for word, value in (("least", figure.low), ("most", figure.high)):
            yield "with the estimates at their ends", figure.what, "", word, _number(value, 3), figure.unit
    for what, needs in budget.gaps:
        yield "missing data", what, "", "needs", needs, ""


def _number(value: float, digits: int) -> float | str:
    return "" if math.isinf(value) else tabled(value, digits)


def _phase_rows(load: LoadOfPhase) -> Iterator[Row]:
    phase = load.flown.phase or load.flown.state
    if load.seconds is not None:
        yield "phase", phase, load.flown.state, "duration", tabled(load.seconds, 1), "s"
    for one in load.alternators:
        yield "phase", phase, one.name, "alternator output", tabled(one.amperes, 3), "A"
        yield "phase", phase, one.name, "demand at its set point", tabled(one.asked, 3), "A"
        yield "phase", phase, one.name, "capacity", one.load.output_a, "A"
        yield "phase", phase, one.name, "continuous load", tabled(one.load.share, 4), "share of capacity"
        if load.use == "flight":
            yield "phase", phase, one.name, "continuous load, limit", one.most, "share of capacity"
        yield "phase", phase, one.name, "margin", tabled(one.spare, 3), "A"
    for name, amps in load.batteries.items():
        yield "phase", phase, name, "battery current", tabled(amps, 3), "A"
    for name, amps in load.others.items():
        yield "phase", phase, name, "output current", tabled(amps, 3), "A"
    for kind, values in (
        ("load current", load.loads),
        ("coil current", load.coils),
        ("field current", load.fields),
        ("input current", load.inputs),
    ):
        for name, amps in values.items():
            yield "phase", phase, name, kind, tabled(amps, 3), "A"
    if load.across:
        yield "phase", phase, "", "current of resistors across a source", tabled(load.across, 3), "A"
    if load.repeated:
        yield "phase", phase, "", "current in several rows, once too often", tabled(load.repeated, 3), "A"


def _function_rows(one: FunctionEndurance) -> Iterator[Row]:
    section, name = "function after loss of all generation", one.function
    for i, entry in enumerate(one.timeline, 1):
        item = f"{i}. {timeline_event(entry, name)}"
        yield section, name, item, "time from the loss", tabled(entry.seconds, 1), "s"
        if entry.without is not None:
            yield section, name, item, "function lost without it", _number(entry.without, 1), "s"
    yield section, name, "", "without any crew action", _number(one.unattended, 1), "s"
    yield section, name, "", "endurance", _number(one.seconds, 1), "s"
    if one.required is not None:
        yield section, name, "", "required", tabled(one.required, 1), "s"


def _lasting_rows(lasting: BatteryEndurance) -> Iterator[Row]:
    name = lasting.battery
    yield "endurance", name, "", "initial state of charge", tabled(lasting.begins, 4), "share"
    yield "endurance", name, "", "terminal voltage before", tabled(lasting.charging_v, 3), "V"
    for word, value in lasting.factors:
        yield "endurance", name, "", word, value, ""
    for run in lasting.found.runs:
        yield "endurance", name, run.name, "duration", _number(run.seconds, 1), "s"
        for when, amps in (("initial", run.first_a), ("final", run.last_a)):
            kind = "charging current" if amps <= -LEAK_A else "current"
            yield "endurance", name, run.name, f"{when} {kind}", tabled(abs(amps), 3), "A"
        yield "endurance", name, run.name, "state of charge left", tabled(run.charge, 4), "share"
    yield "endurance", name, "", "endurance", _number(lasting.seconds, 1), "s"
    if lasting.wanted is not None:
        yield "endurance", name, "", "required", tabled(lasting.wanted, 1), "s"
    yield "endurance", name, "", "ends because", ends(lasting), ""
