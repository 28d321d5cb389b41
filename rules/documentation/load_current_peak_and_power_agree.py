"""The current, peak and power given for a load agree.

Why: a figure in the wrong column, or watts read as amperes, makes every sum with it wrong.

How judged: no current exceeds the peak. If `power` is given, power over nominal voltage (14 or 28
V) is within 15 % of the largest current or of the peak. A data sheet may mean either.

Not covered: whether the figures are right.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    Subject,
    Unmet,
    exceeds,
    in_brackets,
    parts,
    percent,
    practice,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
AS_WRITTEN = True
CITATIONS = (("practice", "watts over volts agree with amperes within 15 %"),)
REMEDY = "Ask the manufacturer, or measure it, and correct the wrong figure."


def subjects(facts: Facts):
    loads = {n: facts.design.parts[n] for n in facts.design.of_kind(parts.Consumer)}
    return [
        f"parts/{n}" for n, load in loads.items() if load.current is not None and (load.peak or load.power)
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    load = subject.part(facts.design)
    most = max(load.currents)
    if load.peak is not None and most > load.peak:
        yield Unmet(
            f"{name} has a current of {quantity(most, 'A')}, above its peak of {quantity(load.peak, 'A')}.",
            field="peak",
        )
    if load.power is None or not most:
        return
    volts, within = facts.design.nominal_volts(name), practice("factors", "watts-against-amperes")
    by_power = load.power / volts
    stated = [a for a in (most, load.peak) if a is not None]
    if all(exceeds(abs(by_power - a), within.high * by_power) for a in stated):
        yield Unmet(
            f"{name} has a power of {quantity(load.power, 'W')}, {quantity(by_power, 'A', most)} at "
            f"{quantity(volts, 'V')}, but a current of "
            f"{quantity(most, 'A')}; tolerance {percent(within.high)}.",
            field="power",
            numbers=(
                ("power over voltage", quantity(by_power, "A")),
                ("current", quantity(most, "A")),
                ("tolerance", f"{percent(within.high)} {in_brackets(within.origin)}"),
            ),
        )
