"""Redundant channels of the same model do not share a sensor.

Why: two identical displays on one attitude sensor fail the same way and agree with each other.

How judged: for each function with more channels than it needs, each sensor whose signal reaches two
or more of its instruments. The function must not depend on those of the same `unit-type` alone:
without them it must have as many channels as it needs, so that another display can disagree. Two
instruments of one channel are no backup of each other.

Not covered: settings and software that identical units share, data buses, sensors inside the units.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CONSEQUENCE = "lost at one failure"
CITATIONS = (("practice", "a standby is of another model than the unit it backs up, or has its own sensors"),)
REMEDY = "Give each channel its own sensor, or choose a standby of another model."


def subjects(facts: Facts):
    return [f"functions/{name}" for name in facts.grounds.shared_sensors]


def judge(subject: Subject, facts: Facts):
    def all_lost(units: list[str]) -> bool:
        return len(units) > 1 and facts.states.lost_with(subject.name, units)

    for shared in facts.grounds.shared_sensors[subject.name]:
        types = {n: facts.design.parts[n].unit_type for n in shared.instruments}
        unsaid = [n for n, unit in types.items() if unit is None]
        for unit in dict.fromkeys(u for u in types.values() if u is not None):
            alike = [n for n, other in types.items() if other == unit]
            if all_lost(alike):
                yield Unmet(
                    f"{' and '.join(alike)} are identical units ({unit}) on one sensor, {shared.sensor}: a "
                    f"sensor fault misleads {'both' if len(alike) == 2 else 'all of them'}.",
                    changes=(f"parts/{shared.sensor}/second",),
                    numbers=(("units", ", ".join(alike)), ("sensor", shared.sensor)),
                )
            elif all_lost(alike + unsaid):
                raise NotAssessable(f"`unit-type` of {' and '.join(unsaid)}")
        if all_lost(unsaid):
            raise NotAssessable(f"`unit-type` of {' and '.join(unsaid)}")
