"""The two relays that reverse a motor are not energised together.

Why: with both energised both leads of the motor are at the bus. It does not move, with a switch
that says that it does, and the next movement of the switch breaks and makes both contacts at once.

How judged: a load with an energised contact of a relay beside its supply and another beside its
return is reversed by them. In each declared state it may not stand without voltage because both
relays are energised and feed both of its leads. Two relays at rest that hold both leads at the bus
brake the motor, and are accepted.

Not covered: two windings or motors of opposite direction that run at once, which the file does not
tell from two motors that run together; positions of switches that no state has.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MINOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "a reversing switch energises one relay at a time"),)
REMEDY = "Let each position of the switch energise one relay alone."


def subjects(facts: Facts):
    return facts.switches.reversed_loads if facts.states.declared else ()


def judge(subject: Subject, facts: Facts):
    both = facts.switches.both_at_the_bus(subject.pointer)
    if both is not None:
        one, other = map(bare, both.relays)
        yield Unmet(
            f"Both leads of {subject.name} are at the bus in {both.state}: {one} and {other} are energised "
            "together.",
            state=both.state,
            path=both.relays,
        )
