"""An overvoltage trip acts where it stops its alternator.

Why: an alternator with an internal regulator feeds its own field; a trip that removes the external
feed leaves it running at whatever voltage it likes.

How judged: if an alternator states an `overvoltage-trip`, `trip-acts-on` says what it does. A
machine with an internal regulator or permanent magnets must be disconnected at its output. A trip
that shorts the field feed needs a breaker or fuse in that feed. One that opens the output needs a
relay or contactor drawn between the output and every battery, load and coil. One of permanent
magnets may have that relay in the leads of its stator, inside of what is drawn as the alternator.

Not covered: the speed of the trip: 0.1 s above 20 V is customary, and no key states it; what lets
the coil of that relay go.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, few, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1351", "(c)(5), overvoltage control"),
    (
        "practice",
        "a contactor in the output if the regulator is internal; a short across the field feed opens its "
        "breaker",
    ),
)
REMEDY = "Have the trip open a contactor in the alternator output, or use an external regulator."


def subjects(facts: Facts):
    design = facts.design
    return [
        f"parts/{n}"
        for n in design.of_kind(parts.Alternator)
        if design.parts[n].overvoltage_trip not in (None, "none")
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.trip_acts_on is None:
        raise NotAssessable(f"`trip-acts-on` of {name}")
    if part.trip_acts_on == "output":
        left = facts.sources.left_on_output(subject.pointer)
        if left and part.excitation == "field":
            yield Unmet(
                f"The overvoltage trip of {name} has no contactor to open: none is drawn between its output "
                f"and {few([bare(e) for e in left])}.",
                field="trip-acts-on",
                numbers=(("left on the output", ", ".join(map(bare, left))),),
                elements=tuple(left),
                remedy="Draw the contactor that the trip opens in the alternator output, with the circuit of "
                "its coil.",
            )
        return
    if part.excitation == "permanent-magnet":
        yield Unmet(
            f"The overvoltage trip acts on the field, which does not stop {name}: it has permanent magnets.",
            field="trip-acts-on",
        )
    elif part.regulator is None and not facts.sources.regulation(subject.pointer).separate:
        raise NotAssessable(f"`regulator` of {name}: `external` or `internal`")
    elif part.regulator == "internal":
        yield Unmet(
            f"The overvoltage trip acts on the field feed, which does not stop {name}: its internal "
            "regulator feeds the field.",
            field="trip-acts-on",
        )
    elif part.trip_acts_on == "field-short" and facts.sources.unprotected_field(subject.pointer):
        yield Unmet(
            f"The overvoltage trip of {name} shorts the field feed, which has no breaker or fuse.",
            field="trip-acts-on",
            path=facts.sources.unprotected_field(subject.pointer),
        )
