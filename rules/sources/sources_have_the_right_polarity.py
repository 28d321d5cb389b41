"""Every battery and alternator is connected with the right polarity.

Why: a battery that is connected in reverse drives its full current through the diodes of the
alternator at the first closing of the contactor, and destroys avionics within milliseconds.

How judged: from the circuit. The positive must not be joined to the returns, and the negative lead
to the supplies, of more loads and other alternators than in the right polarity. To a return
conductors count; to a supply contacts in any position and protection too. Coils and reversible
motors do not count, nor whether the structure is positive: the terminals of the loads decide.

Not covered: a battery of a string in series that is reversed between the others, and a source that
meets no load.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare, parts

HAZARD, CONSEQUENCE = HazardClass.HAZARDOUS, "can burn"
CITATIONS = (
    ("practice", "positive to the loads, negative to ground; the polarity is proved before power-up"),
)
PROVE = "prove the polarity with a voltmeter before the first power-up"
REMEDY = f"Reverse its leads, and {PROVE}."


def subjects(facts: Facts):
    design = facts.design
    return [f"parts/{n}" for n in (*design.of_kind(parts.Battery), *design.of_kind(parts.Alternator))]


def judge(subject: Subject, facts: Facts):
    found = facts.sources.reversed_sources.get(subject.pointer)
    if found is None:
        return
    battery = isinstance(subject.part(facts.design), parts.Battery)
    plus, minus = ("positive", "negative") if battery else ("output", "ground")
    moves = [
        f"{and_list(map(bare, wires))} to {subject.name}.{terminal}"
        for wires, terminal in ((found.to_plus, plus), (found.to_minus, minus))
        if wires
    ]
    yield Unmet(
        f"{subject.name} is connected in reverse: its {plus} is joined to the returns of the loads, its "
        f"{minus} leads to their supplies.",
        elements=(*found.to_plus, *found.to_minus),
        changes=(f"{subject.pointer}/polarity",),
        remedy=f"Connect {', '.join(moves)}, and {PROVE}." if moves else "",
    )
