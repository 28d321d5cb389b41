"""Redundant channels of the same model do not share a sensor.

Why: two identical displays on one attitude sensor fail the same way and agree with each other.

How judged: for each function with more channels than it needs, each sensor whose signal reaches
instruments of two channels. If both have the same `unit-type`, nothing is left that disagrees. Two
instruments of one channel are no backup of each other.

Not covered: settings and software that identical units share, data buses, sensors inside the units.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "a standby is of another model than the unit it backs up, or has its own sensors"),)
REMEDY = "Give each channel its own sensor, or choose a standby of another model."


def subjects(facts: Facts):
    return [f"functions/{name}" for name in facts.grounds.shared_sensors]


def judge(subject: Subject, facts: Facts):
    for shared in facts.grounds.shared_sensors[subject.name]:
        one, other = (facts.design.parts[name] for name in shared.channels)
        unsaid = [name for name in shared.channels if facts.design.parts[name].unit_type is None]
        if unsaid:
            raise NotAssessable(f"`unit-type` of {' and '.join(unsaid)}")
        if one.unit_type == other.unit_type:
            yield Unmet(
                f"{shared.channels[0]} and {shared.channels[1]} are identical units ({one.unit_type}) on one "
                f"sensor, {shared.sensor}: a sensor fault misleads both.",
                numbers=(("units", ", ".join(shared.channels)), ("sensor", shared.sensor)),
            )
