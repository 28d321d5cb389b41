"""Past the concept stage every wire has a gauge and a length.

Why: protection, current rating and voltage drop follow from them; a heavy cable without a length
would show no drop.

How judged: in a detailed or as-built design, both keys of each wire. A braid or a measured
conductor may give its `resistance` instead.

Not covered: whether the lengths are true, and the concept stage, which asks for topology only.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "a wire list gives gauge and length"),)
REMEDY = "Measure the run with a string and write `gauge` and `length`; for a braid write `resistance`."


def subjects(facts: Facts):
    return (
        [] if facts.design.aircraft.stage == "concept" else [f"wires/{name}" for name in facts.design.wires]
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    wire = facts.design.wires[name]
    missing = [key for key, value in (("gauge", wire.gauge), ("length", wire.length)) if value is None]
    if missing and wire.resistance is None:
        yield Unmet(f"{name} has no {' and no '.join(missing)}.")
