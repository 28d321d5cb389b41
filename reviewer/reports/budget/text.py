"""The electrical load analysis for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf, isfinite

from reviewer.model.design import Design
from reviewer.model.name_lists import and_list
from reviewer.model.quantity_words import clock, percent, quantity
from reviewer.questions.budget import BatteryEndurance, Budget, LoadOfPhase
from reviewer.reports.budget import words as words
from reviewer.reports.layout import NARROWEST, caution_lines, headed, labelled, lines_of
from reviewer.reports.wording import shown


def budget_text(file: str, design: Design, budget: Budget, width: int = 100) -> str:
    """The whole analysis, the cautions at the end."""
    width = max(width, NARROWEST)
    lines = headed(f"{shown(file)}: electrical load analysis", width)
    lines += lines_of(
        f"{shown(design.aircraft.name)}. Currents as solved in each phase, with its switch positions.", width
    )
    for section in (
        _gaps(budget, width),
        _estimated(budget, width),
        _loads(budget.phases, width),
        _sources(budget.phases, width),
        _endurance(budget, width),
        _functions(budget, width),
        _shed(budget, width),
        _parasitic_drain(budget, width),
    ):
        lines += section
    lines += ["", "Limitations"]
    for sentence in words.LIMITS:
        lines += lines_of(f"- {sentence}", width, 2, 4)
    if budget.typical:
        lines += ["", "Typical values used for missing data"]
        for value in budget.typical:
            lines += lines_of(f"- {shown(value)}", width, 2, 4)
    return "\n".join([*lines, "", *caution_lines(width)]) + "\n"


def _gaps(budget: Budget, width: int) -> Iterator[str]:
    if budget.gaps:
        yield from ("", "Missing data")
        for what, needs in budget.gaps:
            yield from lines_of(f"- {shown(what)}: needs {shown(needs)}", width, 2, 4)


def _estimated(budget: Budget, width: int) -> Iterator[str]:
    if not budget.estimates:
        return
    yield from ("", "Figures that rest on estimates")
    are = (
        "1 figure of the file is an estimate"
        if not budget.estimates[1:]
        else f"{len(budget.estimates)} are estimates"
    )
    taken = "All below takes each as it is written, a range by its middle."
    yield from lines_of(f"{are}: {shown(', '.join(budget.estimates))}. {taken}", width, 2)
    for one in budget.estimated:
        yield from lines_of(f"- {shown(words.estimated(one))}", width, 2, 4)


def _loads(phases: Sequence[LoadOfPhase], width: int) -> Iterator[str]:
    """One row for all that takes current and one column for each phase, as many columns as fit the width."""
    taken = [words.taken(load) for load in phases]
    names = list(dict.fromkeys(name for one in taken for name in one))
    if not names:
        return
    yield from ("", "Loads and coils by phase, A")
    first = min(max(len(shown(n)) for n in [*names, "battery charging"]), width // 2)
    titles = [shown(load.flown.phase or "")[:14] for load in phases]
    wide = max(9, *(len(t) + 2 for t in titles))
    at_once = max(1, (width - first - 2) // wide)
    for begin in range(0, len(phases), at_once):
        some = phases[begin : begin + at_once]
        rows = taken[begin : begin + at_once]
        yield "  " + " " * first + "".join(f"{t:>{wide}}" for t in titles[begin : begin + at_once])
        for name in names:
            cells = [row.get(name) for row in rows]
            yield f"  {shown(name)[:first]:<{first}}" + "".join(
                f"{'-' if c is None else f'{c:.2f}':>{wide}}" for c in cells
            )
        yield f"  {'total':<{first}}" + "".join(f"{load.total:>{wide}.2f}" for load in some)
        yield f"  {'battery charging':<{first}}" + "".join(
            f"{load.into_batteries:>{wide}.2f}" for load in some
        )

    if converted := dict.fromkeys(name for load in phases for name in load.converted):
        text = f"The total has the input of {and_list(list(converted))}, and not again what that gives."
        yield from lines_of(shown(text), width, 2)


def _sources(phases: Sequence[LoadOfPhase], width: int) -> Iterator[str]:
    if not phases:
        return
    yield from ("", "Generating capacity by phase")
    for load in phases:
        lasts = f", {clock(load.seconds)}" if load.seconds is not None else ""
        yield from lines_of(f"- {shown(str(load.flown))}{lasts}", width, 2, 4)
        for one in load.alternators:
            yield from lines_of(shown(words.alternator(one, load)), width, 6, 8)
        if load.others:
            yield from lines_of(shown(words.others(load)), width, 6, 8)
        yield from lines_of(shown(words.batteries(load)), width, 6, 8)


def _endurance(budget: Budget, width: int) -> Iterator[str]:
    if not budget.lasting:
        return
    yield from ("", "Battery endurance, aged and at the lowest temperature")
    printed = {one.battery: one.seconds for one in budget.printed}
    for lasting in budget.lasting:
        yield from lines_of(
            f"- {shown(lasting.battery)} {shown(words.when(lasting))}: {shown(words.verdict(lasting))}",
            width,
            2,
            4,
        )
        start = (
            f"{percent(lasting.begins)} charged, {quantity(lasting.charging_v, 'V')} at its terminals "
            "in flight"
        )
        yield from labelled("at the loss", start, width)
        factors = "; ".join(f"{word} {value}" for word, value in lasting.factors)
        yield from labelled("assumptions", factors, width)
        for segment, text in _segments(lasting):
            yield from lines_of(f"{shown(segment)}: {text}", width, 6, 8)
        if isfinite(seconds := printed.get(lasting.battery, inf)):
            text = f"{clock(seconds)}, as load analyses are printed: 75 % of the rated capacity over these"
            yield from labelled("by ampere-hours", f"{text} currents, without age, cold and rate", width)


def _segments(lasting: BatteryEndurance) -> Iterator[tuple[str, str]]:
    for run in lasting.found.runs:
        first, last = (words.battery_amperes(amps) for amps in (run.first_a, run.last_a))
        step = " to" if min(run.first_a, run.last_a) > -words.LEAK_A else ", later"
        currents = first if first == last else f"{first}{step} {last}"
        yield run.name, f"{clock(run.seconds)}, {currents}, then {percent(run.charge)} charged"


def _functions(budget: Budget, width: int) -> Iterator[str]:
    if not budget.functions:
        return
    yield from ("", "Functions after loss of all generation")
    for one in budget.functions:
        text = f"- {one.function} ({one.hazard}) {words.function_where(one)}: {words.function_verdict(one)}"
        yield from lines_of(shown(text), width, 2, 4)
        moves = [entry for entry in one.timeline if entry.without is not None]
        for entry in one.timeline:
            event = words.timeline_event(entry, one.function)
            if without := words.without_move(entry, one.function, one.seconds):
                event += f"; without it{'' if entry is moves[-1] else ' and the later moves,'} {without}"
                same = entry.without is not None and clock(entry.without) == clock(one.seconds)
                event += " as well" if same else ""
            yield from labelled(clock(entry.seconds), shown(event), width)


def _shed(budget: Budget, width: int) -> Iterator[str]:
    if not budget.shed:
        return
    yield from ("", "Shed plan")
    for step in budget.shed:
        off = ", ".join(f"{name} {quantity(amps, 'A')}" for name, amps in step.loads) or "no load"
        text = f"- {step.action}, done {clock(step.at)} after the loss: "
        text += f"{quantity(step.before_a, 'A')} to {quantity(step.after_a, 'A')}; off: {off}"
        yield from lines_of(shown(text), width, 2, 4)


def _parasitic_drain(budget: Budget, width: int) -> Iterator[str]:
    if not budget.drains:
        return
    yield from ("", "Parasitic drain, parked")
    for one in budget.drains:
        amps, time = words.drain(one)
        half = f", half charge after {time}" if any(map(isfinite, one.days)) else ""
        yield from lines_of(f"- {shown(one.battery)} in {shown(one.state)}: {amps}{half}", width, 2, 4)
        for draw in one.draws:
            missing = f"; {draw.key} is missing" if draw.key else ""
            yield from lines_of(shown(draw.what + missing), width, 6, 8)
