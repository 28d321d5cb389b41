"""The ground of a sensor and that of its instrument differ by little of the sensor's span.

Why: a sender bolted to the engine stands on the drop of the engine's strap; with the alternator at work the gauge reads what is not there.

How judged: for each sensor of a measured quantity and each instrument that reads it, the volts between the two grounds are solved in the states of
normal flight with the engine running, with the alternator raised to its limit while it charges the main battery. The difference may be 1 % of `span`
where the sensor is bolted to a ground of its own, 2 % where its return is a wire that carries other current. A sender with a return wire of its own
to the instrument has none. A millivolt is nothing.

Not covered: current of the starter; inputs that suppress such a difference without saying so; thermocouples.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("ac-43-13-1b", "11-186f, two grounds of one transducer system add the volts between them"),
    ("practice", "1 % of the span between grounds apart, 2 % on a shared return"),
)
REMEDY = "Lead the sensor's return to the instrument, or ground both at the engine, or use an input that reads a difference."


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
        if found.volts > nothing and part.span is None:
            raise NotAssessable(f"`span` of {sensor}")
        if found.volts > nothing and found.volts > most * part.span:
            yield Unmet(
                f"The grounds of {sensor} and {pair.instrument} differ by {found.volts * 1000:.0f} mV with the alternator at its limit,"
                f" {found.volts / part.span:.1%} of the span of {part.span:g} V; {most:.0%} is the most by common practice.",
                state=found.state,
                numbers=(("between", f"{pair.own} and {pair.reference}"), *found.assumed),
            )
        elif found.missing:
            raise NotAssessable(
                ", ".join(f"{key} of {bare(element)}" for element, key in found.missing.items())
            )
