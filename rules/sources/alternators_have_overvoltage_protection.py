"""Every alternator has automatic overvoltage protection that trips in the usual range.

Why: a regulator failed full on drives the bus past what engine electronics withstand within a
second.

How judged: `overvoltage-trip` is stated, of the alternator or inside its separate regulator, and
not `none`. It is between 15.0 and 16.5 V in a 14 V system, 30 and 33 V in a 28 V system.

Not covered: the speed of the trip, and whether opening the field stops this alternator.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, practice, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1351", "(c)(5), overvoltage control"),
    ("practice", "trip between 15.0 and 16.5 V, doubled at 28 V"),
)
REMEDY = "Fit overvoltage protection that opens the field, or the output if the regulator is internal."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Alternator)]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    trip = facts.sources.regulation(subject.pointer).trip
    scale = facts.design.aircraft.scale
    usual = practice("volts", "overvoltage-trip")
    low, high = usual.low * scale, usual.high * scale
    if trip is None:
        raise NotAssessable(f"`overvoltage-trip` of {name}")
    if trip == "none":
        yield Unmet(f"{name} has no overvoltage protection.", field="overvoltage-trip")
    elif not low <= trip <= high:
        yield Unmet(
            f"Overvoltage protection of {name} trips at {quantity(trip, 'V')}; usual range {low:g} to "
            f"{quantity(high, 'V')}.",
            field="overvoltage-trip",
            remedy=f"Set the trip between {low:g} and {quantity(high, 'V')}, or fit another device.",
            numbers=(
                ("trip", quantity(trip, "V")),
                ("usual range", f"{low:g} to {quantity(high, 'V')}"),
            ),
        )
