"""A motor that some state feeds in reverse is declared reversible.

Why: two change-over relays or a double-throw switch reverse a flap, trim or gear motor. A motor
that runs one way only, a pump or a fan, does not work with its leads reversed.

How judged: each load of type motor that is not `reversible`, in each declared state: no source may
feed its return and have its own return at the motor's supply. A `reversible` motor is powered in
either polarity, and draws the same current. Hazard: that of a function that is lost without the
motor, else minor.

Not covered: loads of other types with their leads reversed; whether the motor as bought is made to
be reversed; a motor with a return that leads to no source (another rule).
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, few, parts

HAZARD = HazardClass.MINOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "what is drawn works in some position of the switches"),)
REMEDY = (
    "Declare `reversible: true` if the motor is made to run both ways; else swap the wires at its "
    "supply and its return."
)


def subjects(facts: Facts):
    motors = facts.design.of_kind(parts.Load)
    return [f"parts/{n}" for n in motors if facts.design.parts[n].type == "motor"]


def judge(subject: Subject, facts: Facts):
    pointer, states = subject.pointer, facts.states
    found = [s for s in states.declared if pointer in states.motors_in_reverse(s)]
    if found and facts.paths.missing_return(pointer) is None:
        lost = [f for f in facts.design.functions if states.lost_with(f, {subject.name})]
        yield Unmet(
            f"{subject.name} is fed in reverse in {few(found)}: its return is live, and its supply "
            "returns to the source.",
            field="reversible",
            state=found[0],
            path=states.motors_in_reverse(found[0])[pointer],
            hazard=max((HazardClass.of(facts.design.functions[f].loss) for f in lost), default=HAZARD),
        )
