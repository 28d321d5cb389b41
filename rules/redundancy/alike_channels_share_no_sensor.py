"""Channels of one function that are units of the same kind do not share a sensor.

Why: two alike displays on one attitude sensor are wrong together, in the same way, and agree with each other.

How judged: for each function that needs fewer channels than it has, sensors whose signal comes to two channels are found. Where these have the same
`unit`, nothing is left that disagrees.

Not covered: settings and software that alike units share, data buses, sensors inside the units.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MINOR
CITATIONS = (
    ("practice", "a standby is of another kind than what it stands by for, or has sensors of its own"),
)
REMEDY = "Give each channel a sensor of its own, or choose a standby of another kind."


def subjects(facts: Facts):
    return [f"functions/{name}" for name in facts.grounds.shared_sensors]


def judge(subject: Subject, facts: Facts):
    for shared in facts.grounds.shared_sensors[subject.name]:
        one, other = (facts.design.parts[name] for name in shared.channels)
        unsaid = [name for name in shared.channels if facts.design.parts[name].unit is None]
        if unsaid:
            raise NotAssessable(f"`unit` of {' and '.join(unsaid)}")
        if one.unit == other.unit:
            yield Unmet(
                f"{shared.channels[0]} and {shared.channels[1]} are alike ({one.unit}) and read the same sensor, {shared.sensor}."
            )
