"""A short at the end of a wire drives enough current to open the protector.

Why: a long thin wire limits the current of a short to what a large breaker carries for minutes, and the wire burns meanwhile.

How judged: for each wire with a protector, a short at its far end, to the return of the unit there or to metal structure: the current of the battery that
gives most, cold or aged, by the way of least resistance through the protector and back, against twice the lowest rating on that way. More ways and sources in parallel
would only add to it.

Not covered: shorts that are no dead shorts, and alternators, which limit themselves.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-43-13-1b", "11-48, a protector opens before its wire can smoke"),
    ("practice", "a protector opens in a time that counts at twice its rating; no source"),
)
REMEDY = "Fit a thicker or shorter wire or a better return, or a smaller protector."


def subjects(facts: Facts):
    return list(facts.protection.protected_wires)


def judge(subject: Subject, facts: Facts):
    for fault in sorted(facts.protection.faults(subject.pointer), key=lambda f: f.amps):
        rating, name = facts.protection.lowest_rating(fault)
        if rating is None:
            raise NotAssessable(f"`rating` of {name}")
        least = facts.protection.fault_multiple * rating
        if fault.amps < least:
            yield Unmet(
                f"A short at the far end of {fault.wire} draws {fault.amps:.3g} A from {fault.battery} through {name} of {rating:g} A.",
                state=fault.state,
                failure="shorted at its far end",
                numbers=(
                    ("current", f"{fault.amps:.3g} A"),
                    ("limit", f"{least:g} A or more"),
                    ("resistance of the loop", f"{fault.ohms:.3g} ohm"),
                    *facts.protection.typical_on(fault.passed),
                ),
            )
            return
