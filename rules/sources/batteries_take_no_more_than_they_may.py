"""A flat battery is not charged with more current than it may take.

Why: an alternator that has thirty amperes to spare pushes all of them into a small lithium battery, which gets hot, or opens in flight.

How judged: `charge-limit` of each battery that an alternator can charge in normal flight, against what it takes when it is flat, with the loads of the first
such state: a lead-acid battery what the solved volts make it accept, a lithium one all that the alternators have left. More is accepted for five minutes.

Not covered: protectors and diodes on the way, which have rules of their own; a charger between the alternator and the battery.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MINOR
CITATIONS = (
    (
        "practice",
        "alternator less loads against the battery maker's limit; peaks under 5 minutes after a start are accepted",
    ),
)
REMEDY = "Limit the charging current, or use a larger battery or a smaller alternator."
SHORT_S = 300.0


def subjects(facts: Facts):
    return (
        list(facts.sources.charged) if facts.design.operation and facts.design.of_kind(parts.Battery) else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    battery = subject.part(facts.design)
    if battery.charge_limit is None:
        raise NotAssessable(f"`charge-limit` of {name}")
    if facts.sources.most_into(subject.pointer) <= battery.charge_limit:
        return
    if facts.sources.unsized(subject.pointer):
        raise NotAssessable("; ".join(facts.sources.unsized(subject.pointer)))
    flat = facts.sources.recharge(subject.pointer, battery.charge_limit)
    if flat.amps > battery.charge_limit and flat.seconds > SHORT_S:
        yield Unmet(
            f"{name} takes {flat.amps:.0f} A when it is flat in {flat.flown}, and may take {battery.charge_limit:g} A.",
            field="charge-limit",
            state=flat.state,
            hazard=HazardClass.MAJOR if battery.chemistry == "lithium-iron-phosphate" else None,
            numbers=(
                ("into it when flat", f"{flat.amps:.1f} A"),
                ("limit", f"{battery.charge_limit:g} A"),
                ("for", f"{flat.seconds / 60:.0f} min"),
                ("rests on", flat.basis),
            ),
        )
