"""What a regulator senses stays live in every switch position in which its field is fed.

Why: a regulator whose sense lead is on an avionics bus senses nothing once that is switched off. It
drives the field full on, or gives no output: the avionics switch stops the alternator.

How judged: in each state of normal flight in which the alternator is on line, each switch is moved
by itself, with what an exclusion moves along. None may take off what the sense lead of a separate
regulator reads and leave the field fed. A switch that takes nothing else off is the switch of the
alternator, unless `without-sense` is `full-field`.

Not covered: two switches moved, breakers, and failures (lost-regulator-leads-end-in-a-trip).
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, few

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "runs short"
CITATIONS = (("practice", "a regulator senses the bus that its alternator feeds, ahead of any other switch"),)
REMEDY = "Sense the bus that the alternator feeds, ahead of any switch."
DOES = {"full-field": "drives {} full on", "no-output": "takes {} off line"}
UNSAID = "drives {} full on or takes it off line"


def subjects(facts: Facts):
    return facts.sources.regulators_at_work


def judge(subject: Subject, facts: Facts):
    part = subject.part(facts.design)
    taken = facts.sources.switched_sense(f"parts/{part.regulates}")
    if taken is None:
        return
    moved = and_list(f"{switch} at {at}" for switch, at in taken.moved)
    also = f" Without power too: {few(taken.with_it, 3)}." if taken.with_it else ""
    yield Unmet(
        f"With {moved}, {subject.name} senses nothing while its field is fed, and "
        f"{DOES.get(part.without_sense or '', UNSAID).format(part.regulates)}.{also}",
        state=taken.state,
        switches=taken.switches,
        extent=moved,
        numbers=(("without power too", ", ".join(taken.with_it)),) if taken.with_it else (),
        remedy=f"Sense the bus ahead of {taken.moved[0][0]}, or switch the field with it.",
    )
