"""The current, the peak and the power that are given for a load agree with each other.

Why: a figure copied in the wrong column, or watts read as amperes, makes every sum that it is in wrong.

How judged: no current is more than the peak; where `power` is given, power over nominal volts (14 or 28 V) is within 15 % of the largest current or of
the peak, since a maker may mean either.

Not covered: whether the figures are right.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts, percent, practice

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "watts over volts agree with amperes within 15 %"),)
REMEDY = "Ask the maker, or measure it, and correct the figure that is wrong."


def amps(load) -> float:
    """The largest current of a load; 0 where none is given."""
    return max(load.current.values(), default=0.0) if hasattr(load.current, "values") else load.current or 0.0


def subjects(facts: Facts):
    loads = {n: facts.design.parts[n] for n in facts.design.of_kind(parts.Consumer)}
    return [
        f"parts/{n}" for n, load in loads.items() if load.current is not None and (load.peak or load.power)
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    load = subject.part(facts.design)
    most = amps(load)
    if load.peak is not None and most > load.peak:
        yield Unmet(f"{name} draws {most:g} A, more than its peak of {load.peak:g} A.", field="peak")
    if load.power is None or not most:
        return
    by_power, within = load.power / facts.design.aircraft.volts, practice("factors", "watts-against-amperes")
    stated = [a for a in (most, load.peak) if a is not None]
    if all(abs(by_power - a) > within.high * by_power for a in stated):
        yield Unmet(
            f"{name} has {load.power:g} W, which is {by_power:.1f} A at {facts.design.aircraft.volts:g} V, and {most:g} A.",
            field="power",
            numbers=(
                ("watts over volts", f"{by_power:.2f} A"),
                ("current", f"{most:g} A"),
                ("within", f"{percent(within.high)} ({within.origin})"),
            ),
        )
