"""Every alternator is disconnected by itself when its voltage runs away, at a voltage that protects the equipment.

Why: a regulator that fails full on drives the bus past what engine electronics endure within a second.

How judged: `over-voltage-trip` is stated, not `none`, and lies between 15.0 and 16.5 V in a 14 V system, 30 and 33 V in a 28 V system.

Not covered: the speed of the trip, and whether a field disconnect works on this alternator.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1351", "(c)(5), over-voltage control"),
    ("practice", "trip window 15.0 to 16.5 V, doubled at 28 V"),
)
REMEDY = "Fit an over-voltage trip that disconnects the field, or the output where the regulator is inside."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    trip = subject.part(facts.design).over_voltage_trip
    scale = facts.design.aircraft.scale
    low, high = 15.0 * scale, 16.5 * scale
    if trip is None:
        raise NotAssessable(f"`over-voltage-trip` of {name}")
    if trip == "none":
        yield Unmet(f"{name} has no over-voltage trip.", field="over-voltage-trip")
    elif not low <= trip <= high:
        yield Unmet(
            f"{name} trips at {trip:g} V, outside the usual {low:g} to {high:g} V.",
            field="over-voltage-trip",
            numbers=(("trip", f"{trip:g} V"), ("window", f"{low:g} to {high:g} V")),
        )
