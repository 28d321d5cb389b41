"""No relay coil draws more than a quarter of the battery load after loss of the alternator.

Why: a battery contactor draws an ampere for as long as the engine bus needs its bus, minutes of
endurance that nobody counted.

How judged: the `coil-current` of each energised coil against the stated currents of all loads and
coils that the same battery powers. Main batteries that feed a load together have equal parts of it;
what a reserve feeds is left out. That is in each declared flight state with the engine running and
no alternator on line. The 0.7 to 1.0 A of a contactor, a tenth of a usual load, are
normal.

Not covered: coils while parked; the endurance itself, which counts every coil.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, beside, exceeds, percent, practice, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "0.7 to 1.0 A of a contactor, a tenth of a usual load on battery, are normal"),)
REMEDY = (
    "Feed the needed loads by another path, so that the master can be opened, or use a contactor with "
    "an economiser coil, or a latching one."
)
MOST = practice("factors", "coil-share-on-battery").high


def subjects(facts: Facts):
    return [c.element for c in facts.network.coils] if facts.design.operation else []


def judge(subject: Subject, facts: Facts):
    for share in facts.sources.coil_shares(subject.pointer):
        part = share.coil / share.all
        if exceeds(part, MOST):
            yield Unmet(
                f"By stated currents, the coil of {subject.name} draws {quantity(share.coil, 'A')}, "
                f"{beside(100 * part, 100 * MOST, '.0f')} % of "
                f"the {quantity(share.all, 'A')} battery load in {share.state}; limit {percent(MOST)}.",
                field="coil-current",
                state=share.state,
                path=facts.states.path_to(share.state, subject.pointer),
                numbers=(("share", percent(part)), ("limit", percent(MOST))),
            )
            return
