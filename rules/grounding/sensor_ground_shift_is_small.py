"""The ground shift between a sensor and its instrument is small against the sensor's span.

Why: a sender bolted to the engine is offset by the drop of the engine strap; with the alternator on
line the gauge reads wrong.

How judged: for each sensor of a measured quantity and each instrument that reads it, the voltage
between the two grounds is solved in the normal flight states. The engine runs, and the alternator
is raised to its limit while it charges the main battery. Limit 1 % of `span` if the sensor is
bolted to its own ground, 2 % if its return is a wire that carries other current. A sender with its
own return wire to the instrument has no shift. Up to a millivolt is ignored.

Not covered: starter current; differential inputs that are not declared as such; thermocouples.
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    beside,
    exceeds,
    gaps,
    percent,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (
    ("ac-43-13-1b", "11-186f, two grounds of one transducer system add the voltage between them"),
    ("practice", "1 % of the span between separate grounds, 2 % on a shared return"),
)
REMEDY = (
    "Run the sensor's return to the instrument, or ground both at the engine, or use a differential input."
)


def subjects(facts: Facts):
    return [f"parts/{pair.sensor}" for pair in facts.grounds.sensor_pairs]


def judge(subject: Subject, facts: Facts):
    sensor = subject.name
    shared, apart, nothing = facts.grounds.offset_limits
    part = facts.design.parts[sensor]
    most = apart if part.mounted_on else shared
    for pair in facts.grounds.sensor_pairs:
        found = facts.grounds.offset(pair) if pair.sensor == sensor and not pair.two_wire else None
        if found is None:
            continue
        if exceeds(found.volts, nothing) and part.span is None:
            raise NotAssessable(f"`span` of {sensor}")
        if exceeds(found.volts, nothing) and exceeds(found.volts, most * part.span):
            yield Unmet(
                f"Ground shift between {sensor} and {pair.instrument} {quantity(found.volts * 1000, 'mV')} "
                "with the alternator at its limit,"
                f" {beside(100 * found.volts / part.span, 100 * most, '.1f')} % of the "
                f"{quantity(part.span, 'V')} span; limit {percent(most)} "
                "(common practice, no published source).",
                state=found.state,
                numbers=(("between", f"{pair.own} and {pair.reference}"), *found.assumed),
            )
        elif found.missing:
            raise NotAssessable(gaps(found.missing, None))
