"""The channels of a critical function are not all in one hot or wet zone.

Why: units in the same heat or the same drip fail within minutes of each other, the backup with the
unit it backs up.

How judged: for each function of hazardous or catastrophic loss with a spare channel, each zone that
holds enough of its units to lose it. Such a zone must not be wet, and must be at least 10 C below
the `max-ambient` that enough of these units allow to keep it.

Not covered: a unit's own heat, fire, adjoining zones; magnetos, which have no place but the engine.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, practice, quantity

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "lost at one failure"
CITATIONS = (
    ("practice", "10 C of margin below the manufacturer's limit; units apart, or behind the firewall"),
)
REMEDY = "Move one of the units to another zone, behind the firewall and above the water."
MARGIN = practice("celsius", "margin-to-the-rating-of-a-unit").low


def subjects(facts: Facts):
    spare = (
        [
            f
            for f in facts.states.critical_functions
            if any(not facts.states.lost_with(f, (n,)) for n in facts.states.loads_of(f))
        ]
        if facts.design.functions
        else []
    )
    return [f"functions/{f}" for f in spare]


def judge(subject: Subject, facts: Facts):
    function = subject.name
    design = facts.design
    loads = facts.states.loads_of(function)
    missing = [n for n in loads if design.parts[n].zone is None]
    if missing:
        raise NotAssessable(f"`zone` of {and_list(missing)}")
    for zone in dict.fromkeys(design.parts[n].zone for n in loads):
        boxes = tuple(n for n in loads if design.parts[n].zone == zone)
        if not facts.states.lost_with(function, boxes) or any(
            facts.states.lost_with(function, (box,)) for box in boxes
        ):
            continue
        spec, together = design.aircraft.zones.get(zone), "are both" if len(boxes) == 2 else "are all"
        if spec is None or spec.wet is None:
            raise NotAssessable(f"`wet` of the zone {zone} under `aircraft`, which holds {and_list(boxes)}")
        if spec.wet:
            yield Unmet(
                f"{and_list(boxes)} {together} in zone {zone}, which is wet: water there causes loss of "
                f"{function}.",
                numbers=(("in the zone", ", ".join(boxes)),),
            )
            return
        if spec.max_ambient is None:
            raise NotAssessable(f"`max-ambient` of the zone {zone}")
        unrated = tuple(n for n in boxes if design.parts[n].max_ambient is None)
        rated = [n for n in boxes if n not in unrated]
        close = tuple(n for n in rated if spec.max_ambient > design.parts[n].max_ambient - MARGIN)
        if not facts.states.lost_with(function, close) and facts.states.lost_with(function, close + unrated):
            raise NotAssessable(f"`max-ambient` of {and_list(unrated)}")
        if facts.states.lost_with(function, close):
            yield Unmet(
                f"{and_list(boxes)} {together} in zone {zone}, at up to "
                f"{quantity(spec.max_ambient or 0.0, 'C')}: heat there causes loss of {function}; "
                f"limit of {close[0]} {quantity(design.parts[close[0]].max_ambient - MARGIN, 'C')}.",
                numbers=(
                    ("in the zone", ", ".join(boxes)),
                    *((f"max ambient of {n}", quantity(design.parts[n].max_ambient, "C")) for n in close),
                    ("margin", quantity(MARGIN, "C")),
                ),
            )
            return
