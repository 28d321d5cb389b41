"""An over-voltage trip acts where it stops its alternator.

Why: an alternator with the regulator inside feeds its own field; a trip that takes the outside feed away leaves it running at whatever voltage it likes.

How judged: where an `over-voltage-trip` is stated, `trip-acts-on` says what it does. A machine with an internal regulator or permanent magnets must be parted
at its output. A trip that shorts the feed of the field needs a protector in that feed that opens.

Not covered: how fast it is: 0.1 s above 20 V is customary, and no key says it.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1351", "(c)(5), over-voltage control"),
    (
        "practice",
        "a contactor in the output where the regulator is inside; a short across the field feed opens its breaker",
    ),
)
REMEDY = (
    "Let the trip open a contactor in the output of the alternator, or use a regulator that stands apart."
)


def subjects(facts: Facts):
    design = facts.design
    return [
        f"parts/{n}"
        for n in design.of_kind(parts.Alternator)
        if design.parts[n].over_voltage_trip not in (None, "none")
    ]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    part = subject.part(facts.design)
    if part.trip_acts_on is None:
        raise NotAssessable(f"`trip-acts-on` of {name}")
    if part.trip_acts_on == "output":
        return
    if part.excitation == "permanent-magnet":
        yield Unmet(
            f"{name} has permanent magnets, so a trip that acts on a field does not stop it.",
            field="trip-acts-on",
        )
    elif part.regulator is None:
        raise NotAssessable(f"`regulator` of {name}: `external` or `internal`")
    elif part.regulator == "internal":
        yield Unmet(
            f"The regulator inside {name} feeds the field by itself, so a trip that acts on the field feed does not stop it.",
            field="trip-acts-on",
        )
    elif part.trip_acts_on == "field-short" and facts.sources.unprotected_field(subject.pointer):
        yield Unmet(
            f"The trip of {name} shorts the feed of the field, and no breaker or fuse in that feed opens.",
            field="trip-acts-on",
            path=facts.sources.unprotected_field(subject.pointer),
        )
