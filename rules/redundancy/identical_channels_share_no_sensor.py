"""Identical channels share no sensor, and redundant channels no connector or route of all sensors.

Why: two identical displays on one attitude sensor fail the same way and agree with each other. Two
engine computers of which all sensors pass one connector, or run in one bundle, stop together.

How judged: for each function with more channels than it needs, each sensor whose signal reaches
two or more of its instruments. The function must not depend on those of the same `unit-type`
alone: without them it must have as many channels as it needs, so that another display can
disagree. Two instruments of one channel are no backup of each other. Nor may the function depend
on those, of any type, that lose all the sensors they read at one place. That is a connector that
comes apart, a severed bundle (runs of 0.3 m or less left aside), or an opening of a bulkhead.
Audio jacks do not count, nor does a place at which the function loses its power too. Major where
its loss is hazardous or catastrophic.

Not covered: settings and software that identical units share, data buses, sensors inside the units,
and which of its sensors a unit needs.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list

HAZARD = HazardClass.MINOR
CONSEQUENCE = "lost at one failure"
CITATIONS = (("practice", "a standby is of another model than the unit it backs up, or has its own sensors"),)
REMEDY = "Give each channel its own sensor, or choose a standby of another model."
OF_CONNECTOR = "Give the sensors of each channel a connector of their own."
OF_ROUTE = "Run the sensor leads of each channel on a route of its own, apart from that of the other."
LOST = {
    "connector": "If {} comes apart",
    "bundle": "If bundle {} is severed",
    "opening": "If the bulkhead opening {} is damaged",
}


def subjects(facts: Facts):
    return [f"functions/{name}" for name in facts.grounds.shared_sensors]


def judge(subject: Subject, facts: Facts):
    def all_lost(units: list[str]) -> bool:
        return len(units) > 1 and facts.states.lost_with(subject.name, units)

    grave = HazardClass.MAJOR if subject.name in facts.states.critical_functions else HAZARD
    for place in facts.grounds.blinding_places:
        own = [n for n in facts.grounds.redundant_instruments[subject.name] if n in place.instruments]
        if all_lost(own) and not _lost_by_power(place, subject.name, facts):
            connector, lost = place.kind == "connector", LOST[place.kind].format(place.name)
            yield Unmet(
                f"{lost}, {and_list(own)} lose every sensor that they read.",
                changes=(f"parts/{place.name}/second",) if connector else (),
                elements=place.elements,
                numbers=(("units", ", ".join(own)), (place.kind, place.name)),
                extent=f"at {place.name}",
                remedy=OF_CONNECTOR if connector else OF_ROUTE,
                hazard=grave,
            )
    for shared in facts.grounds.shared_sensors[subject.name]:
        types = {n: facts.design.parts[n].unit_type for n in shared.instruments}
        unsaid = [n for n, unit in types.items() if unit is None]
        for unit in dict.fromkeys(u for u in types.values() if u is not None):
            alike = [n for n, other in types.items() if other == unit]
            if all_lost(alike):
                yield Unmet(
                    f"{and_list(alike)} are identical units ({unit}) on one sensor, {shared.sensor}: a "
                    f"sensor fault misleads {'both' if len(alike) == 2 else 'all of them'}.",
                    changes=(f"parts/{shared.sensor}/second",),
                    numbers=(("units", ", ".join(alike)), ("sensor", shared.sensor)),
                    hazard=grave,
                )
            elif all_lost(alike + unsaid):
                raise NotAssessable(f"`unit-type` of {and_list(unsaid)}")
        if all_lost(unsaid):
            raise NotAssessable(f"`unit-type` of {and_list(unsaid)}")


def _lost_by_power(place, function: str, facts: Facts) -> bool:
    """Whether the function is lost there without a thought of sensors, which another rule reports."""
    bundles = facts.failures.cut_bundles.get(f"bundles/{place.name}", ())
    lost = {"bundle": [p.function for p in bundles], "connector": []}
    openings = facts.failures.common_openings.get(function, ())
    return function in lost.get(place.kind, [function for loss in openings if loss.place == place.name])
