"""No small breaker or fuse of a coil or field drops a bus that it does not feed.

Why: a 5 A fuse opened, the relay behind it dropped out, and both ignitions were lost with the bus.

How judged: in every normal flight state each breaker, fuse and current limiter is opened. If a bus
goes dead, or is left to an alternator alone, though with the relays as they were it is still fed by
another path, the device must be rated above 5 A. Hazardous if a function of hazardous or graver
loss goes with the bus.

Not covered: devices rated above 5 A, and what a lamp on the same device would show.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts, practice, rated

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ntsb", "DEN05LA123, a 5 A fuse opened and the master relay dropped out"),
    ("practice", "5 A and less is taken for a control circuit"),
)
REMEDY = (
    "Feed the coil from the contactor's own battery terminal and switch it to ground, or use a "
    "normally-closed contact."
)
SMALL = practice("amperes", "control-circuit-protection").high


def subjects(facts: Facts):
    return (
        [f"parts/{n}" for n in facts.design.of_kind(parts.Protector)] if facts.states.flight_answers() else []
    )


def judge(subject: Subject, facts: Facts):
    found = [c for c in facts.switches.control_protectors if c.protector == subject.pointer]
    if not found:
        return
    rating = subject.part(facts.design).rating
    if rating is None:
        raise NotAssessable(
            f"`rating` of {subject.name}, which drops {', '.join(found[0].buses)} through a coil or field"
        )
    if rating > SMALL:
        return
    first = found[0]
    names = [bare(e) for e in first.drops]
    what = (
        f"leaves {', '.join(first.alone)} to the alternator alone"
        if first.alone == first.buses
        else f"causes loss of {', '.join(first.buses)}"
    )
    worst = max(
        [HAZARD, *(HazardClass.of(facts.design.functions[f].loss) for c in found for f in c.functions)]
    )
    yield Unmet(
        f"{rated(subject.name, subject.part(facts.design))} {what} if it opens, though it feeds only "
        f"{' and '.join(names) or 'a control circuit'}.",
        field="rating",
        state=first.state,
        failure="open",
        path=facts.states.path_to(first.state, first.drops[0], subject.pointer) if first.drops else (),
        numbers=(("rating", f"{rating:g} A"), ("required", f"above {SMALL:g} A"))
        + (("buses", ", ".join(first.buses)), ("de-energised", ", ".join(names)))
        + ((("functions lost", ", ".join(first.functions)),) if first.functions else ()),
        hazard=min(worst, HazardClass.HAZARDOUS),
    )
