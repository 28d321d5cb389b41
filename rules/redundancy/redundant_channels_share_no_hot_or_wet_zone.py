"""The channels of a critical function do not all stand in one hot or wet zone.

Why: boxes in the same heat or the same drip fail within minutes of each other, and the second is what the first was backed up by.

How judged: for each function whose loss is hazardous or catastrophic and that has a channel to spare, a zone holds enough of its boxes to take it. Such a
zone must not be wet, and must be 10 C or more below the `hottest` that each of these boxes allows.

Not covered: heat of a box's own, fire, and zones that lie behind one another.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.HAZARDOUS
CITATIONS = (("practice", "10 C of margin below what the maker allows; boxes apart, or behind the firewall"),)
REMEDY = "Move one of the boxes to another zone, behind the firewall and above the water."
MARGIN = 10.0


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
        raise NotAssessable(f"`zone` of {' and '.join(missing)}")
    for zone in dict.fromkeys(design.parts[n].zone for n in loads):
        boxes = tuple(n for n in loads if design.parts[n].zone == zone)
        if not facts.states.lost_with(function, boxes) or any(
            facts.states.lost_with(function, (box,)) for box in boxes
        ):
            continue
        spec = design.aircraft.zones.get(zone)
        if spec is None or spec.wet is None:
            raise NotAssessable(
                f"`wet` of the zone {zone} under `aircraft`, for {' and '.join(boxes)} stand in it together"
            )
        if spec.wet:
            yield Unmet(
                f"{' and '.join(boxes)} stand together in {zone}, which is wet: {function} goes with them."
            )
            return
        unrated = [n for n in boxes if design.parts[n].hottest is None] + [f"the zone {zone}"] * (
            spec.hottest is None
        )
        if unrated:
            raise NotAssessable(f"`hottest` of {' and '.join(unrated)}")
        close = [n for n in boxes if spec.hottest > design.parts[n].hottest - MARGIN]
        if close:
            yield Unmet(
                f"{' and '.join(boxes)} stand together in {zone}, where it gets {spec.hottest:g} C: {function} goes with them.",
                numbers=(
                    *((f"{n} allows", f"{design.parts[n].hottest:g} C") for n in close),
                    ("margin wanted", f"{MARGIN:g} C"),
                ),
            )
            return
