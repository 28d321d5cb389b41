"""No coil takes more than a tenth of what is left on the battery after the alternator is lost.

Why: a battery contactor eats an ampere for as long as the engine bus needs its bus, which is minutes of endurance that nobody counted.

How judged: in each declared state of flight in which the engine runs and no alternator does, the `coil-current` of each energised coil is compared with
the stated currents of all loads and coils that the same battery powers and no other.

Not covered: coils in storage; the endurance itself, in which every coil is counted.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "0.7 to 1.0 A of a contactor is a tenth of a usual load on battery"),)
REMEDY = "Feed what must live by another way, so that the master can be opened, or use a contactor that saves its coil's current, or a latching one."
MOST = 0.10


def subjects(facts: Facts):
    return [c.element for c in facts.network.coils] if facts.design.operation else []


def judge(subject: Subject, facts: Facts):
    for share in facts.sources.coil_shares(subject.pointer):
        if share.coil > MOST * share.all:
            yield Unmet(
                f"The coil of {subject.name} takes {share.coil:g} A of the {share.all:.1f} A that its battery gives in {share.state}.",
                field="coil-current",
                state=share.state,
                numbers=(("share", f"{share.coil / share.all:.0%}"), ("limit", f"{MOST:.0%}")),
            )
            return
