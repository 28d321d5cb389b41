"""An overvoltage trip acts where it stops its alternator.

Why: an alternator with an internal regulator feeds its own field; a trip that removes the external
feed leaves it running at whatever voltage it likes.

How judged: if an alternator states an `overvoltage-trip`, `trip-acts-on` says what it does. A
machine with an internal regulator must be disconnected at its output, and so must one of permanent
magnets whose control is not wired. A trip that shorts a feed needs a breaker or fuse in that feed.
One that opens the output, or shorts the coil feed of the contactor there, needs a relay or
contactor drawn between the output and every battery, load and coil. One of permanent magnets may
have a relay in its stator leads that its trip opens, inside what is drawn.

Not covered: the speed of the trip: 0.1 s above 20 V is customary, and no key states it; what makes
that relay drop out.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, few, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1351", "(c)(5), overvoltage control"),
    ("practice", "a contactor in the output if the regulator is internal"),
    ("practice", "a short across the field feed opens its breaker"),
)
REMEDY = "Have the trip open a contactor in the alternator output, or use an external regulator."


def subjects(facts: Facts):
    every = facts.design.of_kind(parts.Alternator)
    return [f"parts/{n}" for n in every if facts.design.parts[n].overvoltage_trip not in (None, "none")]


def judge(subject: Subject, facts: Facts):
    name, part = subject.name, subject.part(facts.design)
    if part.trip_acts_on is None:
        raise NotAssessable(f"`trip-acts-on` of {name}")
    if part.trip_acts_on in ("output", "coil-short"):
        left = facts.sources.left_on_output(subject.pointer)
        if left and not (part.magnets and part.trip_acts_on == "output"):
            yield Unmet(
                f"The overvoltage trip of {name} has no contactor to open: none is drawn between its output "
                f"and {few([bare(e) for e in left])}.",
                field="trip-acts-on",
                numbers=(("left on the output", ", ".join(map(bare, left))),),
                elements=tuple(left),
                remedy="Draw the contactor in the alternator output, with the circuit of its coil.",
            )
        elif part.trip_acts_on == "coil-short":
            yield from _unprotected("coil of its contactor", subject, facts)
        return
    if part.magnets and not facts.sources.stopped_at_its_control(subject.pointer):
        yield Unmet(
            f"The overvoltage trip acts on the field, which does not stop {name}: it has permanent magnets.",
            field="trip-acts-on",
        )
    elif (
        part.regulator is None and not part.magnets and not facts.sources.regulation(subject.pointer).separate
    ):
        raise NotAssessable(f"`regulator` of {name}: `external` or `internal`")
    elif part.regulator == "internal" and not part.magnets:
        yield Unmet(
            f"The overvoltage trip acts on the field feed, which does not stop {name}: its internal "
            "regulator feeds the field.",
            field="trip-acts-on",
        )
    elif part.trip_acts_on == "field-short":
        yield from _unprotected("control" if part.magnets else "field", subject, facts)


def _unprotected(what: str, subject: Subject, facts: Facts):
    if path := facts.sources.unprotected_trip(subject.pointer):
        yield Unmet(
            f"The overvoltage trip of {subject.name} shorts the feed of the {what}, which has no breaker "
            "or fuse.",
            field="trip-acts-on",
            path=path,
            remedy="Fit a breaker of its own in the feed that the trip shorts.",
        )
