"""A short at the far end of a wire draws enough current to open its circuit protection.

Why: a long thin wire limits the fault current to what a large breaker carries for minutes, and the
wire burns meanwhile.

How judged: for each protected wire, a short at its far end, to the return of the unit there or to
metal structure. Its current must be twice the lowest rating on the path. It comes from the battery
with the highest fault current, cold or aged, by the path of least resistance through the circuit
protection and back. Parallel paths and sources only add to it. A resistor on the path that keeps
the current of every source within the largest device that Table 11-3 allows the wires protects them
itself.

Not covered: arcing and high-resistance faults, alternators, which limit themselves, and how hot
that resistor becomes.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, exceeds, quantity, rated

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("ac-43-13-1b", "11-48, circuit protection opens before its wire can smoke"),
    ("practice", "circuit protection opens soon enough at twice its rating"),
)
REMEDY = "Fit a thicker or shorter wire, a better return, or a smaller breaker or fuse."


def subjects(facts: Facts):
    return list(facts.protection.protected_wires)


def judge(subject: Subject, facts: Facts):
    for fault in sorted(facts.protection.faults(subject.pointer), key=lambda f: f.amps):
        rating, name = facts.protection.lowest_rating(fault)
        if rating is None:
            raise NotAssessable(f"`rating` of {name}")
        least = facts.protection.fault_multiple * rating
        if exceeds(least, fault.amps) and not facts.protection.limited_by_a_resistor(fault):
            yield Unmet(
                f"A short at the far end of {fault.wire} draws {quantity(fault.amps, 'A', least)} from "
                f"{fault.battery} through {rated(name, facts.design.parts[name])}; "
                f"required {quantity(least, 'A')} to open it.",
                state=fault.state,
                switches=fault.moved,
                failure="shorted at its far end",
                path=fault.passed,
                numbers=(
                    ("current", quantity(fault.amps, "A", least)),
                    ("limit", f"{quantity(least, 'A')} or more"),
                    ("loop resistance", quantity(fault.ohms, "ohm")),
                    *facts.protection.typical_on(fault.passed),
                ),
                elements=(f"parts/{name}",),
                changes=(f"parts/{name}/rating", f"{subject.pointer}/gauge"),
            )
            return
