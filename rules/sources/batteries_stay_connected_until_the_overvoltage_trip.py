"""A battery with a management circuit stays connected until the overvoltage trip has acted.

Why: if the battery disconnects first, what held the voltage down is lost just when the alternator
goes into overvoltage, and the trip is too late for the loads.

How judged: each lithium battery that an alternator can charge in normal flight says at what voltage
it disconnects itself (`high-voltage-disconnect`). Each overvoltage trip of such an alternator, and
each set point, must be below it. The voltage by which the full battery exceeds the sensed point is
added to them.

Not covered: the drop of a diode to the battery. Other rules cover the low-voltage disconnect
(endurance) and the effect of the battery opening (failures).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts, quantity

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "management disconnects at 15.5 to 16 V; the trip comes first"),)
REMEDY = (
    "Set the trip below the voltage at which the battery disconnects, or use a battery that "
    "disconnects later."
)


def subjects(facts: Facts):
    every = facts.sources.charged if facts.design.operation else {}
    batteries = [b for b in every if _alternators(b, facts)]
    of = facts.design.parts
    managed = [
        b
        for b in batteries
        if of[bare(b)].chemistry == "lithium-iron-phosphate" or of[bare(b)].high_voltage_disconnect
    ]
    return managed if facts.design.of_kind(parts.Alternator) else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    opens = subject.part(facts.design).high_voltage_disconnect
    if opens is None:
        raise NotAssessable(f"`high-voltage-disconnect` of {name}")
    for machine in _alternators(subject.pointer, facts):
        alternator, held = bare(machine), facts.sources.regulation(machine)
        if held.trip is None:
            raise NotAssessable(f"`overvoltage-trip` of {alternator}")
        highest, what, ends = held.set_point, "is regulated to", None
        if isinstance(held.trip, float):
            highest, what, ends = held.trip, "trips at", facts.sources.ceiling(machine)
        if highest is None:
            continue
        over = facts.sources.overshoot(machine, ends, (f"{name}.positive", f"{name}.negative"))
        if highest + over >= opens:
            more = f" where it is sensed, and the battery then has {quantity(over, 'V')} more"
            there = more if over > 0 else ""
            yield Unmet(
                f"{name} disconnects at {quantity(opens, 'V')}, before overvoltage protection acts: "
                f"{alternator} {what} {quantity(highest, 'V')}{there}.",
                field="high-voltage-disconnect",
                numbers=(
                    ("battery disconnects above", quantity(opens, "V")),
                    (f"{alternator} {what}", quantity(highest, "V")),
                    *((("battery above what is sensed", quantity(over, "V")),) if over > 0 else ()),
                ),
                changes=(
                    f"parts/{name}/high-voltage-disconnect",
                    f"{machine}/{'set-point' if ends is None else 'overvoltage-trip'}",
                ),
            )
            return


def _alternators(battery: str, facts: Facts) -> list[str]:
    givers = dict.fromkeys(c.giver for c in facts.sources.charged[battery])
    return [g for g in givers if g in facts.sources.at_work]
