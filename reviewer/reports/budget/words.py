"""The load budget in words and in rows, which the terminal, the tables and the page share."""

from __future__ import annotations

import math
from collections.abc import Iterator

from reviewer.analysis.endurance.battery_endurance import Lasting
from reviewer.analysis.endurance.phase_loads import AlternatorInPhase, PhaseLoad, percent
from reviewer.analysis.endurance.storage_drain import Drain
from reviewer.network.graph import bare
from reviewer.questions.budget import Budget

#: what the numbers of an endurance leave out
LIMITS = (
    "The loss happens in the dispatch state; the field of an alternator that stopped turning is not counted.",
    "A battery that stands in the hangar also loses charge by itself.",
)


def clock(seconds: float) -> str:
    """A time in minutes and seconds, rounded down: what is promised is there."""
    if math.isinf(seconds):
        return "without end"
    whole = math.floor(seconds + 1e-6)
    minutes, rest = divmod(whole, 60)
    return (
        f"{rest} s"
        if not minutes
        else f"{minutes} min {rest} s"
        if rest and minutes < 10
        else f"{minutes} min"
    )


def days(value: float) -> str:
    """Days, rounded down; hours where there are few."""
    if math.isinf(value):
        return "without end"
    return f"{math.floor(value + 1e-9)} days" if value >= 3 else f"{24 * value:.1f} hours"


def milliamperes(amps: float) -> str:
    """A small current."""
    return f"{amps:.2f} A" if amps >= 1 else f"{amps * 1000:.3g} mA"


def alternator(one: AlternatorInPhase, load: PhaseLoad) -> str:
    """What an alternator does in a phase, against its line; on the ground against its output at idle."""
    words = f"{one.name} gives {one.amperes:.1f} A of {one.load.output_a:g} A"
    if load.use == "ground":
        words += " at idle"
    words += f", {percent(one.load.share)}"
    if one.intermittent > 0.05:
        words += f" without the {one.intermittent:.1f} A of loads used for short times"
    if load.use == "flight":
        words += f"; {percent(one.most)} is the most ({one.rests_on})" + (
            "" if one.within else ": MORE THAN THAT"
        )
    return f"{words}; {one.spare:.1f} A to spare"


def batteries(load: PhaseLoad) -> str:
    """What the batteries give or take in a phase."""
    return ", ".join(
        f"{name} {'gives' if amps > 0 else 'takes'} {abs(amps):.1f} A"
        for name, amps in load.batteries.items()
    )


def ends(lasting: Lasting) -> str:
    """Why a battery gives out."""
    found = lasting.found
    if not found.ended_by:
        return "nothing empties it"
    name = bare(found.ended_by)
    return f"then it {found.why}" if name == lasting.battery else f"then {name} {found.why}"


def verdict(lasting: Lasting) -> str:
    """How long a battery lasts against what is wanted."""
    words = f"{clock(lasting.seconds)}, {ends(lasting)}"
    if lasting.wanted is None:
        return f"{words}; what is wanted is not declared"
    margin = lasting.seconds - lasting.wanted
    if math.isinf(margin):
        return f"{words}; {clock(lasting.wanted)} wanted"
    return f"{words}; {clock(lasting.wanted)} wanted, " + (
        f"{clock(margin)} to spare" if margin >= 0 else f"{clock(-margin)} SHORT"
    )


def when(lasting: Lasting) -> str:
    """What has happened, in words."""
    where = lasting.state if lasting.phase in (None, lasting.state) else f"{lasting.state} ({lasting.phase})"
    return f"after the loss of {' and '.join(lasting.lost)} in {where}"


def drain(one: Drain) -> tuple[str, str]:
    """What a battery gives in the hangar, and how long to half of its charge; a range where figures are missing."""
    amps, time = [milliamperes(a) for a in one.amperes], [days(d) for d in one.days]
    return (
        (amps[0], time[0]) if amps[0] == amps[1] else (f"{amps[0]} to {amps[1]}", f"{time[0]} to {time[1]}")
    )


#: one number a row: a long table that a spreadsheet can turn any way
COLUMNS = ("section", "of", "item", "quantity", "value", "unit")
Row = tuple[str, str, str, str, float | str, str]


def rows(budget: Budget) -> Iterator[Row]:
    """Every number of the budget."""
    for load in budget.phases:
        yield from _phase_rows(load)
    for lasting in budget.lasting:
        yield from _lasting_rows(lasting)
    for step in budget.shed:
        yield "shed plan", step.action, "", "done after the loss", round(step.at, 1), "s"
        yield "shed plan", step.action, "", "main battery before", round(step.before_a, 3), "A"
        yield "shed plan", step.action, "", "main battery after", round(step.after_a, 3), "A"
        for name, amps in step.loads:
            yield "shed plan", step.action, name, "taken before", round(amps, 3), "A"
    for one in budget.drains:
        for word, amps, time in zip(("least", "most"), one.amperes, one.days[::-1], strict=True):
            yield "hangar", one.battery, one.state, f"drain, {word}", round(amps, 6), "A"
            yield (
                "hangar",
                one.battery,
                one.state,
                f"time to half, {'most' if word == 'least' else 'least'}",
                _number(time, 1),
                "d",
            )
    for what, needs in budget.gaps:
        yield "not told", what, "", "missing", needs, ""


def _number(value: float, digits: int) -> float | str:
    return "" if math.isinf(value) else round(value, digits)


def _phase_rows(load: PhaseLoad) -> Iterator[Row]:
    phase = load.flown.phase or load.flown.state
    if load.seconds is not None:
        yield "phase", phase, load.flown.state, "duration", round(load.seconds, 1), "s"
    for one in load.alternators:
        yield "phase", phase, one.name, "alternator gives", round(one.amperes, 3), "A"
        yield "phase", phase, one.name, "output", one.load.output_a, "A"
        yield "phase", phase, one.name, "continuous load", round(one.load.share, 4), "share of output"
        if load.use == "flight":
            yield "phase", phase, one.name, "continuous load, most", one.most, "share of output"
        yield "phase", phase, one.name, "to spare", round(one.spare, 3), "A"
    for name, amps in load.batteries.items():
        yield "phase", phase, name, "battery gives", round(amps, 3), "A"
    for kind, values in (("load takes", load.loads), ("coil takes", load.coils)):
        for name, amps in values.items():
            yield "phase", phase, name, kind, round(amps, 3), "A"


def _lasting_rows(lasting: Lasting) -> Iterator[Row]:
    name = lasting.battery
    yield "endurance", name, "", "begins with charge", round(lasting.begins, 4), "share"
    yield "endurance", name, "", "volts across it before", round(lasting.charging_v, 3), "V"
    for word, value in lasting.factors:
        yield "endurance", name, "", word, value, ""
    for run in lasting.found.runs:
        yield "endurance", name, run.name, "lasts", _number(run.seconds, 1), "s"
        yield "endurance", name, run.name, "gives at first", round(run.first_a, 3), "A"
        yield "endurance", name, run.name, "gives at the end", round(run.last_a, 3), "A"
        yield "endurance", name, run.name, "charge left", round(run.charge, 4), "share"
    yield "endurance", name, "", "lasts", _number(lasting.seconds, 1), "s"
    if lasting.wanted is not None:
        yield "endurance", name, "", "wanted", round(lasting.wanted, 1), "s"
    yield "endurance", name, "", "ends because", ends(lasting), ""
