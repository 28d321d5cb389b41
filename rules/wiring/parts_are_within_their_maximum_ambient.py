"""No part is in a zone that is hotter than its maker allows.

Why: a unit above its highest ambient temperature drifts, shuts down or ages fast. It does so on the
hot day with the long climb on which it is needed.

How judged: the `max-ambient` of each part that states one, against the `max-ambient` of the zone in
which it is. Equal is allowed; the margin between redundant channels in one zone is another rule.

Not covered: a part that states no limit, a unit's own heat and that of its neighbours, cold, and
wires (another rule).
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, quantity

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "a unit is mounted where the limits of its data sheet hold"),)
REMEDY = "Move it to a cooler zone, cool the zone, or use a unit rated for that temperature."


def subjects(facts: Facts):
    return [f"parts/{name}" for name, part in facts.design.parts.items() if part.max_ambient is not None]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.zone is None:
        raise NotAssessable(f"`zone` of {name}")
    zone = facts.design.aircraft.zones.get(part.zone)
    if zone is None or zone.max_ambient is None:
        raise NotAssessable(f"`max-ambient` of the zone {part.zone} under `aircraft`")
    if zone.max_ambient > part.max_ambient:
        yield Unmet(
            f"{name} is in zone {part.zone}, at up to {quantity(zone.max_ambient, 'C')}; limit "
            f"{quantity(part.max_ambient, 'C')}.",
            field="max-ambient",
            numbers=(
                ("ambient of the zone", quantity(zone.max_ambient, "C", part.max_ambient)),
                ("limit", quantity(part.max_ambient, "C")),
            ),
        )
