"""A flat battery is charged with no more than its permitted charging current.

Why: an alternator with thirty amperes of margin pushes all of them into a small lithium battery,
which overheats, or disconnects in flight.

How judged: `max-charge-current` of each battery that an alternator can charge in normal flight, or
a charger in any declared state, against its largest charging current when flat. That is solved in
the circuit with its resistances, diodes, loads and the limits of alternators and chargers.
Lead-acid takes its typical acceptance after its initial current; lithium is limited by its own
resistance only. Lead-acid is flat at 11.8 V, lithium where its management disconnects it, else at
no charge. More is accepted for five minutes.

Not covered: circuit protection and diodes on the path (other rules).
"""

from reviewer.rulebook import (
    Facts,
    HazardClass,
    NotAssessable,
    Subject,
    Unmet,
    exceeds,
    minutes,
    over_rated,
    parts,
    practice,
    quantity,
)

HAZARD = HazardClass.MINOR
CONSEQUENCE = "can burn"
CITATIONS = (
    (
        "practice",
        "charging current against the battery data sheet; peaks under 5 minutes after a start are accepted",
    ),
)
REMEDY = "Limit the charging current, or use a larger battery or a smaller alternator."
SHORT_S = practice("seconds", "charge-above-its-limit").high


def subjects(facts: Facts):
    return (
        list(facts.sources.charged) if facts.design.operation and facts.design.of_kind(parts.Battery) else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    battery = subject.part(facts.design)
    if battery.max_charge_current is None:
        raise NotAssessable(f"`max-charge-current` of {name}")
    if facts.sources.largest_charge_current(subject.pointer) <= battery.max_charge_current:
        return
    if facts.sources.unsized(subject.pointer):
        raise NotAssessable("; ".join(facts.sources.unsized(subject.pointer)))
    flat = facts.sources.recharge(subject.pointer, battery.max_charge_current)
    if over_rated(flat.amps, battery.max_charge_current) and exceeds(flat.seconds, SHORT_S):
        yield Unmet(
            f"{name}, flat, is charged at {quantity(flat.amps, 'A', battery.max_charge_current)} "
            f"in {flat.flown}; limit {quantity(battery.max_charge_current, 'A')}"
            f".",
            field="max-charge-current",
            state=flat.state,
            hazard=HazardClass.MAJOR if battery.chemistry == "lithium-iron-phosphate" else None,
            numbers=(
                ("initial current", quantity(flat.first, "A")),
                ("charging current when flat", quantity(flat.amps, "A", battery.max_charge_current)),
                ("limit", quantity(battery.max_charge_current, "A")),
                ("duration", minutes(60 * round(flat.seconds / 60))),
                ("basis", flat.basis),
            ),
        )
