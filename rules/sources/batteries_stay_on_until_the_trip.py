"""A battery with a management circuit stays on the bus until the over-voltage trip has acted.

Why: when the battery takes itself off first, what held the voltage down is gone just as the alternator runs away, and the trip comes too late for the loads.

How judged: each lithium battery that an alternator can charge in a state of normal flight says at what voltage it disconnects itself (`disconnects-above`).
Each trip of such an alternator, and each set point, must lie below it.

Not covered: what a diode on the way to the battery drops; the voltage at which it disconnects when it is empty, which belongs to the endurance; what its opening takes is told by the rules on failures.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (("practice", "management opens at 15.5 to 16 V; the trip comes before it"),)
REMEDY = "Set the trip below the voltage at which the battery disconnects itself, or use a battery whose management opens later."


def subjects(facts: Facts):
    batteries = facts.sources.charged if facts.design.operation else {}
    of = facts.design.parts
    managed = [
        b
        for b in batteries
        if of[bare(b)].chemistry == "lithium-iron-phosphate" or of[bare(b)].disconnects_above
    ]
    return managed if facts.design.of_kind(parts.Alternator) else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    opens = subject.part(facts.design).disconnects_above
    if opens is None:
        raise NotAssessable(f"`disconnects-above` of {name}")
    for alternator in dict.fromkeys(bare(c.alternator) for c in facts.sources.charged[subject.pointer]):
        part = facts.design.parts[alternator]
        if part.over_voltage_trip is None:
            raise NotAssessable(f"`over-voltage-trip` of {alternator}")
        highest = part.set_point if part.over_voltage_trip == "none" else part.over_voltage_trip
        what = "is regulated to" if part.over_voltage_trip == "none" else "trips at"
        if highest is not None and highest >= opens:
            yield Unmet(
                f"{name} disconnects itself above {opens:g} V, before {alternator} {what} {highest:g} V.",
                field="disconnects-above",
                numbers=(
                    ("battery disconnects above", f"{opens:g} V"),
                    (f"{alternator} {what}", f"{highest:g} V"),
                ),
            )
            return
