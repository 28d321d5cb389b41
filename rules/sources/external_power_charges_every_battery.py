"""External power charges every battery, so that a ground charger keeps the reserve full too.

Why: a reserve that only the alternator charges is half discharged after a winter, and nothing on
the ground shows it.

How judged: for each external power socket, whether in a declared state with external power it feeds
each battery's positive terminal and receives its negative. It does so itself, through the others of
a string in series, or by a converter or charger that it feeds.

Not covered: the voltage that arrives; a charger clipped to a battery's own terminals; a socket on
the link between two batteries in series.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "charging socket on the main side, the reserve behind its diode"),)
REMEDY = (
    "Put the socket on the main side, where the reserve's diode passes its current, and declare the "
    "state in which it charges."
)


def subjects(facts: Facts):
    return (
        [f"parts/{n}" for n in facts.design.of_kind(parts.ExternalPower)]
        if facts.design.of_kind(parts.Battery) and facts.states.declared
        else []
    )


def judge(subject: Subject, facts: Facts):
    reached = facts.endurance.external_power_charges(subject.name)
    missed = [battery for battery, states in reached.items() if not states]
    if missed:
        yield Unmet(
            f"External power at {subject.name} does not charge {and_list(missed)} in any declared state.",
            numbers=(("not charged", ", ".join(missed)),),
        )
