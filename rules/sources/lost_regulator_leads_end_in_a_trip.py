"""Overvoltage protection stops an alternator whose regulator has lost its sense lead or ground.

Why: some regulators drive the field full on when a sense lead or ground opens; a trip inside the
regulator may be lost with the same lead. Every regulator does so when what it senses is cut off
from its alternator and stays live from a battery: it senses too little, and so does its own trip.

How judged: each separate regulator says what it does `without-sense` and `without-ground`. Where
that is `full-field`, its alternator must have an `overvoltage-trip` apart from the regulator. The
failures that take the lead are tried in the first normal flight state in which it is on line. So
are those that leave it live but not fed by the alternator, which feeds a load or another source.
Every declared state is checked for switches that do so. An overvoltage relay that the file draws
with a `ground` does not trip where the same failure takes that.

Not covered: a lead of some resistance, which shifts the voltage, and where the trip itself senses.
A regulator inside its alternator has no such leads, unless it senses the feed of its field.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, few, quantity

HAZARD = HazardClass.HAZARDOUS
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1351", "(c)(5), overvoltage control"),
    ("practice", "without its sense lead or ground a regulator gives full field or none, by its type"),
)
REMEDY = "Fit overvoltage protection apart from the regulator, or a regulator that turns the field off."
LEAD = {
    "without-sense": "With its sense lead open,",
    "without-ground": "With its ground open,",
    "senses": "Where another source alone feeds what it senses,",
}


def subjects(facts: Facts):
    return facts.sources.regulators_at_work


def judge(subject: Subject, facts: Facts):
    part = subject.part(facts.design)
    for lost in facts.sources.uncontrolled_leads(subject.pointer):
        built_in = part.overvoltage_trip
        cause = f"{LEAD[lost.key]} {subject.name} drives {part.regulates} to full field"
        names = few([_name(element) for element in lost.elements], 6)
        stopped = (
            f"{lost.relay}, whose ground is open too, does not trip"
            if lost.relay
            else ("no overvoltage protection apart from it stops that")
        )
        yield Unmet(
            f"{cause}, and {stopped}.",
            field=lost.key,
            state=lost.state,
            path=tuple(e for e in lost.elements if not e.startswith("bundles/")),
            numbers=(
                *((("cut off by" if lost.key == "senses" else "lost with", names),) if names else ()),
                *((("trip inside it", quantity(built_in, "V")),) if isinstance(built_in, float) else ()),
            ),
        )


def _name(element: str) -> str:
    group, _, name = element.partition("/")
    return f"bundle {name}" if group == "bundles" else name
