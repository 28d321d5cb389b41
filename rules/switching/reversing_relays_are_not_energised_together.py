"""The two relays that reverse a motor are not energised together.

Why: with both energised both leads of the motor are at the bus. It does not move, with a switch
that says that it does, and the next movement of the switch breaks and makes both contacts at once.

How judged: a load with the contact of one relay at its supply and of another at its return is
reversed by them. In no declared state may both relays be energised and feed both of its leads,
which leaves it without voltage. Two de-energised relays that connect both leads to the bus brake
the motor, and are accepted.

Not covered: two windings or motors of opposite direction that run at once, which the file does not
distinguish from two motors that run together; positions of switches that no state has.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MINOR
CONSEQUENCE = "can burn"
CITATIONS = (("practice", "a reversing switch energises one relay at a time"),)
REMEDY = "Wire the switch so that each position energises one relay alone."


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
