"""An alternator cannot be left on with its battery switched off.

Why: with no battery beside it a field regulator lets the voltage swing by volts whenever a load comes or goes, and its surges meet nothing.

How judged: from the first state of normal flight in which it is at work, every legal combination of the switches that can matter is set with the engine
running and the alternator as it was. In none may it feed a bus or another source while no battery feeds it back. A reserve behind a diode is no such battery.

Not covered: a battery that opens by itself, which is a failure; a capacitor in its place.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (("practice", "a progressive or barred master: the battery goes off last"),)
REMEDY = "Switch both with one progressive master, or bar the toggles so that the alternator goes off with the battery, and declare that under `excluded`."


def subjects(facts: Facts):
    if not facts.design.operation or not facts.design.of_kind(parts.Battery):
        return []
    return [element for element, states in facts.sources.at_work.items() if states]


def judge(subject: Subject, facts: Facts):
    how = facts.sources.runs_alone(subject.pointer)
    if how is None:
        return
    name = subject.name
    moved = " and ".join(f"{switch} at {at}" for switch, at in how.moved)
    yield Unmet(
        f"{name} goes on without a battery with {moved}."
        if moved
        else f"{name} runs without a battery in the dispatch state.",
        switches=how.switches,
    )
